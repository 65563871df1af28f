//! Wording of the faults of values.

use balance_core::quantity::{Quantity, QuantityFault};

use crate::files::nearest::listed;
use crate::files::problem::shown;

/// What is wrong with a value: everything of a fault but its place.
#[derive(Debug, Clone, PartialEq)]
pub struct ValueFault {
    /// A stable word for programs.
    pub code: &'static str,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do.
    pub hint: Option<String>,
}

/// The symbols of a quantity's units: "g, kg, oz, lb".
#[must_use]
pub fn units<Q: Quantity>() -> String {
    listed(Q::UNITS.iter().map(|unit| unit.symbol))
}

/// The fault of a text that should be a quantity.
#[must_use]
pub fn of_quantity<Q: Quantity>(text: &str, fault: &QuantityFault) -> ValueFault {
    let text = shown(text);
    let (code, found) = match fault {
        QuantityFault::OutOfRange { .. } => {
            ("out-of-range", format!("`{text}` is not a possible {}", Q::WORD))
        }
        QuantityFault::NoUnit { .. } => ("no-unit", format!("`{text}` has no unit")),
        QuantityFault::UnknownUnit { .. } if is_decimal_comma(&text) => {
            ("decimal-comma", format!("`{text}` has a comma in its number"))
        }
        QuantityFault::UnknownUnit { unit, .. } => {
            ("unknown-unit", format!("`{}` is not a unit of {}", shown(unit), Q::WORD))
        }
        QuantityFault::NotANumber { .. } => ("not-a-number", format!("`{text}` is not a number with a unit")),
    };
    let hint = match fault {
        QuantityFault::NoUnit { .. } => Some(bare_number_hint::<Q>(&text)),
        QuantityFault::UnknownUnit { .. } if is_decimal_comma(&text) => {
            Some("the job file takes a decimal point, not a comma".into())
        }
        _ => None,
    };
    let range = if matches!(fault, QuantityFault::OutOfRange { .. }) { "zero or more, " } else { "" };
    ValueFault { code, found, allowed: format!("{range}a number with one of: {}", units::<Q>()), hint }
}

fn is_decimal_comma(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.windows(3).any(|three| three[1] == b',' && three[0].is_ascii_digit() && three[2].is_ascii_digit())
}

/// "write it in quotes with its unit".
#[must_use]
pub fn bare_number_hint<Q: Quantity>(number: &str) -> String {
    let examples: Vec<String> =
        Q::UNITS.iter().take(2).map(|unit| format!("\"{number} {}\"", unit.symbol)).collect();
    format!("write the number with its unit in quotes: {}", examples.join(" or "))
}
