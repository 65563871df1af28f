//! Unbalance vectors.

use num_complex::Complex64;

use super::{Angle, UnbalanceAmount};

/// An unbalance vector (ISO 21940-2): an amount in g·mm at an angle from the zero mark, in the counting
/// direction of the job's masses. Where no radius is known it is a mass in g at "one radius" and cannot be
/// converted to g·mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unbalance(Complex64);

impl Unbalance {
    /// No unbalance.
    pub const ZERO: Self = Self(Complex64::new(0.0, 0.0));

    /// An amount at an angle.
    #[must_use]
    pub fn at(amount: UnbalanceAmount, angle: Angle) -> Self {
        Self(angle.unit_vector() * amount.gram_millimetres())
    }

    /// From a vector in g·mm.
    #[must_use]
    pub fn from_vector(vector: Complex64) -> Self {
        Self(vector)
    }

    /// The vector in g·mm.
    #[must_use]
    pub fn vector(self) -> Complex64 {
        self.0
    }

    /// The amount in g·mm.
    #[must_use]
    pub fn gram_millimetres(self) -> f64 {
        self.0.norm()
    }

    /// The angle.
    #[must_use]
    pub fn angle(self) -> Angle {
        Angle::of(self.0)
    }
}
