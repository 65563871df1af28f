//! Tones in what the fit leaves over: a slipping belt in step with the shaft, mains hum in step with the clock.
//!
//! # Method
//!
//! What is left over is cut into turns (or, for the clock, into times of a mean turn), and in each the part near every
//! multiple of the turn is summed; the spectrum of these sums over the turns tells how far off the multiple a tone lies.
//! A peak far above the median around it is a tone. Its frequency, amplitude and phase are then fitted jointly with all
//! the rest by Gauss and Newton's steps.

use std::f64::consts::TAU;

use num_complex::Complex64;

use super::HARMONICS;
use super::extracted::ToneKind;
use super::fit::{Fit, Sums, left_over, sums};
use super::model::{BASE, MOST_TONES, Stage, ToneFit, cosine_of};
use crate::linear::{RVector, powers};

/// A peak is a tone if its power is so many times the mean of noise, besides the logarithm of how many peaks noise has
/// a chance to make: noise alone passes once in some 400 spectra.
const ABOVE_NOISE: f64 = 6.0;
/// A tone nearer to a multiple of the turn, in turns of the beat over the stretch, is not told from it.
const APART: f64 = 1.0;
/// A tone that widens the reading's variance by more than this factor is left in.
const MOST_WIDENED: f64 = 4.0;
/// Bins in which the median of the noise is taken.
const NEAR: usize = 48;
/// Steps of Gauss and Newton at most.
const STEPS: usize = 12;
/// A step of the frequency that turns the ends of the stretch by less than this many radians is the last.
const SETTLED: f64 = 1e-9;

/// The fit of one sensor with every tone that is found.
///
/// `base` are the sums without tones, of which this sensor is the `own`th; `known` are tones to begin with. `None` if
/// not even the fit without tones works.
pub(super) fn fit_with_tones(
    stage: &Stage<'_>,
    sensor: usize,
    base: (&Sums, usize),
    known: &[ToneFit],
) -> Option<(Fit, Vec<ToneFit>)> {
    let plain = base.0.fit(base.1, base.0.normal()?)?;
    let allowed = MOST_WIDENED * plain.normal.inverse()[(cosine_of(1), cosine_of(1))];
    let mut best = (plain, Vec::new());
    if !known.is_empty()
        && let Some(refined) = refine(stage, sensor, known.to_vec(), allowed)
    {
        best = refined;
    }
    while best.1.len() < MOST_TONES {
        let left = left_over(stage, sensor, &best.1, &best.0.solution);
        let Some(found) = strongest(stage, &left, &best.1) else { break };
        let mut tones = best.1.clone();
        tones.push(found);
        let Some(refined) = refine(stage, sensor, tones, allowed) else { break };
        best = refined;
    }
    Some(best)
}

/// Fits the tones' frequencies, beginning near them. `None` if one runs away or the reading can no longer be told.
fn refine(
    stage: &Stage<'_>,
    sensor: usize,
    mut tones: Vec<ToneFit>,
    allowed: f64,
) -> Option<(Fit, Vec<ToneFit>)> {
    let begun = tones.clone();
    let first = sums(stage, &[sensor], &tones, false);
    take_amplitudes(&mut tones, &first.fit(0, first.normal()?)?.solution);
    for step in 0..STEPS {
        let own = sums(stage, &[sensor], &tones, true);
        let fit = own.fit(0, own.normal()?)?;
        let last = step + 1 == STEPS;
        let mut largest = 0.0_f64;
        let steps: Vec<f64> =
            (0..tones.len()).map(|number| fit.solution[BASE + 2 * tones.len() + number]).collect();
        take_amplitudes(&mut tones, &fit.solution);
        if steps.iter().all(|turn| turn.abs() < SETTLED) || last {
            let variance = fit.normal.inverse()[(cosine_of(1), cosine_of(1))];
            return (variance <= allowed).then_some((fit, tones));
        }
        for ((tone, turn), begun) in tones.iter_mut().zip(&steps).zip(&begun) {
            let half = stage.half_length(tone.kind);
            tone.frequency += turn / half;
            largest = largest.max((tone.frequency - begun.frequency).abs() * half);
        }
        // One turn of the beat over the stretch.
        if largest > TAU / 2.0 {
            return None;
        }
    }
    None
}

fn take_amplitudes(tones: &mut [ToneFit], solution: &RVector) {
    for (number, tone) in tones.iter_mut().enumerate() {
        (tone.cosine, tone.sine) = (solution[BASE + 2 * number], solution[BASE + 2 * number + 1]);
    }
}

