//! The true angle of a joint from what is measured in two views.

use crate::quantity::Angle;

/// Angle between two shafts of which one is level and straight ahead, from the other's angle in plan and in side
/// view: tan²θ = tan²(plan) + tan²(side).
///
/// ```
/// use balance_core::{quantity::parse, shaft::true_angle};
/// let angle = true_angle(parse("2.15 deg")?, parse("2.50 deg")?);
/// assert!((angle.degrees() - 3.30).abs() < 0.005); // service literature
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn true_angle(plan: Angle, side: Angle) -> Angle {
    Angle::from_degrees(plan.radians().tan().hypot(side.radians().tan()).atan().to_degrees())
        .unwrap_or(Angle::ZERO)
}

/// Angle between two shafts, each with its own angle in plan and in side view: the angle between the directions
/// (1, tan plan, tan side).
#[must_use]
pub fn angle_between(one: (Angle, Angle), other: (Angle, Angle)) -> Angle {
    let direction = |(plan, side): (Angle, Angle)| [1.0, plan.radians().tan(), side.radians().tan()];
    let (a, b) = (direction(one), direction(other));
    let dot: f64 = a.iter().zip(b).map(|(x, y)| x * y).sum();
    let cross = (0..3).map(|i| (a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3]).powi(2));
    Angle::from_degrees(cross.sum::<f64>().sqrt().atan2(dot).to_degrees()).unwrap_or(Angle::ZERO)
}
