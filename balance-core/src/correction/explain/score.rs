//! How well a story fits, in one number.

use super::hypothesis::{Hypothesis, ReadingSlip};
use crate::influence::{Joint, Options, joint_within_noise};
use crate::run::{RunKind, RunSet, SensorReading};
use crate::shaft::SensorId;

/// What a dead sensor shows, per component, as a share of what it usually shows.
const DEAD: f64 = 0.02;
/// It may be dead if it shows less than this many times that.
const DEAD_WITHIN: f64 = 3.0;

/// Minus twice the logarithm of how likely the readings are if the story is true (`None`: nothing went
/// wrong): lower is better.
///
/// # Method
///
/// χ² + ln det(ΦᴴWΦ) + Σ ln s² + Σ ln ‖a‖², every complex number counting as two: the misfit of all runs in
/// one fit, how sharply they determine the unknowns, and a scale-free prior on each plane's coefficients a,
/// so that "the trial was half of what is entered" and "the weights were double" are the same story. Sister
/// shafts take the place of that prior. A noise figure that is itself known with ν complex degrees of freedom
/// turns χ² into 2(ν + D)·ln(1 + χ²/2ν) − 2·Σ ln(1 + i/ν), i from 0 to D − 1, with D the fit's own; without a
/// stated figure it is 2D·ln(π·Σ squares) − 2·ln (D − 1)! for each sensor.
///
/// The likelihood is that of what was entered: a reading that really was a tenth of its entry scatters a
/// tenth as much, so every reading that a story makes shorter or longer adds 4·ln(entered/real). What a dead
/// sensor showed is a reading too: circular about zero, 2 % of what that sensor usually shows; a misread one
/// is about as large as usual, in any direction (our assumptions).
///
/// Textbook marginal likelihood of a linear model with a scaled inverse χ² law for its variance; derived
/// again here, no source. `None` where the story cannot be fitted, or where a sensor scatters more than the
/// stated noise allows.
pub(super) fn score(
    hypothesis: Option<&Hypothesis>,
    entered: &RunSet,
    story: &RunSet,
    options: &Options<'_>,
) -> Option<f64> {
    let joint = joint_within_noise(story, options)?;
    let spread: f64 = joint.sensors.iter().map(|sensor| sensor.log_spread).sum();
    let scale = if options.prior.is_some() { 0.0 } else { scale_free(entered, &joint) };
    let found = misfit(story, &joint) + spread + scale + as_entered(hypothesis, entered, story, &joint)?;
    found.is_finite().then_some(found)
}

/// Whether a sensor showed so little in a run that it may have been dead.
pub(super) fn next_to_nothing(set: &RunSet, row: usize, sensor: SensorId) -> bool {
    match set.rows()[row].run.readings.get(sensor.index()) {
        Some(SensorReading::Shown { amplitude, .. }) => {
            amplitude.powi(2) < (DEAD_WITHIN * DEAD).powi(2) * usual_square(set, sensor)
        }
        Some(SensorReading::Below(_)) => true,
        Some(SensorReading::NotRead | SensorReading::Amplitude(_)) | None => false,
    }
}

/// From the likelihood of the story's readings to that of the entered ones.
fn as_entered(
    hypothesis: Option<&Hypothesis>,
    entered: &RunSet,
    story: &RunSet,
    joint: &Joint,
) -> Option<f64> {
    let mut sum = 0.0;
    for (own, told) in entered.rows().iter().zip(story.rows()) {
        for (sensor, (before, after)) in SensorId::numbered(own.run.readings.iter().zip(&told.run.readings)) {
            match (before, after) {
                (
                    SensorReading::Shown { amplitude: entered, .. },
                    SensorReading::Shown { amplitude: real, .. },
                ) if *entered > 0.0 && *real > 0.0 => sum += 4.0 * (entered / real).ln(),
                (SensorReading::NotRead, _)
                | (_, SensorReading::Shown { .. } | SensorReading::Below(_) | SensorReading::Amplitude(_)) => {
                }
                (shown, SensorReading::NotRead) => {
                    // Without a stated figure the scatter is what the other readings of the sensor leave.
                    let settled = story.noise_stated()
                        || joint.sensors.iter().all(|own| own.sensor != sensor || own.degrees >= 1.0);
                    sum += settled.then(|| told_nothing(hypothesis, entered, sensor, *shown))?;
                }
            }
        }
    }
    Some(sum)
}

