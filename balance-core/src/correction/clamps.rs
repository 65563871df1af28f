//! Two hose clamps instead of a weight: their equal screws are turned apart until together they make the mass.

use crate::quantity::{Angle, Mass};

/// Where the screws of two equal clamps go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampScrews {
    /// The two screws.
    pub at: [Angle; 2],
    /// What they make together, at the angle asked for.
    pub mass: Mass,
    /// Whether that is less than asked for, because both screws are too light.
    pub short: bool,
}

/// Where to turn the screws of two equal clamps so that together they make a mass at an angle.
///
/// # Units
///
/// Any, the same for both masses; clamps and mass at one radius.
///
/// # Method
///
/// Two vectors of length m at θ ± α add up to 2·m·cos α at θ, so α = acos(M/2m); the bands go evenly round and add
/// nothing. Beyond 2·m both screws are together.
///
/// # Example
///
/// ```
/// use balance_core::{correction::clamp_screws, quantity::*};
/// let degrees = |own: Angle| own.degrees_in_turn().round();
/// let found = clamp_screws(Mass::from_grams(12.0)?, Angle::from_degrees(50.0)?, Mass::from_grams(12.0)?);
/// // 2·12·cos 60° = 12.
/// assert_eq!(found.at.map(degrees), [350.0, 110.0]);
/// # Ok::<(), QuantityFault>(())
/// ```
#[must_use]
pub fn clamp_screws(wanted: Mass, angle: Angle, screw: Mass) -> ClampScrews {
    let most = 2.0 * screw.grams();
    let share = if most > 0.0 { (wanted.grams() / most).min(1.0) } else { 1.0 };
    let apart = share.acos().to_degrees();
    let turned = |by: f64| Angle::from_degrees(angle.degrees() + by).unwrap_or(angle);
    let mass = Mass::from_grams(wanted.grams().min(most)).unwrap_or(wanted);
    ClampScrews { at: [turned(-apart), turned(apart)], mass, short: wanted.grams() > most }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_screws_add_up_to_the_mass() {
        let grams = |value: f64| Mass::from_grams(value).unwrap();
        for wanted in [0.0, 1.0, 7.5, 23.9, 24.0, 40.0] {
            let angle = Angle::from_degrees(77.0).unwrap();
            let found = clamp_screws(grams(wanted), angle, grams(12.0));
            let sum = (found.at[0].unit_vector() + found.at[1].unit_vector()) * 12.0;
            let made = angle.unit_vector() * wanted.min(24.0);
            assert!(
                (sum - made).norm() < 1e-9 && (found.mass.grams() - wanted.min(24.0)).abs() < 1e-12,
                "{wanted}"
            );
        }
    }
}
