//! How well a story fits, in one number.

use crate::influence::{Joint, Options, joint};
use crate::run::{ReadingNoise, RunSet};

/// Minus twice the logarithm of how likely the readings are if the story is true: lower is better.
///
/// # Method
///
/// χ² + ln det(ΦᴴWΦ) + Σ ln s², every complex number counting as two: the misfit of all runs in one fit, and how
/// sharply they would settle the unknowns (flat prior on the coefficients). A noise figure that is itself known with ν
/// complex degrees of freedom turns χ² into 2(ν + D)·ln(1 + χ²/2ν) with D the fit's own; without a stated figure it is
/// 2D·ln(Σ squares) for each sensor. Textbook result for the marginal likelihood of a linear model with a scaled
/// inverse χ² law for its variance; derived again here, no source. `None` where the story cannot be fitted.
pub(super) fn score(set: &RunSet, options: &Options<'_>) -> Option<f64> {
    let joint = joint(set, options, &[])?;
    let spread: f64 = joint.sensors.iter().map(|sensor| sensor.log_spread).sum();
    let found = misfit(set, &joint) + spread;
    found.is_finite().then_some(found)
}

fn misfit(set: &RunSet, joint: &Joint) -> f64 {
    let noise = &set.setup().noise;
    if noise.reading == ReadingNoise::NotStated {
        let of_one = |squares: f64, degrees: f64| 2.0 * degrees * squares.max(f64::MIN_POSITIVE).ln();
        return joint.sensors.iter().map(|sensor| of_one(sensor.squares, sensor.degrees)).sum();
    }
    let (squares, known) = (joint.squares(), noise.degrees_of_freedom);
    if known.is_infinite() {
        return squares;
    }
    2.0 * (known + joint.degrees()) * (squares / (2.0 * known)).ln_1p()
}
