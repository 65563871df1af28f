//! All chapters of a recording together, as the job wants them.

use std::f64::consts::{FRAC_PI_2, TAU};

use num_complex::Complex64;

use super::HARMONICS;
use super::chapter::{FEWEST_TURNS, Part, PulseCount, SensorPart};
use super::extracted::ToneKind;
use super::setup::{CaptureSetup, SensorSetup};
use super::steady::STEADY;
use super::{CaptureCaution, CaptureFault, Extracted, ExtractedReading, Harmonic, Tone, tones::is_mains};
use crate::chance::f_quantile;
use crate::quantity::{Angle, Reading};
use crate::run::{MassAngle, Phase};

/// A jitter of the pulses above this many degrees is told.
const JITTER_TOLD: f64 = 1.0;
/// Speeds further apart than this share are told.
const SPEED_TOLD: f64 = 0.02;
/// Two sided, 1.96 sigma.
const NORMAL_95: f64 = 1.959_963_984_540_054;
/// No phase at all: one sigma of an even law over the whole turn, 180°/√3 in degrees.
const NO_PHASE: f64 = 103.923_048_454_132_64;

/// Puts the parts together whose speed is alike: those with the most turns.
pub(super) fn put_together(
    setup: &CaptureSetup,
    parts: &[Part],
    pulses: &PulseCount,
    seconds: f64,
) -> Result<Extracted, CaptureFault> {
    let parts = alike(parts);
    let turns: usize = parts.iter().map(|part| part.turns).sum();
    let used: f64 = parts.iter().map(|part| part.to - part.from).sum();
    let (Some(first), Some(last)) = (parts.first(), parts.last()) else {
        return Err(nothing(pulses, seconds));
    };
    let range =
        parts.iter().fold(first.range, |(slow, fast), part| (slow.min(part.range.0), fast.max(part.range.1)));
    let speed = turns as f64 / used;
    let weights =
        parts.iter().map(|part| part.turns as f64 * part.jitter * part.jitter).sum::<f64>() / turns as f64;
    let mut whole = Extracted {
        speed_rpm: 60.0 * speed,
        speed_range_rpm: (60.0 * range.0, 60.0 * range.1),
        turns,
        stretch: (first.from, last.to),
        pulse_jitter: Angle::from_degrees(weights.sqrt().to_degrees()).unwrap_or(Angle::ZERO),
        sensors: Vec::new(),
        cautions: Vec::new(),
    };
    of_pulses(&mut whole, pulses, used, seconds);
    for (number, sensor) in setup.sensors.iter().enumerate() {
        let of_sensor: Option<Vec<(&Part, &SensorPart)>> =
            parts.iter().map(|part| Some((*part, part.sensors.get(number)?.as_ref()?))).collect();
        let Some(of_sensor) = of_sensor else {
            return Err(CaptureFault::Inseparable { sensor: sensor.name.clone(), turns });
        };
        let face = Face::of(setup, sensor, TAU * speed);
        let reading = reading(sensor, &face, &of_sensor, TAU * speed, &mut whole.cautions);
        whole.sensors.push(reading);
    }
    Ok(whole)
}

fn nothing(pulses: &PulseCount, seconds: f64) -> CaptureFault {
    let needed = FEWEST_TURNS;
    if pulses.astray * 5 > pulses.pulses {
        return CaptureFault::PulsesAstray { pulses: pulses.pulses, astray: pulses.astray };
    }
    match pulses.range {
        Some((slow, fast)) if fast > 1.03 * slow && pulses.longest >= needed || fast > STEADY * slow => {
            CaptureFault::SpeedNotSteady {
                slowest: 60.0 * slow,
                fastest: 60.0 * fast,
                turns: pulses.longest,
                needed,
            }
        }
        _ => CaptureFault::TooShort { turns: pulses.longest, seconds, needed },
    }
}

