//! What is known of the stand.

use balance_core::job::Job;
use balance_core::run::ReadingNoise;

use super::question::{Kind, Question};

pub fn noise(job: &Job) -> Option<Question> {
    let words = "How far do the readings wander, in %, such as 2 (without it no verdict):";
    let question = || Question::new("noise", "stand", "reading_noise", Kind::Shares, words);
    (job.setup.noise.reading == ReadingNoise::NotStated).then(question)
}
