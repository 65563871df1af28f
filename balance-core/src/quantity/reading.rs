//! What a sensor shows.

use num_complex::Complex64;

use super::Angle;

/// A vector reading of a sensor: amplitude in the sensor's own unit, phase counted the way the job counts masses.
///
/// A reading is not an unbalance: only an influence coefficient links the two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading(Complex64);

impl Reading {
    /// From a vector in the sensor's unit.
    #[must_use]
    pub fn from_vector(vector: Complex64) -> Self {
        Self(vector)
    }

    /// An amplitude (zero or more, finite) at a phase.
    #[must_use]
    pub fn at(amplitude: f64, phase: Angle) -> Self {
        Self(phase.unit_vector() * amplitude)
    }

    /// The vector in the sensor's unit.
    #[must_use]
    pub fn vector(self) -> Complex64 {
        self.0
    }

    /// The amplitude in the sensor's unit.
    #[must_use]
    pub fn amplitude(self) -> f64 {
        self.0.norm()
    }

    /// The phase.
    #[must_use]
    pub fn phase(self) -> Angle {
        Angle::of(self.0)
    }
}
