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
pub use verdict::{refused_verdict, verdict, verdict_without_initial};

use crate::caution::Caution;
use crate::quantity::Units;
use serde::Serialize;

use super::advice::Advice;
use super::case::Case;

/// Everything an answer depends on, on one line.
#[must_use]
pub fn case(case: &Case) -> String {
    line(case)
}

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

/// Why there are no weights or no verdict, or what to read next.
#[derive(Debug, Serialize)]
struct WhyJson {
    code: &'static str,
    text: String,
}

fn held_back(advice: &Advice) -> Option<WhyJson> {
    let Advice::HeldBack(found) = advice else { return None };
    Some(WhyJson { code: found.code(), text: found.text() })
}

fn refusal(units: Units, advice: &Advice) -> Option<WhyJson> {
    let Advice::MustNotSpin(found) = advice else { return None };
    Some(WhyJson { code: found.code(), text: found.text(units) })
}

fn next_run(advice: &Advice) -> Option<WhyJson> {
    let Advice::OneMoreRun(found) = advice else { return None };
    Some(WhyJson { code: found.next.code(), text: found.next.sentence() })
}

/// One line of JSON.
///
/// The values are finite numbers, texts and lists: they always have a JSON form.
pub(super) fn line(value: &impl Serialize) -> String {
    let mut bytes = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut bytes, PlainZero);
    value.serialize(&mut serializer).expect("plain values have a JSON form");
    String::from_utf8(bytes).expect("JSON is UTF-8")
}

/// Compact JSON in which nothing is −0.0.
struct PlainZero;

impl serde_json::ser::Formatter for PlainZero {
    fn write_f64<W: ?Sized + std::io::Write>(&mut self, writer: &mut W, value: f64) -> std::io::Result<()> {
        // Adding zero turns −0.0 into 0.0 and changes nothing else.
        serde_json::ser::CompactFormatter.write_f64(writer, value + 0.0)
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn nothing_is_minus_zero() {
        assert_eq!(super::line(&[-0.0, 0.0, -1.5]), "[0.0,0.0,-1.5]");
    }
}
