//! Answers to the published cases that go from runs to masses: room `correction`.

use std::collections::BTreeMap;

use balance_core::Complex64;
use balance_core::influence::{Influence, Options, System, Which, estimate};
use balance_core::quantity::{Angle, Mass, Quantity, Speed};
use balance_core::run::{
    Change, Convention, Noise, Phase, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup,
};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};
use serde::Deserialize;

use crate::cases::Case;

/// Names and values.
pub type Answers = BTreeMap<String, f64>;

/// The inputs of a case.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Inputs {
    phase: CountedTo,
    mass_unit: String,
    amplitude_unit: String,
    planes: Vec<String>,
    sensors: Vec<String>,
    runs: Vec<InputRun>,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum CountedTo {
    Same,
    Opposite,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct InputRun {
    kind: String,
    speed: Option<f64>,
    /// By plane: amount and angle in degrees.
    masses: BTreeMap<String, [f64; 2]>,
    readings: BTreeMap<String, InputReading>,
    /// Whether the readings are printed as the change since the initial run of this speed.
    #[serde(default)]
    above_initial: bool,
}

/// A reading as printed.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(untagged)]
enum InputReading {
    /// Amplitude and phase in degrees.
    Polar([f64; 2]),
    Rectangular {
        re: f64,
        im: f64,
    },
}

impl InputReading {
    fn vector(self) -> Result<Complex64, String> {
        match self {
            Self::Polar([amplitude, phase]) => Ok(degrees(phase)?.unit_vector() * amplitude),
            Self::Rectangular { re, im } => Ok(Complex64::new(re, im)),
        }
    }
}

fn degrees(value: f64) -> Result<Angle, String> {
    Angle::from_degrees(value).map_err(|fault| fault.to_string())
}

impl Inputs {
    fn grams_per_unit(&self) -> Result<f64, String> {
        Mass::unit(&self.mass_unit)
            .map(|unit| unit.factor)
            .ok_or_else(|| format!("`{}` is no unit of mass", self.mass_unit))
    }

    fn setup(&self) -> Setup {
        let phase = match self.phase {
            CountedTo::Same => Phase::SameWayAsMasses,
            CountedTo::Opposite => Phase::OppositeToMasses,
        };
        Setup {
            planes: self.planes.iter().map(|name| CorrectionPlane::named(name)).collect(),
            sensors: self.sensors.iter().map(|name| Sensor::vibration(name, &self.amplitude_unit)).collect(),
            convention: Convention { phase, stated: true, ..Convention::unstated() },
            noise: Noise::not_stated(),
        }
    }

    fn set(&self, rows: &[usize]) -> Result<RunSet, String> {
        let runs = rows.iter().map(|&row| self.run(row)).collect::<Result<Vec<Run>, String>>()?;
        RunSet::new(self.setup(), runs).map_err(|faults| format!("{faults:?}"))
    }

    fn run(&self, row: usize) -> Result<Run, String> {
        let run = &self.runs[row];
        let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
        let kind = kinds.into_iter().find(|kind| kind.word() == run.kind).ok_or("no such kind of run")?;
        let speed = run.speed.map(Speed::from_rpm).transpose().map_err(|fault| fault.to_string())?;
        Ok(Run {
            label: (row + 1).to_string(),
            kind,
            speed,
            mounting: String::new(),
            minutes: None,
            on_top_of: None,
            masses: self.masses(run)?,
            readings: self.sensors.iter().map(|name| self.reading(run, name)).collect::<Result<_, _>>()?,
            uncertainties: Vec::new(),
        })
    }

    fn masses(&self, run: &InputRun) -> Result<Vec<PlacedMass>, String> {
        let factor = self.grams_per_unit()?;
        let grams = |value| Mass::from_grams(value).map_err(|fault| fault.to_string());
        let mut masses = Vec::new();
        for (name, [amount, angle]) in &run.masses {
            let plane = self.planes.iter().position(|own| own == name).ok_or("no such plane")?;
            let (mass, bead) = (grams(amount * factor)?, grams(0.0)?);
            let angle = degrees(*angle)?;
            let plane = PlaneId::new(plane);
            masses.push(PlacedMass { plane, change: Change::Added, mass, angle, radius: None, bead });
        }
        Ok(masses)
    }

    fn reading(&self, run: &InputRun, sensor: &str) -> Result<SensorReading, String> {
        let of = |run: &InputRun| run.readings.get(sensor).ok_or("a sensor without reading")?.vector();
        let mut vector = of(run)?;
        if run.above_initial {
            let initial = self.runs.iter().find(|one| one.kind == "initial" && one.speed == run.speed);
            vector += of(initial.ok_or("no initial run at this speed")?)?;
        }
        Ok(SensorReading::Shown { amplitude: vector.norm(), phase: Angle::of(vector) })
    }

    fn rows(&self, wanted: impl Fn(&InputRun) -> bool) -> Vec<usize> {
        (0..self.runs.len()).filter(|&row| wanted(&self.runs[row])).collect()
    }
}

/// The answers to a case.
///
/// # Errors
///
/// Inputs that make no sense, and checks that are not known.
pub fn answer(case: &Case) -> Result<Answers, String> {
    let inputs: Inputs =
        serde_json::from_value(case.inputs.clone()).map_err(|fault| format!("{}: {fault}", case.name))?;
    match case.check.as_str() {
        "masses" => masses(&inputs),
        "change since initial" => change_since_initial(&inputs),
        other => Err(format!("{}: no check `{other}`", case.name)),
    }
}

fn estimated(set: &RunSet) -> Result<Influence, String> {
    estimate(set, &Options::default()).map_err(|faults| format!("{faults:?}"))
}

/// From runs to masses, amounts in the case's own unit.
fn masses(inputs: &Inputs) -> Result<Answers, String> {
    let factor = inputs.grams_per_unit()?;
    let set = inputs.set(&inputs.rows(|_| true))?;
    let influence = estimated(&set)?;
    let mut answers = Answers::new();
    let correction = balance_core::correction::correct(&set, &influence);
    for (name, plane) in inputs.planes.iter().zip(&correction.planes) {
        let add = plane.add.vector() / factor;
        put(&mut answers, &format!("add {name}"), add);
        answers.insert(format!("add {name}, rounded"), add.norm().round());
        for kind in ["", " text"] {
            // Counted the other way round from the zero.
            answers.insert(format!("counter-clockwise {name}{kind} angle"), -add.arg().to_degrees());
        }
        put(&mut answers, &format!("unbalance {name}"), -add);
    }
    for (sensor, fit) in influence.groups[0].fits() {
        for (name, coefficient) in inputs.planes.iter().zip(fit.coefficients.iter()) {
            let seen = set.setup().convention.turn(*coefficient * factor);
            put(&mut answers, &format!("answer of {} to {name}", inputs.sensors[sensor]), seen);
        }
    }
    Ok(answers)
}

/// The unbalance that was added between the initial run and the check runs: single check runs averaged, each
/// speed, and all speeds in one least squares.
fn change_since_initial(inputs: &Inputs) -> Result<Answers, String> {
    let mut answers = Answers::new();
    put_planes(inputs, &mut answers, "both speeds together", &change(inputs, &inputs.rows(|_| true))?);
    let mut sum = vec![Complex64::ZERO; inputs.planes.len()];
    let checks = inputs.rows(|run| run.kind == "check");
    for &check in &checks {
        let mut rows = inputs.rows(|run| run.kind != "check" && run.speed == inputs.runs[check].speed);
        rows.push(check);
        for (sum, one) in sum.iter_mut().zip(change(inputs, &rows)?) {
            *sum += one / checks.len() as f64;
        }
    }
    put_planes(inputs, &mut answers, "mean of single estimates", &sum);
    let speeds = inputs.rows(|run| run.kind == "initial").into_iter().map(|row| inputs.runs[row].speed);
    for speed in speeds {
        let name = format!("at {} rpm", speed.unwrap_or(0.0));
        let rows = inputs.rows(|run| run.speed == speed);
        put_planes(inputs, &mut answers, &name, &change(inputs, &rows)?);
    }
    Ok(answers)
}

fn change(inputs: &Inputs, rows: &[usize]) -> Result<Vec<Complex64>, String> {
    let set = inputs.set(rows)?;
    let influence = estimated(&set)?;
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    let state = |which| System::of(&set, &influence, &groups, which).unbalance();
    let (now, found) = (state(Which::Now), state(Which::AsFound));
    Ok(now.iter().zip(found).map(|(now, found)| now - found).collect())
}

fn put_planes(inputs: &Inputs, answers: &mut Answers, name: &str, vectors: &[Complex64]) {
    for (plane, vector) in inputs.planes.iter().zip(vectors) {
        put(answers, &format!("{name} {plane}"), *vector);
    }
}

fn put(answers: &mut Answers, name: &str, vector: Complex64) {
    answers.insert(name.to_string(), vector.norm());
    answers.insert(format!("{name} angle"), vector.arg().to_degrees());
    answers.insert(format!("{name} real"), vector.re);
    answers.insert(format!("{name} imaginary"), vector.im);
}
