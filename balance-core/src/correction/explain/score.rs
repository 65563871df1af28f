//! How well a story fits, in one number.

use crate::influence::{Joint, Options, joint};
use crate::run::{ReadingNoise, RunSet};

/// Minus twice the logarithm of how likely the readings are if the story is true: lower is better.
///
/// # Method
///
/// χ² + ln det(ΦᴴWΦ) + Σ ln s² + Σ ln ‖a‖², every complex number counting as two: the misfit of all runs in one fit, how
/// sharply they would settle the unknowns, and a prior on each plane's coefficients a that knows no scale, so that
/// "the trial was half of what is entered" and "the weights were double" are the same story. Sister shafts take the
/// place of that prior. A noise figure that is itself known with ν complex degrees of freedom turns χ² into
/// 2(ν + D)·ln(1 + χ²/2ν) with D the fit's own; without a stated figure it is 2D·ln(Σ squares) for each sensor.
/// Textbook marginal likelihood of a linear model with a scaled inverse χ² law for its variance; derived again here,
/// no source. `None` where the story cannot be fitted.
pub(super) fn score(set: &RunSet, options: &Options<'_>) -> Option<f64> {
    let joint = joint(set, options, &[])?;
    let spread: f64 = joint.sensors.iter().map(|sensor| sensor.log_spread).sum();
    let scale = if options.prior.is_some() { 0.0 } else { scale_free(set, &joint) };
    let found = misfit(set, &joint) + spread + scale;
    found.is_finite().then_some(found)
}

/// Density 1/‖a‖^2M for the M complex coefficients of each plane at each speed, each over its sensor's own size.
fn scale_free(set: &RunSet, joint: &Joint) -> f64 {
    let sizes: Vec<f64> = (0..set.setup().sensors.len()).map(|sensor| mean_square(set, sensor)).collect();
    let mut sum = 0.0;
    for group in 0..set.groups().len() {
        let fitted: Vec<_> = joint
            .sensors
            .iter()
            .filter(|own| own.group == group && !own.coefficients.is_empty() && sizes[own.sensor] > 0.0)
            .collect();
        for plane in 0..set.setup().planes.len() {
            let length: f64 =
                fitted.iter().map(|own| own.coefficients[plane].norm_sqr() / sizes[own.sensor]).sum();
            sum += 2.0 * fitted.len() as f64 * length.max(f64::MIN_POSITIVE).ln();
        }
    }
    sum
}

fn mean_square(set: &RunSet, sensor: usize) -> f64 {
    let squares: Vec<f64> = set
        .rows()
        .iter()
        .filter_map(|row| row.observed[sensor].map(|observed| observed.reading.amplitude().powi(2)))
        .collect();
    squares.iter().sum::<f64>() / squares.len().max(1) as f64
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