/// The parts within a band of speed that together have the most turns.
fn alike(parts: &[Part]) -> Vec<&Part> {
    let speed = |part: &Part| part.turns as f64 / (part.to - part.from);
    let band = |slowest: f64| {
        parts
            .iter()
            .filter(move |part| (slowest..=slowest * STEADY.sqrt()).contains(&speed(part)))
            .collect::<Vec<_>>()
    };
    let turns = |band: &Vec<&Part>| band.iter().map(|part| part.turns).sum::<usize>();
    parts.iter().map(|part| band(speed(part))).max_by_key(turns).unwrap_or_default()
}

fn of_pulses(whole: &mut Extracted, pulses: &PulseCount, used: f64, seconds: f64) {
    let cautions = &mut whole.cautions;
    if pulses.missing > 0 {
        cautions.push(CaptureCaution::PulsesMissing {
            count: pulses.missing,
            pulses: pulses.pulses - pulses.extra + pulses.missing,
        });
    }
    if pulses.extra > 0 {
        cautions.push(CaptureCaution::PulsesExtra { count: pulses.extra });
    }
    if pulses.dirty > 0 {
        cautions.push(CaptureCaution::PulsesDirty { count: pulses.dirty, worst: 360.0 * pulses.worst });
    }
    if whole.pulse_jitter.degrees() > JITTER_TOLD {
        cautions.push(CaptureCaution::PulseJitter { degrees: whole.pulse_jitter.degrees() });
    }
    let (slowest, fastest) = whole.speed_range_rpm;
    if fastest > (1.0 + SPEED_TOLD) * slowest {
        cautions.push(CaptureCaution::SpeedVaried { slowest, fastest });
    }
    if used < 0.9 * seconds {
        cautions.push(CaptureCaution::PartUsed { used, of: seconds });
    }
    for times in 1..=2_u32 {
        let hertz = f64::from(times) * whole.speed_rpm / 60.0;
        let mains = [50.0, 60.0].into_iter().find(|mains| (hertz - mains).abs() * used < 2.0);
        if let Some(mains) = mains {
            cautions.push(CaptureCaution::MainsAtHarmonic { mains, times: times as usize });
        }
    }
}

/// From recorded values and lag behind the pulse to what the job shows.
struct Face {
    /// Unit of the recording to unit of the reading at once per turn; peak, peak-to-peak or rms.
    amount: f64,
    /// How often the signal is integrated (negative: differentiated).
    integrations: i32,
    /// Lag of the pulse behind the zero mark in radians.
    pulse: f64,
    correction: Complex64,
    is_lead: bool,
    /// Radians a second.
    speed: f64,
}

impl Face {
    fn of(setup: &CaptureSetup, sensor: &SensorSetup, speed: f64) -> Self {
        let (from, to) = (&sensor.picks_up, &sensor.reads.unit);
        let integrations = match (from.motion(), to.motion()) {
            (Some(from), Some(to)) => from.derivative() - to.derivative(),
            _ => 0,
        };
        let against = setup.convention.mass_angle == MassAngle::AgainstRotation;
        let is_lead = match setup.convention.phase {
            Phase::Lag => false,
            Phase::Lead => true,
            Phase::SameWayAsMasses | Phase::NotShown => !against,
            Phase::OppositeToMasses => against,
        };
        let pulse = setup.pulse.at.radians();
        Self {
            amount: sensor.scale * from.si() / to.si() * sensor.reads.measure.of_peak(),
            integrations,
            pulse: if against { pulse } else { -pulse },
            correction: sensor.phase_correction.unit_vector(),
            is_lead,
            speed,
        }
    }

    /// What a lag vector is multiplied by at so many times per turn.
    ///
    /// The integral of A·cos(ωt − φ) is A/ω·cos(ωt − φ − 90°): each integration adds a quarter turn of lag.
    fn turn(&self, times: usize) -> Complex64 {
        let times = times as f64;
        let size = self.amount * (times * self.speed).powi(-self.integrations);
        Complex64::from_polar(size.abs(), times * self.pulse + FRAC_PI_2 * f64::from(self.integrations))
            * if size < 0.0 { -1.0 } else { 1.0 }
    }

    fn show(&self, vector: Complex64, times: usize) -> Complex64 {
        let lag = vector * self.turn(times);
        let counted = if self.is_lead { lag.conj() } else { lag };
        // The correction is known at the running speed only.
        if times == 1 { counted * self.correction } else { counted }
    }

