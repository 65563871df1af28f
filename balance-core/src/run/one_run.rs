//! One run, as the runs file has it.

use super::{OnTopOf, RunKind};
use crate::quantity::{Angle, Length, Mass, QuantityFault, Speed};
use crate::shaft::{PlaneId, SensorId};

/// Whether a mass was put on or taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Change {
    /// Put on.
    Added,
    /// Taken off: metal, or a weight that was there.
    TakenOff,
}

/// A mass on a correction plane.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct PlacedMass {
    /// Which correction plane.
    pub plane: PlaneId,
    /// Put on or taken off.
    pub change: Change,
    /// How much, without bead.
    pub mass: Mass,
    /// The angle, counted as the job counts masses.
    pub angle: Angle,
    /// The radius, if this run states it.
    pub radius: Option<Length>,
    /// The weld bead's mass at the same place.
    pub bead: Mass,
}

impl PlacedMass {
    /// A mass in grams put on at an angle in degrees, at the plane's own radius, without a bead.
    ///
    /// # Errors
    ///
    /// [`QuantityFault`] if the mass or the angle is invalid.
    pub fn grams(plane: PlaneId, grams: f64, degrees: f64) -> Result<Self, QuantityFault> {
        Ok(Self {
            plane,
            change: Change::Added,
            mass: Mass::from_grams(grams)?,
            angle: Angle::from_degrees(degrees)?,
            radius: None,
            bead: Mass::ZERO,
        })
    }

    /// Whether two rows refer to the same piece at the same place.
    #[must_use]
    pub fn same_as(&self, other: &Self) -> bool {
        self.plane == other.plane
            && self.change == other.change
            && self.mass == other.mass
            && self.bead == other.bead
            && self.radius == other.radius
            && self.angle.degrees_in_turn() == other.angle.degrees_in_turn()
    }
}

/// What one sensor showed in a run.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum SensorReading {
    /// It was not read.
    NotRead,
    /// Below what the dial shows: this limit, in the sensor's unit.
    Below(f64),
    /// An amplitude in the sensor's unit, zero or more, without a phase: from a stand or a meter that shows none.
    Amplitude(f64),
    /// An amplitude in the sensor's unit at a phase, counted as the job counts phases.
    Shown {
        /// Zero or more.
        amplitude: f64,
        /// As the job counts it.
        phase: Angle,
    },
}

impl SensorReading {
    /// What all sensors showed, in their order: amplitude in the sensor's unit, phase in degrees.
    ///
    /// # Errors
    ///
    /// [`QuantityFault`] if a phase is not an angle.
    pub fn shown(readings: &[(f64, f64)]) -> Result<Vec<Self>, QuantityFault> {
        let one = |&(amplitude, degrees): &(f64, f64)| {
            Ok(Self::Shown { amplitude, phase: Angle::from_degrees(degrees)? })
        };
        readings.iter().map(one).collect()
    }
}

/// How uncertain one reading is by itself: one sigma each, as a recording tells it.
///
/// # Units
///
/// The amplitude's in the sensor's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ReadingUncertainty {
    /// Of the amplitude, above zero.
    pub amplitude: f64,
    /// Of the phase, zero or more.
    pub phase: Angle,
}

impl ReadingUncertainty {
    /// Variance per component of a reading of this amplitude, in the sensor's unit squared.
    ///
    /// # Method
    ///
    /// (σ_A² + (|v|·σ_φ)²)/2: the mean of the variances along the reading and across it, for all noise here is
    /// the same in every direction.
    ///
    /// ```
    /// use balance_core::quantity::Angle;
    /// use balance_core::run::ReadingUncertainty;
    /// let phase = Angle::from_degrees(0.01_f64.to_degrees()).unwrap();
    /// let own = ReadingUncertainty { amplitude: 0.03, phase };
    /// // Along 0.03, across 4 × 0.01.
    /// assert!((own.variance(4.0) - (0.0009 + 0.0016) / 2.0).abs() < 1e-15);
    /// ```
    #[must_use]
    pub fn variance(self, amplitude: f64) -> f64 {
        (self.amplitude.powi(2) + (amplitude * self.phase.radians()).powi(2)) / 2.0
    }

    /// Whether both are possible: finite, the amplitude's above zero, the phase's not below it.
    #[must_use]
    pub fn is_possible(self) -> bool {
        self.amplitude.is_finite() && self.amplitude > 0.0 && self.phase.degrees() >= 0.0
    }
}

/// One run: a line of a runs file.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Run {
    /// Its label, unique within the shaft.
    pub label: String,
    /// What it was for.
    pub kind: RunKind,
    /// The stand's speed, if the file has a speed column.
    pub speed: Option<Speed>,
    /// The clamping it was measured in; runs of one mounting share a baseline.
    pub mounting: String,
    /// Minutes since the first run, if the file has times.
    pub minutes: Option<f64>,
    /// The run that the masses are added to, if stated; `masses` then lists only later masses.
    pub on_top_of: Option<OnTopOf>,
    /// What is on the shaft and was not on in the initial run (or in the run it is on top of).
    pub masses: Vec<PlacedMass>,
    /// One for each sensor, in the sensors' order.
    pub readings: Vec<SensorReading>,
    /// For each sensor how uncertain its reading is by itself, where that is known; empty: for none. It counts
    /// instead of what is stated for the stand, and instead of the steps of a dial.
    #[cfg_attr(feature = "serde", serde(default, skip_serializing_if = "Vec::is_empty"))]
    pub uncertainties: Vec<Option<ReadingUncertainty>>,
}

impl Run {
    /// A run at the stand's only speed, in its only mounting; every mass that is on is listed.
    #[must_use]
    pub fn new(label: &str, kind: RunKind, masses: Vec<PlacedMass>, readings: Vec<SensorReading>) -> Self {
        Self {
            label: label.into(),
            kind,
            speed: None,
            mounting: String::new(),
            minutes: None,
            on_top_of: None,
            masses,
            readings,
            uncertainties: Vec::new(),
        }
    }

    /// How uncertain a sensor's reading is by itself; `None`: it says nothing.
    #[must_use]
    pub fn uncertainty(&self, sensor: SensorId) -> Option<ReadingUncertainty> {
        self.uncertainties.get(sensor.index()).copied().flatten()
    }
}
