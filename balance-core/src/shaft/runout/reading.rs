//! Readings of a dial indicator.

use crate::quantity::{Angle, Length, Units, shown};

/// One reading of the dial indicator.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct RunoutReading {
    /// From the front joint centre.
    pub station: Length,
    /// From the zero mark, counted as masses are.
    pub angle: Angle,
    /// In mm, signed, larger where the surface is further out; the dial's zero does not matter.
    pub indicator: f64,
}

/// Why readings do not give a runout map.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.words(Units::Metric))]
#[non_exhaustive]
pub enum RunoutFault {
    /// No reading at all.
    Nothing,
    /// A reading that is not a number.
    NotANumber {
        /// In mm.
        station: f64,
        /// In degrees.
        angle: f64,
    },
    /// A station beyond the shaft.
    Beyond {
        /// In mm.
        station: f64,
        /// In mm.
        length: f64,
    },
    /// Too few readings round a station, or all on one side.
    NotRound {
        /// In mm.
        station: f64,
        /// How many there are.
        found: usize,
    },
}

impl RunoutFault {
    /// What is wrong, in these units.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let at = |millimetres: f64| shown::entered_length(units, millimetres);
        match *self {
            Self::Nothing => "no runout reading".to_owned(),
            Self::NotANumber { station, angle } => {
                format!("the runout reading at {}, {angle} deg is not a number", at(station))
            }
            Self::Beyond { station, length } => format!(
                "the runout station at {} lies beyond the shaft's length of {}",
                at(station),
                at(length)
            ),
            Self::NotRound { station, found } => format!(
                "the {found} runout readings at {} do not go round the tube; read at least three places, evenly spread",
                at(station)
            ),
        }
    }
}
