//! A stand without a meter: a true shaft on springs, two velocity pickups, a light barrier and a sound card that writes
//! WAVs. Nothing here comes from the program: the shaft turns by a continuous angle, and the signal follows it.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use balance_core::Complex64;
use serde_json::Value;

use crate::program::{Said, balance};
use crate::random::Random;
use crate::truth::setting::{GRADE, RADIUS, Setting};
use crate::truth::shaft::{Spot, TrueShaft};
use crate::truth::stand::{OnStand, TrueStand};

/// Samples a second, and the length of a recording in seconds.
const RATE: f64 = 8192.0;
const SECONDS: f64 = 6.0;
/// Speed of the stand.
const RPM: f64 = 1800.0;
/// mm/s at full scale.
const FULL_SCALE: f64 = 40.0;
/// White noise of a pickup (mm/s rms), mains hum (mm/s), twice per turn as a share of once.
const NOISE: f64 = 0.3;
const HUM: f64 = 0.15;
const TWICE: f64 = 0.4;
/// One sigma of a pulse, degrees.
const JITTER: f64 = 0.2;
/// One sigma of where a weight ends up along the tape (mm), and of the scale (g).
const PLACING: f64 = 1.0;
const SCALE: f64 = 0.1;

/// A shaft with what is on it.
#[derive(Debug)]
pub struct Rig {
    shaft: TrueShaft,
    stand: TrueStand,
    limits: Vec<f64>,
    planes: Vec<f64>,
    /// Masses really on: plane and grams at an angle.
    on: Vec<(usize, Complex64)>,
    random: Random,
}

impl Rig {
    /// A shaft two to six times over its limit, on a stand with springs and dampers of its own.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let setting = Setting::plain("recorded", 0.02);
        let mut random = Random::seeded(seed);
        let limits = setting.limits();
        let on = OnStand {
            supports: &setting.supports,
            pieces: &setting.pieces,
            sensors: &setting.sensors,
            rpm: RPM,
            limit: limits[0],
        };
        let rms = random.between(2.0, 6.0) * limits[0];
        Self {
            shaft: TrueShaft::random(&setting.supports, rms, &mut random),
            stand: TrueStand::random(&on, &mut random),
            limits,
            planes: setting.planes,
            on: Vec::new(),
            random,
        }
    }

    /// Takes everything off and puts these on: plane, grams, degrees; as well as hands and scales do.
    pub fn put_on(&mut self, masses: &[(usize, f64, f64)]) {
        let mut placed = |(plane, grams, degrees): &(usize, f64, f64)| {
            let turned = degrees + (self.random.normal() * PLACING / RADIUS).to_degrees();
            let grams = grams + self.random.normal() * SCALE;
            (*plane, Complex64::from_polar(grams, turned.to_radians()))
        };
        self.on = masses.iter().map(&mut placed).collect();
    }

    /// A mass that leaves between half and one and a half times the limit of its end, to a tenth of a gram and a degree.
    fn beside(&mut self, (plane, grams, degrees): (usize, f64, f64)) -> (usize, f64, f64) {
        let off = self.random.between(0.5, 1.5) * self.limits[plane] / RADIUS;
        let mass = Complex64::from_polar(grams, degrees.to_radians()) + self.random.direction() * off;
        let degrees = mass.arg().to_degrees().rem_euclid(360.0).round();
        (plane, (mass.norm() * 10.0).round() / 10.0, degrees)
    }

    fn spots(&self) -> Vec<Spot> {
        self.on.iter().map(|(plane, mass)| (self.planes[*plane], mass * RADIUS)).collect()
    }

    /// What is left at each support, as a part of its limit.
    #[must_use]
    pub fn left(&self) -> Vec<f64> {
        let left = self.shaft.at_supports(&self.spots());
        left.iter().zip(&self.limits).map(|(left, limit)| left.norm() / limit).collect()
    }

    /// What the recorder writes now: pulse, front, rear, 16 bit.
    #[must_use]
    pub fn wav(&mut self) -> Vec<u8> {
        let shown = self.stand.shows(&self.shaft.at_supports(&self.spots()));
        let random = &mut self.random;
        let frames = (RATE * SECONDS) as usize;
        let mean = RPM / 60.0 * (1.0 + 0.002 * random.normal());
        let (wave, start) = (random.between(0.0, TAU), random.even());
        // Turns since a mark: the speed wanders by 0.2 % in a slow wave.
        let turns = |time: f64| start + mean * (time + 0.002 / 2.0 * (wave + 2.0 * time).sin());
        let hum = random.between(0.0, TAU);
        let count = turns(SECONDS).ceil() as usize + 2;
        let jitter: Vec<f64> = (0..count).map(|_| random.normal() * JITTER / 360.0).collect();
        // A light barrier: its edge takes a few samples.
        let edge = 2.5 * mean / RATE;
        let mut data = Vec::with_capacity(frames * 6);
        let mut put = |value: f64, random: &mut Random, noise: f64| {
            let sample = ((value + noise * random.normal()) * 32_768.0).round().clamp(-32_768.0, 32_767.0);
            data.extend((sample as i16).to_le_bytes());
        };
        for frame in 0..frames {
            let time = frame as f64 / RATE;
            let angle = turns(time);
            let nearest = angle.round();
            let late = angle - nearest - jitter[nearest.max(0.0) as usize];
            // Half way up exactly where the mark passes; high for a twentieth of a turn.
            let pulse = (late / edge + 0.5).clamp(0.0, 1.0) - ((late - 0.05) / edge + 0.5).clamp(0.0, 1.0);
            put(0.7 * pulse, random, 0.004);
            for reading in &shown {
                // The peak comes the phase after the mark.
                let once = (TAU * angle - reading.arg()).cos() * reading.norm();
                let twice = TWICE * (2.0 * TAU * angle - 1.0).cos() * reading.norm();
                let hum = HUM * (TAU * 50.0 * time + hum).sin();
                put((once + twice + hum) / FULL_SCALE, random, NOISE / FULL_SCALE);
            }
        }
        wav_of(&data)
    }
}

