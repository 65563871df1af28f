//! All facts of one shaft.

use std::sync::Arc;

use balance_core::Complex64;
use balance_core::caution::{Caution, NoCriticalSpeed};
use balance_core::correction::explain::{Explanation, explain};
use balance_core::correction::weights::{GivenWeight, WeightAccount, WeightPlan};
use balance_core::correction::{
    Correction, Forecast, PlanQuestion, correct, far_above_permissible, run_plan,
};
use balance_core::grade::Decision;
use balance_core::influence::{Drift, GroupInfluence, Influence, InfluenceFault, Which, estimate};
use balance_core::quantity::UnbalanceAmount;
use balance_core::run::RunSet;
use balance_core::shaft::WeldedBefore;

use super::ahead::{LeftAfter, SureReading, ahead, chance, sure_readings};
use super::before_spin::{BeforeSpin, CheckMemory};
use super::limits::{Limits, limits};
use super::question::Question;
use super::verdict::{Judged, Stated, judge};
use super::weights;
use crate::files::Job;

/// Whether the masses of a last trial or try are still on the shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loose {
    /// As far as the runs tell they are.
    StillOn,
    /// Somebody took them off since.
    Off,
}

/// Every fact about one shaft.
#[derive(Debug, Clone)]
pub struct Outcome<'a> {
    /// Whether the masses of a last trial or try are still on.
    pub loose: Loose,
    /// What the shaft is called.
    pub shaft: String,
    /// The job, unless a runs file stands alone.
    pub job: Option<&'a Job>,
    /// The runs.
    pub set: RunSet,
    /// Whether a drift is reckoned with.
    pub drift: Drift,
    /// How the shaft answers.
    pub influence: Influence,
    /// What went wrong, where runs do not fit each other.
    pub explanation: Option<Explanation>,
    /// The ideal correction from here.
    pub correction: Correction,
    /// How much may be left; the error lists what is missing for it.
    pub limits: Result<Limits, Vec<String>>,
    /// The unbalance now, at the tolerance planes, g·mm: from the check run, else from the fit as found.
    pub left_now: Option<Vec<Complex64>>,
    /// The verdict on the last check block; `None` without a check run or limits.
    pub judged: Option<Judged>,
    /// Weights out of the box; `None` without a box, or where the box cannot be used.
    pub weights: Option<WeightPlan>,
    /// The weights on the shaft before that.
    pub welded_before: Vec<WeldedBefore>,
    /// The account of every weight; `None`: the check rows take off what is not there.
    pub account: Option<WeightAccount>,
    /// What the sensors are expected to show with the weights (without: with the ideal masses).
    pub forecasts: Vec<Forecast>,
    /// The same under clamps, before any bead.
    pub held: Vec<Forecast>,
    /// What should be left at each tolerance plane after welding: a forecast, never a verdict.
    pub left_after: Option<Vec<LeftAfter>>,
    /// At least this chance of meeting every limit after the correction.
    pub chance_after: Option<f64>,
    /// Readings under which the limit is surely met.
    pub sure_readings: Option<Vec<SureReading>>,
    /// What is known of the shaft before it spins; `None` without a job.
    pub before_spin: Option<Arc<BeforeSpin>>,
    /// Everything to mind, worst first.
    pub cautions: Vec<Caution>,
}

impl Outcome<'_> {
    /// Whether nothing more is to be done.
    #[must_use]
    pub fn done(&self) -> bool {
        self.judged.as_ref().is_some_and(|judged| judged.decision == Decision::Meets)
    }

    /// What one more run would gain before the correction, in a sentence; reckoned on demand, for it asks the
    /// estimator several times. `None`: nothing is to be corrected, or there is no figure for the noise.
    #[must_use]
    pub fn next_run(&self) -> Option<String> {
        if self.done() || self.explanation.is_some() {
            return None;
        }
        let limits: Option<Vec<UnbalanceAmount>> = self
            .limits
            .as_ref()
            .ok()
            .map(|limits| limits.at_correction.iter().map(|plane| plane.amount).collect());
        let question = PlanQuestion { set: &self.set, influence: &self.influence, limits: limits.as_deref() };
        Some(run_plan(&question)?.sentence(&self.set))
    }

    /// Whether there is a check run.
    #[must_use]
    pub fn checked(&self) -> bool {
        !self.set.last_check_block().is_empty()
    }
}

