//! Tones in what the fit leaves over: a slipping belt in step with the shaft, mains hum in step with the clock.
//!
//! # Method
//!
//! What is left over is cut into turns, and in each the part near every multiple of the turn is summed; the spectrum of
//! these sums over the turns tells how far off the multiple a tone lies. For the clock each turn's sum is first turned by
//! as much as the shaft is ahead of its mean speed. A peak far above the median around it is a tone. The same sums give
//! its frequency, amplitude and phase nearly; all tones are then fitted jointly with all the rest by Gauss and Newton's
//! steps over every point, which cost most of the time: so they begin as near as they can.

use std::f64::consts::{PI, TAU};

use num_complex::Complex64;

use super::HARMONICS;
use super::extracted::ToneKind;
use super::fit::{Fit, Sums, left_over, with_tones};
use super::model::{MOST, MOST_TONES, Stage, ToneFit, cosine_of, tone_at};
use crate::linear::{RVector, Spectra};

/// A peak is a tone if its power is so many times the mean of noise, besides the logarithm of how many peaks noise has
/// a chance to make: noise alone passes once in some 3000 spectra.
const ABOVE_NOISE: f64 = 8.0;
/// A tone nearer to a multiple of the turn, in turns of the beat over the stretch, is not told from it.
const APART: f64 = 1.0;
/// A tone that widens the reading's variance by more than this factor is left in.
const MOST_WIDENED: f64 = 4.0;
/// Bins in which the median of the noise is taken.
const NEAR: usize = 48;
/// Narrowings of the frequency about its peak, each to 0.618 of its width.
const NARROWED: usize = 14;
/// Steps of Gauss and Newton at most: a tone that hardly stands out of the noise moves on a little with each.
const STEPS: usize = 6;
/// A step of the frequency that turns the ends of the stretch by less than this many radians is the last, as long as
/// more tones are looked for, and at the end. What a step leaves is of the order of its square.
const SETTLED: (f64, f64) = (0.02, 1e-6);

/// The fit of one sensor with every tone that is found.
///
/// `base` are the sums without tones. `None` if not even the fit without tones works.
pub(super) fn fit_with_tones(stage: &Stage<'_>, sensor: usize, base: &Sums) -> Option<(Fit, Vec<ToneFit>)> {
    let plain = base.fit(sensor, base.normal()?)?;
    let allowed = MOST_WIDENED * plain.normal.inverse()[(cosine_of(1), cosine_of(1))];
    let mut best = (plain, Vec::new());
    while best.1.len() < MOST_TONES {
        let left = Turns::of(stage, sensor, &best);
        let Some(found) = strongest(stage, &left, &best.1) else { break };
        let tones = best.1.iter().copied().chain([found]).collect();
        let Some(refined) = refine((stage, sensor, base), tones, allowed, SETTLED.0) else { break };
        best = refined;
    }
    if best.1.is_empty() {
        return Some(best);
    }
    refine((stage, sensor, base), best.1.clone(), allowed, SETTLED.1).or(Some(best))
}

