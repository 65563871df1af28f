//! What went wrong, in words.

use super::heading::shaft;
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
    let rest: Vec<_> = outcome
        .cautions
        .iter()
        .filter(|caution| !["check-disagrees", "scatter-above-stated"].contains(&caution.code))
        .cloned()
        .collect();
    if !rest.is_empty() {
        text.push('\n');
        text.push_str(&cautions(&rest));
    }
    text
}
