//! A shaft that must not spin.

use super::before_spin::BeforeSpin;
use crate::caution::{Caution, Level};
use crate::quantity::Units;
use crate::shaft::GateOutcome;

/// Why a shaft must not spin as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// Every reason, worst first.
    pub reasons: Vec<Caution>,
    /// Whether no one may take responsibility for it.
    pub for_good: bool,
}

impl Refusal {
    /// The refusal of a checked shaft.
    pub(super) fn of(before: &BeforeSpin) -> Self {
        let reasons =
            before.cautions.iter().filter(|caution| caution.level() == Level::Stop).cloned().collect();
        let for_good =
            before.check.gate.checks.iter().any(|check| check.outcome == GateOutcome::RefusedForGood);
        Self { reasons, for_good }
    }

    /// The code of the first reason, for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        self.reasons.first().map_or("refused", Caution::code)
    }

    /// Every reason in one text.
    #[must_use]
    pub fn text(&self, units: Units) -> String {
        self.reasons.iter().map(|reason| reason.words(units)).collect::<Vec<String>>().join(" ")
    }

    /// What can be done about it.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        let not_a_beam = |reason: &Caution| matches!(reason, Caution::CriticalSpeedNotChecked { .. });
        if self.reasons.iter().any(not_a_beam) {
            "correct the job's description of the shaft: check [tube], [[section]], [[part]], [[joint]] \
            and [[steady_bearing]]"
        } else if self.for_good {
            "no one may overrule this: run it slower, or make the shaft shorter, stiffer or straighter"
        } else {
            "put it right, or have the person responsible enter a name and a reason under [override] in \
            the job file"
        }
    }
}
