//! From what a needle should show to what is read: noise, steps, the end of the scale, drift and gross errors.

use balance_core::Complex64;

use super::sheet::Shown;
use crate::random::Random;

/// How a stand's dials read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dial {
    /// Circular noise as a share of the reading (complex rms).
    pub noise: f64,
    /// Circular noise that is always there, mm/s (complex rms).
    pub floor: f64,
    /// Beyond that the phase wanders by so many degrees (one sigma).
    pub phase_noise: f64,
    /// How much the sensors' noise has in common.
    pub correlation: f64,
    /// How often a reading is grossly wrong.
    pub gross: f64,
    /// By how much the gain falls from nothing to a reading of 10 mm/s.
    pub compression: f64,
    /// By how much the gain grows (or falls) from one run to the next.
    pub gain_drift: f64,
    /// What comes on from one run to the next, as a share of the first reading, in any direction.
    pub drift: f64,
    /// The dial's steps, mm/s and degrees; 0: none.
    pub steps: (f64, f64),
    /// Below this it shows "<x".
    pub below: Option<f64>,
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
}

impl DialInUse {
    /// At the first run.
    #[must_use]
    pub fn new(dial: Dial, random: &mut Random) -> Self {
        let sign = if random.below(2) == 0 { 1.0 } else { -1.0 };
        Self { dial, gain_drift: sign * dial.gain_drift, drift: None, runs: 0.0 }
    }

    /// Reads all sensors in the next run.
    pub fn read(&mut self, truth: &[Complex64], random: &mut Random) -> Vec<Shown> {
        let share = self.dial.drift;
        let any_way = |v: &Complex64| random.direction() * v.norm() * share;
        let drift = self.drift.take().unwrap_or_else(|| truth.iter().map(any_way).collect());
        let drifted: Vec<Complex64> =
            truth.iter().zip(&drift).map(|(v, d)| (v + d * self.runs) * self.gain(*v)).collect();
        self.drift = Some(drift);
        self.runs += 1.0;
        let common = random.circular();
        drifted.into_iter().map(|needle| self.show(needle, common, random)).collect()
    }

    fn gain(&self, needle: Complex64) -> f64 {
        let large = (needle.norm() / 10.0).min(1.0);
        (1.0 + self.gain_drift * self.runs) * (1.0 - self.dial.compression * large)
    }

    fn show(&self, needle: Complex64, common: Complex64, random: &mut Random) -> Shown {
        let Dial { noise, floor, phase_noise, correlation, gross, steps, below, .. } = self.dial;
        let size = ((noise * needle.norm()).powi(2) + floor * floor).sqrt();
        let own = common * correlation + random.circular() * (1.0 - correlation * correlation).sqrt();
        let turned = Complex64::cis((phase_noise * random.normal()).to_radians());
        let mut read = (needle + own * size) * turned;
        if random.even() < gross {
            read *= grossly_wrong(random);
        }
        let amplitude = on_step(read.norm(), steps.0);
        match below {
            Some(least) if read.norm() < least => Shown::Below(least),
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
