//! Random but realistic jobs: planes that act more or less alike, trials left on, several masses in a run,
//! repeats, mountings, both ways of counting phase.

use balance_core::Complex64;
use balance_core::quantity::{Angle, Length, Mass};
use balance_core::run::{
    Change, Convention, Noise, OnTopOf, Phase, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup,
};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};

use crate::random::Random;

/// What kind of job to make.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// How many planes.
    pub planes: usize,
    /// How many sensors.
    pub sensors: usize,
    /// How many runs more than needed.
    pub extra: usize,
    /// How many clampings.
    pub mountings: usize,
    /// How many check runs at the end.
    pub checks: usize,
    /// Noise that the needles have, as a share of the reading.
    pub needles: f64,
    /// The stated noise, if any.
    pub stated: Option<f64>,
    /// Smallest difference between how two planes act, as a power of ten: 0 for as different as they come.
    pub alike: f64,
}

impl Shape {
    /// A shape at random: 2 to 5 planes, 2 to 8 sensors.
    #[must_use]
    pub fn random(random: &mut Random) -> Self {
        Self {
            planes: 2 + random.below(4),
            sensors: 2 + random.below(7),
            extra: random.below(7),
            mountings: 1 + random.below(3),
            checks: random.below(4),
            needles: if random.below(2) == 0 { 0.0 } else { 0.5e-3 },
            stated: Some(1e-3),
            alike: -random.between(0.0, 3.0),
        }
    }
}

/// A job: the set-up, the runs as they would be entered, and the truth behind them.
#[derive(Debug, Clone)]
pub struct Job {
    /// Planes, sensors, convention, noise.
    pub setup: Setup,
    /// As entered.
    pub runs: Vec<Run>,
    /// Sensor by sensor, plane by plane, in our counting: reading for each g·mm (or g).
    pub answers: Vec<Vec<Complex64>>,
}

impl Job {
    /// A job of this shape.
    #[must_use]
    pub fn random(shape: &Shape, random: &mut Random) -> Self {
        let setup = setup(shape, random);
        let answers = answers(shape, &setup, random);
        let runs = Writer::new(shape, setup.clone(), answers.clone(), random).write();
        Self { setup, runs, answers }
    }

    /// The set.
    #[must_use]
    pub fn set(&self) -> RunSet {
        RunSet::new(self.setup.clone(), self.runs.clone()).expect("a random job has no faults")
    }
}

fn setup(shape: &Shape, random: &mut Random) -> Setup {
    let millimetres = |value: f64| Length::from_millimetres(value).expect("a radius");
    let with_radius = random.below(4) > 0;
    let plane = |at: usize| {
        let mut plane = CorrectionPlane::named(&format!("plane {at}"));
        if with_radius {
            plane.radius = Some(millimetres(random.between(25.0, 90.0)));
            plane.trial_radius = (random.below(3) == 0).then(|| millimetres(random.between(25.0, 90.0)));
        }
        plane
    };
    let planes = (0..shape.planes).map(plane).collect();
    let phase = if random.below(2) == 0 { Phase::SameWayAsMasses } else { Phase::OppositeToMasses };
    Setup {
        planes,
        sensors: (0..shape.sensors).map(|at| Sensor::vibration(&format!("sensor {at}"), "mm/s")).collect(),
        convention: Convention { phase, stated: true, ..Convention::unstated() },
        noise: shape.stated.map_or_else(Noise::not_stated, |fraction| Noise::known(fraction, 0.0)),
    }
}

/// Random coefficients; the second plane acts like the first except for a share.
fn answers(shape: &Shape, setup: &Setup, random: &mut Random) -> Vec<Vec<Complex64>> {
    let size = 10_f64.powf(random.between(-1.0, 1.0)) / setup.planes[0].lever();
    let apart = 10_f64.powf(shape.alike);
    let mut row = || {
        let mut row: Vec<Complex64> = (0..shape.planes).map(|_| random.circular() * size).collect();
        row[1] = row[0] * (1.0 - apart) + row[1] * apart;
        row
    };
    (0..shape.sensors).map(|_| row()).collect()
}

/// Writes the runs of a job one after the other.
struct Writer<'a> {
    shape: &'a Shape,
    setup: Setup,
    answers: Vec<Vec<Complex64>>,
    unbalance: Vec<Complex64>,
    /// What each mounting adds to the readings.
    clamped: Vec<Vec<Complex64>>,
    random: &'a mut Random,
    runs: Vec<Run>,
    /// What is on in each run, in g·mm.
    loads: Vec<Vec<Complex64>>,
}

impl<'a> Writer<'a> {
    fn new(shape: &'a Shape, setup: Setup, answers: Vec<Vec<Complex64>>, random: &'a mut Random) -> Self {
        let unbalance: Vec<Complex64> =
            setup.planes.iter().map(|plane| random.circular() * 12.0 * plane.lever()).collect();
        let size = answers.iter().flatten().map(|a| a.norm()).fold(0.0, f64::max) * setup.planes[0].lever();
        let offset = |at: usize| if at == 0 { 0.0 } else { size };
        let clamped = (0..shape.mountings)
            .map(|at| (0..shape.sensors).map(|_| random.circular() * offset(at)).collect())
            .collect();
        Self { shape, setup, answers, unbalance, clamped, random, runs: Vec::new(), loads: Vec::new() }
    }

