//! Sets of runs for unit tests, in complex numbers: planes without a radius (a gram is a load of 1), vibration sensors.

use num_complex::Complex64;

use super::{Change, Convention, Noise, OnTopOf, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup};
use crate::quantity::{Angle, Mass};
use crate::shaft::{CorrectionPlane, PlaneId, Sensor};

/// A real number as a complex one.
pub(crate) fn real(value: f64) -> Complex64 {
    Complex64::new(value, 0.0)
}

/// The same noise on every reading: this standard deviation of each component, exactly known.
pub(crate) fn exactly(deviation: f64) -> Noise {
    Noise::known(0.0, std::f64::consts::SQRT_2 * deviation)
}

/// Runs one after the other, labelled from 1.
#[derive(Debug, Clone)]
pub(crate) struct ByHand {
    pub setup: Setup,
    runs: Vec<Run>,
}

impl ByHand {
    pub fn new(planes: usize, sensors: usize, noise: Noise) -> Self {
        let setup = Setup {
            planes: (1..=planes).map(|at| CorrectionPlane::named(&format!("plane {at}"))).collect(),
            sensors: (1..=sensors).map(|at| Sensor::vibration(&format!("sensor {at}"), "mm/s")).collect(),
            convention: Convention::unstated(),
            noise,
        };
        Self { setup, runs: Vec::new() }
    }

    /// A run with these loads on and no others (one for each plane, or none), and these readings.
    pub fn run(self, kind: RunKind, loads: &[Complex64], readings: &[Complex64]) -> Self {
        let shown =
            |vector: &Complex64| SensorReading::Shown { amplitude: vector.norm(), phase: Angle::of(*vector) };
        self.shown(kind, loads, readings.iter().map(shown).collect())
    }

    /// The same with readings as a dial gives them.
    pub fn shown(mut self, kind: RunKind, loads: &[Complex64], readings: Vec<SensorReading>) -> Self {
        let mass = |(plane, load): (usize, &Complex64)| PlacedMass {
            plane: PlaneId::new(plane),
            change: Change::Added,
            mass: Mass::from_grams(load.norm()).unwrap(),
            angle: Angle::of(*load),
            radius: None,
            bead: Mass::ZERO,
        };
        let masses = loads.iter().enumerate().filter(|(_, load)| load.norm() > 0.0).map(mass).collect();
        let label = (self.runs.len() + 1).to_string();
        let on_top_of = matches!(kind, RunKind::Tried | RunKind::Check).then_some(OnTopOf::AsFound);
        self.runs.push(Run { on_top_of, ..Run::new(&label, kind, masses, readings) });
        self
    }

    /// The last run was read in this mounting.
    pub fn in_mounting(mut self, name: &str) -> Self {
        self.runs.last_mut().unwrap().mounting = name.into();
        self
    }

    /// The last run was read at this time.
    pub fn at_minute(mut self, minute: f64) -> Self {
        self.runs.last_mut().unwrap().minutes = Some(minute);
        self
    }

    pub fn set(self) -> RunSet {
        RunSet::new(self.setup, self.runs).unwrap()
    }
}
