//! Whose shaft it is, what it belongs to and who balances it: what a record needs beside numbers.

use super::Known;
use super::question::{Kind, Question};

const UNITS: &[(&str, &str)] = &[("kg, mm and g", "metric"), ("lb, inches and oz", "us")];

pub fn units(known: &Known) -> Option<Question> {
    let words = "Which units does the shop work in? Enter = 1.";
    let question = || Question::new("units", "show", "units", Kind::Units(UNITS), words);
    (!known.states("show", "units")).then(|| Question { for_the_shop: true, ..question() })
}

pub fn customer(known: &Known) -> Option<Question> {
    let words = "Whose shaft is it (customer), such as Hollin Pass road depot:";
    let question = || Question::new("customer", "job", "customer", Kind::Free, words);
    known.file.paperwork.heading.customer.is_none().then(question)
}

pub fn unit(known: &Known) -> Option<Question> {
    let words = "Vehicle or machine and drive, such as rotary snow blower 3, auger drive:";
    let question = || Question::new("unit", "job", "unit", Kind::Free, words);
    known.file.paperwork.heading.unit.is_none().then(question)
}

pub fn tag(known: &Known) -> Option<Question> {
    let words = "Tag or stamp on the shaft, such as HP-12:";
    let question = || Question::new("tag", "job", "tag", Kind::Free, words);
    known.file.paperwork.heading.tag.is_none().then(question)
}

/// As many types as fit on a screen with the question.
const LISTED: usize = 9;

pub fn shaft_type(known: &Known) -> Option<Question> {
    let heading = &known.file.paperwork.heading;
    if heading.shaft_type.is_some() {
        return None;
    }
    let listed: Vec<String> = known.types.iter().take(LISTED).cloned().collect();
    let words = if listed.is_empty() {
        "Shaft type, the same words for all built alike, such as SB3 auger drive:"
    } else {
        "Shaft type: is it built like these? A number, or the type in your own words."
    };
    Some(Question::new("type", "job", "type", Kind::Listed(listed), words))
}

pub fn technician(known: &Known) -> Option<Question> {
    let words = "Who balances it (the name under the record), such as M. Holt:";
    let question = || Question::new("technician", "people", "technician", Kind::Free, words);
    known.file.paperwork.people.technician.is_none().then(question)
}
