//! Reading quantities from text such as `14.2 kg`.

/// A unit of a quantity: the symbol people write, and its size in base units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// As written after the number.
    pub symbol: &'static str,
    /// Its size in base units.
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
    /// Other spellings of a unit, each with its symbol.
    const SPELLINGS: &'static [(&'static str, &'static str)] = &[];

    /// The quantity from a number in its base unit.
    ///
    /// # Errors
    ///
    /// [`QuantityFault::OutOfRange`] if the number is not a value of this quantity.
    fn from_base(value: f64) -> Result<Self, QuantityFault>;

    /// The number in the base unit.
    fn base(self) -> f64;

    /// The unit with this symbol or another spelling of it, in upper or lower case, if there is one.
    ///
    /// ```
    /// use balance_core::quantity::{Length, Mass, Quantity};
    /// assert_eq!(Mass::unit("LBS").map(|unit| unit.symbol), Some("lb"));
    /// assert_eq!(Length::unit("\"").map(|unit| unit.symbol), Some("in"));
    /// assert_eq!(Mass::unit("mm"), None);
    /// ```
    #[must_use]
    fn unit(symbol: &str) -> Option<Unit> {
        let named = |word: &str| {
            let own = Self::UNITS.iter().copied().find(|unit| unit.symbol == word);
            own.or_else(|| Self::UNITS.iter().copied().find(|unit| unit.symbol.eq_ignore_ascii_case(word)))
        };
        named(symbol).or_else(|| {
            let other = Self::SPELLINGS.iter().find(|(written, _)| written.eq_ignore_ascii_case(symbol));
            other.and_then(|(_, symbol)| named(symbol))
        })
    }
}

/// Why a text or a number is not a value of the quantity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityFault {
    /// The number is negative where that makes no sense, infinite, or not a number.
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
        /// The units that are allowed.
        allowed: Vec<&'static str>,
    },
    /// A unit that this quantity does not have.
    #[error("`{unit}` is not a unit of {quantity}")]
    UnknownUnit {
        /// The quantity's word.
        quantity: &'static str,
        /// The unit found.
        unit: String,
        /// The units that are allowed.
        allowed: Vec<&'static str>,
    },
    /// The text does not start with a number.
    #[error("`{found}` is not a number with a unit")]
    NotANumber {
        /// The quantity's word.
        quantity: &'static str,
        /// The text found.
        found: String,
        /// The units that are allowed.
        allowed: Vec<&'static str>,
    },
}

/// Reads a quantity from text: a number and a unit, with or without white space between them. The number may
/// be a fraction, with or without a whole number before it, as read off a tape in inches.
///
/// # Errors
///
/// [`QuantityFault`] names what was found and what is allowed.
///
/// # Example
///
/// ```
/// use balance_core::quantity::{Length, Mass, parse};
/// let mass: Mass = parse("14.2 kg")?;
/// assert_eq!(mass.grams(), 14_200.0);
/// assert!(parse::<Mass>("14.2").is_err());
/// for same in ["52.25 in", "52 1/4 in", "52-1/4 in", "52.25\"", "209/4 inches"] {
///     assert_eq!(parse::<Length>(same)?.millimetres(), 52.25 * 25.4);
/// }
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityFault> {
    read(text, None)
}

/// The same with a default unit: a number without a unit is in this unit.
///
/// # Errors
///
/// As [`parse`], and [`QuantityFault::NoUnit`] if the quantity has no such unit.
///
/// # Example
///
/// ```
/// use balance_core::quantity::{Mass, parse_in};
/// assert_eq!(parse_in::<Mass>("2", "lb")?.grams(), 907.18474);
/// assert_eq!(parse_in::<Mass>("2 kg", "lb")?.grams(), 2000.0);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn parse_in<Q: Quantity>(text: &str, usual: &str) -> Result<Q, QuantityFault> {
    read(text, Q::unit(usual))
}

