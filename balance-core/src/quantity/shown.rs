//! Amounts as people read them, in their units: half grams, whole millimetres, sixteenths of an inch.

use super::scalar::{GRAMS_PER_OUNCE, MILLIMETRES_PER_INCH, NEWTONS_PER_POUND_FORCE, UnbalanceAmount};

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
    /// The wording these units ask for; of both, the US one in brackets.
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

/// Hundredths of an ounce.
#[must_use]
pub fn ounces(grams: f64) -> String {
    format!("{:.2} oz", grams / GRAMS_PER_OUNCE)
}

/// A number rounded to a half, without a needless `.0`.
fn half(value: f64) -> String {
    let rounded = (value * 2.0).round() / 2.0;
    if rounded.fract() == 0.0 { format!("{rounded:.0}") } else { format!("{rounded:.1}") }
}

/// The mass of a shaft: kilograms, pounds.
#[must_use]
pub fn kilograms(units: Units, kilograms: f64) -> String {
    units.show(format!("{} kg", (kilograms * 100.0).round() / 100.0), pounds(kilograms))
}

/// Tenths of a pound.
#[must_use]
pub fn pounds(kilograms: f64) -> String {
    format!("{:.1} lb", kilograms * 1000.0 / GRAMS_PER_OUNCE / 16.0)
}

/// An unbalance: whole g·mm, hundredths of an oz·in.
#[must_use]
pub fn unbalance(units: Units, gram_millimetres: f64) -> String {
    format!("{} {}", unbalance_number(units, gram_millimetres), unbalance_unit(units))
}

/// The number alone, where the unit stands elsewhere.
#[must_use]
pub fn unbalance_number(units: Units, gram_millimetres: f64) -> String {
    units.show(format!("{gram_millimetres:.0}"), ounce_inches(gram_millimetres))
}

/// Hundredths of an oz·in, without the unit; a negative amount counts as none.
#[must_use]
pub fn ounce_inches(gram_millimetres: f64) -> String {
    let amount = UnbalanceAmount::from_gram_millimetres(gram_millimetres.max(0.0));
    format!("{:.2}", amount.map_or(0.0, UnbalanceAmount::ounce_inches))
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
    let number = format!("{:.3}", millimetres / MILLIMETRES_PER_INCH);
    format!("{} in", number.trim_end_matches('0').trim_end_matches('.'))
}

/// A force: whole newtons, pounds-force.
#[must_use]
pub fn force(units: Units, newtons: f64) -> String {
    units.show(format!("{newtons:.0} N"), format!("{:.0} lbf", newtons / NEWTONS_PER_POUND_FORCE))
}