/// Computes every fact about one shaft.
///
/// # Errors
///
/// Every [`InfluenceFault`]: what the runs cannot tell.
pub fn solve(question: Question<'_>) -> Result<Outcome<'_>, Vec<InfluenceFault>> {
    solve_remembering(question, &mut CheckMemory::default())
}

/// The same, for many shafts of one job: the check of the shaft is reckoned again only where it differs.
///
/// # Errors
///
/// Every [`InfluenceFault`]: what the runs cannot tell.
pub fn solve_remembering<'a>(
    question: Question<'a>,
    memory: &mut CheckMemory,
) -> Result<Outcome<'a>, Vec<InfluenceFault>> {
    let influence = estimate(&question.set, &question.options())?;
    let correction = correct(&question.set, &influence);
    let explanation = explained(&question, &influence);
    let mut limits = match question.job {
        Some(job) => limits(job, &question.set.setup().planes),
        None => Err(vec!["a job file".into()]),
    };
    let before_spin =
        question.job.and_then(|job| memory.check(job, Some(&question.set), limits.as_ref().ok()));
    if let (Ok(limits), Some(before)) = (&mut limits, &before_spin) {
        limits.critical_speed = before.check.critical.as_ref().map(|critical| critical.lowest);
    }
    let known = limits.clone().ok();
    let known = known.as_ref();
    let stated = Stated::of(question.job);
    let judged = known
        .filter(|_| !question.set.last_check_block().is_empty())
        .and_then(|limits| judge(&question.set, &influence, limits, stated, Which::Now).ok());
    let mut cautions = correction.cautions.clone();
    if let Some(explanation) = &explanation {
        explanation.put_into(&question.set, &mut cautions);
    }
    let weights = match weights::plan(&question, &correction, known) {
        Some(Ok(plan)) => Some(plan),
        Some(Err(faults)) => {
            cautions.extend(faults.iter().map(|fault| Caution::BoxNotUsable { fault: fault.to_string() }));
            None
        }
        None => None,
    };
    // While a run does not fit nothing is welded, so nothing about welding is to be minded.
    let shut = influence.groups.iter().any(GroupInfluence::disagrees);
    cautions.extend(weights.iter().filter(|_| !shut).flat_map(|plan| plan.cautions.clone()));
    cautions.extend(before_spin_cautions(before_spin.as_deref()));
    cautions.extend(judged.iter().flat_map(|judged| judged.cautions.clone()));
    cautions.extend(known.and_then(|limits| {
        far_above_permissible(
            &correction,
            limits.planes.iter().map(|plane| plane.amount.gram_millimetres()).sum(),
        )
    }));
    cautions.sort_by_key(Caution::level);
    cautions.dedup();
    let ahead = ahead(&question.set, &influence, &correction, weights.as_ref(), known);
    let left = |limits: &Limits| {
        let now: Vec<Complex64> = correction.planes.iter().map(|plane| -plane.add.vector()).collect();
        limits.transfer.moved(&now)
    };
    Ok(Outcome {
        loose: Loose::StillOn,
        left_now: known.map(left),
        sure_readings: known.and_then(|limits| sure_readings(&question.set, &influence, limits)),
        welded_before: weights::welded_before(&question),
        account: weights::account(&question).ok(),
        forecasts: ahead.welded,
        held: ahead.held,
        chance_after: known.zip(ahead.left_after.as_ref()).and_then(|(limits, after)| chance(limits, after)),
        left_after: ahead.left_after,
        limits,
        judged,
        weights,
        correction,
        influence,
        explanation,
        before_spin,
        cautions,
        shaft: question.shaft,
        job: question.job,
        set: question.set,
        drift: question.drift,
    })
}

/// What is to be minded about the shaft itself.
fn before_spin_cautions(before: Option<&BeforeSpin>) -> Vec<Caution> {
    let no_job = || vec![Caution::CriticalSpeedNotChecked { why: NoCriticalSpeed::NoJob }];
    before.map_or_else(no_job, BeforeSpin::bearing_on_answers)
}

/// What went wrong, if a check run does not fit or the runs scatter too much.
fn explained(question: &Question<'_>, influence: &Influence) -> Option<Explanation> {
    let scattered = influence.groups.iter().flat_map(GroupInfluence::fits).any(|(_, fit)| fit.above_stated);
    (influence.groups.iter().any(GroupInfluence::disagrees) || scattered)
        .then(|| explain(&question.set, &question.options()).ok())
        .flatten()
}

/// The same outcome with these weights instead of the ones out of the box.
///
/// # Errors
///
/// Words for people: no job, no tube, or weights that cannot be.
pub fn with_given<'a>(outcome: &Outcome<'a>, given: &[GivenWeight]) -> Result<Outcome<'a>, String> {
    let mut changed = outcome.clone();
    let question = Question {
        shaft: outcome.shaft.clone(),
        job: outcome.job,
        set: outcome.set.clone(),
        drift: outcome.drift,
        prior: None,
    };
    let known = outcome.limits.as_ref().ok();
    let plan = weights::plan_given(&question, &outcome.correction, known, given)
        .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<String>>().join("; "))?;
    let ahead = ahead(&outcome.set, &outcome.influence, &outcome.correction, Some(&plan), known);
    let of_the_box = |caution: &Caution| outcome.weights.iter().any(|plan| plan.cautions.contains(caution));
    changed.cautions.retain(|caution| !of_the_box(caution));
    changed.cautions.extend(plan.cautions.clone());
    changed.cautions.sort_by_key(Caution::level);
    changed.forecasts = ahead.welded;
    changed.held = ahead.held;
    changed.chance_after =
        known.zip(ahead.left_after.as_ref()).and_then(|(limits, after)| chance(limits, after));
    changed.left_after = ahead.left_after;
    changed.weights = Some(plan);
    Ok(changed)
}