fn read<Q: Quantity>(text: &str, usual: Option<Unit>) -> Result<Q, QuantityFault> {
    let text = text.trim();
    let allowed = || Q::UNITS.iter().map(|unit| unit.symbol).collect();
    let Some((value, symbol)) = leading_number(text) else {
        return Err(QuantityFault::NotANumber { quantity: Q::WORD, found: text.into(), allowed: allowed() });
    };
    let unit = if symbol.is_empty() { usual } else { Q::unit(symbol) };
    let Some(unit) = unit else {
        return Err(if symbol.is_empty() {
            QuantityFault::NoUnit { quantity: Q::WORD, found: text.into(), allowed: allowed() }
        } else {
            QuantityFault::UnknownUnit { quantity: Q::WORD, unit: symbol.into(), allowed: allowed() }
        });
    };
    Q::from_base(value * unit.factor)
}

/// The number that a text begins with, and the text after it, without the white space between them: `52 1/4
/// in` is 52.25 and `in`.
///
/// ```
/// use balance_core::quantity::leading_number;
/// assert_eq!(leading_number("52-1/4 in"), Some((52.25, "in")));
/// assert_eq!(leading_number("1/8\""), Some((0.125, "\"")));
/// assert_eq!(leading_number("2600 1/min"), Some((2600.0, "1/min")));
/// assert_eq!(leading_number("heavy"), None);
/// ```
#[must_use]
pub fn leading_number(text: &str) -> Option<(f64, &str)> {
    let end = decimal_end(text);
    let whole: f64 = text[..end].parse().ok()?;
    let is_whole = text[..end].trim_start_matches(['+', '-']).bytes().all(|byte| byte.is_ascii_digit());
    if !is_whole {
        return Some((whole, text[end..].trim_start()));
    }
    let rest = &text[end..];
    if let Some((below, after)) = rest.strip_prefix('/').and_then(digits) {
        return (below > 0.0).then(|| (whole / below, after.trim_start()));
    }
    let part = match rest.strip_prefix('-') {
        Some(joined) => joined,
        None => rest.trim_start(),
    };
    if part.len() < rest.len()
        && let Some((above, after)) = digits(part)
        && let Some((below, after)) = after.strip_prefix('/').and_then(digits)
    {
        let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
        return (above < below).then(|| (whole + sign * above / below, after.trim_start()));
    }
    Some((whole, rest.trim_start()))
}

/// The digits a text begins with, and the rest.
fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text.bytes().take_while(u8::is_ascii_digit).count();
    Some((text[..end].parse().ok()?, &text[end..]))
}

/// Where the decimal number at the beginning of a text ends.
fn decimal_end(text: &str) -> usize {
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
    end
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
    fn what_people_write_in_a_shop_in_pounds_and_inches_is_read() {
        let millimetres = |text: &str| parse::<Length>(text).unwrap().millimetres();
        for (text, inches) in [
            ("52-1/4 in", 52.25),
            ("52 1/4 in", 52.25),
            ("52.25\"", 52.25),
            ("52.25 IN", 52.25),
            ("52 1/4\"", 52.25),
            ("1/8 in", 0.125),
            ("1/8in", 0.125),
            ("9 1/16 inch", 9.0625),
            ("4 ft", 48.0),
        ] {
            assert_eq!(millimetres(text), inches * 25.4, "{text}");
        }
        for text in ["24 lb", "24 lbs", "24lbs", "24 LB", "24 pounds", "24 lb."] {
            assert_eq!(parse::<Mass>(text).unwrap().grams(), 24.0 * 453.592_37, "{text}");
        }
        assert_eq!(parse::<Mass>("1/2 oz").unwrap().grams(), 453.592_37 / 32.0);
        assert_eq!(parse::<Speed>("2600 1/min").unwrap().rpm(), 2600.0);
        assert_eq!(parse::<Angle>("-1/2 deg").unwrap().degrees(), -0.5);
        assert_eq!(parse_in::<Length>("52 1/4", "in").unwrap().millimetres(), 52.25 * 25.4);
        for wrong in ["52 1/ in", "52 5/4 in", "1/0 in", "52 1/4", "52.5 1/4 in", "52 - 1/4 in", "1/4/5 in"] {
            assert!(parse::<Length>(wrong).is_err(), "{wrong}");
        }
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