/// The bytes of a WAV with three channels of 16 bit.
fn wav_of(data: &[u8]) -> Vec<u8> {
    let (rate, length) = (RATE as u32, u32::try_from(data.len()).unwrap_or(u32::MAX));
    let mut wav = b"RIFF".to_vec();
    wav.extend((36 + length).to_le_bytes());
    wav.extend(b"WAVEfmt \x10\0\0\0\x01\0\x03\0");
    wav.extend(rate.to_le_bytes());
    wav.extend((rate * 6).to_le_bytes());
    wav.extend([6, 0, 16, 0]);
    wav.extend(b"data");
    wav.extend(length.to_le_bytes());
    wav.extend(data);
    wav
}

/// The job of such a shaft: no noise stated, no box of weights, a WAV with pulse, front and rear.
#[must_use]
pub fn job_text() -> String {
    format!(
        "format = 1\n[job]\nnumber = \"WP-0611\"\nunit = \"gritter 2, spinner drive (invented)\"\n[shaft]\nmass = \"14.2 kg\"\n\
         service_speed = \"2600 rpm\"\ngrade = \"G{GRADE}\"\nmass_centre = \"692.5 mm\"\n[tube]\nouter_diameter = \"88.9 mm\"\n\
         wall = \"2.4 mm\"\nlength = \"1385 mm\"\nmaterial = \"steel\"\n[[correction_plane]]\nname = \"front\"\nposition = \"95 mm\"\n\
         radius = \"{RADIUS} mm\"\n[[correction_plane]]\nname = \"rear\"\nposition = \"1290 mm\"\nradius = \"{RADIUS} mm\"\n\
         [[sensor]]\nname = \"front\"\nposition = \"0 mm\"\nchannel = 2\npicks_up = \"velocity\"\nfull_scale = \"{FULL_SCALE} mm/s\"\n\
         [[sensor]]\nname = \"rear\"\nposition = \"1385 mm\"\nchannel = 3\npicks_up = \"velocity\"\nfull_scale = \"{FULL_SCALE} mm/s\"\n\
         [convention]\nzero_mark = \"paint line\"\nturns = \"clockwise seen from the front\"\nmass_angle = \"against rotation\"\n\
         phase = \"lag\"\n[capture]\npulse = 1\n"
    )
}

