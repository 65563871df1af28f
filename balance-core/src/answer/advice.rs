//! What may be done now, as a type: weights can be reached only through it.

use super::ahead::Ahead;
use super::next_run::NextRun;
use super::refusal::Refusal;
use crate::correction::Correction;
use crate::correction::explain::Explanation;
use crate::correction::weights::WeightPlan;

/// What may be done now. The first that holds, in this order.
///
/// No `#[non_exhaustive]`, on purpose: every output has to match on all of it, so that none can forget a rule.
#[derive(Debug, Clone)]
pub enum Advice {
    /// The shaft's own check refuses: no weights, no verdict.
    MustNotSpin(Refusal),
    /// The runs contradict each other: nothing is welded, nothing is called met.
    HeldBack(HeldBack),
    /// The runs cannot tell yet, and one more run would.
    OneMoreRun(OneMoreRun),
    /// Within the limit: leave it. The ideal masses are given for information only.
    Done(Ideal),
    /// Hold these weights under clamps and try.
    Hold(Box<Hold>),
    /// No box of weights is known: ideal masses only.
    Ideal(Ideal),
    /// Too much is left, and none of the weights in the box would improve it.
    NothingBetter(NothingBetter),
}

/// Runs that contradict each other.
#[derive(Debug, Clone)]
pub struct HeldBack {
    /// The runs that do not fit the runs before them.
    pub runs: Vec<String>,
    /// What may have gone wrong, if the runs allow an explanation.
    pub explanation: Option<Explanation>,
    /// The same in sentences.
    pub sentences: Vec<String>,
}

impl HeldBack {
    /// A stable word for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        "check-disagrees"
    }

    /// What does not fit, and which explanation fits best, in one text.
    #[must_use]
    pub fn text(&self) -> String {
        self.sentences.join(" ")
    }
}

/// A run to read before anything is welded.
#[derive(Debug, Clone)]
pub struct OneMoreRun {
    /// Which run.
    pub next: NextRun,
    /// The best masses as far as is known now; `None`: the masses must not be used.
    pub ideal: Option<Ideal>,
}

/// The masses that would be best if pieces of any mass could be had.
#[derive(Debug, Clone)]
pub struct Ideal {
    /// The masses with their uncertainty.
    pub correction: Correction,
    /// What they should leave.
    pub ahead: Ahead,
}

/// Weights to hold under clamps.
#[derive(Debug, Clone)]
pub struct Hold {
    /// Which weights, where, and in which order to weld them.
    pub plan: WeightPlan,
    /// What they should leave.
    pub ahead: Ahead,
    /// What would be best if pieces of any mass could be had.
    pub ideal: Ideal,
}

/// Nothing in the box helps.
#[derive(Debug, Clone)]
pub struct NothingBetter {
    /// The empty plan: what is left in each plane, and what would help.
    pub plan: WeightPlan,
    /// What would be best if pieces of any mass could be had.
    pub ideal: Ideal,
}

impl Advice {
    /// The word printed, stored and sent to programs.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::MustNotSpin(_) => "must not spin",
            Self::HeldBack(_) => "held back",
            Self::OneMoreRun(_) => "one more run",
            Self::Done(_) => "done",
            Self::Hold(_) => "hold",
            Self::Ideal(_) => "ideal",
            Self::NothingBetter(_) => "nothing better",
        }
    }

    /// The ideal masses; `None` where the runs or the shaft itself are in doubt.
    #[must_use]
    pub fn ideal(&self) -> Option<&Ideal> {
        match self {
            Self::MustNotSpin(_) | Self::HeldBack(_) => None,
            Self::OneMoreRun(found) => found.ideal.as_ref(),
            Self::Done(ideal) | Self::Ideal(ideal) => Some(ideal),
            Self::Hold(hold) => Some(&hold.ideal),
            Self::NothingBetter(found) => Some(&found.ideal),
        }
    }

    /// The plan from the box: weights to hold, or the finding that none helps.
    #[must_use]
    pub fn plan(&self) -> Option<&WeightPlan> {
        match self {
            Self::Hold(hold) => Some(&hold.plan),
            Self::NothingBetter(found) => Some(&found.plan),
            Self::MustNotSpin(_)
            | Self::HeldBack(_)
            | Self::OneMoreRun(_)
            | Self::Done(_)
            | Self::Ideal(_) => None,
        }
    }

    /// What to expect after the advised step: with the weights to hold, otherwise with the ideal masses.
    #[must_use]
    pub fn ahead(&self) -> Option<&Ahead> {
        match self {
            Self::Hold(hold) => Some(&hold.ahead),
            other => other.ideal().map(|ideal| &ideal.ahead),
        }
    }

    /// Whether masses are to go on (or come off) now.
    #[must_use]
    pub fn changes_the_shaft(&self) -> bool {
        matches!(self, Self::Hold(_) | Self::Ideal(_))
    }
}
