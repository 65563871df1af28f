//! A place round the tube: an angle, or how far along a tape laid round it.

use super::text::{Quantity, QuantityFault};
use super::{Angle, Length, Units, parse, parse_in, shown};

/// Where round the tube something is, counted from the zero mark in counting direction, as the user entered
/// it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Around {
    /// As an angle.
    Angle(Angle),
    /// As a distance on a tape round the outside of the tube.
    Tape(Length),
}

/// Why a place on the tape cannot be turned into an angle.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{}", self.words(Units::Metric))]
pub enum AroundFault {
    /// The circumference of the tube is not stated.
    OnceRoundUnknown,
    /// The tape does not reach that far.
    BeyondOnceRound {
        /// The place on the tape, in mm.
        millimetres: f64,
        /// Once round the tube, in mm.
        once_round: f64,
    },
}

impl AroundFault {
    /// What is wrong, in these units.
    #[must_use]
    pub fn words(self, units: Units) -> String {
        match self {
            Self::OnceRoundUnknown => {
                "a place on the tape, but the tube's outer diameter is not known".to_owned()
            }
            Self::BeyondOnceRound { millimetres, once_round } => format!(
                "{} on the tape is more than once round ({})",
                shown::entered_length(units, millimetres),
                shown::length(units, once_round)
            ),
        }
    }

    /// What is allowed instead, in these units.
    #[must_use]
    pub fn allowed(self, units: Units) -> String {
        match self {
            Self::OnceRoundUnknown => "an angle, or a tube whose diameter is known".to_owned(),
            Self::BeyondOnceRound { once_round, .. } => format!("0 to {}", shown::length(units, once_round)),
        }
    }

    /// What to look at.
    #[must_use]
    pub fn hint(self) -> &'static str {
        match self {
            Self::OnceRoundUnknown => "state outer_diameter under [tube], or write the angle in degrees",
            Self::BeyondOnceRound { .. } => "was it read on another tube, or in another unit?",
        }
    }
}

/// A tape that was read once round to the next millimetre or sixteenth may show this much more than the
/// tube's circumference.
const READ_BEYOND: f64 = 1.0;

impl Around {
    /// What people call it.
    pub const WORD: &'static str = "place round the tube";

    /// Every unit in which it may be written.
    #[must_use]
    pub fn units() -> Vec<&'static str> {
        Angle::UNITS.iter().chain(Length::UNITS).map(|unit| unit.symbol).collect()
    }

    /// The same with a default unit: a number without a unit is in this unit, of angle or length.
    ///
    /// # Errors
    ///
    /// As reading it with its unit.
    pub fn parse_in(text: &str, usual: &str) -> Result<Self, QuantityFault> {
        let angle = match Angle::unit(usual) {
            Some(_) => parse_in::<Angle>(text, usual),
            None => parse::<Angle>(text),
        };
        let own = |quantity| match quantity {
            QuantityFault::NoUnit { found, .. } => {
                QuantityFault::NoUnit { quantity: Self::WORD, found, allowed: Self::units() }
            }
            QuantityFault::UnknownUnit { unit, .. } => {
                QuantityFault::UnknownUnit { quantity: Self::WORD, unit, allowed: Self::units() }
            }
            QuantityFault::NotANumber { found, .. } => {
                QuantityFault::NotANumber { quantity: Self::WORD, found, allowed: Self::units() }
            }
            QuantityFault::OutOfRange { value, .. } => {
                QuantityFault::OutOfRange { quantity: Self::WORD, value }
            }
        };
        match angle {
            Err(QuantityFault::UnknownUnit { .. } | QuantityFault::NoUnit { .. }) => {
                parse_in::<Length>(text, usual).map(Self::Tape).map_err(own)
            }
            angle => angle.map(Self::Angle).map_err(own),
        }
    }

    /// The angle on a tube that is this many millimetres once round.
    ///
    /// # Errors
    ///
    /// [`AroundFault`] for a place on the tape that is impossible.
    ///
    /// # Example
    ///
    /// ```
    /// use balance_core::quantity::Around;
    /// // An 88.9 mm tube is 279.3 mm round.
    /// let once_round = Some(88.9 * std::f64::consts::PI);
    /// let place: Around = "8 3/4 in".parse()?;
    /// assert_eq!(place.angle(once_round)?.degrees().round(), 286.0);
    /// assert_eq!("287 deg".parse::<Around>()?.angle(None)?.degrees(), 287.0);
    /// assert!("300 mm".parse::<Around>()?.angle(once_round).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn angle(self, once_round: Option<f64>) -> Result<Angle, AroundFault> {
        let tape = match self {
            Self::Angle(angle) => return Ok(angle),
            Self::Tape(tape) => tape.millimetres(),
        };
        let once_round = once_round.filter(|round| *round > 0.0).ok_or(AroundFault::OnceRoundUnknown)?;
        if tape > once_round + READ_BEYOND {
            return Err(AroundFault::BeyondOnceRound { millimetres: tape, once_round });
        }
        Ok(Angle::from_degrees(tape / once_round * 360.0).unwrap_or(Angle::ZERO))
    }
}

impl std::str::FromStr for Around {
    type Err = QuantityFault;

    fn from_str(text: &str) -> Result<Self, QuantityFault> {
        Self::parse_in(text, "")
    }
}
