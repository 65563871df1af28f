//! Recordings of every kind: with hum and a slipping tone, with bad pulses, several chapters long with a reading that
//! changes, at a speed that wanders.

use std::f64::consts::TAU;

use balance_core::quantity::Angle;
use balance_core::run::{Convention, MassAngle, Phase};
use balance_core::stand::capture::{
    CaptureFault, CaptureSetup, Extracted, Extractor, PulseSetup, ReadingUnit, SensorSetup, Stretch,
};

const RATE: f64 = 4096.0;

/// What is unlike a clean recording.
#[derive(Default)]
pub struct Recorded {
    pub seconds: f64,
    pub hum: f64,
    pub slip: f64,
    pub wander: f64,
    /// How much the front grows half way through.
    pub growth: f64,
    /// Pulses that are lost, that come twice, and that come late.
    pub bad_pulses: bool,
    pub noise: f64,
    /// `mm/s` or another unit to read in.
    pub unit: &'static str,
}

impl Recorded {
    /// What is read from it.
    pub fn read(&self) -> Result<Extracted, CaptureFault> {
        let (pulse, front, rear) = self.columns();
        let unit = ReadingUnit::parse(self.unit).expect("a unit");
        let mut rear_setup = SensorSetup::plain("rear", unit.clone());
        (rear_setup.scale, rear_setup.phase_correction) = (0.5, Angle::from_degrees(7.0).expect("an angle"));
        let setup = CaptureSetup {
            rate: Some(RATE),
            pulse: PulseSetup { at: Angle::from_degrees(12.0).expect("an angle"), ..PulseSetup::rising() },
            sensors: vec![SensorSetup::plain("front", unit), rear_setup],
            stretch: Stretch::Automatic,
            convention: Convention {
                mass_angle: MassAngle::AgainstRotation,
                phase: Phase::Lag,
                ..Convention::unstated()
            },
        };
        let mut extractor = Extractor::new(setup).expect("a setup");
        for from in (0..pulse.len()).step_by(8192) {
            let to = pulse.len().min(from + 8192);
            extractor.push(None, &pulse[from..to], &[&front[from..to], &rear[from..to]])?;
        }
        extractor.finish()
    }

    fn columns(&self) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let mut state = 417_u64;
        let mut noise = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            self.noise * ((state >> 40) as f64 / 16_777_216.0 - 0.5)
        };
        let mut columns = (Vec::new(), Vec::new(), Vec::new());
        let frames = (self.seconds * RATE) as u32;
        for n in 0..frames {
            let time = f64::from(n) / RATE;
            let turn = 30.0 * time + self.wander * (0.7 * time).sin() + 0.25;
            let after = turn.fract() * RATE / 30.0;
            let mut pulse = (after / 2.0).min((14.0 - after) / 2.0 + 1.0).clamp(0.0, 1.0);
            if self.bad_pulses {
                match turn as u32 {
                    10 | 25 => pulse = 0.0,
                    15 if (60.0..64.0).contains(&after) => pulse = 1.0,
                    18 => pulse = ((after - 3.0) / 2.0).min((17.0 - after) / 2.0 + 1.0).clamp(0.0, 1.0),
                    _ => {}
                }
            }
            let front = 3.0 + if 2 * n < frames { 0.0 } else { self.growth };
            let tones = self.hum * (TAU * 50.0 * time).cos() + self.slip * (TAU * 0.87 * turn + 1.0).cos();
            columns.0.push(pulse + 0.01 * noise());
            columns
                .1
                .push(front * (TAU * turn - 1.0).cos() + 0.4 * (2.0 * TAU * turn).sin() + tones + noise());
            columns.2.push(2.0 * (TAU * turn + 2.0).cos() + 0.1 + 0.3 * tones + noise());
        }
        columns
    }
}
