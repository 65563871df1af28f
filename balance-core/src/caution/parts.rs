//! What several cautions are made of.

use crate::quantity::{Length, Mass, Speed};

/// A limit and where it comes from.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Bound {
    /// The limit, in the unit of the value compared with it.
    pub value: f64,
    /// Where it comes from, in words: "your setting".
    pub basis: String,
}

/// Which of the usual mistakes explain runs that do not fit each other.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum LikelyCause {
    /// One of them fits, or two as well as each other.
    FitsBest {
        /// What went wrong, as part of a sentence.
        story: String,
        /// Another that fits as well.
        or: Option<String>,
    },
    /// None of them fits.
    NoneOfTheUsual,
}

/// Why nothing is known of the critical speed.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum NoCriticalSpeed {
    /// The tube is unknown, so a stated speed could not be checked.
    AtSpeed {
        /// That speed.
        speed: Speed,
        /// What it is for: "stand speed".
        purpose: String,
    },
    /// There is no job file.
    NoJob,
    /// The tube is not known.
    TubeUnknown,
    /// The description makes no sense as a beam.
    NotABeam {
        /// Its faults, as they are printed.
        faults: Vec<String>,
    },
}

/// A weight on the shaft whose width is not stated, and what is assumed for it.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct AssumedWidth {
    /// The plane.
    pub plane: String,
    /// The weight.
    pub mass: Mass,
    /// Where its middle is.
    pub degrees: f64,
    /// Along the circumference.
    pub width: Length,
    /// The width assumed.
    pub like: WidthLike,
}

/// How the width of a weight is assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum WidthLike {
    /// The piece of the box with this mass.
    Piece(Mass),
    /// A piece cut from the box's bar.
    Bar,
    /// A strip of its mass.
    Mass,
}

/// Why the fixture's vectors cannot be taken off.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum FixtureLeftIn {
    /// The runs have no phase.
    WithoutPhase,
    /// A plane of the shaft has no radius: what is left there is no unbalance.
    NoRadius,
    /// They were proved for planes of other names.
    OtherPlanes {
        /// Those of the test.
        proved: Vec<String>,
        /// Those of the shaft.
        here: Vec<String>,
    },
}
