//! Reading quantities from text such as `14.2 kg`.

/// A unit of a quantity: the symbol people write, and how many base units it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// As written after the number.
    pub symbol: &'static str,
    /// How many base units one of these is.
    pub factor: f64,
}

pub(super) const fn unit(symbol: &'static str, factor: f64) -> Unit {
    Unit { symbol, factor }
}

/// A quantity that can be read from text with its unit.
pub trait Quantity: Copy + Sized {
    /// What people call it: "mass", "length".
    const WORD: &'static str;
    /// Every unit it may be written in, the base unit first.
    const UNITS: &'static [Unit];

    /// The quantity from a number in its base unit.
    ///
    /// # Errors
    ///
    /// [`QuantityFault::OutOfRange`] if the number is no value of this quantity.
    fn from_base(value: f64) -> Result<Self, QuantityFault>;

    /// The number in the base unit.
    fn base(self) -> f64;

    /// The unit with this symbol, if there is one.
    #[must_use]
    fn unit(symbol: &str) -> Option<Unit> {
        Self::UNITS.iter().copied().find(|unit| unit.symbol == symbol)
    }
}

/// Why a text or a number is not a value of the quantity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityFault {
    /// The number is negative where that means nothing, infinite, or not a number.
    #[error("{value} is not a possible {quantity}")]
    OutOfRange {
        /// The quantity's word.
        quantity: &'static str,
        /// The number found, in the base unit.
        value: f64,
    },
    /// A number without a unit.
    #[error("`{found}` has no unit")]
    NoUnit {
        /// The quantity's word.
        quantity: &'static str,
        /// The text found.
        found: String,
        /// The units that would do.
        allowed: Vec<&'static str>,
    },
    /// A unit that this quantity does not have.
    #[error("`{unit}` is not a unit of {quantity}")]
    UnknownUnit {
        /// The quantity's word.
        quantity: &'static str,
        /// The unit found.
        unit: String,
        /// The units that would do.
        allowed: Vec<&'static str>,
    },
    /// The text does not start with a number.
    #[error("`{found}` is not a number with a unit")]
    NotANumber {
        /// The quantity's word.
        quantity: &'static str,
        /// The text found.
        found: String,
        /// The units that would do.
        allowed: Vec<&'static str>,
    },
}

/// Reads a quantity from text: a number, a unit, white space between them as you like.
///
/// # Errors
///
/// [`QuantityFault`] names what was found and what is allowed.
///
/// # Example
///
/// ```
/// use balance_core::quantity::{Mass, parse};
/// let mass: Mass = parse("14.2 kg")?;
/// assert_eq!(mass.grams(), 14_200.0);
/// assert!(parse::<Mass>("14.2").is_err());
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityFault> {
    let text = text.trim();
    let allowed = || Q::UNITS.iter().map(|unit| unit.symbol).collect();
    let (number, symbol) = split_number(text);
    let Ok(value) = number.parse::<f64>() else {
        return Err(QuantityFault::NotANumber { quantity: Q::WORD, found: text.into(), allowed: allowed() });
    };
    if symbol.is_empty() {
        return Err(QuantityFault::NoUnit { quantity: Q::WORD, found: text.into(), allowed: allowed() });
    }
    let Some(unit) = Q::unit(symbol) else {
        return Err(QuantityFault::UnknownUnit {
            quantity: Q::WORD,
            unit: symbol.into(),
            allowed: allowed(),
        });
    };
    Q::from_base(value * unit.factor)
}

/// Splits `"2.4 mm"` into the number's text and the unit's.
fn split_number(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let digit_at = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let sign_at = |at: usize| matches!(bytes.get(at), Some(b'+' | b'-'));
    let mut end = 0;
    while let Some(byte) = bytes.get(end) {
        let exponent = matches!(byte, b'e' | b'E')
            && end > 0
            && (digit_at(end + 1) || (sign_at(end + 1) && digit_at(end + 2)));
        let sign = sign_at(end) && (end == 0 || matches!(bytes[end - 1], b'e' | b'E'));
        if !(byte.is_ascii_digit() || *byte == b'.' || sign || exponent) {
            break;
        }
        end += 1;
    }
    (&text[..end], text[end..].trim())
}

/// Printing with the unit of the constructor, reading back with any unit, and JSON as the same text: the shortest digits
/// that give the number back to the last bit.
macro_rules! quantity_traits {
    ($name:ident) => {
        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                let unit = <Self as Quantity>::UNITS.first().map_or("", |unit| unit.symbol);
                match out.precision() {
                    Some(digits) => write!(out, "{:.digits$} {unit}", self.base()),
                    None => write!(out, "{} {unit}", self.base()),
                }
            }
        }

        impl std::str::FromStr for $name {
            type Err = QuantityFault;

            fn from_str(text: &str) -> Result<Self, QuantityFault> {
                $crate::quantity::parse(text)
            }
        }

        #[cfg(feature = "serde")]
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.collect_str(self)
            }
        }

        #[cfg(feature = "serde")]
        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = <std::borrow::Cow<'de, str> as serde::Deserialize>::deserialize(from)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use quantity_traits;

#[cfg(test)]
mod tests {
    use super::super::{Angle, Length, Mass, Speed, UnbalanceAmount};
    use super::*;

    #[test]
    fn units_of_the_trade_are_read() {
        assert_eq!(parse::<Mass>("31 lb").unwrap().grams(), 31.0 * 453.592_37);
        assert!((parse::<Length>("3.5in").unwrap().millimetres() - 88.9).abs() < 1e-12);
        assert_eq!(parse::<Speed>(" 2600 rpm ").unwrap().rpm(), 2600.0);
        assert_eq!(parse::<Length>("1e3 mm").unwrap().millimetres(), 1000.0);
        assert_eq!(parse::<Angle>("-20 deg").unwrap().degrees(), -20.0);
        // 1 oz·in = 720.08 g·mm, recomputed from the 1959 definitions.
        let ounce_inch = parse::<UnbalanceAmount>("1 oz.in").unwrap().gram_millimetres();
        assert!((ounce_inch - 720.08).abs() < 0.005, "{ounce_inch}");
    }

    #[test]
    fn a_bare_number_a_wrong_unit_and_a_word_are_refused() {
        assert!(matches!(parse::<Mass>("14.2"), Err(QuantityFault::NoUnit { .. })));
        assert!(matches!(parse::<Mass>("14.2 mm"), Err(QuantityFault::UnknownUnit { .. })));
        assert!(matches!(parse::<Mass>("heavy"), Err(QuantityFault::NotANumber { .. })));
        assert!(matches!(parse::<Mass>(""), Err(QuantityFault::NotANumber { .. })));
        assert!(matches!(parse::<Mass>("-1 g"), Err(QuantityFault::OutOfRange { .. })));
        assert!(matches!(parse::<Mass>("1e999 g"), Err(QuantityFault::OutOfRange { .. })));
        assert!(matches!(parse::<Mass>("ä g"), Err(QuantityFault::NotANumber { .. })));
    }
}
