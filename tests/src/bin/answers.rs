//! Answers jobs given as JSON, one per line, for checks written in other languages.
//!
//! In: `planes` (each with `radius` or null), `sensors`, `noise` (share of the reading, floor; or null), `phase`
//! ("same" or "opposite"), `runs` (`kind`, `mounting`, `masses` as [plane, g, degrees], `readings` as
//! [amplitude, degrees]).

use std::io::{BufRead, Write};

use balance_core::Complex64;
use balance_core::correction::{Correction, correct};
use balance_core::influence::{Agreement, Influence, Options, estimate};
use balance_core::quantity::{Angle, Length, Mass};
use balance_core::run::{
    Change, Convention, Noise, Phase, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup,
};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Job {
    planes: Vec<Option<f64>>,
    sensors: usize,
    noise: Option<[f64; 2]>,
    phase: String,
    runs: Vec<JobRun>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct JobRun {
    kind: String,
    mounting: String,
    masses: Vec<(usize, f64, f64)>,
    readings: Vec<[f64; 2]>,
}

type Fault = Box<dyn std::error::Error>;

impl Job {
    fn set(&self) -> Result<RunSet, Fault> {
        let mut planes = Vec::new();
        for (at, radius) in self.planes.iter().enumerate() {
            let radius = radius.map(Length::from_millimetres).transpose()?;
            planes.push(CorrectionPlane { radius, ..CorrectionPlane::named(&format!("plane {at}")) });
        }
        let phase = if self.phase == "same" { Phase::SameWayAsMasses } else { Phase::OppositeToMasses };
        let noise =
            self.noise.map_or_else(Noise::not_stated, |[fraction, floor]| Noise::known(fraction, floor));
        let setup = Setup {
            planes,
            sensors: (0..self.sensors).map(|at| Sensor::vibration(&format!("sensor {at}"), "mm/s")).collect(),
            convention: Convention { phase, stated: true, ..Convention::unstated() },
            noise,
        };
        let runs = self.runs.iter().enumerate().map(|(at, own)| run(at, own)).collect::<Result<_, _>>()?;
        RunSet::new(setup, runs).map_err(|faults| format!("{faults:?}").into())
    }
}

fn run(at: usize, own: &JobRun) -> Result<Run, Fault> {
    let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
    let mut masses = Vec::new();
    for &(plane, grams, degrees) in &own.masses {
        masses.push(PlacedMass {
            plane: PlaneId::new(plane),
            change: Change::Added,
            mass: Mass::from_grams(grams)?,
            angle: Angle::from_degrees(degrees)?,
            radius: None,
            bead: Mass::from_grams(0.0)?,
        });
    }
    let mut readings = Vec::new();
    for &[amplitude, phase] in &own.readings {
        readings.push(SensorReading::Shown { amplitude, phase: Angle::from_degrees(phase)? });
    }
    Ok(Run {
        label: at.to_string(),
        kind: kinds.into_iter().find(|kind| kind.word() == own.kind).ok_or("no such kind of run")?,
        speed: None,
        mounting: own.mounting.clone(),
        minutes: None,
        on_top_of: None,
        masses,
        readings,
        uncertainties: Vec::new(),
    })
}

fn pair(vector: Complex64) -> Value {
    json!([vector.re, vector.im])
}

fn told(influence: &Influence, correction: &Correction) -> Value {
    let group = &influence.groups[0];
    let coefficients: Vec<Vec<Value>> =
        group.fits().map(|(_, fit)| fit.coefficients.iter().map(|own| pair(*own)).collect()).collect();
    let blocks: Vec<Value> = group
        .blocks
        .iter()
        .map(|block| match block.agreement {
            Agreement::Agrees => json!({"rows": block.rows, "agrees": true}),
            Agreement::Disagrees => json!({"rows": block.rows, "agrees": false}),
            Agreement::NotJudged => json!({"rows": block.rows, "agrees": null}),
        })
        .collect();
    let forecast = |own: &balance_core::correction::Forecast| json!({"expected": pair(own.expected.vector()), "circle": own.circle});
    json!({
        "add": correction.planes.iter().map(|plane| pair(plane.add.vector())).collect::<Vec<_>>(),
        "give_or_take": correction.planes.iter().map(|plane| plane.give_or_take).collect::<Vec<_>>(),
        "coefficients": coefficients,
        "forecasts": correction.forecasts.iter().map(forecast).collect::<Vec<_>>(),
        "condition": correction.condition,
        "weak_direction": correction.weak_direction.iter().map(|own| pair(*own)).collect::<Vec<_>>(),
        "degrees_of_freedom": influence.degrees_of_freedom().filter(|own| own.is_finite()),
        "above_stated": group.fits().map(|(_, fit)| fit.above_stated).collect::<Vec<_>>(),
        "blocks": blocks,
    })
}

fn main() -> Result<(), Fault> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let job: Job = serde_json::from_str(&line?)?;
        let set = job.set()?;
        let influence = estimate(&set, &Options::default()).map_err(|faults| format!("{faults:?}"))?;
        writeln!(out, "{}", told(&influence, &correct(&set, &influence)))?;
    }
    Ok(())
}
