//! Angles.

use num_complex::Complex64;

use super::text::{Quantity, QuantityFault, Unit, quantity_traits, unit};

/// An angle, any turn. Base unit: degree.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// No turn at all.
    pub const ZERO: Self = Self(0.0);

    /// An angle in degrees.
    ///
    /// # Errors
    ///
    /// [`QuantityFault::OutOfRange`] if the number is infinite or not a number.
    pub fn from_degrees(degrees: f64) -> Result<Self, QuantityFault> {
        Self::from_base(degrees)
    }

    /// The angle of a vector; zero for the zero vector.
    #[must_use]
    pub fn of(vector: Complex64) -> Self {
        Self(if vector.is_finite() { vector.arg().to_degrees() } else { 0.0 })
    }

    /// Degrees, as given.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// Radians, as given.
    #[must_use]
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }

    /// Degrees within one turn: 0 or more and less than 360.
    ///
    /// ```
    /// use balance_core::quantity::Angle;
    /// # fn main() -> Result<(), balance_core::quantity::QuantityFault> {
    /// assert_eq!(Angle::from_degrees(-48.0)?.degrees_in_turn(), 312.0);
    /// assert_eq!(Angle::from_degrees(-1e-14)?.degrees_in_turn(), 0.0);
    /// # Ok(())
    /// # }
    /// ```
    #[must_use]
    pub fn degrees_in_turn(self) -> f64 {
        let degrees = self.0.rem_euclid(360.0);
        // rem_euclid of a tiny negative angle rounds up to 360 exactly.
        if degrees >= 360.0 { 0.0 } else { degrees }
    }

    /// The vector of length one at this angle. Exact at the quarter turns.
    ///
    /// Reduced without rounding: bringing a negative angle into 0 to 360 first would cost up to five roundings.
    #[must_use]
    pub fn unit_vector(self) -> Complex64 {
        let degrees = self.0 % 360.0;
        let quarter = (degrees / 90.0).round();
        let (sine, cosine) = (degrees - 90.0 * quarter).to_radians().sin_cos();
        match (quarter as i8).rem_euclid(4) {
            0 => Complex64::new(cosine, sine),
            1 => Complex64::new(-sine, cosine),
            2 => Complex64::new(-cosine, -sine),
            _ => Complex64::new(sine, -cosine),
        }
    }

    /// The same angle counted the other way.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self(-self.0)
    }
}

quantity_traits!(Angle);

impl std::ops::Add for Angle {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::ops::Sub for Angle {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Quantity for Angle {
    const WORD: &'static str = "angle";
    const UNITS: &'static [Unit] = &[unit("deg", 1.0), unit("°", 1.0)];
    const SPELLINGS: &'static [(&'static str, &'static str)] =
        &[("degree", "deg"), ("degrees", "deg"), ("\u{ba}", "deg")];

    fn from_base(value: f64) -> Result<Self, QuantityFault> {
        if value.is_finite() {
            Ok(Self(value))
        } else {
            Err(QuantityFault::OutOfRange { quantity: Self::WORD, value })
        }
    }

    fn base(self) -> f64 {
        self.0
    }
}
