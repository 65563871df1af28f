//! Numbers in cells.

use super::accidents::{accident, is_thousands};
use crate::files::limits;
use crate::files::problem::{Fault, shown};

/// The sign before the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decimal {
    /// A point.
    Point,
    /// A comma, only in files with semicolons.
    Comma,
}

/// How numbers are written in a file: known once the first one with decimals has been read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NumberStyle {
    comma_allowed: bool,
    seen: Option<Decimal>,
}

impl NumberStyle {
    /// For a file with this separator between cells.
    #[must_use]
    pub fn new(separator: u8) -> Self {
        Self { comma_allowed: separator == b';', seen: None }
    }

    /// Whether a comma may be the decimal sign.
    #[must_use]
    pub fn allows_comma(self) -> bool {
        self.comma_allowed
    }

    /// The decimal sign seen so far.
    #[must_use]
    pub fn decimal(self) -> Option<Decimal> {
        self.seen
    }

    /// The number that a trimmed, non-empty cell holds.
    ///
    /// # Errors
    ///
    /// What the cell holds instead, and what probably happened to it.
    pub fn number(&mut self, text: &str) -> Result<f64, Fault> {
        let of_number =
            |byte: u8| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.' | b',' | b'e' | b'E');
        if !text.bytes().all(of_number) {
            return Err(not_a_number(text));
        }
        let value = if text.contains(',') { self.comma_number(text)? } else { self.point_number(text)? };
        if limits::is_measurable(value) {
            return Ok(value);
        }
        let hint = "is the exponent right?";
        Err(Fault::new("out-of-range", found(text), "a number of reasonable size", hint))
    }

    fn point_number(&mut self, text: &str) -> Result<f64, Fault> {
        let value = text.parse().map_err(|_| not_a_number(text))?;
        if text.contains('.') {
            self.note(Decimal::Point, text)?;
        }
        Ok(value)
    }

    fn comma_number(&mut self, text: &str) -> Result<f64, Fault> {
        if !self.comma_allowed {
            let mut fault = not_a_number(text);
            if !is_thousands(text) {
                fault.hint = "with commas between cells the decimal sign is a point; \
                              decimal commas need semicolons between cells"
                    .into();
            }
            return Err(fault);
        }
        if text.contains('.') || text.matches(',').count() > 1 {
            return Err(not_a_number(text));
        }
        let value = text.replace(',', ".").parse().map_err(|_| not_a_number(text))?;
        self.note(Decimal::Comma, text)?;
        Ok(value)
    }

    fn note(&mut self, decimal: Decimal, text: &str) -> Result<(), Fault> {
        let seen = *self.seen.get_or_insert(decimal);
        if seen == decimal {
            return Ok(());
        }
        let signs = match seen {
            Decimal::Point => "points",
            Decimal::Comma => "commas",
        };
        let hint =
            format!("numbers before this one have decimal {signs}; write thousands without a separator");
        Err(Fault::new("mixed-decimals", found(text), "the same decimal sign throughout the file", hint))
    }
}

fn found(text: &str) -> String {
    format!("found `{}`", shown(text))
}

fn not_a_number(text: &str) -> Fault {
    let hint = accident(text).unwrap_or("a number is digits with a decimal point, such as 5.29");
    Fault::new("not-a-number", found(text), "a number", hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimal_commas_need_semicolons_and_stay_the_same() {
        let mut style = NumberStyle::new(b';');
        assert_eq!(style.number("5,29"), Ok(5.29));
        assert_eq!(style.number("-3"), Ok(-3.0));
        assert_eq!(style.number("1e3"), Ok(1000.0));
        assert_eq!(style.number("5.29").unwrap_err().code, "mixed-decimals");
        let mut style = NumberStyle::new(b',');
        assert!(style.number("5,29").unwrap_err().hint.contains("semicolons"));
        assert!(style.number("1,800").unwrap_err().hint.contains("thousands"));
    }

    #[test]
    fn what_is_not_a_finite_number_is_refused() {
        let mut style = NumberStyle::new(b',');
        for text in [
            "nan", "inf", "-inf", "1e999", "1e16", "1e-16", "infinity", "1_000", "0x10", "--1", "e", ".", "٣",
        ] {
            assert!(style.number(text).is_err(), "{text}");
        }
    }
}
