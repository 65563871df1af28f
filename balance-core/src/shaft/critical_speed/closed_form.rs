//! Closed formulas for the first bending critical speed.

use std::f64::consts::PI;

use crate::quantity::{Length, Speed};
use crate::shaft::{Material, RoundSection};

/// First bending critical speed of a uniform shaft held in its two joint centres (pinned, Euler–Bernoulli): ω
/// = (π/L)²·sqrt(EI/(ρA)), that is n = C·sqrt(D² + d²)/L² with C = 1.2099·10⁸ for steel (207 GPa, 7850 kg/m³)
/// in mm and rpm. Any vibration textbook. `None` for a length of zero.
///
/// It leaves out shear (a few percent for short shafts: use the model), the mass of the yokes and the
/// softness of the bearings.
///
/// ```
/// use balance_core::{quantity::parse, shaft::{Material, RoundSection, pinned_critical_speed}};
/// let steel = Material::named("steel").expect("the table has steel");
/// let tube = RoundSection::new(parse("4.0 in")?, parse("3.732 in")?).expect("a wall of 0.134 in");
/// let speed = pinned_critical_speed(tube, &steel, parse("60 in")?).expect("the length is not zero");
/// assert!((speed.rpm() - 7239.0).abs() < 0.5); // recomputed by hand from the formula
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn pinned_critical_speed(section: RoundSection, material: &Material, length: Length) -> Option<Speed> {
    rpm(speed_times_length_squared(section, material) / metres(length).powi(2))
}

/// The longest uniform pinned shaft whose critical speed keeps `margin_ratio` (0.70: the speed is at most 70 % of the
/// critical speed) above a running speed: L = sqrt(margin·K/n) with n_cr = K/L². `None` if speed or margin is zero.
#[must_use]
pub fn longest_safe_length(
    section: RoundSection,
    material: &Material,
    speed: Speed,
    margin_ratio: f64,
) -> Option<Length> {
    let metres = (margin_ratio * speed_times_length_squared(section, material) / speed.rpm()).sqrt();
    Length::from_millimetres(metres * 1000.0).ok().filter(|length| length.millimetres() > 0.0)
}

/// The highest speed a shaft with this critical speed may run at: margin × critical speed.
#[must_use]
pub fn highest_safe_speed(critical: Speed, margin_ratio: f64) -> Option<Speed> {
    rpm(critical.rpm() * margin_ratio)
}

/// Dunkerley's rule: 1/n² = Σ 1/nᵢ², the critical speed with several masses from the speeds with each alone; it is
/// never above the true first critical speed (any vibration textbook). `None` without a speed or with one of zero.
///
/// ```
/// use balance_core::{quantity::parse, shaft::dunkerley};
/// let both = dunkerley(&[parse("3000 rpm")?, parse("4000 rpm")?]).expect("two speeds");
/// assert!((both.rpm() - 2400.0).abs() < 1e-9); // 3-4-5 triangle: 12000/5
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn dunkerley(speeds: &[Speed]) -> Option<Speed> {
    let sum: f64 = speeds.iter().map(|speed| speed.rpm().powi(-2)).sum();
    rpm(sum.powf(-0.5)).filter(|speed| speed.rpm() > 0.0)
}

/// K of n_cr = K/L², in rpm·m².
fn speed_times_length_squared(section: RoundSection, material: &Material) -> f64 {
    let bending = material.elastic_modulus_pascals() * section.second_moment();
    PI * PI * (bending / section.kilograms_per_metre(material)).sqrt() * 60.0 / (2.0 * PI)
}

fn metres(length: Length) -> f64 {
    length.millimetres() / 1000.0
}

fn rpm(value: f64) -> Option<Speed> {
    Speed::from_rpm(value).ok()
}
