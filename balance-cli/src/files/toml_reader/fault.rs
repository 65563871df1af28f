//! The wording of faults in values with units.

use balance_core::quantity::{Quantity, QuantityFault};

use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::{Fault, shown};

/// "a number with its unit in quotes (g, kg, oz, lb)".
#[must_use]
pub fn units<Q: Quantity>() -> String {
    format!("a number with its unit in quotes ({})", listed(symbols::<Q>()))
}

fn symbols<Q: Quantity>() -> impl Iterator<Item = &'static str> {
    Q::UNITS.iter().map(|unit| unit.symbol)
}

/// The fault of a text that should be a quantity.
#[must_use]
pub fn of_quantity<Q: Quantity>(text: &str, fault: &QuantityFault) -> Fault {
    let shown_text = shown(text);
    match fault {
        QuantityFault::OutOfRange { .. } => Fault::new(
            "out-of-range",
            format!("`{shown_text}` is not a possible {}", Q::WORD),
            "zero or more",
            if text.trim_start().starts_with('-') {
                "remove the minus sign"
            } else {
                "leave the line out if it is not known"
            },
        ),
        QuantityFault::NoUnit { .. } => no_unit::<Q>(&shown_text),
        QuantityFault::UnknownUnit { .. } if is_decimal_comma(text) => Fault::new(
            "decimal-comma",
            format!("`{shown_text}` has a comma in its number"),
            units::<Q>(),
            "use a decimal point, not a comma, in the job file",
        ),
        QuantityFault::UnknownUnit { unit, .. } => Fault::new(
            "unknown-unit",
            format!("`{}` is not a unit of {}", shown(unit), Q::WORD),
            units::<Q>(),
            did_you_mean(unit, symbols::<Q>()).unwrap_or_else(example::<Q>),
        ),
        QuantityFault::NotANumber { .. } => Fault::new(
            "not-a-number",
            format!("`{shown_text}` is not a number with a unit"),
            units::<Q>(),
            example::<Q>(),
        ),
        other => Fault::new("not-valid", other.to_string(), units::<Q>(), example::<Q>()),
    }
}

/// The fault of a number without a unit.
#[must_use]
pub fn no_unit<Q: Quantity>(number: &str) -> Fault {
    let examples: Vec<String> =
        symbols::<Q>().take(2).map(|symbol| format!("\"{number} {symbol}\"")).collect();
    let hint = format!("write the number with its unit in quotes: {}", examples.join(" or "));
    Fault::new("no-unit", format!("`{number}` has no unit"), units::<Q>(), hint)
}

fn example<Q: Quantity>() -> String {
    let symbol = symbols::<Q>().next().unwrap_or_default();
    format!("a {} looks like this: \"12.5 {symbol}\"", Q::WORD)
}

fn is_decimal_comma(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.windows(3).any(|three| three[1] == b',' && three[0].is_ascii_digit() && three[2].is_ascii_digit())
}
