//! The verdict in words.

use balance_core::answer::{GroupVerdict, Judged, Limits};
use balance_core::grade::{Decision, NextStep, Withheld};
use balance_core::quantity::Speed;
use balance_core::shaft::MassBasis;

use super::heading;
use super::shaft::before_spin_line;
use super::units;
use super::wrap::{cautions, wrapped};
use crate::view::View;
use balance_core::quantity::Units;

/// The headline of a decision.
pub fn headline(decision: Decision) -> &'static str {
    match decision {
        Decision::Meets => "MEETS",
        Decision::Exceeds => "TOO MUCH IS LEFT",
        Decision::Undecided => "CANNOT BE TOLD YET",
    }
}

/// What the limit rests on: "G16, 14.2 kg, up to 2600 rpm".
pub fn basis(limits: &Limits) -> String {
    let grade = limits.grade.map_or_else(|| "the shop's own limit".to_owned(), |grade| grade.to_string());
    let estimated = if limits.mass_basis == Some(MassBasis::Estimated) { " ESTIMATED" } else { "" };
    let mass =
        limits.mass.map(|mass| format!("{} kg{estimated}", (mass.kilograms() * 1000.0).round() / 1000.0));
    let speed = limits.service_speed.map(|speed| format!("up to {:.0} rpm", speed.rpm()));
    std::iter::once(grade).chain(mass).chain(speed).collect::<Vec<String>>().join(", ")
}

/// The same with a comma after it, where there is a limit.
fn basis_of(view: &View<'_>) -> String {
    view.answer.limits.as_ref().map_or_else(|_| String::new(), |limits| format!("{}, ", basis(limits)))
}

/// The verdict on one shaft.
#[must_use]
pub fn verdict(view: &View<'_>, judged: &Judged, budget: bool) -> String {
    let units = view.units();
    let mut text = heading::shaft(view);
    text.push_str(&before_spin_line(view.answer.before_spin.as_deref()));
    text.push('\n');
    text.push_str(&wrapped(
        "",
        "  ",
        &format!("{}\u{a0}\u{a0} {}{}.", headline(judged.decision), basis_of(view), judged.state_word()),
    ));
    let deciding = judged.deciding();
    text.push_str(&planes(units, deciding));
    text.push_str(&scope(judged));
    if judged.decision == Decision::Undecided {
        text.push_str(&wrapped("", "  ", &what_would_decide(deciding)));
    }
    for group in judged.groups.iter().filter(|group| judged.groups.len() > 1 && group.group != deciding.group)
    {
        let speed = group.stand_speed.map_or(0.0, Speed::rpm);
        text.push_str(&format!("At {speed:.0} rpm: {}\n", headline(group.verdict.decision).to_lowercase()));
    }
    if budget {
        text.push('\n');
        text.push_str(&budget_table(units, deciding));
    }
    text.push('\n');
    text.push_str(&cautions(units, &judged.cautions_with(&view.answer.cautions)));
    text
}

/// One line for each tolerance plane.
pub fn planes(units: Units, group: &GroupVerdict) -> String {
    let width = group.verdict.planes.iter().map(|plane| plane.name.chars().count()).max().unwrap_or(0);
    let line = |plane: &balance_core::grade::PlaneVerdict| {
        let give = plane.give_or_take().map_or_else(
            || "give or take not known".to_owned(),
            |circle| format!("give or take {}", units::unbalance_number(units, circle)),
        );
        let chance = plane.probability.map(|p| format!(", chance to be within {}", units::chance(p)));
        let text = format!(
            "{} left, {give}; allowed {}{}",
            units::unbalance(units, plane.residual.gram_millimetres()),
            units::unbalance_number(units, plane.permissible.gram_millimetres()),
            chance.unwrap_or_default()
        );
        wrapped(&format!("  {:<width$}  ", plane.name), "      ", &text)
    };
    group.verdict.planes.iter().map(line).collect()
}

fn scope(judged: &Judged) -> String {
    let residual = &judged.deciding().residual;
    let runs = |count: usize, word: &str| format!("{count} {word}{}", if count == 1 { "" } else { "s" });
    let kind = if judged.which == balance_core::influence::Which::Now { "check run" } else { "initial run" };
    let speed = judged.deciding().stand_speed.map(|speed| format!(" at {:.0} rpm", speed.rpm()));
    let only = if residual.mountings < 2 && !judged.scatter_stated { ": this mounting only" } else { "" };
    format!(
        "From {} in {}{}{only}.\n",
        runs(residual.runs, kind),
        runs(residual.mountings, "mounting"),
        speed.unwrap_or_default()
    )
}

/// Why there is no verdict, and what would settle it.
pub fn what_would_decide(group: &GroupVerdict) -> String {
    let verdict = &group.verdict;
    let why: Vec<String> = verdict.withheld.iter().map(Withheld::sentence).collect();
    let way = match verdict.next_step() {
        NextStep::CheckRuns(_) | NextStep::CorrectFurther => None,
        _ => verdict.in_the_way.as_ref().map(|term| format!("What stands in the way: {}.", term.name)),
    };
    let steps = verdict.next_steps();
    let sentences = why.into_iter().chain(steps.iter().map(NextStep::sentence)).chain(way);
    sentences.collect::<Vec<String>>().join(" ")
}

/// Every term of the give or take, in the plane that has the least room.
fn budget_table(units: Units, group: &GroupVerdict) -> String {
    let Some(budget) = &group.budget else {
        return "No figure for the noise: there is no budget.\n".into();
    };
    let mut text = String::new();
    for (at, plane) in group.verdict.planes.iter().enumerate() {
        text.push_str(&format!(
            "What makes up the give or take at {} ({}, one sigma):\n",
            plane.name,
            units::unbalance_unit(units)
        ));
        for share in budget.shares(at) {
            let kind = match share.kind {
                balance_core::grade::TermKind::Random => "random    ",
                balance_core::grade::TermKind::Systematic => "systematic",
            };
            text.push_str(&format!(
                "  {:<38} {kind} {:>9}  {:>3.0} %\n",
                share.name,
                units::unbalance_number(units, share.size),
                100.0 * share.share
            ));
        }
        text.push_str(&format!(
            "  by the plain rule of ISO 21940-14: {}\n",
            headline(plane.plain_rule).to_lowercase()
        ));
    }
    text
}