/// What a reading that says nothing about the shaft adds.
fn told_nothing(
    hypothesis: Option<&Hypothesis>,
    entered: &RunSet,
    sensor: SensorId,
    shown: SensorReading,
) -> f64 {
    let share = match hypothesis {
        Some(Hypothesis::Reading { slip: ReadingSlip::Misread, .. }) => 1.0,
        _ => DEAD,
    };
    let spread = share * usual_square(entered, sensor).sqrt();
    let two_pi = if entered.noise_stated() { 0.0 } else { 2.0 * std::f64::consts::TAU.ln() };
    two_pi
        + match shown {
            SensorReading::Shown { amplitude, .. } | SensorReading::Amplitude(amplitude) => {
                4.0 * spread.ln() + (amplitude / spread).powi(2)
            }
            SensorReading::Below(limit) => 4.0 * (limit / 2.0).ln(),
            SensorReading::NotRead => 0.0,
        }
}

/// Density 1/‖a‖^2M for the M complex coefficients of each plane at each speed, each over its sensor's own size.
fn scale_free(set: &RunSet, joint: &Joint) -> f64 {
    let sizes: Vec<f64> = set.setup().sensor_ids().map(|sensor| usual_square(set, sensor)).collect();
    let mut sum = 0.0;
    for group in 0..set.groups().len() {
        let fitted: Vec<_> = joint
            .sensors
            .iter()
            .filter(|own| own.group == group && !own.coefficients.is_empty() && sizes[own.sensor] > 0.0)
            .collect();
        for plane in set.setup().plane_ids() {
            let length: f64 =
                fitted.iter().map(|own| own.coefficients[plane].norm_sqr() / sizes[own.sensor]).sum();
            sum += 2.0 * fitted.len() as f64 * length.max(f64::MIN_POSITIVE).ln();
        }
    }
    sum
}

/// The square of what a sensor usually shows: of its middle reading without a correction on, as entered.
fn usual_square(set: &RunSet, sensor: SensorId) -> f64 {
    let of = |kinds: &[RunKind]| -> Vec<f64> {
        let rows = set.rows().iter().filter(|row| kinds.contains(&row.run.kind));
        rows.filter_map(|row| row.observed[sensor].map(|own| own.reading.amplitude().powi(2))).collect()
    };
    let mut squares = of(&[RunKind::Initial, RunKind::Trial]);
    if squares.is_empty() {
        squares = of(&[RunKind::Tried, RunKind::Check]);
    }
    squares.sort_by(f64::total_cmp);
    squares.get(squares.len() / 2).copied().unwrap_or(0.0)
}

fn misfit(set: &RunSet, joint: &Joint) -> f64 {
    let noise = &set.setup().noise;
    if !set.noise_stated() {
        let of_one = |squares: f64, degrees: f64| {
            let factorial: f64 = steps(degrees).skip(1).map(f64::ln).sum();
            2.0 * degrees * (std::f64::consts::PI * squares.max(f64::MIN_POSITIVE)).ln() - 2.0 * factorial
        };
        return joint.sensors.iter().map(|sensor| of_one(sensor.squares, sensor.degrees)).sum();
    }
    let (squares, known) = (joint.squares(), noise.degrees_of_freedom);
    if known.is_infinite() {
        return squares;
    }
    let degrees = joint.degrees();
    let constant: f64 = steps(degrees).map(|step| (step / known).ln_1p()).sum();
    2.0 * (known + degrees) * (squares / (2.0 * known)).ln_1p() - 2.0 * constant
}

