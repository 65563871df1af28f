//! Recordings of a shaft made of numbers: the truth comes from a continuous angle, never from the program's own model.

use std::f64::consts::TAU;

use balance_core::Complex64;
use balance_core::quantity::Angle;
use balance_core::run::{Convention, MassAngle, Phase};
use balance_core::stand::capture::{
    CaptureFault, CaptureSetup, Edge, Extracted, Extractor, PulseSetup, ReadingUnit, SensorSetup, Stretch,
};

use crate::random::Random;

/// How the speed goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpeedLaw {
    /// Always the same.
    Steady,
    /// Three slow waves, together so large (rms, as a share of the speed).
    Wander(f64),
    /// Evenly faster, by this share over the recording.
    Drift(f64),
}

/// A tone that is none of the shaft's multiples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Beside {
    /// So many times per turn, with this amplitude.
    Slip(f64, f64),
    /// So many Hz, with this amplitude.
    Hum(f64, f64),
}

/// Everything about a recording but its random numbers. Amplitudes in the sensor's unit, full scale ±1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scene {
    /// Samples a second.
    pub rate: f64,
    /// Length in seconds.
    pub seconds: f64,
    /// Mean speed.
    pub rpm: f64,
    /// How the speed goes.
    pub speed: SpeedLaw,
    /// A tone beside.
    pub beside: Option<Beside>,
    /// One sigma of each pulse, in degrees.
    pub jitter: f64,
    /// Once per turn.
    pub amplitude: f64,
    /// Rms of each sensor's white noise.
    pub noise: f64,
    /// Rms of the pulse channel's white noise; pulses are 0.8 high.
    pub pulse_noise: f64,
    /// Step of the recorder as a share of full scale; 0: none.
    pub step: f64,
    /// Value of full scale.
    pub full_scale: f64,
}

/// Twice, three and four times per turn, as shares of the amplitude.
const MULTIPLES: [f64; 3] = [0.4, 0.15, 0.05];
/// Seconds of a pulse's rise, in samples.
const RISE: f64 = 2.5;
const HEIGHT: f64 = 0.8;
/// Share of a turn that a pulse lasts.
const WIDTH: f64 = 0.04;

impl Scene {
    /// Two and a half seconds at 1500 rpm with noise a tenth of the amplitude.
    #[must_use]
    pub fn steady() -> Self {
        Self {
            rate: 5120.0,
            seconds: 2.5,
            rpm: 1500.0,
            speed: SpeedLaw::Steady,
            beside: None,
            jitter: 0.0,
            amplitude: 3.0,
            noise: 0.5,
            pulse_noise: 0.004,
            step: 0.0,
            full_scale: 20.0,
        }
    }
}

/// What is random in a recording, and its samples.
#[derive(Debug, Clone)]
pub struct Recording {
    /// Made from.
    pub scene: Scene,
    start: f64,
    waves: [(f64, f64); 3],
    /// Angle and phase of the tone beside, for each sensor.
    tones: [f64; 2],
    /// For each sensor once per turn and its multiples, as lag vectors.
    pub parts: [[Complex64; 4]; 2],
    offset: f64,
    slope: f64,
    /// In shares of full scale.
    pub pulse: Vec<f64>,
    /// In shares of full scale.
    pub sensors: [Vec<f64>; 2],
}

