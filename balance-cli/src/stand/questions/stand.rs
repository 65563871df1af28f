//! What is known of the stand.

use balance_core::run::ReadingNoise;
use balance_core::shaft::Shows;

use super::Known;
use super::question::{Kind, Question};

pub fn noise(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let words = "How far do the readings wander, in %, such as 2 (without it no verdict):";
    let question = || Question::new("noise", "stand", "reading_noise", Kind::Shares, words);
    (job.setup.noise.reading == ReadingNoise::NotStated)
        .then(|| Question { for_the_shop: true, ..question() })
}

const DIALS: &[&str] = &["mm/s", "mils", "in/s", "um"];

pub fn dial(known: &Known) -> Option<Question> {
    let vibration = known.file.job.setup.sensors.iter().any(|sensor| sensor.shows == Shows::Vibration);
    let words = "What do the dials show? A number, or the unit as it stands on them.";
    let question = || Question {
        for_the_shop: true,
        ..Question::new("dial", "stand", "reading_unit", Kind::DialUnit(DIALS), words)
    };
    (known.file.paperwork.dial_unit().is_none() && (vibration || known.file.job.setup.sensors.is_empty()))
        .then(question)
}