    fn show_covariance(&self, covariance: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
        let across = self.show(Complex64::ONE, 1);
        let up = self.show(Complex64::I, 1);
        let along = [[across.re, up.re], [across.im, up.im]];
        let mut shown = [[0.0; 2]; 2];
        for (i, row) in shown.iter_mut().enumerate() {
            for (j, entry) in row.iter_mut().enumerate() {
                for k in 0..2 {
                    for l in 0..2 {
                        *entry += along[i][k] * covariance[k][l] * along[j][l];
                    }
                }
            }
        }
        shown
    }

    /// Amplitude of a tone at so many radians a second.
    fn tone(&self, amplitude: f64, per_second: f64) -> f64 {
        (self.amount * per_second.powi(-self.integrations)).abs() * amplitude
    }
}

fn reading(
    sensor: &SensorSetup,
    face: &Face,
    parts: &[(&Part, &SensorPart)],
    speed: f64,
    cautions: &mut Vec<CaptureCaution>,
) -> ExtractedReading {
    let pooled = Pooled::of(parts);
    if let Some(times) = pooled.changed {
        cautions.push(CaptureCaution::ReadingChanged { sensor: sensor.name.clone(), times });
    }
    let shown: Vec<Harmonic> = (1..=HARMONICS)
        .map(|times| Harmonic {
            times,
            reading: Reading::from_vector(face.show(pooled.harmonics[times - 1], times)),
        })
        .collect();
    let (reading, twice) = (shown[0].reading, shown[1].reading);
    let covariance = face.show_covariance(pooled.covariance);
    let widening = f_quantile(0.95, 1.0, pooled.degrees_of_freedom).sqrt() / NORMAL_95;
    let (along, across) = along_and_across(covariance, reading.vector());
    let amplitude_uncertainty = widening * along;
    let phase = (widening * across / reading.amplitude()).to_degrees();
    let phase = if phase.is_finite() { phase.min(NO_PHASE) } else { NO_PHASE };
    if reading.amplitude() < 2.0 * widening * along.max(across) {
        cautions.push(CaptureCaution::NearNoise { sensor: sensor.name.clone() });
    } else if twice.amplitude() > reading.amplitude() {
        cautions.push(CaptureCaution::TwicePerTurn {
            sensor: sensor.name.clone(),
            twice: twice.amplitude(),
            once: reading.amplitude(),
        });
    }
    let tones = tones(face, parts, speed);
    for tone in &tones {
        cautions.push(CaptureCaution::ToneTakenOut {
            sensor: sensor.name.clone(),
            frequency: tone.frequency_hz,
            per_turn: tone.per_turn,
            amplitude: tone.amplitude,
            unit: sensor.reads.to_string(),
        });
    }
    ExtractedReading {
        name: sensor.name.clone(),
        unit: sensor.reads.clone(),
        reading,
        amplitude_uncertainty,
        phase_uncertainty: Angle::from_degrees(phase).unwrap_or(Angle::ZERO),
        covariance,
        degrees_of_freedom: pooled.degrees_of_freedom,
        blocks: pooled.blocks,
        twice_per_turn: twice,
        harmonics: shown,
        tones,
        left_over_rms: pooled.left_over_rms * sensor.scale.abs(),
    }
}

/// One sigma along a vector and across it.
fn along_and_across(covariance: [[f64; 2]; 2], vector: Complex64) -> (f64, f64) {
    let unit = Angle::of(vector).unit_vector();
    let variance =
        |x: f64, y: f64| x * x * covariance[0][0] + 2.0 * x * y * covariance[0][1] + y * y * covariance[1][1];
    (variance(unit.re, unit.im).max(0.0).sqrt(), variance(-unit.im, unit.re).max(0.0).sqrt())
}

