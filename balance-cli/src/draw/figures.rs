//! How numbers are written in pictures, and numbers tamed before they are drawn.

use balance_core::quantity::Units;

/// A number a picture can work with: not a number becomes 0, absurd sizes are cut.
pub(super) fn tame(value: f64) -> f64 {
    const MOST: f64 = 1e9;
    if value.is_nan() { 0.0 } else { value.clamp(-MOST, MOST) }
}

/// An angle from 0 up to 360.
pub(super) fn turned(degrees: f64) -> f64 {
    let angle = tame(degrees).rem_euclid(360.0);
    if angle >= 360.0 { 0.0 } else { angle }
}

/// Whole degrees, 0 to 359.
pub(super) fn degrees(value: f64) -> String {
    format!("{}°", turned(value).round() as u32 % 360)
}

/// A whole number.
pub(super) fn whole(value: f64) -> String {
    let value = tame(value).round();
    format!("{}", if value == 0.0 { 0.0 } else { value })
}

/// A mass: to half a gram, or finer below 2 g.
pub(super) fn grams(value: f64) -> String {
    let value = tame(value);
    let rounded = if value.abs() < 2.0 { (value * 10.0).round() / 10.0 } else { (value * 2.0).round() / 2.0 };
    format!("{} g", if rounded == 0.0 { 0.0 } else { rounded })
}

/// Three significant digits, no more than needed.
pub(super) fn short(value: f64) -> String {
    let value = tame(value);
    if value == 0.0 {
        return "0".to_owned();
    }
    let size = value.abs().log10().floor() as i32;
    let places = usize::try_from((2 - size).clamp(0, 6)).unwrap_or(0);
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A length in the shop's units: whole mm, or inches and sixteenths.
pub(super) fn length(units: Units, millimetres: f64) -> String {
    units.show(format!("{} mm", whole(millimetres)), sixteenths(millimetres))
}

/// A length of tape in inches and sixteenths: "8 13/16 in".
pub(super) fn sixteenths(millimetres: f64) -> String {
    let count = (tame(millimetres) / 25.4 * 16.0).round() as i64;
    let (inches, mut part, mut of) = (count / 16, count.abs() % 16, 16);
    while part != 0 && part % 2 == 0 {
        (part, of) = (part / 2, of / 2);
    }
    match (inches, part) {
        (_, 0) => format!("{inches} in"),
        (0, _) => format!("{part}/{of} in"),
        _ => format!("{inches} {part}/{of} in"),
    }
}

/// The step of a scale: 1, 2 or 5 times a power of ten, so that `most` needs about `count` steps or fewer.
pub(super) fn step(most: f64, count: f64) -> f64 {
    let rough = (tame(most) / count).max(1e-12);
    let ten = 10_f64.powf(rough.log10().floor());
    let share = rough / ten;
    let nice = [1.0, 2.0, 5.0].into_iter().find(|nice| share <= *nice * (1.0 + 1e-9)).unwrap_or(10.0);
    nice * ten
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 223 mm / 25.4 = 8.780 in = 8 12.5/16 in, so 8 12/16 or 8 13/16; 222.65 mm = 8 12.25/16 in.
    #[test]
    fn sixteenths_are_the_nearest_and_shortened() {
        assert_eq!(sixteenths(222.65), "8 3/4 in");
        assert_eq!(sixteenths(25.4), "1 in");
        assert_eq!(sixteenths(9.525), "3/8 in");
        assert_eq!(sixteenths(0.0), "0 in");
        assert_eq!(sixteenths(25.4 * 2.97), "3 in");
    }

    #[test]
    fn grams_go_by_halves_and_small_ones_by_tenths() {
        assert_eq!(grams(24.87), "25 g");
        assert_eq!(grams(14.36), "14.5 g");
        assert_eq!(grams(1.24), "1.2 g");
        assert_eq!(grams(-0.01), "0 g");
    }

    #[test]
    fn angles_never_read_360() {
        assert_eq!(degrees(359.7), "0°");
        assert_eq!(degrees(-1e-14), "0°");
        assert_eq!(degrees(-73.0), "287°");
        assert_eq!(degrees(f64::NAN), "0°");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(
            [short(0.4), short(88.9), short(0.001234), short(1e-300), short(1500.0)],
            ["0.4", "88.9", "0.00123", "0", "1500"]
        );
        assert_eq!([whole(416.6), whole(-0.2)], ["417", "0"]);
    }

    #[test]
    fn scales_step_by_one_two_or_five() {
        assert_eq!([step(279.0, 18.0), step(8.68, 5.0), step(20.0, 5.0)], [20.0, 2.0, 5.0]);
    }
}