/// Fits the tones' frequencies, beginning near them. `None` if one runs away or the reading can no longer be told.
fn refine(
    (stage, sensor, base): (&Stage<'_>, usize, &Sums),
    mut tones: Vec<ToneFit>,
    allowed: f64,
    settled: f64,
) -> Option<(Fit, Vec<ToneFit>)> {
    let begun = tones.clone();
    for step in 0..STEPS {
        let sums = with_tones(base, stage, sensor, &tones);
        let fit = sums.fit(0, sums.normal()?)?;
        let turns: Vec<f64> = (0..tones.len()).map(|number| fit.solution[tone_at(number) + 2]).collect();
        take_amplitudes(&mut tones, &fit.solution);
        for ((tone, turn), begun) in tones.iter_mut().zip(&turns).zip(&begun) {
            let half = stage.half_length(tone.kind);
            tone.frequency += turn / half;
            // One turn of the beat over the stretch.
            if (tone.frequency - begun.frequency).abs() * half > PI {
                return None;
            }
        }
        if turns.iter().all(|turn| turn.abs() < settled) || step + 1 == STEPS {
            let variance = fit.normal.inverse()[(cosine_of(1), cosine_of(1))];
            return (variance <= allowed).then_some((fit, tones));
        }
    }
    None
}

fn take_amplitudes(tones: &mut [ToneFit], solution: &RVector) {
    for (number, tone) in tones.iter_mut().enumerate() {
        (tone.cosine, tone.sine) = (solution[tone_at(number)], solution[tone_at(number) + 1]);
    }
}

/// A peak of a spectrum.
struct Peak {
    /// Times per turn, or per mean turn.
    per_turn: f64,
    /// Width of a bin.
    bin: f64,
    /// Its power: the same tone shows in other multiples too, weaker.
    power: f64,
}

/// The strongest tone that is left, in step with the shaft or with the clock.
fn strongest(stage: &Stage<'_>, left: &Turns, tones: &[ToneFit]) -> Option<ToneFit> {
    let mean = stage.angle_span.1 / stage.time_span.1;
    let unit = |kind: ToneKind| match kind {
        ToneKind::Shaft => 1.0,
        ToneKind::Clock => mean,
    };
    let taken: Vec<f64> = tones.iter().map(|tone| tone.frequency / unit(tone.kind)).collect();
    let found = |kind: ToneKind, peak: &Peak| left.tone(stage, kind, peak, unit(kind));
    let shaft = peak(&left.sums, &taken);
    let clock = peak(&left.by_clock(mean), &taken);
    match (shaft, clock) {
        (Some(shaft), Some(clock)) => {
            // At a steady speed both say the same: mains frequency then decides, or the better fit.
            let alike = (0.8..1.25).contains(&(shaft.power / clock.power));
            let (by_shaft, by_clock) = (found(ToneKind::Shaft, &shaft), found(ToneKind::Clock, &clock));
            let keeps_time = alike && is_mains(clock.per_turn * mean / TAU);
            Some(if keeps_time || by_clock.1 > by_shaft.1 { by_clock.0 } else { by_shaft.0 })
        }
        (Some(shaft), None) => Some(found(ToneKind::Shaft, &shaft).0),
        (None, Some(clock)) => Some(found(ToneKind::Clock, &clock).0),
        (None, None) => None,
    }
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
    /// Of each turn the middle, angle in radians and time, and its samples.
    turns: Vec<Turn>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Turn {
    angle: f64,
    time: f64,
    samples: f64,
}

impl Turns {
    fn of(stage: &Stage<'_>, sensor: usize, (fit, tones): &(Fit, Vec<ToneFit>)) -> Self {
        let begin = stage.angle_span.0 - stage.angle_span.1;
        let count = (stage.angle_span.1 / TAU * 2.0).round().max(1.0) as usize;
        let mut sums = vec![[Complex64::ZERO; HARMONICS + 1]; count];
        let mut turns = vec![Turn::default(); count];
        let mut points = vec![0.0_f64; count];
        let mut columns = [0.0; MOST];
        for (at, (&angle, &(cosine, sine))) in stage.angle.iter().zip(&stage.turn).enumerate() {
            let left = left_over(stage, (sensor, at), tones, &fit.solution, &mut columns);
            let turn = (((angle - begin) / TAU) as usize).min(count - 1);
            points[turn] += 1.0;
            turns[turn].time += stage.time[at];
            turns[turn].samples += stage.weight[at];
            let step = Complex64::new(cosine, -sine);
            let mut wave = Complex64::new(left, 0.0);
            for sum in &mut sums[turn] {
                *sum += wave;
                wave *= step;
            }
        }
        for (number, (turn, points)) in turns.iter_mut().zip(points).enumerate() {
            turn.angle = begin + TAU * (number as f64 + 0.5);
            turn.time /= points.max(1.0);
        }
        let of_multiple = |multiple: usize| sums.iter().map(|own| own[multiple]).collect();
        Self { sums: (0..=HARMONICS).map(of_multiple).collect(), turns }
    }

    /// The same as the clock sees it at a mean speed in radians a second.
    fn by_clock(&self, mean: f64) -> Vec<Vec<Complex64>> {
        let Some(first) = self.turns.first() else { return Vec::new() };
        let ahead = self.turns.iter().map(|own| own.angle - first.angle - mean * (own.time - first.time));
        let steps: Vec<Complex64> = ahead.map(Complex64::cis).collect();
        let turned = |(multiple, sums): (usize, &Vec<Complex64>)| {
            sums.iter().zip(&steps).map(|(sum, step)| sum * step.powu(multiple as u32)).collect()
        };
        self.sums.iter().enumerate().map(turned).collect()
    }

    /// The tone at a peak, and the power that it explains; its frequency is `unit` times that per turn.
    fn tone(&self, stage: &Stage<'_>, kind: ToneKind, peak: &Peak, unit: f64) -> (ToneFit, f64) {
        let at = |per_turn: f64| self.wave(stage, kind, per_turn * unit, per_turn);
        let (mut low, mut high) = (peak.per_turn - peak.bin, peak.per_turn + peak.bin);
        let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
        let (mut left, mut right) = (high - golden * (high - low), low + golden * (high - low));
        let (mut by_left, mut by_right) = (at(left).explained, at(right).explained);
        for _ in 0..NARROWED {
            if by_left > by_right {
                (high, right, by_right) = (right, left, by_left);
                left = high - golden * (high - low);
                by_left = at(left).explained;
            } else {
                (low, left, by_left) = (left, right, by_right);
                right = low + golden * (high - low);
                by_right = at(right).explained;
            }
        }
        let per_turn = 0.5 * (low + high);
        let wave = at(per_turn);
        let beyond = PI * (per_turn - per_turn.round());
        let seen = if beyond == 0.0 { 1.0 } else { beyond.sin() / beyond };
        let vector = 2.0 * wave.amplitude / seen;
        let tone = ToneFit { kind, frequency: per_turn * unit, cosine: vector.re, sine: -vector.im };
        (tone, wave.explained)
    }

    /// What a wave of this frequency has in common with the sums near its multiple of the turn, of which the fit has
    /// already taken what is always the same.
    fn wave(&self, stage: &Stage<'_>, kind: ToneKind, frequency: f64, per_turn: f64) -> Wave {
        let multiple = per_turn.round();
        let (mut shared, mut sum, mut squares) = (Complex64::ZERO, Complex64::ZERO, 0.0);
        let sums = self.sums.get(multiple as usize).map_or(&[][..], Vec::as_slice);
        for (own, turn) in sums.iter().zip(&self.turns) {
            let place = match kind {
                ToneKind::Shaft => turn.angle - stage.angle_span.0,
                ToneKind::Clock => turn.time - stage.time_span.0,
            };
            let wave = Complex64::from_polar(turn.samples, frequency * place - multiple * turn.angle);
            shared += own * wave.conj();
            sum += wave;
            squares += turn.samples * turn.samples;
        }
        let free = squares - sum.norm_sqr() / f64::max(sums.len() as f64, 1.0);
        Wave { amplitude: shared / free, explained: shared.norm_sqr() / free }
    }
}

/// A wave beside what is left over.
struct Wave {
    /// Half the tone's vector where its phase is counted from, less what a turn's mean takes off it.
    amplitude: Complex64,
    explained: f64,
}

/// The strongest peak that stands out of the noise, away from multiples of the turn and from `taken`.
fn peak(sums: &[Vec<Complex64>], taken: &[f64]) -> Option<Peak> {
    let frames = sums.first()?.len();
    let turns = frames as f64;
    let size = 2 * frames.next_power_of_two();
    let resolution = 1.0 / turns;
    let mut best: Option<Peak> = None;
    let chances = (size / 2 * sums.len()) as f64;
    let spectra = Spectra::of(size);
    for (multiple, sum) in sums.iter().enumerate() {
        let spectrum = spectra.powers(sum);
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
                best = Some(Peak { per_turn, bin: 1.0 / size as f64, power: *power });
            }
        }
    }
    best
}

