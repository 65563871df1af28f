//! Why a description is no shaft.

use crate::shaft::{BeamFault, RunoutFault};

/// What is wrong with a description; all of them are reported at once.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ShaftFault {
    /// The tube's wall does not fit its diameter.
    #[error(
        "a wall of {wall} mm does not fit a tube of {outer_diameter} mm: it must be above 0 and at most half the diameter"
    )]
    Wall {
        /// In mm.
        wall: f64,
        /// In mm.
        outer_diameter: f64,
    },
    /// The tube has no length.
    #[error("the tube has no length")]
    NoLength,
    /// A section whose bore is not smaller than its outside.
    #[error("section `{name}`: the bore of {inner} mm is not smaller than the outer diameter of {outer} mm")]
    Bore {
        /// As the job names it.
        name: String,
        /// In mm.
        inner: f64,
        /// In mm.
        outer: f64,
    },
    /// A section that lies beyond the shaft or ends before it begins.
    #[error(
        "section `{name}` runs from {from} mm to {to} mm; it must run forwards and lie within 0 to {length} mm"
    )]
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
    #[error("sections `{one}` and `{other}` overlap")]
    Overlap {
        /// As the job names it.
        one: String,
        /// As the job names it.
        other: String,
    },
    /// A part that lies beyond the shaft or ends before it begins.
    #[error(
        "part `{name}` runs from {from} mm to {to} mm; it must run forwards and lie within 0 to {length} mm"
    )]
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
    /// A limit that is no possible value.
    #[error("`{key}` cannot be {found}: a limit is above 0, and shares of the critical speed are below 0.9")]
    Limit {
        /// Its key in a job file.
        key: &'static str,
        /// What was found.
        found: f64,
    },
    /// A joint bent too far for its formulas.
    #[error("joint {number} at {found} deg: a universal joint works below 45 deg")]
    JointAngle {
        /// Counted from the front, from 1.
        number: usize,
        /// In degrees.
        found: f64,
    },
    /// A mass centre beyond the shaft.
    #[error("the mass centre at {found} mm lies outside the shaft of {length} mm")]
    MassCentre {
        /// In mm.
        found: f64,
        /// In mm.
        length: f64,
    },
    /// Something about the runout readings.
    #[error(transparent)]
    Runout(#[from] RunoutFault),
    /// Something about the shaft as a beam.
    #[error(transparent)]
    Beam(#[from] BeamFault),
}
