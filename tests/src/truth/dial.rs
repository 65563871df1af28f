//! From what a needle should show to what is read: noise, steps, the end of the scale, drift and gross errors.

use balance_core::Complex64;

use super::sheet::Shown;
use crate::random::Random;

/// How a needle that does not move is written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BelowAs {
    /// As a bound, "<x".
    Bound,
    /// As a plain zero.
    Zero,
}

/// How a stand's dials read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dial {
    /// Circular noise as a share of the reading (complex rms).
    pub noise: f64,
    /// Circular noise that is always there, mm/s (complex rms).
    pub floor: f64,
    /// In addition the phase wanders by this many degrees (one sigma).
    pub phase_noise: f64,
    /// The common part of the sensors' noise.
    pub correlation: f64,
    /// The share of grossly wrong readings.
    pub gross: f64,
    /// By how much the gain falls from nothing to a reading of 10 mm/s.
    pub compression: f64,
    /// By how much the gain grows (or falls) from one run to the next.
    pub gain_drift: f64,
    /// The change from one run to the next, as a share of the first reading, in any direction.
    pub drift: f64,
    /// The dial's steps, mm/s and degrees; 0: none.
    pub steps: (f64, f64),
    /// Below this it shows "<x".
    pub below: Option<f64>,
    /// What is written down below the scale.
    pub below_as: BelowAs,
    /// Above this it shows no more than this.
    pub top: f64,
    /// The share of the noise that is common to repeats of a run.
    pub lasting: f64,
    /// The number of runs after which a drift has reached 1 − 1/e of its end; infinite: it continues as it
    /// began.
    pub settles: f64,
}

impl Dial {
    /// Only noise: 2 % and 0.02 mm/s.
    #[must_use]
    pub const fn noisy(noise: f64) -> Self {
        Self {
            noise,
            floor: 0.02,
            phase_noise: 0.0,
            correlation: 0.0,
            gross: 0.0,
            compression: 0.0,
            gain_drift: 0.0,
            drift: 0.0,
            steps: (0.0, 0.0),
            below: None,
            below_as: BelowAs::Bound,
            top: f64::INFINITY,
            lasting: 0.0,
            settles: f64::INFINITY,
        }
    }
}

/// A dial in use on one shaft.
#[derive(Debug, Clone)]
pub struct DialInUse {
    dial: Dial,
    gain_drift: f64,
    drift: Option<Vec<Complex64>>,
    runs: f64,
    /// The noise common to repeats of the run, sensor by sensor.
    lasting: Vec<Complex64>,
}

impl DialInUse {
    /// At the first run.
    #[must_use]
    pub fn new(dial: Dial, random: &mut Random) -> Self {
        let sign = if random.below(2) == 0 { 1.0 } else { -1.0 };
        Self { dial, gain_drift: sign * dial.gain_drift, drift: None, runs: 0.0, lasting: Vec::new() }
    }

    /// Reads all sensors in the next run; `again`: a repeat of the run before.
    pub fn read(&mut self, truth: &[Complex64], again: bool, random: &mut Random) -> Vec<Shown> {
        let share = self.dial.drift;
        let any_way = |v: &Complex64| random.direction() * v.norm() * share;
        let drift = self.drift.take().unwrap_or_else(|| truth.iter().map(any_way).collect());
        let drifted: Vec<Complex64> =
            truth.iter().zip(&drift).map(|(v, d)| (v + d * self.gone()) * self.gain(*v)).collect();
        self.drift = Some(drift);
        self.runs += 1.0;
        let common = random.circular();
        if !again {
            self.lasting = truth.iter().map(|_| random.circular()).collect();
        }
        let needles = drifted.into_iter().zip(&self.lasting);
        needles.map(|(needle, lasting)| self.show(needle, [common, *lasting], random)).collect()
    }

    /// How far a drift has gone, in first steps.
    fn gone(&self) -> f64 {
        if self.dial.settles.is_finite() {
            self.dial.settles * (1.0 - (-self.runs / self.dial.settles).exp())
        } else {
            self.runs
        }
    }

    fn gain(&self, needle: Complex64) -> f64 {
        let large = (needle.norm() / 10.0).min(1.0);
        (1.0 + self.gain_drift * self.runs) * (1.0 - self.dial.compression * large)
    }

    fn show(&self, needle: Complex64, [common, lasting]: [Complex64; 2], random: &mut Random) -> Shown {
        let Dial { noise, floor, phase_noise, correlation, gross, steps, below, top, .. } = self.dial;
        let size = ((noise * needle.norm()).powi(2) + floor * floor).sqrt();
        let mixed =
            |part: f64, one: Complex64, other: Complex64| one * part + other * (1.0 - part * part).sqrt();
        let own = mixed(correlation, common, mixed(self.dial.lasting, lasting, random.circular()));
        let turned = Complex64::cis((phase_noise * random.normal()).to_radians());
        let mut read = (needle + own * size) * turned;
        if random.even() < gross {
            read *= grossly_wrong(random);
        }
        let amplitude = on_step(read.norm().min(top), steps.0);
        match below {
            Some(least) if read.norm() < least => match self.dial.below_as {
                BelowAs::Bound => Shown::Below(least),
                BelowAs::Zero => Shown::Value(0.0, 0.0),
            },
            _ => Shown::Value(amplitude, on_step(read.arg().to_degrees().rem_euclid(360.0), steps.1)),
        }
    }
}

/// Ten times or a tenth, twice or half, a quarter or half a turn off.
fn grossly_wrong(random: &mut Random) -> Complex64 {
    let turn = Complex64::I;
    let factors = [10.0.into(), 0.1.into(), 2.0.into(), 0.5.into(), turn, -turn, Complex64::from(-1.0)];
    factors[random.below(factors.len())]
}

fn on_step(value: f64, step: f64) -> f64 {
    if step > 0.0 { (value / step).round() * step } else { value }
}
