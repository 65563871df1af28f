//! How angles are counted.

use balance_core::run::Phase;

use super::Known;
use super::question::{Kind, Question};

const TURNS: &[&str] = &["clockwise seen from the front", "counter-clockwise seen from the front"];
const MASS_ANGLE: &[&str] = &["against rotation", "with rotation"];
const PHASE: &[&str] = &["lag", "lead", "same way as masses", "opposite to masses", NO_ANGLE];
/// The dial shows no angle.
pub(super) const NO_ANGLE: &str = "none";

pub fn zero_mark(known: &Known) -> Option<Question> {
    let words = "What is the zero mark, such as paint line on the front yoke ear:";
    let question = || Question::new("mark", "convention", "zero_mark", Kind::Free, words);
    known.file.job.setup.convention.zero_mark.is_none().then(question)
}

pub fn turns(known: &Known) -> Option<Question> {
    let words = "Which way does the shaft turn?";
    let question = Question::new("turns", "convention", "turns", Kind::Choice(TURNS), words);
    let open = known.file.job.setup.convention.turns.is_none();
    open.then_some(Question { for_the_shop: true, ..question })
}

pub fn mass_angle(known: &Known) -> Option<Question> {
    let words = "How are degrees and tape counted from the mark?";
    let question = Question::new("counting", "convention", "mass_angle", Kind::Choice(MASS_ANGLE), words);
    let open = !known.file.job.setup.convention.stated && !known.states("convention", "mass_angle");
    let not_known =
        Some("Left open. Count them all one way, the same for every mass; a trial tells the rest.");
    open.then_some(Question { for_the_shop: true, not_known, ..question })
}

pub fn phase(known: &Known) -> Option<Question> {
    let words = "How does the dial count its angle? If it shows none: none.";
    let question = Question::new("phase", "convention", "phase", Kind::Choice(PHASE), words);
    let not_known = Some(
        "Left open. After the first trial run you will be asked for one more with the same mass a quarter turn further \
         on: that settles it.",
    );
    let convention = &known.file.job.setup.convention;
    let open = !convention.stated && convention.phase != Phase::NotShown;
    open.then_some(Question { for_the_shop: true, not_known, ..question })
}
