//! Planned changes of a shaft's length.

use crate::quantity::Length;
use crate::shaft::{SlipStroke, SlipTravel, TubeCut, Yoke, YokeChange};

/// A shaft made longer or shorter.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Relength {
    /// What the cut is based on.
    pub cut: TubeCut,
    /// Whether the shrink allowance is the usual one.
    pub usual_allowance: bool,
    /// The tube's length to cut.
    pub tube_length: Length,
    /// How far the slip can move, if stated.
    pub stroke: Option<SlipStroke>,
    /// How far it has to move over the suspension's travel, if stated.
    pub travel: Option<SlipTravel>,
}

/// A yoke changed to another series.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct YokeSwap {
    /// Which end.
    pub end: String,
    /// The yoke that comes off.
    pub old: Yoke,
    /// The yoke that goes on.
    pub new: Yoke,
    /// The effect of the change.
    pub change: YokeChange,
}