/// The tones of the longest part.
fn tones(face: &Face, parts: &[(&Part, &SensorPart)], speed: f64) -> Vec<Tone> {
    let longest = parts.iter().max_by_key(|(part, _)| part.turns);
    let own = longest.map_or(&[][..], |(_, own)| own.tones.as_slice());
    own.iter()
        .map(|tone| {
            let per_second = tone.per_second(speed);
            let mains = tone.kind == ToneKind::Clock && is_mains(per_second / TAU);
            Tone {
                kind: tone.kind,
                is_mains: mains,
                frequency_hz: per_second / TAU,
                per_turn: per_second / speed,
                amplitude: face.tone(tone.cosine.hypot(tone.sine), per_second),
            }
        })
        .collect()
}

/// The parts' readings as one, each with the weight of its samples.
struct Pooled {
    harmonics: [Complex64; HARMONICS],
    covariance: [[f64; 2]; 2],
    degrees_of_freedom: f64,
    blocks: usize,
    left_over_rms: f64,
    /// How many times more the parts scatter than they say themselves, if it is too much for chance.
    changed: Option<f64>,
}

impl Pooled {
    fn of(parts: &[(&Part, &SensorPart)]) -> Self {
        let samples: f64 = parts.iter().map(|(part, _)| part.samples as f64).sum();
        let mut own = Self {
            harmonics: [Complex64::ZERO; HARMONICS],
            covariance: [[0.0; 2]; 2],
            degrees_of_freedom: 0.0,
            blocks: 0,
            left_over_rms: 0.0,
            changed: None,
        };
        let (mut variance, mut squares) = (0.0, 0.0);
        for (part, sensor) in parts {
            let share = part.samples as f64 / samples;
            for (sum, one) in own.harmonics.iter_mut().zip(&sensor.harmonics) {
                *sum += one * share;
            }
            for (sums, ones) in own.covariance.iter_mut().zip(&sensor.covariance) {
                for (sum, one) in sums.iter_mut().zip(ones) {
                    *sum += share * share * one;
                }
            }
            let trace = share * share * (sensor.covariance[0][0] + sensor.covariance[1][1]);
            variance += trace;
            squares += trace * trace / sensor.degrees_of_freedom;
            own.blocks += sensor.blocks;
            own.left_over_rms += sensor.left_over;
        }
        own.left_over_rms = (own.left_over_rms / samples).sqrt();
        own.degrees_of_freedom = if squares > 0.0 { variance * variance / squares } else { 1.0 };
        own.widen_for_change(parts);
        own
    }

