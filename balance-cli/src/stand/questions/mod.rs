//! What the job's files do not say yet and the record or a verdict needs: asked before the first run, each may be left out.

mod answer;
mod asking;
mod convention;
mod doubtful;
mod known;
mod measures;
mod places;
mod question;
mod record;
mod stand;
mod weights;

pub(super) use known::Known;
use question::Question;

/// The questions in the order in which they are asked; each is there only while its answer is not known.
const ALL: [fn(&Known) -> Option<Question>; 25] = [
    record::units,
    record::customer,
    record::unit,
    record::tag,
    record::shaft_type,
    record::technician,
    measures::mass,
    measures::service_speed,
    measures::grade,
    doubtful::grade,
    measures::tube,
    measures::material,
    doubtful::mass,
    places::planes,
    places::sensors,
    convention::zero_mark,
    convention::turns,
    convention::mass_angle,
    convention::phase,
    stand::dial,
    stand::noise,
    weights::masses,
    weights::widths,
    weights::thicknesses,
    weights::bead,
];

/// The first question that was not left out.
fn next(known: &Known, left_out: impl Fn(&str) -> bool) -> Option<Question> {
    ALL.iter().filter_map(|question| question(known)).find(|question| !left_out(question.name))
}

/// The names of all questions that are open.
fn open(known: &Known) -> Vec<&'static str> {
    ALL.iter().filter_map(|question| question(known)).map(|question| question.name).collect()
}
