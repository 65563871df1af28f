//! The quantities that are one number and a unit.

use super::text::{Quantity, QuantityFault, Unit, quantity_traits, unit};

/// Declares a quantity that is zero or more in its base unit.
macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident, $word:literal, $from:ident, $get:ident, [$($symbol:literal = $factor:expr),+ $(,)?]
     $(, also $spellings:expr)?) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("The value in the unit the constructor is named by.\n\n# Errors\n\n[`QuantityFault`] if the value is negative, infinite or not a number.")]
            pub fn $from(value: f64) -> Result<Self, QuantityFault> {
                Self::from_base(value)
            }

            #[doc = concat!("The value in the unit of [`", stringify!($name), "::", stringify!($from), "`].")]
            #[must_use]
            pub fn $get(self) -> f64 {
                self.0
            }
        }

        quantity_traits!($name);

        impl std::ops::Add for $name {
            type Output = Self;

            fn add(self, other: Self) -> Self {
                Self((self.0 + other.0).min(f64::MAX))
            }
        }

        impl $name {
            /// What is left after subtracting `other`; `None` if `other` is larger.
            #[must_use]
            pub fn checked_sub(self, other: Self) -> Option<Self> {
                Self::from_base(self.0 - other.0).ok()
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                all.fold(Self(0.0), |sum, one| sum + one)
            }
        }

        impl Quantity for $name {
            const WORD: &'static str = $word;
            const UNITS: &'static [Unit] = &[$(unit($symbol, $factor)),+];
            $(const SPELLINGS: &'static [(&'static str, &'static str)] = &$spellings;)?

            fn from_base(value: f64) -> Result<Self, QuantityFault> {
                if value.is_finite() && value >= 0.0 {
                    Ok(Self(value))
                } else {
                    Err(QuantityFault::OutOfRange { quantity: Self::WORD, value })
                }
            }

            fn base(self) -> f64 {
                self.0
            }
        }
    };
}

// Exact by definition: 1 lb = 453.59237 g, 1 in = 25.4 mm (international yard and pound agreement, 1959).
const GRAMS_PER_POUND: f64 = 453.592_37;
/// Grams in an ounce (avoirdupois), exact.
pub const GRAMS_PER_OUNCE: f64 = GRAMS_PER_POUND / 16.0;
pub(super) const MILLIMETRES_PER_INCH: f64 = 25.4;
/// Newtons in a pound-force: 0.45359237 kg × 9.80665 m/s², exact by definition.
pub const NEWTONS_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Standard acceleration of free fall in m/s².
const FREE_FALL: f64 = 9.806_65;
const PASCALS_PER_PSI: f64 = 6_894.757_293_168_361;

scalar!(
    /// A mass, zero or more. Base unit: gram.
    Mass, "mass", from_grams, grams,
    ["g" = 1.0, "kg" = 1000.0, "oz" = GRAMS_PER_OUNCE, "lb" = GRAMS_PER_POUND],
    also [
        ("gram", "g"), ("grams", "g"), ("kgs", "kg"), ("oz.", "oz"), ("ounce", "oz"), ("ounces", "oz"), ("lbs", "lb"),
        ("lb.", "lb"), ("lbs.", "lb"), ("pound", "lb"), ("pounds", "lb")
    ]
);

impl Mass {
    /// No mass.
    pub const ZERO: Self = Self(0.0);

    /// The value in kilograms.
    #[must_use]
    pub fn kilograms(self) -> f64 {
        self.0 / 1000.0
    }

    /// Its weight in newtons: the mass times the standard acceleration of free fall, 9.80665 m/s² (3rd General
    /// Conference on Weights and Measures, 1901).
    ///
    /// ```
    /// use balance_core::quantity::Mass;
    /// assert!((Mass::from_grams(1000.0)?.weight_newtons() - 9.80665).abs() < 1e-12);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn weight_newtons(self) -> f64 {
        self.kilograms() * FREE_FALL
    }
}

scalar!(
    /// A length or a position along the shaft, zero or more. Base unit: millimetre.
    Length, "length", from_millimetres, millimetres,
    ["mm" = 1.0, "cm" = 10.0, "m" = 1000.0, "in" = MILLIMETRES_PER_INCH, "ft" = 12.0 * MILLIMETRES_PER_INCH],
    also [
        ("\"", "in"), ("''", "in"), ("\u{2033}", "in"), ("\u{201d}", "in"), ("in.", "in"), ("inch", "in"),
        ("inches", "in"), ("ft.", "ft"), ("foot", "ft"), ("feet", "ft")
    ]
);

impl Length {
    /// The value in inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / MILLIMETRES_PER_INCH
    }
}

scalar!(
    /// A rotational speed, zero or more. Base unit: revolutions a minute.
    Speed, "speed", from_rpm, rpm,
    ["rpm" = 1.0, "1/min" = 1.0, "r/min" = 1.0, "Hz" = 60.0]
);

impl Speed {
    /// The angular velocity in radians a second.
    #[must_use]
    pub fn radians_per_second(self) -> f64 {
        self.0 * std::f64::consts::TAU / 60.0
    }
}

scalar!(
    /// The amount of an unbalance without its angle, zero or more. Base unit: gram millimetre.
    UnbalanceAmount, "unbalance", from_gram_millimetres, gram_millimetres,
    [
        "g.mm" = 1.0, "g·mm" = 1.0, "g mm" = 1.0, "g.cm" = 10.0, "kg.mm" = 1000.0, "g.in" = MILLIMETRES_PER_INCH,
        "oz.in" = GRAMS_PER_OUNCE * MILLIMETRES_PER_INCH, "oz·in" = GRAMS_PER_OUNCE * MILLIMETRES_PER_INCH,
        "oz in" = GRAMS_PER_OUNCE * MILLIMETRES_PER_INCH
    ],
    also [("g-mm", "g.mm"), ("gmm", "g.mm"), ("oz-in", "oz.in"), ("ozin", "oz.in")]
);

impl UnbalanceAmount {
    /// No unbalance.
    pub const ZERO: Self = Self(0.0);

    /// The value in ounce inches.
    #[must_use]
    pub fn ounce_inches(self) -> f64 {
        self.0 / (GRAMS_PER_OUNCE * MILLIMETRES_PER_INCH)
    }
}

scalar!(
    /// A density. Base unit: kilogram a cubic metre.
    Density, "density", from_kilograms_per_cubic_metre, kilograms_per_cubic_metre,
    ["kg/m3" = 1.0, "kg/m³" = 1.0, "g/cm3" = 1000.0, "lb/in3" = 27_679.904_710_203_12]
);

scalar!(
    /// A stress or an elastic modulus. Base unit: megapascal.
    Stress, "modulus", from_megapascals, megapascals,
    ["MPa" = 1.0, "GPa" = 1000.0, "psi" = PASCALS_PER_PSI / 1e6, "N/mm2" = 1.0]
);

scalar!(
    /// The stiffness of a support. Base unit: newton a millimetre.
    Stiffness, "stiffness", from_newtons_per_millimetre, newtons_per_millimetre,
    ["N/mm" = 1.0, "kN/mm" = 1000.0, "N/m" = 0.001, "lbf/in" = 0.175_126_835_246_475_8]
);