/// Mean power of the noise around each bin, from medians: the median of an exponential law is ln 2 of its mean.
fn noise_floor(spectrum: &[f64]) -> Vec<f64> {
    let middle = |part: &[f64]| {
        let (mut own, at) = (part.to_vec(), part.len() / 2);
        if own.is_empty() { 0.0 } else { *own.select_nth_unstable_by(at, f64::total_cmp).1 }
    };
    let whole = middle(spectrum);
    let parts = spectrum.len().div_ceil(NEAR).max(1);
    let size = spectrum.len().div_ceil(parts).max(1);
    let floor = |part: &[f64]| middle(part).max(0.25 * whole).max(f64::MIN_POSITIVE) / std::f64::consts::LN_2;
    spectrum.chunks(size).flat_map(|part| std::iter::repeat_n(floor(part), part.len())).collect()
}

#[cfg(test)]
mod tests {
    use super::super::fit::base_sums;
    use super::*;

    /// A hundred turns in four seconds at a speed that wanders, twenty points to each.
    struct Recorded {
        time: Vec<f64>,
        angle: Vec<f64>,
        weight: Vec<f64>,
        values: Vec<f64>,
    }

    const TURNS: f64 = 100.0;
    const SECONDS: f64 = 4.0;

    impl Recorded {
        /// With this signal at (radians from the middle, seconds from the middle) beside once and twice per turn.
        fn of(mut beside: impl FnMut(f64, f64) -> f64) -> Self {
            let count = 2000;
            let angle: Vec<f64> =
                (0..count).map(|at| TAU * TURNS * (f64::from(at) + 0.5) / f64::from(count)).collect();
            let time: Vec<f64> =
                angle.iter().map(|own| SECONDS * own / (TAU * TURNS) + 0.02 * (own / TURNS).sin()).collect();
            let values = angle.iter().zip(&time).map(|(angle, time)| {
                let in_step = 0.5 + 3.0 * (angle - 1.0).cos() + 0.4 * (2.0 * angle).sin();
                in_step + beside(angle - PI * TURNS, time - SECONDS / 2.0)
            });
            Self { values: values.collect(), time, weight: vec![1.0; angle.len()], angle }
        }

