//! Whether an answer may be given at all: a shaft that must not spin gets no weights and no verdict.

use balance_core::caution::Level;
use balance_core::shaft::GateOutcome;

use super::target::Target;
use crate::files::{Job, Place, Problem};
use crate::outcome::{BeforeSpin, Outcome};

/// The refusal of an answer about a solved shaft, if its check refuses.
#[must_use]
pub fn refusal_of(target: &Target, outcome: &Outcome<'_>) -> Option<Problem> {
    refusal(target.job.as_ref()?, &outcome.shaft, outcome.before_spin.as_deref()?)
}

/// The refusal, if the shaft's check refuses.
#[must_use]
pub fn refusal(job: &Job, shaft: &str, before: &BeforeSpin) -> Option<Problem> {
    if !before.refused() {
        return None;
    }
    let stops = before.cautions.iter().filter(|caution| caution.level() == Level::Stop);
    let words: Vec<String> = stops.map(|caution| caution.words(job.units)).collect();
    let for_good = before.check.gate.checks.iter().any(|check| check.outcome == GateOutcome::RefusedForGood);
    let hint = if for_good {
        "nobody can stand for that: run it slower, or make the shaft shorter, stiffer or straighter"
    } else {
        "put it right; or somebody stands for it by name and reason under [override] in the job file"
    };
    let found = format!("{shaft} must not spin like this: {}", words.join(" "));
    Some(
        Problem::at("shaft-refused", Place::WholeFile { file: job.file.clone() }, found)
            .hinting(hint.to_owned()),
    )
}
