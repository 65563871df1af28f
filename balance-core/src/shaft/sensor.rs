//! Where the stand reads.

use super::PlaneId;
use crate::quantity::Length;

/// What the numbers of a sensor mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Shows {
    /// Vibration: an amplitude in some linear unit and a phase.
    Vibration,
    /// The heavy spot of this plane; the stand has separated the planes itself.
    Unbalance {
        /// Which correction plane.
        plane: PlaneId,
    },
    /// Where to add in this plane: the heavy spot turned by half a turn.
    Correction {
        /// Which correction plane.
        plane: PlaneId,
    },
}

/// A measuring place of the stand.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Sensor {
    /// As the job names it.
    pub name: String,
    /// The label of its amplitude unit; any linear unit will do.
    pub unit: String,
    /// From the front joint centre.
    pub position: Option<Length>,
    /// What its numbers mean.
    pub shows: Shows,
    /// Its weight in the least squares, if stated by the user.
    pub weight: Option<f64>,
    /// For a stand that shows unbalance: g·mm (or g at one radius) that one unit of the reading stands for.
    pub unbalance_per_unit: f64,
    /// For a stand that shows unbalance: the share of what is at any other end that shows here too, if it is stated.
    pub crosstalk: Option<f64>,
}

impl Shows {
    /// The plane whose unbalance a stand shows; `None` for vibration.
    #[must_use]
    pub fn plane(self) -> Option<PlaneId> {
        match self {
            Self::Vibration => None,
            Self::Unbalance { plane } | Self::Correction { plane } => Some(plane),
        }
    }
}

impl Sensor {
    /// A vibration sensor with only a name and a unit.
    #[must_use]
    pub fn vibration(name: &str, unit: &str) -> Self {
        Self {
            name: name.into(),
            unit: unit.into(),
            position: None,
            shows: Shows::Vibration,
            weight: None,
            unbalance_per_unit: 1.0,
            crosstalk: None,
        }
    }
}