/// The header of its runs file.
pub const HEADER: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg],note";

/// How a job ended.
#[derive(Debug)]
pub struct Ended {
    /// The verdict's word.
    pub verdict: String,
    /// What is left in truth at each support, as a part of its limit.
    pub left: Vec<f64>,
    /// The runs file.
    pub runs: String,
}

/// What is welded on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Welded {
    /// What the program advises.
    AsAdvised,
    /// Something else, so that about the limit is left at each end.
    Otherwise,
}

/// One job from recordings alone, typed readings none: initial, a trial at each place, one correction, the check run.
///
/// # Errors
///
/// What the program said where it could not go on.
pub fn balanced(folder: &Path, seed: u64, welded: Welded) -> Result<Ended, Said> {
    let mut rig = Rig::new(seed);
    let _ = std::fs::create_dir_all(folder);
    let write = |name: &str, bytes: &[u8]| {
        std::fs::write(folder.join(name), bytes).expect("a test's folder can be written");
    };
    write("job.toml", job_text().as_bytes());
    write("runs.csv", format!("{HEADER}\n").as_bytes());
    heard(&mut rig, folder, &[])?;
    for (plane, name) in ["front", "rear"].into_iter().enumerate() {
        let grams = rig.random.between(2.0, 2.5) * rig.limits[0] / RADIUS;
        let (grams, degrees) = (grams.round(), (rig.random.even() * 360.0).round());
        rig.put_on(&[(plane, grams, degrees)]);
        heard(&mut rig, folder, &["--mass".into(), format!("{name}={grams}@{degrees}")])?;
    }
    let mut words = vec![path("correct"), folder.into(), "--json".into()];
    words.extend((welded == Welded::AsAdvised).then(|| path("--append")));
    let advised = said(balance(words))?;
    let advised: Value = serde_json::from_str(&advised.answer).expect("an answer in JSON");
    let masses: Vec<(usize, f64, f64)> = advised["planes"]
        .as_array()
        .into_iter()
        .flatten()
        .enumerate()
        .filter_map(|(at, plane)| Some((at, plane["mass_g"].as_f64()?, plane["angle_deg"].as_f64()?)))
        .collect();
    match welded {
        Welded::AsAdvised => {
            rig.put_on(&masses);
            heard(&mut rig, folder, &[])?;
        }
        Welded::Otherwise => {
            let masses: Vec<(usize, f64, f64)> = masses.iter().map(|mass| rig.beside(*mass)).collect();
            rig.put_on(&masses);
            let typed = |(plane, grams, degrees): &(usize, f64, f64)| {
                let name = ["front", "rear"][*plane];
                ["--mass".to_owned(), format!("{name}={grams}@{degrees}")]
            };
            let kind = ["--kind".to_owned(), "check".to_owned()];
            let words: Vec<String> = kind.into_iter().chain(masses.iter().flat_map(typed)).collect();
            heard(&mut rig, folder, &words)?;
        }
    }
    let verdict = balance([path("verify"), folder.into(), "--json".into()]);
    let found: Value = serde_json::from_str(&verdict.answer).map_err(|_| verdict.clone())?;
    Ok(Ended {
        verdict: found["verdict"].as_str().unwrap_or_default().to_owned(),
        left: rig.left(),
        runs: std::fs::read_to_string(folder.join("runs.csv")).unwrap_or_default(),
    })
}

/// A recording written to the disk and extracted into the runs file.
fn heard(rig: &mut Rig, folder: &Path, more: &[String]) -> Result<(), Said> {
    let file = folder.join("now.wav");
    std::fs::write(&file, rig.wav()).expect("a test's folder can be written");
    let mut words = vec![path("extract"), file, "--job".into(), folder.into(), "--append".into()];
    words.extend(more.iter().map(PathBuf::from));
    said(balance(words)).map(|_| ())
}

fn path(word: &str) -> PathBuf {
    word.into()
}

fn said(said: Said) -> Result<Said, Said> {
    if said.code == 0 { Ok(said) } else { Err(said) }
}
