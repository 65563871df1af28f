//! Amounts as people read them, in their units: half grams, whole millimetres, sixteenths of an inch.

use super::scalar::{GRAMS_PER_OUNCE, MILLIMETRES_PER_INCH, NEWTONS_PER_POUND_FORCE, Speed, UnbalanceAmount};

/// The units in which answers are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Units {
    /// Grams, millimetres.
    #[default]
    Metric,
    /// Ounces, inches.
    Us,
    /// Both, metric first.
    Both,
}

impl Units {
    /// The wording for these units; for both, the US one in brackets.
    ///
    /// ```
    /// use balance_core::quantity::Units;
    /// assert_eq!(Units::Both.show("28.5 g".into(), "1.00 oz".into()), "28.5 g (1.00 oz)");
    /// ```
    #[must_use]
    pub fn show(self, metric: String, us: String) -> String {
        match self {
            Self::Metric => metric,
            Self::Us => us,
            Self::Both => format!("{metric} ({us})"),
        }
    }
}

/// The most significant digits in a number worked out from readings.
const DIGITS: usize = 4;

/// A number that was worked out: this many decimals, but never more than four significant digits.
///
/// ```
/// use balance_core::quantity::shown::figures;
/// assert_eq!([figures(71.236, 0), figures(71.236, 1), figures(1071.236, 1)], ["71", "71.2", "1071"]);
/// assert_eq!([figures(99.996, 2), figures(12_345.6, 0), figures(-0.001, 2)], ["100.0", "12350", "0.00"]);
/// ```
#[must_use]
pub fn figures(value: f64, decimals: usize) -> String {
    let written = |decimals: usize| {
        let text = format!("{value:.decimals$}");
        let nothing = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
        if nothing { text.trim_start_matches('-').to_owned() } else { text }
    };
    let whole = |text: &str| {
        let digits = text.trim_start_matches('-').split('.').next().unwrap_or_default();
        if digits == "0" { 0 } else { digits.len() }
    };
    let mut decimals = decimals;
    let mut text = written(decimals);
    while decimals > 0 && whole(&text) + decimals > DIGITS {
        decimals -= 1;
        text = written(decimals);
    }
    let beyond = whole(&text).saturating_sub(DIGITS);
    if beyond == 0 || !value.is_finite() {
        return text;
    }
    let step = 10.0_f64.powi(i32::try_from(beyond).unwrap_or(i32::MAX));
    format!("{:.0}", (value / step).round() * step)
}

/// The same without trailing zeros.
///
/// ```
/// use balance_core::quantity::shown::trimmed;
/// assert_eq!([trimmed(88.89999999999999, 2), trimmed(14.0, 2), trimmed(120.0, 0)], ["88.9", "14", "120"]);
/// ```
#[must_use]
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = figures(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A reading as a dial shows it: two decimals, and two digits for small ones; what no dial can show is zero.
///
/// ```
/// use balance_core::quantity::shown::reading;
/// assert_eq!([0.0, 4.4e-16, 0.039, 0.3, 5.294, 12.34, 1234.6].map(reading), ["0", "0", "0.039", "0.3", "5.29", "12.3", "1235"]);
/// ```
#[must_use]
pub fn reading(value: f64) -> String {
    const NOTHING: f64 = 5e-7;
    let size = value.abs();
    if size < NOTHING {
        return "0".into();
    }
    let decimals = if size >= 99.95 {
        0
    } else if size >= 9.995 {
        1
    } else if size >= 0.095 {
        2
    } else {
        (1.0 - size.log10().floor()).clamp(2.0, 7.0) as usize
    };
    trimmed(value, decimals)
}

/// A mass: half grams, hundredths of an ounce.
///
/// ```
/// use balance_core::quantity::{Units, shown};
/// assert_eq!(shown::mass(Units::Metric, 24.87), "25 g");
/// assert_eq!(shown::mass(Units::Both, 28.349_523_125), "28.5 g (1.00 oz)");
/// ```
#[must_use]
pub fn mass(units: Units, grams: f64) -> String {
    units.show(format!("{} g", half(grams)), ounces(grams))
}

/// A mass as stamped or weighed: hundredths of a gram or an ounce, thousandths where it was weighed as finely.
///
/// ```
/// use balance_core::quantity::{Units, shown};
/// assert_eq!(shown::weighed(Units::Metric, 12.5), "12.5 g");
/// assert_eq!(shown::weighed(Units::Us, 0.125 * balance_core::quantity::GRAMS_PER_OUNCE), "0.125 oz");
/// assert_eq!(shown::weighed(Units::Us, 10.0), "0.35 oz");
/// ```
#[must_use]
pub fn weighed(units: Units, grams: f64) -> String {
    let amount = grams / GRAMS_PER_OUNCE;
    let fine = |decimals: i32| {
        let steps = amount * 10.0_f64.powi(decimals);
        (steps - steps.round()).abs() < 1e-6 * steps.abs().max(1.0)
    };
    let us = if fine(3) && !fine(2) { format!("{} oz", figures(amount, 3)) } else { ounces(grams) };
    units.show(format!("{} g", trimmed(grams, 2)), us)
}

/// Hundredths of an ounce.
#[must_use]
pub fn ounces(grams: f64) -> String {
    format!("{} oz", figures(grams / GRAMS_PER_OUNCE, 2))
}

/// A number rounded to a half, without a needless `.0`.
fn half(value: f64) -> String {
    trimmed((value * 2.0).round() / 2.0, 1)
}

/// A speed that was worked out, without its unit: whole rpm, four digits at most.
///
/// ```
/// use balance_core::quantity::{shown, Speed};
/// assert_eq!(shown::found_speed(Speed::from_rpm(10_348.3)?), "10350");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn found_speed(speed: Speed) -> String {
    figures(speed.rpm(), 0)
}

