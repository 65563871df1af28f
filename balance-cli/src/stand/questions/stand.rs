//! What is known of the stand.

use balance_core::run::ReadingNoise;
use balance_core::shaft::Shows;

use super::question::{Kind, Question};
use crate::files::JobFile;

pub fn noise(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let words = "How far do the readings wander, in %, such as 2 (without it no verdict):";
    let question = || Question::new("noise", "stand", "reading_noise", Kind::Shares, words);
    (job.setup.noise.reading == ReadingNoise::NotStated).then(question)
}

const DIALS: &[&str] = &["mm/s", "mils", "in/s", "um"];

pub fn dial(file: &JobFile) -> Option<Question> {
    let vibration = file.job.setup.sensors.iter().any(|sensor| sensor.shows == Shows::Vibration);
    let words = "What do the dials show? A number, or the unit as it stands on them.";
    let question = || Question::new("dial", "stand", "reading_unit", Kind::DialUnit(DIALS), words);
    (file.paperwork.dial_unit().is_none() && (vibration || file.job.setup.sensors.is_empty())).then(question)
}