/// A peak of a spectrum.
struct Peak {
    kind: ToneKind,
    /// Times per turn, or per mean turn.
    per_turn: f64,
    /// Power over the noise around it.
    above: f64,
}

fn strongest(stage: &Stage<'_>, left: &[f64], tones: &[ToneFit]) -> Option<ToneFit> {
    let mean = stage.angle_span.1 / stage.time_span.1;
    let per_turn = |tone: &ToneFit| match tone.kind {
        ToneKind::Shaft => tone.frequency,
        ToneKind::Clock => tone.frequency / mean,
    };
    let taken: Vec<f64> = tones.iter().map(per_turn).collect();
    let by_shaft = peak(ToneKind::Shaft, &stage.angle, left, &taken);
    let clock: Vec<f64> = stage.time.iter().map(|time| mean * (time - stage.time[0])).collect();
    let by_clock = peak(ToneKind::Clock, &clock, left, &taken);
    let best = match (by_shaft, by_clock) {
        // At a steady speed both say the same: mains frequency then decides.
        (Some(shaft), Some(clock)) => {
            let alike = (0.8..1.25).contains(&(shaft.above / clock.above));
            let hertz = clock.per_turn * mean / TAU;
            let takes_clock = if alike { is_mains(hertz) } else { clock.above > shaft.above };
            Some(if takes_clock { clock } else { shaft })
        }
        (one, other) => one.or(other),
    }?;
    let frequency = match best.kind {
        ToneKind::Shaft => best.per_turn,
        ToneKind::Clock => best.per_turn * mean,
    };
    Some(ToneFit { kind: best.kind, frequency, cosine: 0.0, sine: 0.0 })
}

/// Whether a frequency may be mains hum: 50 or 60 Hz or a small multiple, within half a per cent.
pub(super) fn is_mains(hertz: f64) -> bool {
    [50.0, 60.0].iter().any(|mains| {
        let times = (hertz / mains).round();
        (1.0..=6.0).contains(&times) && (hertz / mains - times).abs() < 0.005 * times
    })
}

/// The strongest peak that stands out of the noise, away from multiples of the turn and from `taken`.
fn peak(kind: ToneKind, phase: &[f64], left: &[f64], taken: &[f64]) -> Option<Peak> {
    let channels = HARMONICS + 1;
    let origin = phase.first().copied()?;
    let turns = ((phase.iter().fold(origin, |most, own| most.max(*own)) - origin) / TAU).round().max(1.0);
    let frames = turns as usize;
    let mut sums = vec![vec![Complex64::ZERO; frames]; channels];
    for (&phase, &value) in phase.iter().zip(left) {
        let frame = (((phase - origin) / TAU) as usize).min(frames - 1);
        let step = Complex64::cis(-phase);
        let mut wave = Complex64::new(value, 0.0);
        for sum in &mut sums {
            sum[frame] += wave;
            wave *= step;
        }
    }
    let size = 2 * frames.next_power_of_two();
    let resolution = 1.0 / turns;
    let mut best: Option<Peak> = None;
    let chances = (size / 2 * channels) as f64;
    for (multiple, sum) in sums.iter().enumerate() {
        let spectrum = powers(sum, size);
        let noise = noise_floor(&spectrum);
        for (bin, (power, noise)) in spectrum.iter().zip(&noise).enumerate() {
            let bin = bin as f64;
            let beyond = if bin > size as f64 / 2.0 { bin - size as f64 } else { bin };
            let per_turn = multiple as f64 + beyond / size as f64;
            let beat = (per_turn - per_turn.round()).abs();
            let near = |other: &f64| (per_turn - other).abs() < 1.5 * resolution;
            if per_turn < 2.5 * resolution || beat < APART * resolution || taken.iter().any(near) {
                continue;
            }
            let above = power / noise;
            if above > chances.ln() + ABOVE_NOISE && best.as_ref().is_none_or(|best| above > best.above) {
                best = Some(Peak { kind, per_turn, above });
            }
        }
    }
    best
}

/// Mean power of the noise around each bin, from medians: the median of an exponential law is ln 2 of its mean.
fn noise_floor(spectrum: &[f64]) -> Vec<f64> {
    let middle = |part: &[f64]| {
        let mut sorted = part.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
    };
    let whole = middle(spectrum);
    let parts = spectrum.len().div_ceil(NEAR).max(1);
    let size = spectrum.len().div_ceil(parts).max(1);
    let floor = |part: &[f64]| middle(part).max(0.25 * whole).max(f64::MIN_POSITIVE) / std::f64::consts::LN_2;
    spectrum.chunks(size).flat_map(|part| std::iter::repeat_n(floor(part), part.len())).collect()
}
