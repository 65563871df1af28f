//! The welded tube.

use crate::quantity::Length;

/// A round tube between joint centres.
#[derive(Debug, Clone, PartialEq)]
pub struct Tube {
    /// Outer diameter.
    pub outer_diameter: Length,
    /// Wall thickness; less than half the diameter.
    pub wall: Length,
    /// Joint centre to joint centre.
    pub length: Length,
}

impl Tube {
    /// Once round on the outside, in mm.
    #[must_use]
    pub fn circumference_millimetres(&self) -> f64 {
        self.outer_diameter.millimetres() * std::f64::consts::PI
    }
}