    fn write(mut self) -> Vec<Run> {
        for mounting in 0..self.shape.mountings {
            self.push(RunKind::Initial, mounting, None, Vec::new());
        }
        for plane in 0..self.shape.planes {
            let mounting = self.random.below(self.shape.mountings);
            let left_on = self.left_on();
            let mut masses = vec![self.trial(plane)];
            if self.random.below(4) == 0 {
                masses.push(self.trial(plane));
            }
            self.push(RunKind::Trial, mounting, left_on, masses);
        }
        for _ in 0..self.shape.extra {
            self.extra();
        }
        self.checks();
        self.runs
    }

    /// The run before, if its trial is left on.
    fn left_on(&mut self) -> Option<usize> {
        let last = self.runs.len() - 1;
        (self.runs[last].kind == RunKind::Trial && self.random.below(3) == 0).then_some(last)
    }

    fn extra(&mut self) {
        let mounting = self.random.below(self.shape.mountings);
        match self.random.below(3) {
            0 => self.push(RunKind::Initial, mounting, None, Vec::new()),
            1 => {
                let masses = (0..self.shape.planes).map(|plane| self.trial(plane)).collect();
                self.push(RunKind::Trial, mounting, None, masses);
            }
            _ => {
                let plane = self.random.below(self.shape.planes);
                let (left_on, trial) = (self.left_on(), self.trial(plane));
                self.push(RunKind::Trial, mounting, left_on, vec![trial]);
            }
        }
    }

    /// Check runs with most of what is needed on, all with the same masses.
    fn checks(&mut self) {
        let needed: Vec<Complex64> = self.unbalance.iter().map(|unbalance| -*unbalance).collect();
        let mut masses = Vec::new();
        for (plane, load) in needed.iter().enumerate() {
            let lever = self.setup.planes[plane].lever();
            let off = self.random.circular() * 0.1;
            let mut mass = self.mass(plane, *load * (1.0 + off) / lever);
            if self.random.below(4) == 0 {
                // Metal taken off opposite instead of a weight.
                mass.change = Change::TakenOff;
                mass.angle = Angle::from_degrees(mass.angle.degrees() + 180.0).expect("an angle");
            }
            masses.push(mass);
        }
        for at in 0..self.shape.checks {
            self.push(RunKind::Check, at % self.shape.mountings, None, masses.clone());
        }
    }

    fn trial(&mut self, plane: usize) -> PlacedMass {
        let vector = self.random.direction() * self.random.between(4.0, 30.0);
        let mut mass = self.mass(plane, vector);
        if self.random.below(5) == 0 && self.setup.planes[plane].radius.is_some() {
            mass.radius = Length::from_millimetres(self.random.between(25.0, 90.0)).ok();
        }
        mass
    }

    fn mass(&mut self, plane: usize, grams: Complex64) -> PlacedMass {
        let bead = if self.random.below(3) == 0 { 0.1 * grams.norm() } else { 0.0 };
        PlacedMass {
            plane: PlaneId::new(plane),
            change: Change::Added,
            mass: Mass::from_grams(grams.norm() - bead).expect("a mass"),
            angle: Angle::of(grams),
            radius: None,
            bead: Mass::from_grams(bead).expect("a bead"),
        }
    }

    fn push(&mut self, kind: RunKind, mounting: usize, left_on: Option<usize>, masses: Vec<PlacedMass>) {
        let mut loads =
            left_on.map_or_else(|| vec![Complex64::ZERO; self.shape.planes], |row| self.loads[row].clone());
        for mass in &masses {
            loads[mass.plane] += self.vector(kind, mass);
        }
        let readings = (0..self.shape.sensors).map(|sensor| self.read(sensor, mounting, &loads)).collect();
        self.loads.push(loads);
        self.runs.push(Run {
            label: (self.runs.len() + 1).to_string(),
            kind,
            speed: None,
            mounting: mounting.to_string(),
            minutes: None,
            on_top_of: left_on.map(|row| OnTopOf::Run(self.runs[row].label.clone())),
            masses,
            readings,
            uncertainties: Vec::new(),
        });
    }

    fn vector(&self, kind: RunKind, mass: &PlacedMass) -> Complex64 {
        let plane = &self.setup.planes[mass.plane];
        let usual = if kind == RunKind::Trial { plane.trial_radius.or(plane.radius) } else { plane.radius };
        let lever = plane.radius.map_or(1.0, |own| mass.radius.or(usual).unwrap_or(own).millimetres());
        let sign = if mass.change == Change::Added { 1.0 } else { -1.0 };
        mass.angle.unit_vector() * (sign * lever * (mass.mass.grams() + mass.bead.grams()))
    }

    fn read(&mut self, sensor: usize, mounting: usize, loads: &[Complex64]) -> SensorReading {
        let total = self.unbalance.iter().zip(loads).map(|(own, load)| own + load);
        let effect: Complex64 = self.answers[sensor].iter().zip(total).map(|(a, u)| a * u).sum();
        let truth = effect + self.clamped[mounting][sensor];
        let read = truth + self.random.circular() * (self.shape.needles * truth.norm());
        let shown = self.setup.convention.turn(read);
        SensorReading::Shown { amplitude: shown.norm(), phase: Angle::of(shown) }
    }
}
