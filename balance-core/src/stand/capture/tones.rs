//! Tones in what the fit leaves over: a slipping belt in step with the shaft, mains hum in step with the clock.
//!
//! # Method
//!
//! What is left over is cut into turns, and in each the part near every multiple of the turn is summed; the spectrum of
//! these sums over the turns tells how far off the multiple a tone lies. For the clock each turn's sum is first turned by
//! as much as the shaft is ahead of its mean speed. A peak far above the median around it is a tone. Its frequency, amplitude and phase are then fitted jointly with all
//! the rest by Gauss and Newton's steps.

use std::f64::consts::TAU;

use num_complex::Complex64;

use super::HARMONICS;
use super::extracted::ToneKind;
use super::fit::{Fit, Sums, left_over, sums};
use super::model::{BASE, MOST, MOST_TONES, Stage, ToneFit, cosine_of};
use crate::linear::{RVector, powers};

/// A peak is a tone if its power is so many times the mean of noise, besides the logarithm of how many peaks noise has
/// a chance to make: noise alone passes once in some 3000 spectra.
const ABOVE_NOISE: f64 = 8.0;
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
        let left = Turns::of(stage, sensor, &best);
        let with = |found: ToneFit| {
            let tones = best.1.iter().copied().chain([found]).collect();
            refine(stage, sensor, tones, allowed)
        };
        let refined = strongest(stage, &left, &best.1).into_iter().filter_map(with);
        let Some(refined) = refined.max_by(|one, other| one.0.explained.total_cmp(&other.0.explained)) else {
            break;
        };
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
    /// Its power: the same tone shows in other multiples too, weaker.
    power: f64,
}

/// The strongest tone that is left; two where it may keep step with the shaft as well as with the clock.
fn strongest(stage: &Stage<'_>, left: &Turns, tones: &[ToneFit]) -> Vec<ToneFit> {
    let mean = stage.angle_span.1 / stage.time_span.1;
    let per_turn = |tone: &ToneFit| match tone.kind {
        ToneKind::Shaft => tone.frequency,
        ToneKind::Clock => tone.frequency / mean,
    };
    let taken: Vec<f64> = tones.iter().map(per_turn).collect();
    let by_shaft = peak(ToneKind::Shaft, &left.sums, &taken);
    let by_clock = peak(ToneKind::Clock, &left.by_clock(mean), &taken);
    let best = match (by_shaft, by_clock) {
        (Some(shaft), Some(clock)) => {
            // At a steady speed both say the same: mains frequency then decides, or the better fit.
            let alike = (0.8..1.25).contains(&(shaft.power / clock.power));
            match (alike, is_mains(clock.per_turn * mean / TAU), clock.power > shaft.power) {
                (true, false, _) => vec![shaft, clock],
                (true, true, _) | (false, _, true) => vec![clock],
                (false, _, false) => vec![shaft],
            }
        }
        (one, other) => one.or(other).into_iter().collect(),
    };
    let tone = |peak: Peak| {
        let frequency = match peak.kind {
            ToneKind::Shaft => peak.per_turn,
            ToneKind::Clock => peak.per_turn * mean,
        };
        ToneFit { kind: peak.kind, frequency, cosine: 0.0, sine: 0.0 }
    };
    best.into_iter().map(tone).collect()
}

/// Whether a frequency may be mains hum: 50 or 60 Hz or a small multiple, within half a per cent.
pub(super) fn is_mains(hertz: f64) -> bool {
    [50.0, 60.0].iter().any(|mains| {
        let times = (hertz / mains).round();
        (1.0..=6.0).contains(&times) && (hertz / mains - times).abs() < 0.005 * times
    })
}

/// What is left over, turn by turn.
struct Turns {
    /// For each multiple from none to five, and each turn, the sum of what is left over times the multiple's wave.
    sums: Vec<Vec<Complex64>>,
    /// Middle of each turn: angle in radians, and time.
    middles: Vec<(f64, f64)>,
}

impl Turns {
    fn of(stage: &Stage<'_>, sensor: usize, (fit, tones): &(Fit, Vec<ToneFit>)) -> Self {
        let begin = stage.angle_span.0 - stage.angle_span.1;
        let turns = (stage.angle_span.1 / TAU * 2.0).round().max(1.0) as usize;
        let mut own = Self { sums: vec![vec![Complex64::ZERO; turns]; HARMONICS + 1], middles: Vec::new() };
        let mut times = vec![(0.0, 0.0); turns];
        let mut columns = [0.0; MOST];
        for (at, (&angle, &(cosine, sine))) in stage.angle.iter().zip(&stage.turn).enumerate() {
            let left = left_over(stage, (sensor, at), tones, &fit.solution, &mut columns);
            let turn = (((angle - begin) / TAU) as usize).min(turns - 1);
            times[turn] = (times[turn].0 + 1.0, times[turn].1 + stage.time[at]);
            let step = Complex64::new(cosine, -sine);
            let mut wave = Complex64::new(left, 0.0);
            for sum in &mut own.sums {
                sum[turn] += wave;
                wave *= step;
            }
        }
        let middle = |(turn, (count, sum)): (usize, (f64, f64))| {
            (begin + TAU * (turn as f64 + 0.5), sum / f64::max(count, 1.0))
        };
        own.middles = times.into_iter().enumerate().map(middle).collect();
        own
    }

    /// The same as the clock sees it at a mean speed in radians a second.
    fn by_clock(&self, mean: f64) -> Vec<Vec<Complex64>> {
        let Some(&(angle, time)) = self.middles.first() else { return Vec::new() };
        let ahead = self.middles.iter().map(|own| own.0 - angle - mean * (own.1 - time));
        let steps: Vec<Complex64> = ahead.map(Complex64::cis).collect();
        let turned = |(multiple, sums): (usize, &Vec<Complex64>)| {
            sums.iter().zip(&steps).map(|(sum, step)| sum * step.powu(multiple as u32)).collect()
        };
        self.sums.iter().enumerate().map(turned).collect()
    }
}

/// The strongest peak that stands out of the noise, away from multiples of the turn and from `taken`.
fn peak(kind: ToneKind, sums: &[Vec<Complex64>], taken: &[f64]) -> Option<Peak> {
    let frames = sums.first()?.len();
    let turns = frames as f64;
    let size = 2 * frames.next_power_of_two();
    let resolution = 1.0 / turns;
    let mut best: Option<Peak> = None;
    let chances = (size / 2 * sums.len()) as f64;
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
            let stands_out = *power > (chances.ln() + ABOVE_NOISE) * noise;
            if stands_out && best.as_ref().is_none_or(|best| *power > best.power) {
                best = Some(Peak { kind, per_turn, power: *power });
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
