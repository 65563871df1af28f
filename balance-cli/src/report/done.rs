//! What was done, from the runs and from what was written down: in sentences.

use super::ReportInput;
use super::words::{counted, listed, shop_units};
use crate::print::text::units;
use balance_core::correction::weights::{EntryKind, When};
use balance_core::run::RunKind;
use balance_core::shaft::PlaneId;

/// Parts, weights and metal, each in a sentence.
pub fn sentences(input: &ReportInput<'_>) -> Vec<String> {
    let mut lines = parts_changed(input);
    lines.extend(welded_and_ground(input));
    lines
}

fn parts_changed(input: &ReportInput<'_>) -> Vec<String> {
    let Some(built) = &input.shaft.built else { return Vec::new() };
    let parts = &built.parts_changed;
    let changed = (!parts.is_empty()).then(|| format!("New: {}.", listed(parts)));
    let damage = built.damage.as_ref().map(|words| format!("Damage that stays: {words}."));
    let by = match (&built.welder, &built.date) {
        (Some(welder), Some(date)) => Some(format!("Welded by {welder}, {date}.")),
        (Some(welder), None) => Some(format!("Welded by {welder}.")),
        (None, Some(date)) => Some(format!("Built on {date}.")),
        (None, None) => None,
    };
    changed.into_iter().chain(by).chain(damage).collect()
}

/// Which runs were read with what on the shaft.
pub fn runs_read(input: &ReportInput<'_>) -> Option<String> {
    let rows = input.view.answer.runs.rows();
    let of = |kind: RunKind, words: &str| {
        let labels: Vec<String> =
            rows.iter().filter(|row| row.run.kind == kind).map(|row| row.run.label.clone()).collect();
        let runs = if labels.len() == 1 { "run" } else { "runs" };
        (!labels.is_empty()).then(|| format!("{words} ({runs} {})", listed(&labels)))
    };
    let kinds = [
        of(RunKind::Initial, "as found"),
        of(RunKind::Trial, "with trial masses that came off again"),
        of(RunKind::Tried, "with weights under clamps"),
        of(RunKind::Check, "with what stays on"),
    ];
    let words: Vec<String> = kinds.into_iter().flatten().collect();
    (!words.is_empty()).then(|| format!("Read on the stand: {}.", listed(&words)))
}

/// Weights that the check runs put on or took off.
fn welded_and_ground(input: &ReportInput<'_>) -> Vec<String> {
    let view = input.view;
    let Some(account) = &view.answer.account else { return Vec::new() };
    let shop = shop_units(input);
    let name = |plane: PlaneId| view.answer.runs.setup().planes[plane].name.as_str();
    let run = |when: &When| match when {
        When::Run(label) => Some(format!("run {label}")),
        When::BeforeTheJob => None,
    };
    let mut lines = Vec::new();
    let on = account
        .on_the_shaft()
        .filter(|entry| entry.kind == EntryKind::Weight && entry.fitted != When::BeforeTheJob);
    let on = on.count();
    if on > 0 {
        lines.push(format!("{} welded on for balance.", counted(on, "weight")));
    }
    for entry in &account.entries {
        let mass = units::stamped(shop, entry.mass);
        let plane = name(entry.plane);
        match (entry.kind, entry.removed.as_ref().and_then(run), run(&entry.fitted)) {
            (EntryKind::Weight, Some(removed), _) => {
                lines.push(format!("{mass} taken off at {plane} before {removed}."));
            }
            (EntryKind::MetalTakenOff, _, Some(fitted)) => {
                lines.push(format!("{mass} of metal taken off at {plane} before {fitted}."));
            }
            _ => {}
        }
    }
    lines
}
