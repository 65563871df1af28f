//! The verdict in words.

use balance_core::answer::{Advice, GroupVerdict, Judged, Limits, NextRun};
use balance_core::grade::{Decision, NextStep};
use balance_core::quantity::Speed;
use balance_core::shaft::MassBasis;

use super::shaft::{before_spin_line, not_checked_line};
use super::wrap::{all_cautions, changing_cautions};
use super::{heading, short, units};
use crate::page::Page;
use crate::view::{Reader, View};
use balance_core::quantity::Units;

/// The headline of a decision.
pub fn headline(decision: Decision) -> &'static str {
    match decision {
        Decision::Meets => "MEETS",
        Decision::Exceeds => "TOO MUCH IS LEFT",
        Decision::Undecided => "CANNOT BE TOLD YET",
    }
}

/// The verdict on a shaft with a check run that was never read as found: there is none yet.
pub fn never_read_as_found(page: Page, shaft: &str) -> String {
    let state = page.bold(headline(Decision::Undecided));
    let next = page.wrapped(&format!("{} ", page.bold("NEXT")), "      ", &NextRun::InitialRun.sentence());
    format!("{shaft}\n{state}\n\n{}", next.trim_end())
}

/// The basis of the limit: "G16, 14.2 kg, up to 2600 rpm".
pub fn basis(shop: Units, limits: &Limits) -> String {
    let grade = limits.grade.map_or_else(|| "the shop's own limit".to_owned(), |grade| grade.to_string());
    let estimated = if limits.mass_basis == Some(MassBasis::Estimated) { " ESTIMATED" } else { "" };
    let mass = limits.mass.map(|mass| format!("{}{estimated}", units::kilograms(shop, mass.kilograms())));
    let speed = limits.service_speed.map(|speed| format!("up to {:.0} rpm", speed.rpm()));
    std::iter::once(grade).chain(mass).chain(speed).collect::<Vec<String>>().join(", ")
}

/// The same with a comma after it, where there is a limit.
fn basis_of(view: &View<'_>) -> String {
    view.answer
        .limits
        .as_ref()
        .map_or_else(|_| String::new(), |limits| format!("{}, ", basis(view.units(), limits)))
}

/// The short answer of `verify`: the verdict, what is left at each end, and what to do next.
#[must_use]
pub fn verdict(view: &View<'_>, judged: &Judged) -> String {
    let page = view.page;
    let deciding = judged.deciding();
    let mut text = short::head(view);
    text.push_str(&state(view, judged, ""));
    text.push_str(&planes(page, view.units(), deciding));
    text.push_str(&scope(page, judged));
    text.push_str(&not_checked_line(page, view.answer.before_spin.as_deref()));
    if judged.decision == Decision::Undecided {
        text.push_str(&page.wrapped("", "  ", &why_undecided(deciding, view.units())));
    }
    text.push_str(&other_speeds(judged, deciding));
    let (changing, more) = changing_cautions(view, &judged.cautions_with(&view.answer.cautions));
    if !changing.is_empty() {
        text.push('\n');
        text.push_str(&changing);
    }
    text.push('\n');
    match more {
        0 => {}
        1 => text.push_str(&format!("{}: 1 more caution.\n", view.ask_for_all())),
        more => text.push_str(&format!("{}: {more} more cautions.\n", view.ask_for_all())),
    }
    if view.reader == Reader::Guided { text } else { text + &short::next_line(view, &next(view, judged)) }
}

/// The full answer of `verify`, with every term of the give or take if requested.
#[must_use]
pub fn verdict_in_full(view: &View<'_>, judged: &Judged, budget: bool) -> String {
    let (page, units) = (view.page, view.units());
    let mut text = heading::shaft(view);
    text.push_str(&before_spin_line(page, view.answer.before_spin.as_deref()));
    text.push('\n');
    text.push_str(&state(view, judged, &basis_of(view)));
    let deciding = judged.deciding();
    text.push_str(&planes(page, units, deciding));
    text.push_str(&scope(page, judged));
    if judged.decision == Decision::Undecided {
        text.push_str(&page.wrapped("", "  ", &what_would_decide(deciding, units)));
    }
    text.push_str(&other_speeds(judged, deciding));
    if budget {
        text.push('\n');
        text.push_str(&budget_table(units, deciding));
    }
    text.push('\n');
    text.push_str(&all_cautions(page, units, &judged.cautions_with(&view.answer.cautions)));
    text
}

