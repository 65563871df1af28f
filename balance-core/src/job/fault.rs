//! What a job cannot be.

use crate::grade::GradeFault;
use crate::quantity::QuantityFault;
use crate::shaft::StockFault;

/// One thing that is wrong with a job, with the place it was said for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JobFault {
    /// A text that is no quantity.
    #[error("{place}: {fault}")]
    Quantity {
        /// What it was said for: "mass", "position of front".
        place: String,
        /// What is wrong with it.
        fault: QuantityFault,
    },
    /// A text that is no grade.
    #[error("grade: {0}")]
    Grade(#[from] GradeFault),
    /// A weight or bead that cannot be.
    #[error("weight: {0}")]
    Stock(#[from] StockFault),
    /// A wall as thick as the tube's radius or thicker.
    #[error("wall: {wall} in a tube of {outer_diameter}: allowed is less than half of that")]
    WallTooThick {
        /// The wall.
        wall: crate::quantity::Length,
        /// The tube's outer diameter.
        outer_diameter: crate::quantity::Length,
    },
    /// A name that two places of a kind share.
    #[error("{what} `{name}` is there twice: every one needs a name of its own")]
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
    /// Nowhere to put a weight, or nothing that reads.
    #[error("there is no {0}")]
    None(&'static str),
}
