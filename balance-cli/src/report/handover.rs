//! Fitting, coming back, who stands for it. Common practice, no source; the vehicle maker's instructions come first.

use maud::{Markup, html};

use super::ReportInput;
use super::pieces::list;
use crate::files::job::People;

const FITTING: [&str; 5] = [
    "Drive locked out; marks in line, slip as marked, the same flanges.",
    "Faces clean and bare; the maker's bolts, crosswise to the maker's figure.",
    "No hammer, strap or welding current on tube, weights and joints.",
    "First run slow, guards on, nobody beside it; bolts again after an hour.",
    "Local codes, the vehicle maker's approval and licensed practice come first.",
];

const COMING_BACK: [&str; 4] = [
    "At once if it shakes, knocks or was hit: stop, do not run on.",
    "After a lost weight or work on tube, joints, slip or flanges: this record is void then.",
    "With new joints or at the maker's interval; without one, once a season.",
    "Bring this record: marks, weights, how the shaft answers.",
];

/// Advice for who fits it; without "meets" it begins with that.
pub fn fitting(input: &ReportInput<'_>) -> Markup {
    let first = "This record does not say that it meets: it is no reason to fit the shaft.";
    let first = (!input.view.answer.done()).then(|| first.to_owned());
    let lines: Vec<String> = first.into_iter().chain(FITTING.map(str::to_owned)).collect();
    list(&lines)
}

pub fn coming_back() -> Markup {
    list(&COMING_BACK.map(str::to_owned))
}

/// Who went on against the checks.
pub fn overrides(input: &ReportInput<'_>) -> Markup {
    let by_gate = input.shaft.check.iter().filter_map(|check| check.gate.overridden_by.as_ref());
    let mut all: Vec<_> = by_gate.chain(&input.shaft.overrides).collect();
    all.dedup();
    if all.is_empty() {
        return html! { p { "None." } };
    }
    html! { ul { @for own in all { li { b { (own.name()) } ": " (own.reason()) } } } }
}

pub fn stand(input: &ReportInput<'_>) -> Markup {
    let proved = input.view.answer.runs.setup().convention.proved.clone();
    html! {
        p {
            "Last proved by a quarter-turn trial: "
            (proved.unwrap_or_else(|| "not written down".into())) "."
        }
    }
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
