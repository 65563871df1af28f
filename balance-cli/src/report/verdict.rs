//! The verdict in words, the largest thing on the page.

use balance_core::grade::Decision;
use maud::{Markup, html};

use super::ReportInput;
use super::words::{counted, headline, listed, sentence, shaft_mass, shop_units, speed};
use crate::print::text::units;
use crate::print::text::verdict::what_would_decide;
use balance_core::answer::{Advice, HeldBack, Judged, Limits};

pub fn verdict(input: &ReportInput<'_>) -> Markup {
    let answer = input.view.answer;
    match answer.advice() {
        Advice::MustNotSpin(refusal) => html! {
            p.big { "MUST NOT SPIN" }
            p { "There is no verdict, and no weight may be put on: " (refusal.text(input.view.units())) }
            p { (sentence(refusal.hint())) "." }
        },
        Advice::HeldBack(found) => held_back(input, found),
        Advice::OneMoreRun(_)
        | Advice::Done(_)
        | Advice::Hold(_)
        | Advice::Ideal(_)
        | Advice::NothingBetter(_) => measured(input),
    }
}

/// Runs that contradict each other: whatever was measured, nothing can be said.
fn held_back(input: &ReportInput<'_>, found: &HeldBack) -> Markup {
    html! {
        p.big { "HELD BACK" }
        p { "The runs contradict each other. Until the cause is found nothing can be said about the balance, and nothing is welded." }
        @for sentence in &found.sentences { p { (sentence) } }
        @if let Ok(limits) = &input.view.answer.limits { (basis(input, limits)) }
    }
}

fn measured(input: &ReportInput<'_>) -> Markup {
    let view = input.view;
    match (&view.answer.limits, &view.answer.judged) {
        (Ok(limits), Some(judged)) => told(input, limits, judged),
        (Ok(limits), None) => html! {
            p.big { "NO VERDICT YET" }
            p { "This record has no check run, and only a check run tells." }
            (basis(input, limits))
        },
        (Err(missing), _) => html! {
            p.big { "NO VERDICT" }
            p { "There is no limit to compare with. Not written down: " (missing.join("; ")) "." }
        },
    }
}

fn told(input: &ReportInput<'_>, limits: &Limits, judged: &Judged) -> Markup {
    let meaning = match judged.decision {
        Decision::Meets => "At every end less is left than is allowed, with the give or take counted in.",
        Decision::Exceeds => "More is left than is allowed, with the give or take counted in.",
        Decision::Undecided => "What is left is too close to the limit, or not known well enough, to decide.",
    };
    html! {
        p.big { (headline(judged.decision)) }
        p { (meaning) (chance(judged)) " " (scope(judged)) }
        @if judged.decision == Decision::Undecided { p { (what_would_decide(judged.deciding(), shop_units(input))) } }
        @for group in judged.groups.iter().filter(|group| judged.groups.len() > 1 && group.group != judged.deciding().group) {
            p {
                "At " (group.stand_speed.map_or_else(|| "another speed".to_owned(), speed)) ": "
                (headline(group.verdict.decision).to_lowercase()) "."
            }
        }
        (basis(input, limits))
    }
}

/// That all ends are within, together.
fn chance(judged: &Judged) -> String {
    let chance = judged.deciding().verdict.probability;
    chance.map_or_else(String::new, |all| {
        format!(" Chance that every end is within the limit: {}.", units::chance(all))
    })
}

/// What was measured how often.
fn scope(judged: &Judged) -> String {
    let group = judged.deciding();
    let at = group.stand_speed.map_or_else(String::new, |rpm| format!(" at {} on the stand", speed(rpm)));
    let only =
        if group.residual.mountings < 2 && !judged.scatter_stated { ", this mounting only" } else { "" };
    format!(
        "Measured {}, {} in {}{at}{only}.",
        judged.state_word(),
        counted(group.residual.runs, "check run"),
        counted(group.residual.mountings, "mounting")
    )
}

/// Grade, mass and where it comes from, highest speed, and the marks.
fn basis(input: &ReportInput<'_>, limits: &Limits) -> Markup {
    let grade = limits
        .grade
        .map_or_else(|| "the shop's own limit".to_owned(), |grade| format!("{grade} (ISO 21940-11)"));
    html! {
        dl.basis {
            div { dt { "Grade" } dd { (grade) } }
            div { dt { "Mass" } dd { (mass(input, limits)) } }
            div { dt { "Highest speed" } dd { (limits.service_speed.map_or_else(|| "not written down".to_owned(), speed)) } }
        }
    }
}

fn mass(input: &ReportInput<'_>, limits: &Limits) -> String {
    let shop = shop_units(input);
    if let Some(found) = input.shaft.check.as_ref().and_then(|check| check.mass) {
        return format!("{}, {}", shaft_mass(shop, found.used), found.basis.word());
    }
    limits
        .mass
        .map_or_else(|| "not written down".to_owned(), |mass| format!("{}, weighed", shaft_mass(shop, mass)))
}

/// The marks without which the record is void.
pub fn only_to_these_marks(input: &ReportInput<'_>) -> Markup {
    let marks: Vec<String> =
        input.shaft.marks.iter().map(|own| format!("{} ({})", own.mark.between, own.mark.mark)).collect();
    html! {
        p.marks {
            b { "In force only if assembled to these marks: " }
            @if marks.is_empty() {
                "no match marks are written down. If it is assembled in any other position than on the stand, this record is void."
            } @else {
                (listed(&marks)) ". If it is assembled in any other position, this record is void."
            }
        }
    }
}
