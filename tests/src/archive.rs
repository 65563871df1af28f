//! Records of an invented workshop: the road depot of Hollin Pass with its snow blowers, sweepers and gritters.

use balance_cli::archive::{Attachment, NewRecord, TubeSize, answers_text};
use balance_core::influence::{SensorAnswers, ShaftAnswers, SpeedAnswers};
use balance_core::quantity::{Length, Speed};

use crate::random::Random;

const MACHINES: [&str; 4] = ["rotary snow blower", "road sweeper", "gritter", "verge mower"];
const NAMES: [&str; 5] = ["Alder", "Birch", "Cedar", "Elm", "Rowan"];
/// The number of shaft types in the workshop.
pub const TYPES: u64 = 40;

/// A length from millimetres.
#[must_use]
pub fn millimetres(value: f64) -> Option<Length> {
    Length::from_millimetres(value).ok()
}

/// The record with this number, always the same: text, numbers, files, answers.
#[must_use]
pub fn record(index: u64) -> NewRecord {
    let mut random = Random::seeded(index);
    let machine = MACHINES[random.below(MACHINES.len())];
    let year = 2026 + index % 9;
    let (tube, length) = (60.0 + 0.5 * random.below(80) as f64, 500.0 + random.below(1500) as f64);
    let runs = runs_file(&mut random);
    NewRecord {
        number: format!("WP-{index:06}"),
        customer: "Hollin Pass road depot".into(),
        unit: format!("{machine} {}, auger drive", 1 + random.below(12)),
        tag: format!("HP{index:06}Q"),
        technician: NAMES[random.below(NAMES.len())].into(),
        shaft_type: Some(format!("{machine} {}", index % TYPES)),
        tube: TubeSize {
            outer_diameter: millimetres(tube),
            wall: millimetres(2.5),
            length: millimetres(length),
        },
        verdict: Some("meets".into()),
        grade: Some("G16".into()),
        service_speed: Speed::from_rpm(2600.0).ok(),
        marks: format!("yoke ear and sleeve, paint stroke {}", random.below(9)),
        weights: format!("front {:.1} g at {}°, rear none", random.between(2.5, 40.0), random.below(360)),
        inputs: vec![
            ("job.toml".into(), format!("format = 1\n[job]\nnumber = \"WP-{index:06}\"\n").into_bytes()),
            ("shop.toml".into(), b"format = 1\n[stand]\nreading_noise = \"2 %\"\n".to_vec()),
            ("runs.csv".into(), runs.into_bytes()),
        ],
        result: format!(
            "{{\"format\":\"balance-verdict/1\",\"residual_g_mm\":{}}}",
            random.between(0.0, 400.0)
        ),
        report: Some(
            format!("<!doctype html><title>WP-{index:06}</title><p>{:032x}", index * 77).into_bytes(),
        ),
        attachments: Vec::new(),
        answers: Some(answers_text(&answers(index % TYPES, &mut random))),
        program: "0.1.0".into(),
        made_at: format!("{year}-{:02}-{:02}T09:30:00Z", 1 + index % 12, 1 + index % 28),
        supersedes: None,
    }
}

/// A record with a photo.
#[must_use]
pub fn record_with_photo(index: u64, bytes: usize) -> NewRecord {
    let mut random = Random::seeded(index ^ 0x50);
    let photo = (0..bytes).map(|_| random.below(256) as u8).collect();
    NewRecord {
        attachments: vec![Attachment { name: format!("photo-{index}.jpg"), bytes: photo }],
        ..record(index)
    }
}

fn runs_file(random: &mut Random) -> String {
    let mut text = String::from(
        "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],\
         front phase [deg],rear amplitude [mm/s],rear phase [deg]\n",
    );
    for (run, masses) in
        ["initial,1800,,,,", "trial,1800,20,90,,", "trial,1800,,,20,90", "check,1800,25,312,16,192"]
            .iter()
            .enumerate()
    {
        let mut reading = || format!("{:.2},{}", random.between(0.1, 9.0), random.below(360));
        let (front, rear) = (reading(), reading());
        text.push_str(&format!("{},{masses},{front},{rear}\n", run + 1));
    }
    text
}

/// The response of a shaft of this type: two planes, two sensors, 5 % scatter, known to 2 %.
fn answers(shaft_type: u64, random: &mut Random) -> ShaftAnswers {
    let mut of_type = Random::seeded(shaft_type ^ 0x7e57);
    let mut sensor = |name: &str, random: &mut Random| {
        let coefficients = (0..2)
            .map(|_| {
                let mean = of_type.direction() * of_type.between(0.001, 0.005);
                let own = mean * (1.0 + random.circular() * 0.05);
                [own.re, own.im]
            })
            .collect();
        let variance = [4e-9, 0.0];
        SensorAnswers {
            name: name.into(),
            unit: "mm/s".into(),
            coefficients,
            covariance: vec![vec![variance, [0.0, 0.0]], vec![[0.0, 0.0], variance]],
            prior: None,
        }
    };
    ShaftAnswers {
        planes: vec!["front".into(), "rear".into()],
        per: "g.mm".into(),
        speeds: vec![SpeedAnswers {
            speed_rpm: Some(1800.0),
            sensors: vec![sensor("front", random), sensor("rear", random)],
        }],
    }
}
