//! What the job's files do not say yet and a verdict needs: asked before the first run, each may be left out.

mod answer;
mod asking;
mod convention;
mod mass_doubt;
mod measures;
mod places;
mod question;
mod stand;

use crate::files::JobFile;

use question::Question;

/// The questions in the order in which they are asked; each is there only while its answer is not known.
const ALL: [fn(&JobFile) -> Option<Question>; 14] = [
    measures::mass,
    measures::service_speed,
    measures::grade,
    measures::tube,
    measures::material,
    mass_doubt::mass_far_off,
    places::planes,
    places::sensors,
    convention::zero_mark,
    convention::turns,
    convention::mass_angle,
    convention::phase,
    stand::dial,
    stand::noise,
];

/// The first question that was not left out.
fn next(file: &JobFile, left_out: impl Fn(&str) -> bool) -> Option<Question> {
    ALL.iter().filter_map(|question| question(file)).find(|question| !left_out(question.name))
}

/// The names of all questions that are open.
fn open(file: &JobFile) -> Vec<&'static str> {
    ALL.iter().filter_map(|question| question(file)).map(|question| question.name).collect()
}
