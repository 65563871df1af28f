//! Readings of a dial indicator.

use crate::quantity::{Angle, Length};

/// One reading of the dial indicator.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct RunoutReading {
    /// From the front joint centre.
    pub station: Length,
    /// From the zero mark, counted as masses are.
    pub angle: Angle,
    /// In mm, signed, larger where the surface is further out; where the dial's zero stands does not matter.
    pub indicator: f64,
}

/// Why readings are no runout map.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RunoutFault {
    /// No reading at all.
    #[error("no runout reading")]
    Nothing,
    /// A reading that is no number.
    #[error("the runout reading at {station} mm, {angle} deg is not a number")]
    NotANumber {
        /// In mm.
        station: f64,
        /// In degrees.
        angle: f64,
    },
    /// A station beyond the shaft.
    #[error("the runout station at {station} mm lies beyond the shaft's length of {length} mm")]
    Beyond {
        /// In mm.
        station: f64,
        /// In mm.
        length: f64,
    },
    /// Too few readings round a station, or all on one side.
    #[error(
        "the {found} runout readings at {station} mm do not go round the tube; read at least three places, evenly spread"
    )]
    NotRound {
        /// In mm.
        station: f64,
        /// How many there are.
        found: usize,
    },
}
