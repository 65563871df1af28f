//! What is left, as a picture beside the verdict.

use maud::{Markup, html};

use super::ReportInput;
use super::rebuild::nothing_stated;
use super::side_view::drawn;
use crate::draw::left;
use crate::picture::what_is_left;

/// `None` without a verdict, and where no figure may be read as a result.
pub fn picture(input: &ReportInput<'_>) -> Option<Markup> {
    let view = input.view;
    if nothing_stated(input).is_some() {
        return None;
    }
    let judged = view.answer.judged.as_ref()?;
    Some(html! { figure.left { (drawn(&left(&what_is_left(view, judged.deciding())))) } })
}