/// The verdict in one line: the decision, and the runs it covers.
fn state(view: &View<'_>, judged: &Judged, basis: &str) -> String {
    let word = view.page.bold(headline(judged.decision));
    view.page.wrapped("", "  ", &format!("{word}\u{a0}\u{a0} {basis}{}.", judged.state_word()))
}

/// The verdicts at the other speeds in the file.
fn other_speeds(judged: &Judged, deciding: &GroupVerdict) -> String {
    let others =
        judged.groups.iter().filter(|group| judged.groups.len() > 1 && group.group != deciding.group);
    let line = |group: &GroupVerdict| {
        let speed = group.stand_speed.map_or(0.0, Speed::rpm);
        format!("At {speed:.0} rpm: {}\n", headline(group.verdict.decision).to_lowercase())
    };
    others.map(line).collect()
}

/// What to do next, in a few words.
fn next(view: &View<'_>, judged: &Judged) -> String {
    match judged.decision {
        Decision::Meets => "weld nothing more; write the record: balance\u{a0}report".into(),
        Decision::Exceeds => "balance\u{a0}correct shows what to put where".into(),
        Decision::Undecided => match view.answer.advice() {
            Advice::HeldBack(_) => "find the cause first: balance\u{a0}explain".into(),
            _ => settling(judged.deciding()),
        },
    }
}

/// One line for each tolerance plane.
pub fn planes(page: Page, units: Units, group: &GroupVerdict) -> String {
    let width = group.verdict.planes.iter().map(|plane| plane.name.chars().count()).max().unwrap_or(0);
    let line = |plane: &balance_core::grade::PlaneVerdict| {
        let give = plane.give_or_take().map_or_else(
            || "give or take not known".to_owned(),
            |circle| format!("give or take {}", units::unbalance_number(units, circle)),
        );
        let chance = plane.probability.map(|p| format!(" (chance {})", units::chance(p)));
        let text = format!(
            "{} left, {give}; allowed {}{}",
            units::unbalance(units, plane.residual.gram_millimetres()),
            units::unbalance_number(units, plane.permissible.gram_millimetres()),
            chance.unwrap_or_default()
        );
        page.wrapped(&format!("  {:<width$}  ", plane.name), "      ", &text)
    };
    group.verdict.planes.iter().map(line).collect()
}

fn scope(page: Page, judged: &Judged) -> String {
    let residual = &judged.deciding().residual;
    let runs = |count: usize, word: &str| format!("{count} {word}{}", if count == 1 { "" } else { "s" });
    let kind = if judged.which == balance_core::influence::Which::Now { "check run" } else { "initial run" };
    let speed = judged.deciding().stand_speed.map(|speed| format!(" at {:.0} rpm", speed.rpm()));
    let only = if residual.mountings < 2 && !judged.scatter_stated { ": this mounting only" } else { "" };
    let words = format!(
        "From {} in {}{}{only}.",
        runs(residual.runs, kind),
        runs(residual.mountings, "mounting"),
        speed.unwrap_or_default()
    );
    page.wrapped("", "  ", &words)
}

/// Why there is no verdict, and what would decide it.
pub fn what_would_decide(group: &GroupVerdict, shop: Units) -> String {
    let verdict = &group.verdict;
    let why = verdict.withheld.iter().map(|own| own.sentence(shop));
    let steps = verdict.next_steps();
    let sentences = why.chain(steps.iter().map(NextStep::sentence)).chain(in_the_way(group));
    sentences.collect::<Vec<String>>().join(" ")
}

/// Why there is no verdict.
fn why_undecided(group: &GroupVerdict, shop: Units) -> String {
    let why = group.verdict.withheld.iter().map(|own| own.sentence(shop));
    why.chain(in_the_way(group)).collect::<Vec<String>>().join(" ")
}

/// What would decide it.
fn settling(group: &GroupVerdict) -> String {
    let steps = group.verdict.next_steps();
    steps.iter().map(NextStep::sentence).collect::<Vec<String>>().join(" ")
}

/// The largest term of the give or take, where more check runs would not help.
fn in_the_way(group: &GroupVerdict) -> Option<String> {
    match group.verdict.next_step() {
        NextStep::CheckRuns(_) | NextStep::CorrectFurther => None,
        _ => group.verdict.in_the_way.as_ref().map(|term| format!("What prevents a verdict: {}.", term.name)),
    }
}

/// Every term of the give or take at each place where the limit holds.
fn budget_table(units: Units, group: &GroupVerdict) -> String {
    let Some(budget) = &group.budget else {
        return "There is no figure for the noise, so there is no budget.\n".into();
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
