//! The box of weights, the weld, and where on the tube weights may go, may not go, and already are.

use crate::quantity::Mass;
use crate::shaft::{FixedPlace, NoWeld, Weld, WeldOn, WeldedBefore};

/// What can be welded, and where. Planes are indices into the job's correction planes.
#[derive(Debug, Clone, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct WeldPlan {
    /// The box. Empty: only ideal masses can be given.
    pub weights: Vec<WeldOn>,
    /// Bead, gap and how many weights a plane may have.
    pub weld: Weld,
    /// Stretches of the circumference that stay free.
    pub no_weld: Vec<NoWeld>,
    /// The only places weights can go, if there are any.
    pub fixed_places: Vec<FixedPlace>,
    /// Hose clamps instead of the box: the mass of one clamp's screw, two equal clamps in each plane.
    #[cfg_attr(feature = "serde", serde(default))]
    pub clamp: Option<Mass>,
    /// Weights the shaft came with.
    pub welded: Vec<WeldedBefore>,
}
