//! A linear shaft on a stand: it turns unbalances into readings.

use balance_core::Complex64;
use balance_core::quantity::{Angle, Length, Mass};
use balance_core::run::{Change, Convention, Noise, PlacedMass, Run, RunKind, RunSet, SensorReading, Setup};
use balance_core::shaft::{CorrectionPlane, PlaneId, Sensor};

use crate::random::Random;

/// A linear shaft: `readings = answers · (unbalance + loads)`.
#[derive(Debug, Clone)]
pub struct LinearShaft {
    /// Sensor by sensor, plane by plane: reading for each unit of unbalance.
    pub answers: Vec<Vec<Complex64>>,
    /// Its own unbalance, plane by plane.
    pub unbalance: Vec<Complex64>,
}

impl LinearShaft {
    /// A shaft with two planes, two sensors and about unit unbalance at random angles: near-diagonal
    /// coefficients of 1, 0.35, 0.3, 0.9 at 30, 40, 35 and 25 degrees.
    #[must_use]
    pub fn two_planes(random: &mut Random) -> Self {
        let answer = |size: f64, degrees: f64| Complex64::from_polar(size, degrees.to_radians());
        Self {
            answers: vec![
                vec![answer(1.0, 30.0), answer(0.35, 40.0)],
                vec![answer(0.3, 35.0), answer(0.9, 25.0)],
            ],
            unbalance: vec![random.direction(), random.direction()],
        }
    }

    /// Readings with these loads on.
    #[must_use]
    pub fn readings(&self, loads: &[Complex64]) -> Vec<Complex64> {
        let total: Vec<Complex64> = self.unbalance.iter().zip(loads).map(|(own, load)| own + load).collect();
        self.answers.iter().map(|row| row.iter().zip(&total).map(|(a, u)| a * u).sum()).collect()
    }

    /// The unbalance in two planes that really makes these two readings (Cramer's rule).
    #[must_use]
    pub fn unbalance_of(&self, readings: &[Complex64]) -> [Complex64; 2] {
        let (top, bottom) = (&self.answers[0], &self.answers[1]);
        let determinant = top[0] * bottom[1] - top[1] * bottom[0];
        [
            (readings[0] * bottom[1] - top[1] * readings[1]) / determinant,
            (top[0] * readings[1] - readings[0] * bottom[0]) / determinant,
        ]
    }

    /// Planes and sensors of such a shaft; masses compared at one radius.
    #[must_use]
    pub fn setup(&self, noise: Noise) -> Setup {
        let plane = |at: usize| CorrectionPlane::named(&format!("plane {at}"));
        let sensor = |at: usize| Sensor::vibration(&format!("sensor {at}"), "mm/s");
        Setup {
            planes: (0..self.unbalance.len()).map(plane).collect(),
            sensors: (0..self.answers.len()).map(sensor).collect(),
            convention: Convention { stated: true, ..Convention::unstated() },
            noise,
        }
    }
}

/// Readings that scatter: circular complex noise of a share of the reading and a floor (complex rms).
#[derive(Debug, Clone, Copy)]
pub struct Needles {
    /// Share of the reading.
    pub fraction: f64,
    /// Floor in the sensor's unit.
    pub floor: f64,
}

impl Needles {
    /// Adds noise to true readings.
    pub fn read(self, truth: &[Complex64], random: &mut Random) -> Vec<Complex64> {
        let spread = |value: &Complex64| ((self.fraction * value.norm()).powi(2) + self.floor.powi(2)).sqrt();
        truth.iter().map(|value| value + random.circular() * spread(value)).collect()
    }
}

/// A run with loads given as complex masses.
#[must_use]
pub fn run(label: &str, kind: RunKind, loads: &[Complex64], readings: &[Complex64]) -> Run {
    let masses = loads.iter().enumerate().filter(|(_, load)| **load != Complex64::ZERO);
    let masses = masses.map(|(plane, load)| mass(plane, *load)).collect();
    Run::new(label, kind, masses, readings.iter().map(|value| shown(*value)).collect())
}

/// A mass from a complex number of grams.
#[must_use]
pub fn mass(plane: usize, load: Complex64) -> PlacedMass {
    let grams = |value| Mass::from_grams(value).expect("a test's mass is a mass");
    PlacedMass {
        plane: PlaneId::new(plane),
        change: Change::Added,
        mass: grams(load.norm()),
        angle: Angle::of(load),
        radius: None,
        bead: grams(0.0),
    }
}

/// A reading from a complex number.
#[must_use]
pub fn shown(value: Complex64) -> SensorReading {
    SensorReading::Shown { amplitude: value.norm(), phase: Angle::of(value) }
}

/// A length from millimetres.
#[must_use]
pub fn millimetres(value: f64) -> Length {
    Length::from_millimetres(value).expect("a test's length is a length")
}

/// The set, which a test has made without faults.
#[must_use]
pub fn set(setup: Setup, runs: Vec<Run>) -> RunSet {
    RunSet::new(setup, runs).expect("a test's runs have no faults")
}
