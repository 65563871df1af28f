//! The cross-section of a tube or a bar.

use std::f64::consts::PI;

use super::{Material, Tube};
use crate::quantity::Length;

/// A round cross-section: a tube, or a solid bar with inner diameter zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundSection {
    outer: f64,
    inner: f64,
}

impl RoundSection {
    /// A section from its two diameters; `None` unless inner < outer.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::RoundSection};
    /// let bar = RoundSection::new(parse("20 mm")?, parse("0 mm")?).expect("a bar has no bore");
    /// assert!((bar.second_moment() - 7.854e-9).abs() < 1e-12); // π·d⁴/64, any handbook
    /// assert!(RoundSection::new(parse("20 mm")?, parse("20 mm")?).is_none());
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn new(outer_diameter: Length, inner_diameter: Length) -> Option<Self> {
        let (outer, inner) = (outer_diameter.millimetres() / 1000.0, inner_diameter.millimetres() / 1000.0);
        (inner < outer).then_some(Self { outer, inner })
    }

    /// The section of a tube; `None` if the wall is zero or reaches the middle with less than a solid bar: wall
    /// thicker than the radius.
    #[must_use]
    pub fn of_tube(tube: &Tube) -> Option<Self> {
        let inner = tube.outer_diameter.millimetres() - 2.0 * tube.wall.millimetres();
        Self::new(tube.outer_diameter, Length::from_millimetres(inner).ok()?)
    }

    /// Outer diameter in m.
    #[must_use]
    pub fn outer_diameter(self) -> f64 {
        self.outer
    }

    /// Inner diameter in m.
    #[must_use]
    pub fn inner_diameter(self) -> f64 {
        self.inner
    }

    /// Area in m²: π(D² − d²)/4.
    #[must_use]
    pub fn area(self) -> f64 {
        PI / 4.0 * (self.outer.powi(2) - self.inner.powi(2))
    }

    /// Second moment of area in m⁴: π(D⁴ − d⁴)/64.
    #[must_use]
    pub fn second_moment(self) -> f64 {
        PI / 64.0 * (self.outer.powi(4) - self.inner.powi(4))
    }

    /// Shear coefficient of a hollow round section: 6(1+ν)(1+m²)²/((7+6ν)(1+m²)² + (20+12ν)m²), m = d/D
    /// (G. R. Cowper, Journal of Applied Mechanics 33 (1966), p. 335; formula from memory). About 0.53 for a thin tube.
    #[must_use]
    pub fn shear_coefficient(self, poisson_ratio: f64) -> f64 {
        let ratio = (self.inner / self.outer).powi(2);
        let square = (1.0 + ratio).powi(2);
        6.0 * (1.0 + poisson_ratio) * square
            / ((7.0 + 6.0 * poisson_ratio) * square + (20.0 + 12.0 * poisson_ratio) * ratio)
    }

    /// Mass of one metre in kg.
    #[must_use]
    pub fn kilograms_per_metre(self, material: &Material) -> f64 {
        self.area() * material.density.kilograms_per_cubic_metre()
    }
}
