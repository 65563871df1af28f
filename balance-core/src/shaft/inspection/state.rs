//! The shaft as it came in and as it was built.

use crate::quantity::{Angle, Length};

/// How the shaft was received, or how it was built. What is not known is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ShaftState {
    /// Joint centre to joint centre.
    pub length: Option<Length>,
    /// Outer diameter of the tube.
    pub tube_outer_diameter: Option<Length>,
    /// Wall of the tube.
    pub tube_wall: Option<Length>,
    /// The joint series at the ends.
    pub joints: Option<String>,
    /// How far the yokes are out of phase.
    pub phase_angle: Option<Angle>,
    /// Damage found, or repaired.
    pub damage: Option<String>,
    /// Parts that were changed.
    pub parts_changed: Vec<String>,
    /// Who welded it.
    pub welder: Option<String>,
    /// The day, as the user writes it.
    pub date: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}
