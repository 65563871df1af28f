//! What went wrong, in words.

use balance_core::caution::Caution;

use super::heading::{shaft, units_of};
use super::wrap::{cautions, wrapped};
use crate::outcome::Outcome;

/// What the runs say about what went wrong, one finding a line.
#[must_use]
pub fn explanation(outcome: &Outcome<'_>) -> String {
    let Some(found) = &outcome.explanation else { return String::new() };
    found.sentences(&outcome.set).iter().map(|line| wrapped("  ", "    ", line)).collect()
}

/// The answer of `explain`.
#[must_use]
pub fn explain(outcome: &Outcome<'_>, sentences: &[String]) -> String {
    let mut text = shaft(outcome);
    text.push('\n');
    text.extend(sentences.iter().map(|line| wrapped("", "  ", line)));
    let rest: Vec<_> = outcome.cautions.iter().filter(|caution| !the_explained(caution)).cloned().collect();
    if !rest.is_empty() {
        text.push('\n');
        text.push_str(&cautions(units_of(outcome), &rest));
    }
    text
}

/// Whether a caution says what the answer itself explains.
fn the_explained(caution: &Caution) -> bool {
    matches!(
        caution,
        Caution::CheckDisagrees { .. } | Caution::ScatterAboveStated { .. } | Caution::RunsContradict { .. }
    )
}
