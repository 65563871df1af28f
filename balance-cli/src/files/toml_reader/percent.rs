//! A share written as `2 %`.

use balance_core::quantity::{Quantity, QuantityFault, Unit};

/// A share, zero or more, written in percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percent(f64);

impl Percent {
    /// 0.02 for 2 %.
    #[must_use]
    pub fn fraction(self) -> f64 {
        self.0
    }
}

impl Quantity for Percent {
    const WORD: &'static str = "share";
    const UNITS: &'static [Unit] = &[Unit { symbol: "%", factor: 0.01 }];

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
