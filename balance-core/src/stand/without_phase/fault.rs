//! Why amplitudes alone do not tell.

use crate::shaft::{PlaneId, SensorId};

/// Why readings without phase do not show how the shaft responds.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WithoutPhaseFault {
    /// Without phase a plane needs trials at several places.
    #[error("plane {} was tried at {found} place(s); without phase at least 2 are needed, and 3 tell for sure",
        plane.index() + 1)]
    TooFewPlaces {
        /// Which plane.
        plane: PlaneId,
        /// At how many different places it was loaded.
        found: usize,
    },
    /// Fewer readings than unknowns.
    #[error("sensor {} was read in {found} run(s); without phase at least {needed} are needed", sensor.index() + 1)]
    TooFewRuns {
        /// Which sensor.
        sensor: SensorId,
        /// In how many runs it was read.
        found: usize,
        /// How many are needed: one more than there are unknowns.
        needed: usize,
    },
    /// Every reading is zero, or the numbers are out of range.
    #[error("the readings of sensor {} are all zero or out of range", sensor.index() + 1)]
    OutOfRange {
        /// Which sensor.
        sensor: SensorId,
    },
}

/// Adds the faults that are not there yet: several sensors have the same ones.
pub(crate) fn each_once<T: PartialEq>(faults: &mut Vec<T>, more: Vec<T>) {
    for fault in more {
        if !faults.contains(&fault) {
            faults.push(fault);
        }
    }
}
