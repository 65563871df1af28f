//! The rebuild as a customer reads it: how it came, what was found, what was done, how it is now.

use balance_core::answer::{Advice, Judged};
use balance_core::grade::{Decision, PlaneVerdict};
use balance_core::shaft::{PartDecision, ShaftState};
use maud::{Markup, html};

use super::words::{length, listed, sentence, shop_units, unbalance_unit};
use super::{ReportInput, done};
use crate::print::text::units;

pub fn rebuild(input: &ReportInput<'_>) -> Markup {
    let lines = [
        ("Received", received(input)),
        ("Found", found(input)),
        ("Done", done::sentences(input)),
        ("Now", now(input)),
    ];
    html! {
        dl.rebuild {
            @for (name, sentences) in &lines {
                dt { (name) }
                dd { (if sentences.is_empty() { "Not written down.".to_owned() } else { sentences.join(" ") }) }
            }
        }
    }
}

fn received(input: &ReportInput<'_>) -> Vec<String> {
    let Some(state) = &input.shaft.received else { return Vec::new() };
    let shop = shop_units(input);
    let joints = |words: &String| format!("joints {words}");
    let parts: Vec<String> = [
        state.length.map(|own| format!("{} long", length(shop, own))),
        state.damage.clone(),
        state.joints.as_ref().map(joints),
        state.note.clone(),
    ]
    .into_iter()
    .flatten()
    .collect();
    let words = if parts.is_empty() { "no damage is written down".to_owned() } else { parts.join("; ") };
    vec![match dated(state) {
        Some(date) => format!("On {date}: {words}."),
        None => format!("{}.", sentence(&words)),
    }]
}

fn dated(state: &ShaftState) -> Option<&str> {
    state.date.as_deref()
}

/// What was left before anything was done, and what the inspection turned up.
fn found(input: &ReportInput<'_>) -> Vec<String> {
    let replaced: Vec<String> = input
        .shaft
        .inspection
        .iter()
        .filter(|item| item.decision == Some(PartDecision::Replace))
        .map(|item| format!("{} ({})", item.part, item.finding))
        .collect();
    let parts = (!replaced.is_empty()).then(|| format!("To be replaced: {}.", listed(&replaced)));
    balance_found(input).into_iter().chain(parts).collect()
}

fn balance_found(input: &ReportInput<'_>) -> Option<String> {
    if let Some(reason) = nothing_stated(input) {
        return Some(reason.into());
    }
    let judged = input.as_found.as_ref()?;
    let meaning = match judged.deciding().verdict.decision {
        Decision::Meets => "within what is allowed",
        Decision::Exceeds => "more than is allowed",
        Decision::Undecided => "too close to what is allowed to tell",
    };
    Some(format!("Unbalance on the stand: {}; {meaning}.", amounts(input, judged)))
}

fn now(input: &ReportInput<'_>) -> Vec<String> {
    let view = input.view;
    if let Some(reason) = nothing_stated(input) {
        return vec![reason.into()];
    }
    let built = input.shaft.built.as_ref().and_then(|built| built.length);
    let size = built.map(|own| format!("{} long.", sentence(&length(shop_units(input), own))));
    let balance = match &view.answer.judged {
        Some(judged) => {
            let meaning = match judged.decision {
                Decision::Meets => "less than is allowed at every end",
                Decision::Exceeds => "more than is allowed",
                Decision::Undecided => "whether that is little enough cannot be told yet",
            };
            format!("Unbalance left: {}; {meaning}.", amounts(input, judged))
        }
        None => "What is left has not been measured yet.".into(),
    };
    size.into_iter().chain([balance]).collect()
}

/// Under "must not spin" and "held back" no figure may be read as a result: why, in a sentence.
pub(super) fn nothing_stated(input: &ReportInput<'_>) -> Option<&'static str> {
    match input.view.answer.advice() {
        Advice::MustNotSpin(_) => Some("No unbalance is stated, because the shaft must not spin."),
        Advice::HeldBack(_) => Some("No unbalance is stated, because the runs contradict each other."),
        Advice::OneMoreRun(_)
        | Advice::Done(_)
        | Advice::Hold(_)
        | Advice::Ideal(_)
        | Advice::NothingBetter(_) => None,
    }
}

/// "front joint 37 and rear joint 97 g·mm".
fn amounts(input: &ReportInput<'_>, judged: &Judged) -> String {
    let shop = shop_units(input);
    let planes = &judged.deciding().verdict.planes;
    let number = |plane: &PlaneVerdict| units::unbalance_number(shop, plane.residual.gram_millimetres());
    let all: Vec<String> = planes.iter().map(|plane| format!("{} {}", plane.name, number(plane))).collect();
    // Number and unit stay on one line.
    format!("{}\u{a0}{}", listed(&all), unbalance_unit(shop))
}