/// 0, 1, 2 … below this number.
fn steps(degrees: f64) -> impl Iterator<Item = f64> {
    (0..degrees.max(0.0).round() as u32).map(f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::influence::SensorJoint;
    use crate::quantity::Angle;
    use crate::run::{Convention, Noise, ReadingNoise, Run, Setup};
    use crate::shaft::{CorrectionPlane, Sensor};

    fn set(noise: Noise) -> RunSet {
        let setup = Setup {
            planes: vec![CorrectionPlane::named("front")],
            sensors: vec![Sensor::vibration("front", "mm/s")],
            convention: Convention::unstated(),
            noise,
        };
        let shown = SensorReading::Shown { amplitude: 5.0, phase: Angle::ZERO };
        RunSet::new(setup, vec![Run::new("1", RunKind::Initial, vec![], vec![shown])]).unwrap()
    }

    /// Sensors with these sums of squares and complex degrees of freedom.
    fn joint(sensors: &[(f64, f64)]) -> Joint {
        let of = |&(squares, degrees): &(f64, f64)| SensorJoint {
            group: 0,
            sensor: SensorId::new(0),
            coefficients: Vec::new(),
            squares,
            degrees,
            log_spread: 0.0,
        };
        Joint { sensors: sensors.iter().map(of).collect() }
    }

    /// The integral of e to the power of this over all logarithms of a variance.
    fn over_all_variances(exponent: impl Fn(f64) -> f64) -> f64 {
        const STEP: f64 = 0.01;
        (-4000..4000).map(|at| exponent(STEP * f64::from(at)).exp() * STEP).sum()
    }

    /// Without a stated figure: circular noise of variance v, density (πv)^−D·e^(−S/v) of what D readings leave, with the
    /// usual prior 1/v of an unknown scale (H. Jeffreys, Theory of Probability, 1939; from memory), summed up here.
    #[test]
    fn without_a_figure_the_noise_of_each_sensor_is_summed_over_all_sizes() {
        let summed = |(squares, degrees): (f64, f64)| {
            let pi = std::f64::consts::PI;
            -2.0 * over_all_variances(|log| -degrees * (pi.ln() + log) - squares * (-log).exp()).ln()
        };
        for one in [(3.0, 1.0), (0.02, 2.0), (40.0, 5.0)] {
            let found = misfit(&set(Noise::not_stated()), &joint(&[one]));
            assert!((found - summed(one)).abs() < 1e-9, "{one:?}: {found} {}", summed(one));
        }
        let (one, other) = ((3.0, 1.0), (0.02, 2.0));
        let both = misfit(&set(Noise::not_stated()), &joint(&[one, other]));
        assert!((both - summed(one) - summed(other)).abs() < 1e-9, "{both}");
    }

    /// With a figure known as if from ν readings the true variance is w times the stated one, w with the law of ν/χ²:
    /// w^−ν·e^(−ν/w) over its logarithm; all sensors share it. Exactly known: χ² itself.
    #[test]
    fn a_stated_figure_is_summed_over_what_it_may_really_be() {
        let stated = |degrees_of_freedom| Noise {
            reading: ReadingNoise::Proportional { fraction: 0.02, floor: 0.0 },
            degrees_of_freedom,
            ..Noise::not_stated()
        };
        let sensors = [(7.0, 2.0), (1.5, 1.0)];
        let (squares, degrees) = (8.5, 3.0);
        for known in [2.0, 10.0, 50.0] {
            let prior = |log: f64| -known * (log + (-log).exp());
            let story = |log: f64| prior(log) - degrees * log - squares / 2.0 * (-log).exp();
            let summed = -2.0 * (over_all_variances(story) / over_all_variances(prior)).ln();
            let found = misfit(&set(stated(known)), &joint(&sensors));
            assert!((found - summed).abs() < 1e-9, "{known}: {found} {summed}");
        }
        assert_eq!(misfit(&set(stated(f64::INFINITY)), &joint(&sensors)), squares);
    }

    /// Middle reading 5, so a dead sensor shows some 0.1 and at most 0.3.
    #[test]
    fn next_to_nothing_is_three_times_what_a_dead_sensor_shows() {
        let shows = |reading| {
            let set = set(Noise::not_stated());
            let tried = |label: &str| Run::new(label, RunKind::Tried, vec![], vec![reading]);
            let runs = set.runs().into_iter().chain([tried("2")]).collect();
            next_to_nothing(&RunSet::new(set.setup().clone(), runs).unwrap(), 1, SensorId::new(0))
        };
        let shown = |amplitude| SensorReading::Shown { amplitude, phase: Angle::ZERO };
        assert!(shows(shown(0.29)) && !shows(shown(0.31)) && shows(SensorReading::Below(0.5)));
    }
}
