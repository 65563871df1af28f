//! How far the needles wander and how well a weight ends up where it should.

use super::DialStep;
use crate::quantity::{Angle, Length, Mass};

/// How uncertain one reading is. All noise is circular: the same in every direction of the vector.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum ReadingNoise {
    /// Not stated: it is estimated from repeated runs, or nothing is claimed.
    NotStated,
    /// Complex rms error of a share of the reading and a floor: E|e|² = fraction²·|v|² + floor².
    Proportional {
        /// One sigma as a share of the amplitude (0.02 for 2 %).
        fraction: f64,
        /// One sigma in the sensor's unit.
        floor: f64,
    },
    /// The full widths over which the needles are seen to wander: s² = ((a/4)² + (|v|·φ/4)²)/2 [common practice].
    Swing {
        /// Full width in the sensor's unit.
        amplitude: f64,
        /// Full width of the phase.
        phase: Angle,
    },
}

/// How well a weight ends up where it should: one sigma along the tape or as an angle.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum PlaceError {
    /// Along the circumference.
    Tape(Length),
    /// As an angle.
    Angle(Angle),
}

/// Everything stated about scatter at the stand.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Noise {
    /// Of one reading.
    pub reading: ReadingNoise,
    /// How well the stated figure is known, in complex degrees of freedom. Infinite for a figure that is
    /// exact (simulations); 10 for a technician's.
    #[cfg_attr(feature = "serde", serde(with = "crate::run::endless"))]
    pub degrees_of_freedom: f64,
    /// One sigma of where a mass ends up; `None`: exact.
    pub place_error: Option<PlaceError>,
    /// One sigma of the scale that weighs masses, in g.
    pub scale_error: Mass,
    /// The steps of the dials, where they are stated.
    pub step: DialStep,
    /// The steps that the dials were proved to have: they count where none are stated and the readings show no coarser.
    #[cfg_attr(feature = "serde", serde(default))]
    pub proved_step: DialStep,
    /// For each sensor the last digit its readings were typed with; empty where they were not typed.
    pub typed: Vec<DialStep>,
}

impl Noise {
    /// Nothing is stated, masses are exact.
    #[must_use]
    pub fn not_stated() -> Self {
        Self {
            reading: ReadingNoise::NotStated,
            degrees_of_freedom: STATED_DEGREES_OF_FREEDOM,
            place_error: None,
            scale_error: Mass::from_grams(0.0).expect("zero is a mass"),
            step: DialStep::default(),
            proved_step: DialStep::default(),
            typed: Vec::new(),
        }
    }

    /// Reading noise is known exactly, masses are exact: for simulations.
    #[must_use]
    pub fn known(fraction: f64, floor: f64) -> Self {
        Self {
            reading: ReadingNoise::Proportional { fraction, floor },
            degrees_of_freedom: f64::INFINITY,
            ..Self::not_stated()
        }
    }

    /// Variance per component of a reading with this amplitude, in the sensor's unit squared; `None` if not stated.
    #[must_use]
    pub fn reading_variance(&self, amplitude: f64) -> Option<f64> {
        match self.reading {
            ReadingNoise::NotStated => None,
            ReadingNoise::Proportional { fraction, floor } => {
                Some(((fraction * amplitude).powi(2) + floor.powi(2)) / 2.0)
            }
            ReadingNoise::Swing { amplitude: width, phase } => {
                Some(((width / 4.0).powi(2) + (amplitude * phase.radians() / 4.0).powi(2)) / 2.0)
            }
        }
    }
}

/// A technician's own figure for the noise counts as this many complex degrees of freedom.
pub const STATED_DEGREES_OF_FREEDOM: f64 = 10.0;