impl Recording {
    /// With its own random numbers.
    #[must_use]
    pub fn of(scene: Scene, random: &mut Random) -> Self {
        let wave =
            |random: &mut Random, hertz: f64| (hertz * random.between(0.9, 1.1), random.between(0.0, TAU));
        let part = |random: &mut Random| {
            let first = random.direction() * scene.amplitude;
            let more = MULTIPLES.map(|share| random.direction() * (share * scene.amplitude));
            [first, more[0], more[1], more[2]]
        };
        let mut recording = Self {
            scene,
            start: random.between(0.0, TAU),
            waves: [wave(random, 0.3), wave(random, 0.7), wave(random, 1.3)],
            tones: [random.between(0.0, TAU), random.between(0.0, TAU)],
            parts: [part(random), part(random)],
            offset: 0.1 * scene.amplitude * random.normal(),
            slope: 0.03 * scene.amplitude * random.normal(),
            pulse: Vec::new(),
            sensors: [Vec::new(), Vec::new()],
        };
        recording.make_pulses(random);
        for sensor in 0..2 {
            recording.sensors[sensor] = (0..recording.samples())
                .map(|n| {
                    let value =
                        recording.truth(sensor, n as f64 / scene.rate) + scene.noise * random.normal();
                    recording.written(value / scene.full_scale)
                })
                .collect();
        }
        recording
    }

    /// Frames.
    #[must_use]
    pub fn samples(&self) -> usize {
        (self.scene.rate * self.scene.seconds) as usize
    }

    fn written(&self, share: f64) -> f64 {
        match self.scene.step {
            0.0 => share,
            step => (share / step).round() * step,
        }
    }

    fn speed(&self) -> f64 {
        self.scene.rpm / 60.0 * TAU
    }

    /// The shaft's angle since the mark passed, in radians.
    #[must_use]
    pub fn angle(&self, time: f64) -> f64 {
        let own = match self.scene.speed {
            SpeedLaw::Steady => time,
            SpeedLaw::Drift(share) => {
                let seconds = self.scene.seconds;
                time * (1.0 - share / 2.0) + share * time * time / seconds / 2.0
            }
            SpeedLaw::Wander(share) => {
                let each = share * (2.0_f64 / 3.0).sqrt();
                let wave =
                    |&(hertz, phase): &(f64, f64)| each / (TAU * hertz) * (TAU * hertz * time + phase).sin();
                time + self.waves.iter().map(wave).sum::<f64>()
            }
        };
        self.start + self.speed() * own
    }

    /// What sensor and amplifier give without noise, in the sensor's unit.
    fn truth(&self, sensor: usize, time: f64) -> f64 {
        let angle = self.angle(time);
        let mut value = self.offset + self.slope * time;
        for (times, part) in (1..).zip(&self.parts[sensor]) {
            let (sine, cosine) = (f64::from(times) * angle).sin_cos();
            value += part.re * cosine + part.im * sine;
        }
        value + self.beside(sensor, angle, time).map_or(0.0, |(amplitude, phase)| amplitude * phase.cos())
    }

    /// Amplitude and momentary phase of the tone beside.
    fn beside(&self, sensor: usize, angle: f64, time: f64) -> Option<(f64, f64)> {
        match self.scene.beside? {
            Beside::Slip(ratio, amplitude) => Some((amplitude, ratio * angle + self.tones[sensor])),
            Beside::Hum(hertz, amplitude) => Some((amplitude, TAU * hertz * time + self.tones[sensor])),
        }
    }

    /// The time at which the shaft has this angle, by Newton's steps.
    fn time_at(&self, angle: f64) -> f64 {
        let mut time = (angle - self.start) / self.speed();
        for _ in 0..20 {
            time -= (self.angle(time) - angle) / self.speed();
        }
        time
    }

    /// Pulses in continuous time, sampled; each edge is a ramp with its middle at the mark.
    fn make_pulses(&mut self, random: &mut Random) {
        let scene = self.scene;
        let rise = RISE / scene.rate;
        let last = (self.angle(scene.seconds) / TAU) as i32 + 1;
        let edges: Vec<(f64, f64)> = (-1..=last)
            .map(|turn| {
                let mark = TAU * (f64::from(turn) + scene.jitter / 360.0 * random.normal());
                (self.time_at(mark), self.time_at(mark + WIDTH * TAU))
            })
            .collect();
        let mut at = 0;
        self.pulse = (0..self.samples())
            .map(|n| {
                let time = n as f64 / scene.rate;
                while at + 1 < edges.len() && edges[at + 1].0 - rise < time {
                    at += 1;
                }
                let ramp = |edge: f64| ((time - edge) / rise + 0.5).clamp(0.0, 1.0);
                let value = 0.05
                    + HEIGHT * (ramp(edges[at].0) - ramp(edges[at].1))
                    + scene.pulse_noise * random.normal();
                self.written(value)
            })
            .collect();
    }

