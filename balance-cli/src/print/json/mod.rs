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
use balance_core::quantity::Units;
use serde::Serialize;

/// A caution as programs read it.
#[derive(Debug, Serialize)]
pub struct CautionJson {
    level: &'static str,
    code: &'static str,
    text: String,
}

pub(super) fn cautions(units: Units, found: &[Caution]) -> Vec<CautionJson> {
    found
        .iter()
        .map(|own| CautionJson { level: own.level().word(), code: own.code(), text: own.words(units) })
        .collect()
}

/// One line of JSON.
///
/// The values are finite numbers, texts and lists: they always have a JSON form.
pub(super) fn line(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("plain values have a JSON form")
}