    /// Parts that scatter more than they say themselves: the reading changed, and their scatter about the mean counts.
    fn widen_for_change(&mut self, parts: &[(&Part, &SensorPart)]) {
        let free = parts.len() as f64 - 1.0;
        if free < 1.0 {
            return;
        }
        let off: f64 = parts
            .iter()
            .map(|(_, own)| {
                let [[xx, xy], [_, yy]] = own.covariance;
                let off = own.harmonics[0] - self.harmonics[0];
                (yy * off.re * off.re - 2.0 * xy * off.re * off.im + xx * off.im * off.im)
                    / (xx * yy - xy * xy)
            })
            .sum();
        let ratio = off / (2.0 * free);
        if ratio.is_finite() && ratio > f_quantile(0.999, 2.0 * free, self.degrees_of_freedom) {
            self.changed = Some(ratio.sqrt());
            let samples: f64 = parts.iter().map(|(part, _)| part.samples as f64).sum();
            let shares = parts.iter().map(|(part, _)| part.samples as f64 / samples);
            let kept = 1.0 - shares.clone().map(|share| share * share).sum::<f64>();
            for (share, (_, own)) in shares.zip(parts) {
                let off = (own.harmonics[0] - self.harmonics[0]) * share;
                let products = [[off.re * off.re, off.re * off.im], [off.re * off.im, off.im * off.im]];
                for (sum, product) in self.covariance.iter_mut().flatten().zip(products.iter().flatten()) {
                    *sum += product / kept;
                }
            }
            self.degrees_of_freedom = self.degrees_of_freedom.min(2.0 * free);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// So many pulses of which some are astray, with a longest steady stretch of so many turns.
    fn counted(astray: usize, longest: usize, range: Option<(f64, f64)>) -> CaptureFault {
        nothing(&PulseCount { pulses: 20, astray, longest, range, ..PulseCount::default() }, 1.5)
    }

    /// What is told of ten seconds at this speed.
    fn told(
        pulses: PulseCount,
        speed_rpm: f64,
        speed_range_rpm: (f64, f64),
        jitter: f64,
        seconds: f64,
    ) -> Vec<CaptureCaution> {
        let mut whole = Extracted {
            speed_rpm,
            speed_range_rpm,
            turns: 200,
            stretch: (0.0, 10.0),
            pulse_jitter: Angle::from_degrees(jitter).unwrap(),
            sensors: Vec::new(),
            cautions: Vec::new(),
        };
        of_pulses(&mut whole, &pulses, 10.0, seconds);
        whole.cautions
    }

    #[test]
    fn what_is_told_of_pulses_and_speed() {
        let clean = PulseCount { pulses: 201, ..PulseCount::default() };
        let steady = |pulses| told(pulses, 1200.0, (1190.0, 1210.0), 0.2, 10.5);
        assert_eq!(steady(clean), []);
        // 201 seen, two of them no turn's, three turns without: 202 there should have been.
        let bad = PulseCount { missing: 3, extra: 2, dirty: 1, worst: 0.02, ..clean };
        assert_eq!(
            steady(bad),
            [
                CaptureCaution::PulsesMissing { count: 3, pulses: 202 },
                CaptureCaution::PulsesExtra { count: 2 },
                CaptureCaution::PulsesDirty { count: 1, worst: 7.2 }
            ]
        );
        let of_speed = |slowest, fastest| told(clean, 1200.0, (slowest, fastest), 0.2, 10.5);
        assert_eq!(of_speed(1190.0, 1213.0), []);
        let varied = CaptureCaution::SpeedVaried { slowest: 1190.0, fastest: 1215.0 };
        assert_eq!(of_speed(1190.0, 1215.0), [varied]);
        let of_jitter = |degrees| told(clean, 1200.0, (1190.0, 1210.0), degrees, 10.5);
        assert_eq!(of_jitter(0.9), []);
        assert!(
            matches!(of_jitter(1.1)[..], [CaptureCaution::PulseJitter { degrees }] if (degrees - 1.1).abs() < 1e-12)
        );
        let of_length = |seconds| told(clean, 1200.0, (1190.0, 1210.0), 0.2, seconds);
        assert_eq!(of_length(11.0), []);
        assert_eq!(of_length(11.5), [CaptureCaution::PartUsed { used: 10.0, of: 11.5 }]);
        // Over ten seconds a beat of less than 0.2 Hz with 50 or 60 Hz takes fewer than two turns.
        let at = |rpm: f64| told(clean, rpm, (rpm, rpm), 0.2, 10.5);
        let mains = |mains, times| vec![CaptureCaution::MainsAtHarmonic { mains, times }];
        assert_eq!((at(3000.0), at(1505.0), at(1800.0)), (mains(50.0, 1), mains(50.0, 2), mains(60.0, 2)));
        assert_eq!((at(3605.0), at(1507.0), at(1000.0)), (mains(60.0, 1), vec![], vec![]));
    }

    #[test]
    fn why_there_is_nothing() {
        // More than a fifth of the pulses fits no turn, whatever else there is.
        assert_eq!(counted(5, 3, Some((10.0, 20.0))), CaptureFault::PulsesAstray { pulses: 20, astray: 5 });
        let short = |turns| CaptureFault::TooShort { turns, seconds: 1.5, needed: 8 };
        assert_eq!(counted(4, 3, None), short(3));
        // Turns enough, or a speed that changes by more than a tenth: it is the speed that is at fault.
        let not_steady =
            |slowest, fastest, turns| CaptureFault::SpeedNotSteady { slowest, fastest, turns, needed: 8 };
        assert_eq!(counted(4, 3, Some((10.0, 11.5))), not_steady(600.0, 690.0, 3));
        assert_eq!(counted(0, 3, Some((10.0, 10.5))), short(3));
        assert_eq!(counted(0, 8, Some((10.0, 10.5))), not_steady(600.0, 630.0, 8));
        assert_eq!(counted(0, 8, Some((10.0, 10.2))), short(8));
    }
}
