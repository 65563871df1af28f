//! Why a description cannot be a shaft.

use crate::quantity::{Units, shown};
use crate::shaft::{BeamFault, RunoutFault};

/// What is wrong with a description; all of them are reported at once.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.words(Units::Metric))]
#[non_exhaustive]
pub enum ShaftFault {
    /// The tube's wall does not fit its diameter.
    Wall {
        /// In mm.
        wall: f64,
        /// In mm.
        outer_diameter: f64,
    },
    /// The tube has no length.
    NoLength,
    /// A section whose bore is not smaller than its outside.
    Bore {
        /// As the job names it.
        name: String,
        /// In mm.
        inner: f64,
        /// In mm.
        outer: f64,
    },
    /// A section that lies beyond the shaft or ends before it begins.
    SectionPlace {
        /// As the job names it.
        name: String,
        /// In mm.
        from: f64,
        /// In mm.
        to: f64,
        /// In mm.
        length: f64,
    },
    /// Two sections at the same place.
    Overlap {
        /// As the job names it.
        one: String,
        /// As the job names it.
        other: String,
    },
    /// A part that lies beyond the shaft or ends before it begins.
    PartPlace {
        /// As the job names it.
        name: String,
        /// In mm.
        from: f64,
        /// In mm.
        to: f64,
        /// In mm.
        length: f64,
    },
    /// A limit with an impossible value.
    Limit {
        /// Its key in a job file.
        key: &'static str,
        /// What was found.
        found: f64,
    },
    /// A joint bent too far for its formulas.
    JointAngle {
        /// Counted from the front, from 1.
        number: usize,
        /// In degrees.
        found: f64,
    },
    /// A mass centre beyond the shaft.
    MassCentre {
        /// In mm.
        found: f64,
        /// In mm.
        length: f64,
    },
    /// Something about the runout readings.
    Runout(#[from] RunoutFault),
    /// Something about the shaft as a beam.
    Beam(#[from] BeamFault),
}

impl ShaftFault {
    /// What is wrong, in these units.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let at = |millimetres: f64| shown::entered_length(units, millimetres);
        match self {
            Self::Wall { wall, outer_diameter } => format!(
                "a wall of {} does not fit a tube of {}: it must be above 0 and at most half the diameter",
                at(*wall),
                at(*outer_diameter)
            ),
            Self::NoLength => "the tube has no length".to_owned(),
            Self::Bore { name, inner, outer } => format!(
                "section `{name}`: the bore of {} is not smaller than the outer diameter of {}",
                at(*inner),
                at(*outer)
            ),
            Self::SectionPlace { name, from, to, length } => {
                format!("section `{name}` {}", misplaced([*from, *to, *length].map(at)))
            }
            Self::Overlap { one, other } => format!("sections `{one}` and `{other}` overlap"),
            Self::PartPlace { name, from, to, length } => {
                format!("part `{name}` {}", misplaced([*from, *to, *length].map(at)))
            }
            Self::Limit { key, found } => format!(
                "`{key}` cannot be {found}: a limit is above 0, and shares of the critical speed are below 0.9"
            ),
            Self::JointAngle { number, found } => {
                format!("joint {number} at {found} deg: a universal joint works below 45 deg")
            }
            Self::MassCentre { found, length } => {
                format!("the mass centre at {} lies outside the shaft of {}", at(*found), at(*length))
            }
            Self::Runout(fault) => fault.words(units),
            Self::Beam(fault) => fault.words(units),
        }
    }
}

fn misplaced([from, to, length]: [String; 3]) -> String {
    format!("runs from {from} to {to}; it must run forwards and lie within 0 to {length}")
}
