//! Whether two yokes take the same universal joint.

use crate::quantity::Length;

/// What a yoke takes of a universal joint: the bore for its caps, and how far apart they sit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YokeSize {
    /// Diameter of a cap, or of the yoke's bore.
    pub cap_diameter: Length,
    /// Over both caps, between the stops of the snap rings.
    pub width: Length,
}

/// One joint, as the yokes on both of its sides take it.
#[derive(Debug, Clone, PartialEq)]
pub struct JointSize {
    /// Which joint.
    pub joint: String,
    /// The yoke on this shaft.
    pub shaft_yoke: YokeSize,
    /// The yoke or flange on the other side.
    pub other_yoke: YokeSize,
}

/// Caps that differ by more than this, in mm, do not fit one bore: sizes of joints lie further apart than a caliper is off
/// [own choice, no source].
const SAME_CAP: f64 = 0.15;
/// The same for the width, in mm: snap rings of other thickness make up for this much [own choice, no source].
const SAME_WIDTH: f64 = 0.4;

/// How the two yokes of a joint differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Misfit {
    /// Their caps differ.
    pub caps: bool,
    /// Their widths differ.
    pub width: bool,
}

impl JointSize {
    /// How the yokes differ; `None`: they take one joint with four like caps.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::{JointSize, YokeSize}};
    /// let size = |cap, width| YokeSize { cap_diameter: parse(cap).unwrap(), width: parse(width).unwrap() };
    /// let joint = |other| JointSize { joint: "rear".into(), shaft_yoke: size("27 mm", "81.8 mm"), other_yoke: other };
    /// assert_eq!(joint(size("1 1/16 in", "3.22 in")).misfit(), None);
    /// let misfit = joint(size("30.2 mm", "81.8 mm")).misfit().unwrap();
    /// assert!(misfit.caps && !misfit.width);
    /// ```
    #[must_use]
    pub fn misfit(&self) -> Option<Misfit> {
        let apart = |one: Length, other: Length| (one.millimetres() - other.millimetres()).abs();
        let (own, other) = (self.shaft_yoke, self.other_yoke);
        let found = Misfit {
            caps: apart(own.cap_diameter, other.cap_diameter) > SAME_CAP,
            width: apart(own.width, other.width) > SAME_WIDTH,
        };
        (found.caps || found.width).then_some(found)
    }
}
