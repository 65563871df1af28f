//! Fitting, coming back, who is responsible. Common practice, no source; the vehicle maker's instructions come first.

use maud::{Markup, html};

use super::ReportInput;
use super::pieces::list;
use crate::files::job::People;

const FITTING: [&str; 5] = [
    "Lock out the drive. Line up the marks, set the slip as marked, use the same flanges.",
    "Clean the faces to bare metal. Use the maker's bolts, tightened crosswise to the maker's torque.",
    "Keep hammers, straps and welding current away from tube, weights and joints.",
    "Make the first run slowly, guards on, with nobody beside the shaft. Check the bolts after an hour.",
    "Local codes, the vehicle maker's approval and licensed practice come first.",
];

const COMING_BACK: [&str; 4] = [
    "At once if it shakes, knocks or has been hit: stop and do not run it again.",
    "After it lost a weight, or after work on tube, joints, slip or flanges. This record is void then.",
    "When joints are renewed, or at the maker's interval; if there is none, once a season.",
    "Bring this record: it holds the marks, the weights and how the shaft responds.",
];

/// Advice for who fits it; without "meets" it begins with that.
pub fn fitting(input: &ReportInput<'_>) -> Markup {
    let first = "This record does not say that the shaft meets its limit, so it is no reason to fit it.";
    let first = (!input.view.answer.done()).then(|| first.to_owned());
    let lines: Vec<String> = first.into_iter().chain(FITTING.map(str::to_owned)).collect();
    list(&lines)
}

pub fn coming_back() -> Markup {
    list(&COMING_BACK.map(str::to_owned))
}

/// Who went on against the checks.
pub fn overrides(input: &ReportInput<'_>) -> Option<Markup> {
    let by_gate = input.shaft.check.iter().filter_map(|check| check.gate.overridden_by.as_ref());
    let mut all: Vec<_> = by_gate.chain(&input.shaft.overrides).collect();
    all.dedup();
    if all.is_empty() {
        return None;
    }
    Some(html! { ul { @for own in all { li { b { (own.name()) } ": " (own.reason()) } } } })
}

pub fn names(input: &ReportInput<'_>) -> Markup {
    signatures(&input.shaft.people)
}

/// Who answers for it.
pub fn signatures(people: &People) -> Markup {
    let line = |role: &str, name: Option<&String>| {
        html! {
            div.sign {
                p.line {}
                p { (role) ": " (name.map_or("", String::as_str)) }
            }
        }
    };
    html! {
        div.names {
            (line("Balanced by", people.technician.as_ref()))
            (line("Checked by", people.checker.as_ref()))
        }
    }
}
