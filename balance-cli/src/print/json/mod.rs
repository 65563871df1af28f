//! Answers as JSON: one object on one line.

mod correction;
mod explanation;
mod limits;
mod shaft;
mod verdict;

pub use correction::correction;
pub use explanation::explanation;
pub use limits::limits;
pub use shaft::shaft;
pub use verdict::verdict;

use balance_core::caution::Caution;
use serde::Serialize;

/// A caution as programs read it.
#[derive(Debug, Serialize)]
pub struct CautionJson<'a> {
    level: &'static str,
    code: &'static str,
    text: &'a str,
}

pub(super) fn cautions(found: &[Caution]) -> Vec<CautionJson<'_>> {
    found.iter().map(|c| CautionJson { level: c.level.word(), code: c.code, text: &c.text }).collect()
}

/// One line of JSON.
///
/// The values are finite numbers, texts and lists: they always have a JSON form.
pub(super) fn line(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("plain values have a JSON form")
}