    /// What is known about the recording: phases are lag from the mark.
    #[must_use]
    pub fn setup(&self) -> CaptureSetup {
        let sensor = |name: &str| SensorSetup {
            scale: self.scene.full_scale,
            limit: Some(1.0),
            ..SensorSetup::plain(name, ReadingUnit::parse("mm/s").expect("a unit"))
        };
        CaptureSetup {
            rate: Some(self.scene.rate),
            pulse: PulseSetup { edge: Edge::Rising, level: None, at: Angle::ZERO },
            sensors: vec![sensor("front"), sensor("rear")],
            stretch: Stretch::Automatic,
            convention: Convention {
                mass_angle: MassAngle::AgainstRotation,
                phase: Phase::Lag,
                ..Convention::unstated()
            },
        }
    }

    /// What the program makes of it.
    ///
    /// # Errors
    ///
    /// Its fault.
    pub fn extracted(&self) -> Result<Extracted, CaptureFault> {
        let mut extractor = Extractor::new(self.setup()).map_err(|faults| faults[0].clone())?;
        extractor.push(None, &self.pulse, &[&self.sensors[0], &self.sensors[1]])?;
        extractor.finish()
    }

    /// The Cramér-Rao bound for once per turn: variances of amplitude and of amplitude times phase.
    ///
    /// # Method
    ///
    /// Fisher's information of the whole model, added up over every sample of one sensor and every pulse, then inverted.
    /// Unknown are: offset, slope, once to five times per turn, amplitude, phase and frequency of the tone beside, and
    /// the path of the angle (start, speed and drift, and for a wander sine and cosine of each of its waves). A sample
    /// of the sensor has the variance of its noise, and a twelfth of the recorder's step squared; a pulse tells the
    /// angle with its jitter and what the samples on its rise tell of its moment, Σ (slope of the rise)²/noise².
    #[must_use]
    pub fn bound(&self, sensor: usize) -> (f64, f64) {
        let scene = self.scene;
        let step = (scene.step * scene.full_scale).powi(2) / 12.0;
        let noise = scene.noise * scene.noise + step;
        let pulse_noise = scene.pulse_noise * scene.pulse_noise + scene.step * scene.step / 12.0;
        let moment = pulse_noise * (RISE / scene.rate).powi(2) / (HEIGHT * HEIGHT * RISE);
        let pulse = (scene.jitter.to_radians()).powi(2) + moment * self.speed().powi(2);
        let mut information = Information::default();
        for n in 0..self.samples() {
            information.add(&self.sensitivity(sensor, n as f64 / scene.rate), noise);
        }
        let turns = (self.angle(scene.seconds) / TAU) as u32;
        for turn in 1..=turns {
            let mut row = self.path(self.time_at(TAU * f64::from(turn)));
            let unknown = PATH.1 - PATH.0;
            row.resize(unknown, 0.0);
            let mut whole = vec![0.0; PATH.0];
            whole.extend(row);
            information.add(&whole, pulse);
        }
        let covariance = information.inverse(&[2, 3]);
        let unit = self.parts[sensor][0] / self.parts[sensor][0].norm();
        let along =
            |x: f64, y: f64| x * x * covariance[0] + 2.0 * x * y * covariance[1] + y * y * covariance[2];
        (along(unit.re, unit.im), along(-unit.im, unit.re))
    }

