//! Amounts as people read them: half grams, whole degrees, whole millimetres, sixteenths of an inch.

use balance_core::quantity::{Angle, Mass, Units, shown};

pub use balance_core::quantity::shown::{
    fine_length, force, kilograms, length, mass, unbalance, unbalance_number, unbalance_unit,
};

/// An angle in whole degrees.
pub fn angle(angle: Angle) -> String {
    format!("{} deg", whole_degrees(angle))
}

/// Whole degrees, 0 to 359.
pub fn whole_degrees(angle: Angle) -> u32 {
    angle.degrees_in_turn().round() as u32 % 360
}

/// An amplitude with as many digits as a dial shows.
pub fn amplitude(value: f64) -> String {
    shown::reading(value)
}

/// A speed in revolutions per minute, without its unit and without rounding remainders of another unit.
pub fn rpm(value: f64) -> String {
    ((value * 100.0).round() / 100.0).to_string()
}

/// A mass of a stored weight, as stamped.
pub fn stamped(units: Units, mass: Mass) -> String {
    shown::weighed(units, mass.grams())
}

/// A mass that was worked out and is not rounded to pieces: tenths of a gram, hundredths of an ounce.
pub fn ideal_mass(units: Units, grams: f64) -> String {
    units.show(format!("{} g", shown::figures(grams, 1)), shown::ounces(grams))
}

/// A chance as people say it; never a plain 100 %.
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
        assert_eq!(mass(Units::Metric, 14.36), "14.5 g");
        assert_eq!(angle(Angle::from_degrees(359.7).unwrap()), "0 deg");
        assert_eq!(
            [0.0, 0.05, 0.3, 5.29, 12.34, 123.4].map(amplitude),
            ["0", "0.05", "0.3", "5.29", "12.3", "123"]
        );
        assert_eq!([0.99996, 0.9953, 0.5].map(chance), ["over 99.9 %", "99.5 %", "50 %"]);
    }
}
