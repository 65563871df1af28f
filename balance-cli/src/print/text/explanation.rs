//! What went wrong, in words.

use super::heading::shaft;
use super::wrap::{cautions, wrapped};
use crate::view::View;

/// The answer of `explain`.
#[must_use]
pub fn explain(view: &View<'_>, sentences: &[String]) -> String {
    let mut text = shaft(view);
    text.push('\n');
    text.extend(sentences.iter().map(|line| wrapped("", "  ", line)));
    let rest: Vec<_> = view
        .answer
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