        fn stage(&self) -> Stage<'_> {
            let turn = |angle: &f64| (angle.cos(), angle.sin());
            Stage {
                time: &self.time,
                weight: &self.weight,
                values: vec![&self.values],
                turn: self.angle.iter().map(turn).collect(),
                angle: self.angle.clone(),
                blocks: (0..=20).map(|block| block * self.angle.len() / 20).collect(),
                angle_span: (PI * TURNS, PI * TURNS),
                time_span: (SECONDS / 2.0, SECONDS / 2.0),
            }
        }
    }

    /// A little noise, always the same.
    fn noise() -> impl FnMut() -> f64 {
        let mut state = 417_u64;
        move || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            0.04 * ((state >> 40) as f64 / 16_777_216.0 - 0.5)
        }
    }

    const SLIP: ToneFit = ToneFit { kind: ToneKind::Shaft, frequency: 0.873, cosine: 0.6, sine: -0.35 };
    const HUM: ToneFit = ToneFit { kind: ToneKind::Clock, frequency: TAU * 60.0, cosine: -0.2, sine: 0.3 };

    fn wave(tone: ToneFit, angle: f64, time: f64) -> f64 {
        let place = if tone.kind == ToneKind::Shaft { angle } else { time };
        tone.cosine * (tone.frequency * place).cos() + tone.sine * (tone.frequency * place).sin()
    }

    /// How far off the phase at the ends and the vector of a tone are.
    fn off(stage: &Stage<'_>, found: ToneFit, tone: ToneFit) -> (f64, f64) {
        let turned = (found.frequency - tone.frequency).abs() * stage.half_length(tone.kind);
        (turned, (found.cosine - tone.cosine).hypot(found.sine - tone.sine))
    }

    #[test]
    fn steps_lead_to_the_frequency_until_it_settles() {
        for tone in [SLIP, HUM] {
            let recorded = Recorded::of(|angle, time| wave(tone, angle, time));
            let stage = recorded.stage();
            let base = base_sums(&stage);
            for ahead in [-0.8, 0.0, 0.3, 0.8] {
                let frequency = tone.frequency + ahead / stage.half_length(tone.kind);
                let begun = vec![ToneFit { frequency, ..tone }];
                let (_, found) = refine((&stage, 0, &base), begun, f64::INFINITY, SETTLED.1).unwrap();
                let (turned, vector) = off(&stage, found[0], tone);
                assert!(turned < 1e-6 && vector < 1e-6, "{tone:?} from {ahead}: {turned} {vector}");
            }
            // What widens the reading too much is left in.
            assert!(refine((&stage, 0, &base), vec![tone], 0.0, SETTLED.1).is_none());
        }
    }

    #[test]
    fn the_strongest_tone_is_found_near_to_where_it_is() {
        let mut noise = noise();
        let recorded = Recorded::of(|angle, time| wave(SLIP, angle, time) + noise());
        let stage = recorded.stage();
        let base = base_sums(&stage);
        let plain = base.fit(0, base.normal().unwrap()).unwrap();
        let found = strongest(&stage, &Turns::of(&stage, 0, &(plain, Vec::new())), &[]).unwrap();
        let (turned, vector) = off(&stage, found, SLIP);
        assert!(
            found.kind == ToneKind::Shaft && turned < 0.1 && vector < 0.05,
            "{found:?} {turned} {vector}"
        );
    }

    #[test]
    fn a_slip_and_hum_are_told_apart_and_noise_is_no_tone() {
        let mut noise = noise();
        let fitted = |recorded: &Recorded| {
            let stage = recorded.stage();
            fit_with_tones(&stage, 0, &base_sums(&stage)).unwrap()
        };
        let recorded = Recorded::of(|angle, time| wave(SLIP, angle, time) + wave(HUM, angle, time) + noise());
        let (fit, tones) = fitted(&recorded);
        assert_eq!(tones.len(), 2, "{tones:?}");
        for tone in [SLIP, HUM] {
            let own = tones.iter().find(|own| own.kind == tone.kind).unwrap();
            let (turned, vector) = off(&recorded.stage(), *own, tone);
            // Noise of 0.02/√3 on two thousand points: 0.0004 of the vector.
            assert!(turned < 0.01 && vector < 0.002, "{own:?} {turned} {vector}");
        }
        let once = Complex64::new(fit.solution[cosine_of(1)], fit.solution[cosine_of(1) + 1]);
        assert!((once - Complex64::from_polar(3.0, 1.0)).norm() < 0.002, "{once}");
        assert!(fitted(&Recorded::of(|_, _| noise())).1.is_empty());
    }

    #[test]
    fn mains_and_its_multiples() {
        for hertz in [50.0, 60.0, 50.2, 59.75, 100.0, 180.0, 300.0, 360.0, 301.4] {
            assert!(is_mains(hertz), "{hertz}");
        }
        for hertz in [0.0, 25.0, 50.3, 55.0, 59.6, 101.1, 350.0, 420.0] {
            assert!(!is_mains(hertz), "{hertz}");
        }
    }

    /// Powers that follow an exponential law of mean 3 in every part, and one peak.
    #[test]
    fn the_floor_is_the_mean_of_the_noise_whatever_the_peaks() {
        let mut powers: Vec<f64> =
            (0..480).map(|at| -3.0 * (1.0 - (f64::from(at * 29 % 48) + 0.5) / 48.0).ln()).collect();
        powers[100] = 1e6;
        let floor = noise_floor(&powers);
        assert_eq!(floor.len(), powers.len());
        assert!(floor.iter().all(|own| (own / 3.0 - 1.0).abs() < 0.1), "{floor:?}");
        assert!(noise_floor(&[]).is_empty());
    }
}
