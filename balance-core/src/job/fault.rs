//! What can be wrong with a job.

use crate::grade::GradeFault;
use crate::quantity::QuantityFault;
use crate::shaft::StockFault;

/// One thing that is wrong with a job, and where.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JobFault {
    /// A text that is not a quantity.
    #[error("{place}: {fault}")]
    Quantity {
        /// What it was stated for: "mass", "position of front".
        place: String,
        /// What is wrong with it.
        fault: QuantityFault,
    },
    /// A text that is not a grade.
    #[error("grade: {0}")]
    Grade(#[from] GradeFault),
    /// An impossible weight or bead.
    #[error("weight: {0}")]
    Stock(#[from] StockFault),
    /// A wall as thick as the tube's radius or thicker.
    #[error("wall: {wall} in a tube of {outer_diameter}: the wall must be less than half of that")]
    WallTooThick {
        /// The wall.
        wall: crate::quantity::Length,
        /// The tube's outer diameter.
        outer_diameter: crate::quantity::Length,
    },
    /// A name shared by two places of the same kind.
    #[error("{what} `{name}` is there twice: each one needs its own name")]
    NameTwice {
        /// "correction plane", "sensor".
        what: &'static str,
        /// The name.
        name: String,
    },
    /// Places that do not go from front to rear.
    #[error("{what} `{name}` at {position} does not come after the one before it")]
    NotInOrder {
        /// "correction plane", "tolerance plane".
        what: &'static str,
        /// Its name.
        name: String,
        /// Where it is.
        position: crate::quantity::Length,
    },
    /// A place beyond the rear joint centre.
    #[error("{what} `{name}` at {position} is beyond the rear joint centre at {length}")]
    BeyondTube {
        /// "correction plane", "tolerance plane".
        what: &'static str,
        /// Its name.
        name: String,
        /// Where it is.
        position: crate::quantity::Length,
        /// The tube's length.
        length: crate::quantity::Length,
    },
    /// There is no place for a weight, or no sensor.
    #[error("there is no {0}")]
    None(&'static str),
}
