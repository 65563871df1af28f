//! How angles are counted.

use super::question::{Kind, Question};
use crate::files::JobFile;

const TURNS: &[&str] = &["clockwise seen from the front", "counter-clockwise seen from the front"];
const MASS_ANGLE: &[&str] = &["against rotation", "with rotation"];
const PHASE: &[&str] = &["lag", "lead", "same way as masses", "opposite to masses"];

pub fn zero_mark(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let words = "What is the zero mark, such as: paint line on the front yoke ear:";
    let question = || Question::new("mark", "convention", "zero_mark", Kind::Free, words);
    job.setup.convention.zero_mark.is_none().then(question)
}

pub fn turns(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let words = "Which way does the shaft turn?";
    let question = || Question::new("turns", "convention", "turns", Kind::Choice(TURNS), words);
    job.setup.convention.turns.is_none().then(question)
}

pub fn mass_angle(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let words = "How are degrees on the tube counted from the mark?";
    let question = || Question::new("counting", "convention", "mass_angle", Kind::Choice(MASS_ANGLE), words);
    (!job.setup.convention.stated).then(question)
}

pub fn phase(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let words = "How does the dial count its angle?";
    let question = || Question::new("phase", "convention", "phase", Kind::Choice(PHASE), words);
    (!job.setup.convention.stated).then(question)
}
