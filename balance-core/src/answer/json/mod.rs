//! Answers as JSON, one object on one line: the same for every program that uses the library.

mod correction;
mod explanation;
mod limits;
mod shaft;
mod verdict;

pub use correction::{correction, refused};
pub use explanation::explanation;
pub use limits::limits;
pub use shaft::shaft;
pub use verdict::{refused_verdict, verdict};

use crate::caution::Caution;
use serde::Serialize;

use super::advice::Advice;

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

/// Why weights or a verdict are not there, or what to read next.
#[derive(Debug, Serialize)]
struct WhyJson {
    code: &'static str,
    text: String,
}

fn held_back(advice: &Advice) -> Option<WhyJson> {
    let Advice::HeldBack(found) = advice else { return None };
    Some(WhyJson { code: found.code(), text: found.text() })
}

fn refusal(advice: &Advice) -> Option<WhyJson> {
    let Advice::MustNotSpin(found) = advice else { return None };
    Some(WhyJson { code: found.code(), text: found.text() })
}

fn next_run(advice: &Advice) -> Option<WhyJson> {
    let Advice::OneMoreRun(found) = advice else { return None };
    Some(WhyJson { code: found.next.code(), text: found.next.sentence() })
}

/// One line of JSON.
///
/// The values are finite numbers, texts and lists: they always have a JSON form.
pub(super) fn line(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("plain values have a JSON form")
}
