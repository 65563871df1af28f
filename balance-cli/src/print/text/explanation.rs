//! What went wrong, in words.

use balance_core::caution::Caution;

use super::heading::shaft;
use super::wrap::cautions;
use crate::view::View;

/// The answer of `explain`.
#[must_use]
pub fn explain(view: &View<'_>, sentences: &[String]) -> String {
    let mut text = shaft(view);
    text.push('\n');
    text.extend(sentences.iter().map(|line| view.page.wrapped("", "  ", line)));
    let rest: Vec<_> =
        view.answer.cautions.iter().filter(|caution| !the_explained(caution)).cloned().collect();
    if !rest.is_empty() {
        text.push('\n');
        text.push_str(&cautions(view.page, view.units(), &rest));
    }
    text
}

/// Whether a caution repeats what the answer itself explains.
fn the_explained(caution: &Caution) -> bool {
    matches!(
        caution,
        Caution::CheckDisagrees { .. } | Caution::ScatterAboveStated { .. } | Caution::RunsContradict { .. }
    )
}