/// The mass of a shaft: kilograms, pounds.
#[must_use]
pub fn kilograms(units: Units, kilograms: f64) -> String {
    units.show(format!("{} kg", trimmed(kilograms, 2)), pounds(kilograms))
}

/// Tenths of a pound.
#[must_use]
pub fn pounds(kilograms: f64) -> String {
    format!("{} lb", trimmed(kilograms * 1000.0 / GRAMS_PER_OUNCE / 16.0, 1))
}

/// An unbalance: whole g·mm, hundredths of an oz·in.
#[must_use]
pub fn unbalance(units: Units, gram_millimetres: f64) -> String {
    format!("{} {}", unbalance_number(units, gram_millimetres), unbalance_unit(units))
}

/// The number alone, where the unit is printed elsewhere.
#[must_use]
pub fn unbalance_number(units: Units, gram_millimetres: f64) -> String {
    units.show(figures(gram_millimetres, 0), ounce_inches(gram_millimetres))
}

/// Hundredths of an oz·in, without the unit; a negative amount counts as none.
#[must_use]
pub fn ounce_inches(gram_millimetres: f64) -> String {
    let amount = UnbalanceAmount::from_gram_millimetres(gram_millimetres.max(0.0));
    figures(amount.map_or(0.0, UnbalanceAmount::ounce_inches), 2)
}

/// The unit that goes with it.
#[must_use]
pub fn unbalance_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "g.mm",
        Units::Us => "oz.in",
        Units::Both => "g.mm (oz.in)",
    }
}

/// A length: whole mm, or inches in sixteenths.
///
/// ```
/// use balance_core::quantity::{Units, shown};
/// assert_eq!(shown::length(Units::Us, 222.7), "8 3/4 in");
/// ```
#[must_use]
pub fn length(units: Units, millimetres: f64) -> String {
    let inches = inch_text((millimetres / SIXTEENTH).round() as u32);
    units.show(format!("{} mm", millimetres.round() as u32), format!("{inches} in"))
}

/// Millimetres in a sixteenth of an inch.
pub(crate) const SIXTEENTH: f64 = MILLIMETRES_PER_INCH / 16.0;

/// Sixteenths as written on an inch tape: `8 3/4`, `5/16`, `11`.
#[must_use]
pub fn inch_text(sixteenths: u32) -> String {
    let (whole, mut part, mut of) = (sixteenths / 16, sixteenths % 16, 16);
    while part > 0 && part % 2 == 0 {
        (part, of) = (part / 2, of / 2);
    }
    match (whole, part) {
        (whole, 0) => whole.to_string(),
        (0, part) => format!("{part}/{of}"),
        (whole, part) => format!("{whole} {part}/{of}"),
    }
}

/// A small length that sixteenths would hide, such as a wall or a runout: thousandths of an inch.
///
/// ```
/// assert_eq!(balance_core::quantity::shown::fine_inches(1.65), "0.065 in");
/// ```
#[must_use]
pub fn fine_inches(millimetres: f64) -> String {
    format!("{} in", trimmed(millimetres / MILLIMETRES_PER_INCH, 3))
}

/// A small length that whole millimetres would hide, such as a diameter, a wall or a runout.
///
/// ```
/// use balance_core::quantity::{Units, shown};
/// assert_eq!(shown::fine_length(Units::Metric, 88.89999999999999), "88.9 mm");
/// assert_eq!(shown::fine_length(Units::Us, 2.4), "0.094 in");
/// ```
#[must_use]
pub fn fine_length(units: Units, millimetres: f64) -> String {
    units.show(format!("{} mm", trimmed(millimetres, 2)), fine_inches(millimetres))
}

/// A length as somebody entered it, with the digits that tell it from its neighbours: hundredths of a mm; sixteenths of an
/// inch, or thousandths where it lies between them.
///
/// ```
/// use balance_core::quantity::{Units, shown};
/// assert_eq!(shown::entered_length(Units::Metric, 1385.25), "1385.25 mm");
/// assert_eq!(shown::entered_length(Units::Us, 54.5 * 25.4), "54 1/2 in");
/// assert_eq!(shown::entered_length(Units::Us, 2.413), "0.095 in");
/// ```
#[must_use]
pub fn entered_length(units: Units, millimetres: f64) -> String {
    let plain = |value: f64| {
        let text = format!("{value:.2}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let steps = millimetres / SIXTEENTH;
    let inches = if (steps - steps.round()).abs() < 1e-3 {
        format!("{} in", inch_text(steps.round() as u32))
    } else {
        fine_inches(millimetres)
    };
    units.show(format!("{} mm", plain(millimetres)), inches)
}

/// A force: whole newtons, pounds-force.
#[must_use]
pub fn force(units: Units, newtons: f64) -> String {
    let pounds = figures(newtons / NEWTONS_PER_POUND_FORCE, 0);
    units.show(format!("{} N", figures(newtons, 0)), format!("{pounds} lbf"))
}