    /// How a sample depends on every unknown.
    fn sensitivity(&self, sensor: usize, time: f64) -> Vec<f64> {
        let angle = self.angle(time);
        let mut row = vec![1.0, time - self.scene.seconds / 2.0];
        let mut by_angle = 0.0;
        for times in 1..=5_u32 {
            let (sine, cosine) = (f64::from(times) * angle).sin_cos();
            row.extend([cosine, sine]);
            if let Some(part) = self.parts[sensor].get(times as usize - 1) {
                by_angle += f64::from(times) * (part.im * cosine - part.re * sine);
            }
        }
        let mut tone = [0.0; 3];
        if let Some((amplitude, phase)) = self.beside(sensor, angle, time) {
            let (sine, cosine) = phase.sin_cos();
            let place = match self.scene.beside {
                Some(Beside::Slip(ratio, _)) => {
                    by_angle -= amplitude * ratio * sine;
                    angle - self.angle(self.scene.seconds / 2.0)
                }
                _ => TAU * (time - self.scene.seconds / 2.0),
            };
            tone = [cosine, sine, amplitude * place * sine];
        }
        row.extend(tone);
        row.extend(self.path(time).into_iter().map(|own| own * by_angle));
        row
    }

    /// How the angle depends on the unknowns of its path.
    fn path(&self, time: f64) -> Vec<f64> {
        let from_middle = time - self.scene.seconds / 2.0;
        let mut row = vec![1.0, from_middle, from_middle * from_middle];
        for (hertz, _) in self.waves {
            let (sine, cosine) = match self.scene.speed {
                SpeedLaw::Wander(_) => (TAU * hertz * time).sin_cos(),
                _ => (0.0, 0.0),
            };
            row.extend([cosine, sine]);
        }
        row
    }
}

/// Where the unknowns of the path stand: after offset, slope, five multiples and the tone.
const PATH: (usize, usize) = (15, 24);

/// Fisher's information of so many unknowns.
#[derive(Default)]
struct Information(Vec<Vec<f64>>);

impl Information {
    fn add(&mut self, row: &[f64], variance: f64) {
        self.0.resize(row.len(), vec![0.0; row.len()]);
        for (sums, &one) in self.0.iter_mut().zip(row) {
            if one != 0.0 {
                for (sum, other) in sums.iter_mut().zip(row) {
                    *sum += one * other / variance;
                }
            }
        }
    }

    /// Entries of the inverse among two unknowns, by Gauss and Jordan's elimination; unknowns that nothing depends on
    /// are left out.
    fn inverse(&self, of: &[usize; 2]) -> [f64; 3] {
        let used: Vec<usize> = (0..self.0.len()).filter(|&own| self.0[own][own] > 0.0).collect();
        let size = used.len();
        let scale: Vec<f64> = used.iter().map(|&own| self.0[own][own].sqrt()).collect();
        let mut rows: Vec<Vec<f64>> = (0..size)
            .map(|i| {
                let left = (0..size).map(|j| self.0[used[i]][used[j]] / scale[i] / scale[j]);
                left.chain((0..size).map(|j| if i == j { 1.0 } else { 0.0 })).collect()
            })
            .collect();
        for pivot in 0..size {
            let best = (pivot..size).max_by(|&a, &b| rows[a][pivot].abs().total_cmp(&rows[b][pivot].abs()));
            rows.swap(pivot, best.expect("a row"));
            let own: Vec<f64> = rows[pivot].iter().map(|entry| entry / rows[pivot][pivot]).collect();
            for (at, row) in rows.iter_mut().enumerate() {
                let share = row[pivot];
                if at != pivot {
                    row.iter_mut().zip(&own).for_each(|(entry, own)| *entry -= share * own);
                }
            }
            rows[pivot] = own;
        }
        let place = |unknown: usize| used.iter().position(|&own| own == unknown).expect("is used");
        let entry = |i: usize, j: usize| rows[place(i)][size + place(j)] / scale[place(i)] / scale[place(j)];
        [entry(of[0], of[0]), entry(of[0], of[1]), entry(of[1], of[1])]
    }
}
