//! How numbers are written in pictures, and numbers tamed before they are drawn.

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
