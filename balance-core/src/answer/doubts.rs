//! What rules out a verdict that the runs at one speed would give: runs that contradict each other, a mass
//! that cannot be right, a reading that is more likely wrong than right.

use super::before_spin::BeforeSpin;
use super::judged::Judged;
use super::limits::Limits;
use crate::caution::Caution;
use crate::correction::explain::{LikelierReading, likelier_readings};
use crate::grade::{Decision, Withheld, measured_residual};
use crate::influence::{GroupInfluence, Influence, Which};
use crate::quantity::Units;
use crate::run::RunSet;

/// What a verdict is checked against.
#[derive(Debug, Clone, Copy)]
pub(super) struct Doubts<'a> {
    /// The runs.
    pub set: &'a RunSet,
    /// The units its sentences are read in.
    pub units: Units,
    /// How the shaft responds.
    pub influence: &'a Influence,
    /// What may be left.
    pub limits: &'a Limits,
    /// What is known of the shaft.
    pub before: Option<&'a BeforeSpin>,
}

impl Doubts<'_> {
    /// The mass behind the limit differs several times over from the mass of tube and ends.
    fn mass(&self) -> Option<Withheld> {
        self.limits.mass?;
        self.before?.cautions.iter().find_map(|caution| match *caution {
            Caution::MassFarOff { stated, usual, beyond_doubt: true } => {
                Some(Withheld::MassFarOff { stated, usual })
            }
            _ => None,
        })
    }

    /// The runs fit clearly better if one reading is changed, and then more than the limit is left. A
    /// mounting other than that of the trials has its own rule, and as found there is no check.
    fn reading(&self, judged: &Judged) -> Option<Withheld> {
        let anew = judged.groups.iter().any(|group| group.residual.earlier_mounting.is_some());
        if judged.decision != Decision::Meets || judged.which != Which::Now || anew {
            return None;
        }
        let hides_too_much = |likelier: &LikelierReading| {
            judged.groups.iter().any(|group| {
                let told = measured_residual(&likelier.set, &likelier.influence, group.group, judged.which);
                told.is_ok_and(|residual| self.limits.exceeded_by(&residual.unbalance))
            })
        };
        let found =
            likelier_readings(self.set, &self.influence.options()).into_iter().find(hides_too_much)?;
        Some(Withheld::ReadingLikelyWrong {
            run: self.set.rows()[found.row].run.label.clone(),
            story: found.slip.sentence(self.set, self.units),
        })
    }
}

impl Judged {
    /// Undecided where a doubt allows no more.
    #[must_use]
    pub(super) fn held_to(self, doubts: &Doubts<'_>) -> Self {
        let mut reasons: Vec<Withheld> = doubts.mass().into_iter().collect();
        if contradicted(doubts.influence) {
            return self.withheld(&reasons);
        }
        reasons.extend(doubts.reading(&self));
        if reasons.is_empty() { self } else { self.withheld(&reasons) }
    }
}

/// Whether a run contradicts the others and nothing has resolved that since.
pub(super) fn contradicted(influence: &Influence) -> bool {
    influence.groups.iter().any(GroupInfluence::in_doubt)
}
