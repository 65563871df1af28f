//! The gate's answer.

use super::{GateQuestion, GateSpeed, Override, Purpose, RunoutState};
use crate::caution::{Caution, NoCriticalSpeed};
use crate::shaft::NO_OVERRIDE_FROM;

/// The answer in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GateWord {
    /// Checked and within everything.
    Allowed,
    /// Go on, but read why; also when something could not be checked or was overridden.
    Warn,
    /// It must not spin as it is.
    Refuse,
}

impl GateWord {
    /// The word printed and stored.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Allowed => "allowed",
            Self::Warn => "take care",
            Self::Refuse => "refused",
        }
    }
}

/// The outcome of one check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GateOutcome {
    /// Within its limit.
    Within,
    /// Not checked: something was not known.
    NotChecked,
    /// Beyond its limit, and only worth a warning.
    Warned,
    /// Beyond its limit, and refused unless someone takes responsibility.
    Refused,
    /// Beyond its limit, and refused without exception.
    RefusedForGood,
}

/// One check: always listed, whether made or not.
#[derive(Debug, Clone, PartialEq)]
pub struct GateCheck {
    /// What was checked: "critical speed at service speed".
    pub what: String,
    /// The outcome.
    pub outcome: GateOutcome,
    /// The caution about it; `None` when it is within its limit.
    pub caution: Option<Caution>,
}

/// The gate's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate {
    /// The answer.
    pub word: GateWord,
    /// Every check with its outcome, including those not made.
    pub checks: Vec<GateCheck>,
    /// The override that was needed and accepted.
    pub overridden_by: Option<Override>,
}

impl Gate {
    /// The cautions, worst first.
    #[must_use]
    pub fn cautions(&self) -> Vec<Caution> {
        let mut cautions: Vec<Caution> =
            self.checks.iter().filter_map(|check| check.caution.clone()).collect();
        if let Some(overruling) = &self.overridden_by {
            cautions.push(Caution::Overridden {
                by: overruling.name().to_owned(),
                reason: overruling.reason().to_owned(),
            });
        }
        cautions.sort_by_key(Caution::level);
        cautions
    }
}

/// Asks the gate.
///
/// Refused: a speed beyond the margin of the critical speed, or the runout over its limit, unless overridden. Refused
/// for good: a speed at 0.9 of the lowest critical speed or more, or beyond the stand's own limit. Warned: a shaft not
/// rigid enough at service speed for two-plane work, and everything that was not checked.
#[must_use]
pub fn open_gate(question: &GateQuestion<'_>) -> Gate {
    let mut checks: Vec<GateCheck> =
        question.speeds.iter().map(|speed| margin_check(question, speed)).collect();
    if question.speeds.is_empty() {
        checks.push(not_checked("speed", Caution::SpeedNotChecked));
    }
    checks.extend(question.speeds.iter().filter_map(|speed| rigidity_check(question, speed)));
    checks.extend(question.speeds.iter().filter_map(|speed| stand_check(question, speed)));
    checks.push(runout_check(question));
    let has = |outcome| checks.iter().any(|check| check.outcome == outcome);
    let needs_override = has(GateOutcome::Refused);
    let overridden_by = question.overruling.filter(|_| needs_override).cloned();
    let word = if has(GateOutcome::RefusedForGood) || (needs_override && overridden_by.is_none()) {
        GateWord::Refuse
    } else if needs_override || has(GateOutcome::Warned) || has(GateOutcome::NotChecked) {
        GateWord::Warn
    } else {
        GateWord::Allowed
    };
    Gate { word, checks, overridden_by }
}

fn margin_check(question: &GateQuestion<'_>, at: &GateSpeed) -> GateCheck {
    let (speed, purpose) = (at.speed, at.purpose.word().to_owned());
    let what = format!("critical speed at {purpose}");
    let Some(critical) = question.critical.filter(|critical| critical.rpm() > 0.0) else {
        let why = NoCriticalSpeed::AtSpeed { speed, purpose };
        return not_checked(&what, Caution::CriticalSpeedNotChecked { why });
    };
    let (ratio, margin) = (speed.rpm() / critical.rpm(), question.limits.margin_ratio);
    if ratio >= NO_OVERRIDE_FROM {
        let caution = Caution::NearCriticalSpeed { speed, purpose, critical };
        return beyond(what, GateOutcome::RefusedForGood, caution);
    }
    if ratio > margin.value {
        let caution = Caution::BeyondMargin { speed, purpose, critical, limit: margin.into() };
        return beyond(what, GateOutcome::Refused, caution);
    }
    GateCheck { what, outcome: GateOutcome::Within, caution: None }
}

fn rigidity_check(question: &GateQuestion<'_>, at: &GateSpeed) -> Option<GateCheck> {
    let critical =
        question.critical.filter(|critical| critical.rpm() > 0.0 && at.purpose == Purpose::Service)?;
    let (ratio, limit) = (at.speed.rpm() / critical.rpm(), question.limits.rigid_to);
    let what = "rigid enough for two-plane work".to_owned();
    if ratio <= limit.value {
        return Some(GateCheck { what, outcome: GateOutcome::Within, caution: None });
    }
    Some(beyond(what, GateOutcome::Warned, Caution::NotRigidEnough { ratio, limit: limit.into() }))
}

fn stand_check(question: &GateQuestion<'_>, at: &GateSpeed) -> Option<GateCheck> {
    let most = question.stand.most_speed.filter(|_| at.purpose == Purpose::Stand)?;
    let what = "the stand's own limit".to_owned();
    if at.speed.rpm() <= most.rpm() {
        return Some(GateCheck { what, outcome: GateOutcome::Within, caution: None });
    }
    let caution = Caution::BeyondStandSpeed { speed: at.speed, limit: most };
    Some(beyond(what, GateOutcome::RefusedForGood, caution))
}

fn runout_check(question: &GateQuestion<'_>) -> GateCheck {
    let what = "runout".to_owned();
    match question.runout {
        RunoutState::Within => GateCheck { what, outcome: GateOutcome::Within, caution: None },
        RunoutState::NotMeasured => not_checked(&what, Caution::RunoutNotChecked),
        RunoutState::Beyond => beyond(what, GateOutcome::Refused, Caution::RunoutBeyondLimit),
    }
}

fn not_checked(what: &str, caution: Caution) -> GateCheck {
    beyond(what.to_owned(), GateOutcome::NotChecked, caution)
}

fn beyond(what: String, outcome: GateOutcome, caution: Caution) -> GateCheck {
    GateCheck { what, outcome, caution: Some(caution) }
}
