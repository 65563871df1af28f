//! Amounts as people read them: half grams, whole degrees, whole millimetres, sixteenths of an inch.

use balance_core::correction::weights::TapeReading;
use balance_core::quantity::{Angle, GRAMS_PER_OUNCE, Mass, UnbalanceAmount};

use crate::files::job::ShowUnits;

const NEWTONS_PER_POUND_FORCE: f64 = balance_core::correction::weights::NEWTONS_PER_POUND_FORCE;

/// Puts a metric and a US wording together as the shop reads them.
fn both(units: ShowUnits, metric: String, us: String) -> String {
    match units {
        ShowUnits::Metric => metric,
        ShowUnits::Us => us,
        ShowUnits::Both => format!("{metric} ({us})"),
    }
}

/// A mass: half grams, hundredths of an ounce.
pub fn mass(units: ShowUnits, grams: f64) -> String {
    both(units, format!("{} g", half(grams)), format!("{:.2} oz", grams / GRAMS_PER_OUNCE))
}

/// A number rounded to a half, without a needless `.0`.
fn half(value: f64) -> String {
    let rounded = (value * 2.0).round() / 2.0;
    if rounded.fract() == 0.0 { format!("{rounded:.0}") } else { format!("{rounded:.1}") }
}

/// The mass of a shaft: kilograms, pounds.
pub fn kilograms(units: ShowUnits, kilograms: f64) -> String {
    let pounds = kilograms * 1000.0 / GRAMS_PER_OUNCE / 16.0;
    both(units, format!("{} kg", (kilograms * 100.0).round() / 100.0), format!("{pounds:.1} lb"))
}

/// An unbalance: whole g·mm, hundredths of an oz·in.
pub fn unbalance(units: ShowUnits, gram_millimetres: f64) -> String {
    format!("{} {}", unbalance_number(units, gram_millimetres), unbalance_unit(units))
}

/// The number alone, where the unit stands elsewhere.
pub fn unbalance_number(units: ShowUnits, gram_millimetres: f64) -> String {
    let ounce_inches = UnbalanceAmount::from_gram_millimetres(gram_millimetres.max(0.0))
        .map_or(0.0, UnbalanceAmount::ounce_inches);
    both(units, format!("{gram_millimetres:.0}"), format!("{ounce_inches:.2}"))
}

/// The unit that goes with it.
pub fn unbalance_unit(units: ShowUnits) -> &'static str {
    match units {
        ShowUnits::Metric => "g.mm",
        ShowUnits::Us => "oz.in",
        ShowUnits::Both => "g.mm (oz.in)",
    }
}

/// A length: whole mm, or inches in sixteenths.
pub fn length(units: ShowUnits, millimetres: f64) -> String {
    let reading = TapeReading::length(millimetres);
    both(units, format!("{} mm", reading.whole_millimetres()), format!("{} in", reading.inch_text()))
}

/// An angle in whole degrees.
pub fn angle(angle: Angle) -> String {
    format!("{} deg", whole_degrees(angle))
}

/// Whole degrees, 0 to 359.
pub fn whole_degrees(angle: Angle) -> u32 {
    angle.degrees_in_turn().round() as u32 % 360
}

/// A force: whole newtons, pounds-force.
pub fn force(units: ShowUnits, newtons: f64) -> String {
    both(units, format!("{newtons:.0} N"), format!("{:.0} lbf", newtons / NEWTONS_PER_POUND_FORCE))
}

/// An amplitude with as many digits as a dial shows.
pub fn amplitude(value: f64) -> String {
    if value >= 100.0 {
        format!("{value:.0}")
    } else if value >= 10.0 {
        format!("{value:.1}")
    } else if value >= 0.095 || value == 0.0 {
        format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{value:.1e}")
    }
}

/// A mass of a stored weight, as stamped.
pub fn stamped(units: ShowUnits, mass: Mass) -> String {
    let grams = mass.grams();
    let metric = format!("{grams:.2}").trim_end_matches('0').trim_end_matches('.').to_owned() + " g";
    both(units, metric, format!("{:.2} oz", grams / GRAMS_PER_OUNCE))
}

/// A chance as people say it; never a bare 100 %.
pub fn chance(probability: f64) -> String {
    if probability >= 0.9995 {
        "over 99.9 %".into()
    } else if probability < 0.0005 {
        "under 0.1 %".into()
    } else if (0.01..0.99).contains(&probability) {
        format!("{:.0} %", 100.0 * probability)
    } else {
        format!("{:.1} %", 100.0 * probability)
    }
}

/// A lower bound of a chance, rounded down.
pub fn chance_below(probability: f64) -> String {
    let permille = (1000.0 * probability).floor().min(999.0);
    if permille >= 990.0 {
        format!("{:.1} %", permille / 10.0)
    } else {
        format!("{:.0} %", (permille / 10.0).floor())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_as_people_read_them() {
        assert_eq!(mass(ShowUnits::Metric, 24.87), "25 g");
        assert_eq!(mass(ShowUnits::Metric, 14.36), "14.5 g");
        assert_eq!(mass(ShowUnits::Both, 28.349_523_125), "28.5 g (1.00 oz)");
        assert_eq!(length(ShowUnits::Us, 222.7), "8 3/4 in");
        assert_eq!(angle(Angle::from_degrees(359.7).unwrap()), "0 deg");
        assert_eq!(
            [0.0, 0.05, 0.3, 5.29, 12.34, 123.4].map(amplitude),
            ["0", "5.0e-2", "0.3", "5.29", "12.3", "123"]
        );
        assert_eq!([0.99996, 0.9953, 0.5].map(chance), ["over 99.9 %", "99.5 %", "50 %"]);
    }
}
