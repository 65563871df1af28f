//! From a case to its answer.

use std::sync::Arc;

use num_complex::Complex64;

use super::advice::{Advice, HeldBack, Hold, Ideal, NothingBetter, OneMoreRun};
use super::ahead::{Ahead, SureReading, sure_readings};
use super::before_spin::{BeforeSpin, CheckMemory};
use super::case::{Case, Insist};
use super::doubts::{Doubts, contradicted};
use super::judged::{Judged, Stated, judge};
use super::limits::{Limits, limits};
use super::next_run::NextRun;
use super::no_verdict::NoVerdict;
use super::taken_off::{OfFixture, of_fixture};
use super::trial::{bounds, most_reading};
use super::unsolved::{Missing, Unsolved};
use super::weights;
use super::without_phase::{Told, told};
use crate::caution::{Caution, NoCriticalSpeed};
use crate::correction::explain::{Explanation, explain};
use crate::correction::weights::{AccountEntry, Room, WeightAccount, WeightPlan, WidthFrom};
use crate::correction::{
    ClampScrews, Correction, PlanQuestion, PlaneCorrection, Unusable, UsableQuestion, clamp_screws, correct,
    correct_beside, far_above_permissible, run_plan, usable,
};
use crate::grade::Decision;
use crate::influence::{
    Drift, GroupInfluence, Influence, InfluenceFault, Options, Prior, ShaftAnswers, TypeReport, Which,
    estimate, estimate_as_far_as_told,
};
use crate::job::Job;
use crate::quantity::{Length, Mass, UnbalanceAmount};
use crate::run::RunSet;
use crate::shaft::{PlaneId, WeldedBefore};

/// The whole answer about one shaft. What may be done now is only in [`advice`](Self::advice).
#[derive(Debug, Clone)]
pub struct Answer {
    /// What the shaft is called.
    pub shaft: String,
    /// The job.
    pub job: Arc<Job>,
    /// The runs.
    pub runs: RunSet,
    /// How the shaft responds.
    pub influence: Influence,
    /// Condition of the weighted influence matrix: how alike the places act on the sensors.
    pub condition: f64,
    /// What went wrong, where runs do not fit each other.
    pub explanation: Option<Explanation>,
    /// How much may be left; the error lists what is missing for it.
    pub limits: Result<Limits, Vec<String>>,
    /// The unbalance now, at the tolerance planes, g·mm: from the check run, else from the fit as found.
    pub left_now: Option<Vec<Complex64>>,
    /// The verdict on the last check block; `None` without a check run or limits, and where the shaft must not spin.
    pub judged: Option<Judged>,
    /// The weights on the shaft now.
    pub welded_before: Vec<WeldedBefore>,
    /// The account of every weight; `None`: the check rows take off what is not there.
    pub account: Option<WeightAccount>,
    /// Readings under which the limit is certain to be met.
    pub sure_readings: Option<Vec<SureReading>>,
    /// What is known of the shaft before it spins; `None`: the job does not describe it, or not consistently.
    pub before_spin: Option<Arc<BeforeSpin>>,
    /// All cautions, worst first.
    pub cautions: Vec<Caution>,
    advice: Advice,
    stated: Stated,
    /// Without phase: the runs a verdict rests on, with what they tell of the response.
    bounds: Option<(RunSet, Influence)>,
}

impl Answer {
    /// What may be done now.
    #[must_use]
    pub fn advice(&self) -> &Advice {
        &self.advice
    }

    /// Whether nothing more needs to be done.
    #[must_use]
    pub fn done(&self) -> bool {
        matches!(self.advice, Advice::Done(_))
    }

    /// Whether the phases were not read but worked out from the amplitudes: at each sensor they are then counted from
    /// its first reading, and readings must not be shown as if they had been read so.
    #[must_use]
    pub fn without_phase(&self) -> bool {
        self.bounds.is_some()
    }

    /// Where the screws of two clamps go so that together they make a plane's ideal mass; `None`: the shop does not
    /// balance with clamps.
    #[must_use]
    pub fn clamp_screws(&self, plane: PlaneId, ideal: &PlaneCorrection) -> Option<ClampScrews> {
        let screw = self.job.weld_plan.clamp?;
        let lever = self.runs.setup().planes.get(plane.index())?.lever();
        let wanted = Mass::from_grams(ideal.add.gram_millimetres() / lever).ok()?;
        Some(clamp_screws(wanted, ideal.add.angle(), screw))
    }

    /// Whether there is a check run.
    #[must_use]
    pub fn checked(&self) -> bool {
        !self.runs.last_check_block().is_empty()
    }

    /// The verdict on the shaft after its last check run, or as found.
    ///
    /// # Errors
    ///
    /// [`NoVerdict`] where there is none to give.
    pub fn verdict_on(&self, which: Which) -> Result<Judged, NoVerdict> {
        if matches!(self.advice, Advice::MustNotSpin(_)) {
            return Err(NoVerdict::MustNotSpin);
        }
        let limits = self.limits.as_ref().map_err(|missing| NoVerdict::NoLimit(missing.clone()))?;
        let bounds = self.bounds.as_ref().filter(|_| which == Which::Now);
        let (set, influence) = bounds.map_or((&self.runs, &self.influence), |(set, own)| (set, own));
        let judged = judge(set, influence, limits, &self.stated, which)?;
        let before = self.before_spin.as_deref();
        Ok(judged.held_to(&Doubts { set, units: self.job.units, influence, limits, before }))
    }

    /// Where the runs contradict each other, when the user asks for it.
    #[must_use]
    pub fn explain(&self) -> Option<Explanation> {
        explain(&self.runs, &Options { prior: None, ..self.influence.options() }).ok()
    }

    /// How the shaft responds, for its sister shafts; what they contributed to this one is taken out again.
    /// `None`: there is nothing to keep.
    #[must_use]
    pub fn for_sisters(&self) -> Option<ShaftAnswers> {
        ShaftAnswers::of(&self.runs, &self.influence, self.influence.options().prior)
    }

    /// Width and thickness of a weight in the account, if it is a piece from the box.
    #[must_use]
    pub fn size_of(&self, entry: &AccountEntry) -> Option<(Length, Option<Length>)> {
        let plan = &self.job.weld_plan;
        let weight =
            WeldedBefore { bead: entry.bead, ..WeldedBefore::new(entry.plane, entry.mass, entry.angle) };
        let room = Room::of(&weight, &plan.weights, plan.weld.bead_mass);
        (room.from != WidthFrom::Mass).then_some((room.width, room.thickness))
    }

    /// What one more run would gain before the correction, in a sentence. It is worked out on demand because
    /// it runs the estimator several times. `None`: there is nothing to correct, or no figure for the noise.
    #[must_use]
    pub fn gain_of_one_more_run(&self) -> Option<String> {
        if !self.advice.changes_the_shaft() {
            return None;
        }
        let limits: Option<Vec<UnbalanceAmount>> = self
            .limits
            .as_ref()
            .ok()
            .map(|limits| limits.at_correction.iter().map(|plane| plane.amount).collect());
        let question =
            PlanQuestion { set: &self.runs, influence: &self.influence, limits: limits.as_deref() };
        Some(run_plan(&question)?.sentence(&self.runs))
    }
}

/// Answers about one shaft.
///
/// # Errors
///
/// [`Unsolved`]: what the runs do not show, with the refusal if the shaft must not spin anyway.
pub fn solve(case: &Case) -> Result<Answer, Unsolved> {
    Solver::default().solve(case)
}

/// How an untried place is handled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum IfUntried {
    /// Without it there is no answer: no weights can be found.
    Refused,
    /// After a check run the rest is judged as far as the runs allow, for a verdict only: it is undecided,
    /// and the advice is to make a trial there.
    Judged,
}

/// Answers about many shafts, one after the other: the shaft is checked again only if it differs.
#[derive(Debug, Clone, Default)]
pub struct Solver {
    checks: CheckMemory,
}

impl Solver {
    /// Answers about one shaft.
    ///
    /// # Errors
    ///
    /// [`Unsolved`]: what the runs do not show.
    pub fn solve(&mut self, case: &Case) -> Result<Answer, Unsolved> {
        self.solve_for(case, IfUntried::Refused)
    }

    /// The same, where an untried place may be judged as far as the runs allow.
    ///
    /// # Errors
    ///
    /// [`Unsolved`]: what the runs do not show.
    pub fn solve_for(&mut self, case: &Case, untried: IfUntried) -> Result<Answer, Unsolved> {
        let unsolved =
            |missing| Unsolved { shaft: case.shaft.clone(), refusal: None, missing, units: case.job.units };
        match told(&case.runs, &case.job).map_err(unsolved)? {
            None => self.solve_vectors(case, untried, None),
            Some(told) => {
                let noticed = case.noticed.iter().cloned().chain([told.caution.clone()]).collect();
                let with_phases =
                    Case { runs: told.runs.clone(), noticed, drift: Drift::Ignored, ..case.clone() };
                self.solve_vectors(&with_phases, untried, Some(&told))
            }
        }
    }

    fn solve_vectors(
        &mut self,
        case: &Case,
        untried: IfUntried,
        told: Option<&Told>,
    ) -> Result<Answer, Unsolved> {
        let mut limits = limits(&case.job, &case.runs.setup().planes);
        let before_spin = self.checks.check(&case.job, Some(&case.runs), limits.as_ref().ok());
        if let (Ok(limits), Some(before)) = (&mut limits, &before_spin) {
            limits.critical_speed = before.check.critical.as_ref().map(|critical| critical.lowest);
        }
        let ground = Ground { case, before: before_spin.as_deref(), limits: limits.as_ref().ok(), told };
        let unsolved = |missing| Unsolved {
            shaft: case.shaft.clone(),
            refusal: before_spin.as_deref().and_then(BeforeSpin::refusal),
            missing,
            units: case.job.units,
        };
        let found = ground.findings(untried).map_err(unsolved)?;
        Ok(Answer {
            shaft: case.shaft.clone(),
            job: case.job.clone(),
            runs: case.runs.clone(),
            influence: found.influence,
            condition: found.condition,
            explanation: found.explanation,
            left_now: found.left_now,
            judged: found.judged,
            welded_before: weights::welded_before(case),
            account: weights::account(case).ok(),
            sure_readings: found.sure_readings,
            cautions: found.cautions,
            advice: found.advice,
            stated: Stated::of(&case.job),
            bounds: found.bounds,
            limits,
            before_spin: before_spin.filter(|_| case.job.describes_the_shaft()),
        })
    }
}

/// What is known before the runs are looked at.
struct Ground<'a> {
    case: &'a Case,
    before: Option<&'a BeforeSpin>,
    limits: Option<&'a Limits>,
    /// Runs without phase: what their amplitudes told.
    told: Option<&'a Told>,
}

/// What the runs show.
struct Findings {
    influence: Influence,
    condition: f64,
    explanation: Option<Explanation>,
    left_now: Option<Vec<Complex64>>,
    judged: Option<Judged>,
    sure_readings: Option<Vec<SureReading>>,
    cautions: Vec<Caution>,
    advice: Advice,
    bounds: Option<(RunSet, Influence)>,
}

impl Ground<'_> {
    fn findings(&self, untried: IfUntried) -> Result<Findings, Vec<Missing>> {
        let (case, runs) = (self.case, &self.case.runs);
        let prior = self.prior().map_err(|fault| vec![fault])?;
        let options = Options { drift: case.drift, prior: prior.as_ref() };
        let missing =
            |faults: Vec<InfluenceFault>| faults.into_iter().map(Missing::Influence).collect::<Vec<_>>();
        let influence = match untried {
            IfUntried::Judged if !runs.last_check_block().is_empty() => {
                estimate_as_far_as_told(runs, &options)
            }
            _ => estimate(runs, &options),
        };
        let influence = influence.map_err(missing)?;
        let fixture = of_fixture(runs, &case.job.proved, Which::Now);
        let correction = match fixture.taken_off() {
            Some(own) => correct_beside(runs, &influence, &own.planes, own.give_or_take),
            None => correct(runs, &influence),
        };
        let explanation = explained(runs, &options, &influence);
        let bounds = self.bounds(&options).map_err(missing)?;
        let judged = match &bounds {
            Some((set, own)) => self.judged(set, own),
            None => self.judged(runs, &influence),
        };
        let plan = self.plan(&correction)?;
        let of_correction = correction.cautions.clone();
        let many_times = self.limits.and_then(|limits| {
            let all = limits.planes.iter().map(|plane| plane.amount.gram_millimetres()).sum();
            far_above_permissible(&correction, all)
        });
        let left_now = self.limits.map(|limits| {
            let now: Vec<Complex64> = correction.planes.iter().map(|plane| -plane.add.vector()).collect();
            limits.transfer.moved(&now)
        });
        // Low readings say nothing where a part of them is the fixture's.
        let limits = self.limits.filter(|_| fixture == OfFixture::NotProved);
        let sure_readings = limits.and_then(|limits| sure_readings(runs, &influence, limits));
        let sight =
            Sight { influence: &influence, explanation: explanation.as_ref(), judged: judged.as_ref() };
        let condition = correction.condition;
        let box_faults = plan.as_ref().and_then(|plan| plan.as_ref().err().cloned()).unwrap_or_default();
        let advice = self.advise(&sight, correction, plan);
        let mut cautions = of_correction;
        if let Some(explanation) = &explanation {
            explanation.put_into(runs, self.case.job.units, &mut cautions);
        }
        cautions.extend(about_weights(&advice, box_faults));
        cautions.extend(self.shaft_cautions());
        cautions.extend(judged.iter().flat_map(|judged| judged.cautions.clone()));
        cautions.extend(many_times);
        cautions.extend(fixture.caution());
        cautions.extend(case.noticed.iter().cloned());
        cautions.sort_by_key(Caution::level);
        cautions.dedup();
        Ok(Findings {
            influence,
            condition,
            explanation,
            left_now,
            judged,
            sure_readings,
            cautions,
            advice,
            bounds,
        })
    }

    /// Runs without phase: those the verdict rests on, and the response they show.
    fn bounds(&self, options: &Options<'_>) -> Result<Option<(RunSet, Influence)>, Vec<InfluenceFault>> {
        let Some(told) = self.told else { return Ok(None) };
        let influence = estimate_as_far_as_told(&told.bounds, options)?;
        Ok(Some((told.bounds.clone(), influence)))
    }

    /// How this shaft should respond, from sister shafts.
    fn prior(&self) -> Result<Option<Prior>, Missing> {
        let Some(sisters) = &self.case.sisters else { return Ok(None) };
        let report = TypeReport::of_answers(&sisters.shaft_type, &sisters.shafts);
        report.prior_for(&self.case.runs).map(Some).map_err(Missing::Sisters)
    }

    /// The verdict on the last check block. A shaft that must not spin has none; where runs contradict each other it
    /// is undecided.
    fn judged(&self, set: &RunSet, influence: &Influence) -> Option<Judged> {
        if set.last_check_block().is_empty() || self.refused() {
            return None;
        }
        let stated = Stated::of(&self.case.job);
        let limits = self.limits?;
        let judged = judge(set, influence, limits, &stated, Which::Now).ok()?;
        Some(judged.held_to(&Doubts {
            set,
            units: self.case.job.units,
            influence,
            limits,
            before: self.before,
        }))
    }

    fn refused(&self) -> bool {
        self.before.and_then(BeforeSpin::refusal).is_some()
    }

    /// Weights, or why the box cannot be used; weights given to try out must be usable.
    fn plan(
        &self,
        correction: &Correction,
    ) -> Result<Option<Result<WeightPlan, Vec<Caution>>>, Vec<Missing>> {
        match weights::plan(self.case, correction, self.limits, self.before) {
            None => Ok(None),
            Some(Ok(plan)) => Ok(Some(Ok(plan))),
            Some(Err(faults)) if self.case.given.is_empty() => {
                let caution = |fault: &crate::correction::weights::WeightFault| Caution::BoxNotUsable {
                    fault: fault.to_string(),
                };
                Ok(Some(Err(faults.iter().map(caution).collect())))
            }
            Some(Err(faults)) => Err(faults.into_iter().map(Missing::Given).collect()),
        }
    }

    /// The cautions about the shaft itself.
    fn shaft_cautions(&self) -> Vec<Caution> {
        if !self.case.job.describes_the_shaft() {
            return vec![Caution::CriticalSpeedNotChecked { why: NoCriticalSpeed::NoJob }];
        }
        self.before.map(BeforeSpin::bearing_on_answers).unwrap_or_default()
    }

    /// The first advice that holds.
    fn advise(
        &self,
        sight: &Sight<'_>,
        correction: Correction,
        plan: Option<Result<WeightPlan, Vec<Caution>>>,
    ) -> Advice {
        if let Some(refusal) = self.before.and_then(BeforeSpin::refusal) {
            return Advice::MustNotSpin(refusal);
        }
        if contradicted(sight.influence) {
            return Advice::HeldBack(self.held_back(sight));
        }
        if let Some(next) = self.told.and_then(|told| told.next.clone()) {
            return Advice::OneMoreRun(OneMoreRun { next, ideal: None });
        }
        if !sight.influence.untold.is_empty() {
            let ideal = Ideal {
                ahead: Ahead::new(&self.case.runs, sight.influence, &correction, None, self.limits),
                correction,
            };
            let untold = sight.influence.untold.iter().flat_map(InfluenceFault::planes);
            let mut places: Vec<String> = untold.cloned().collect();
            places.dedup();
            let next = NextRun::TryUntriedPlace { places };
            return Advice::OneMoreRun(OneMoreRun { next, ideal: Some(ideal) });
        }
        let case = self.case;
        let usual_order = case.insist == Insist::No && case.given.is_empty();
        let met = sight.judged.is_some_and(|judged| judged.decision == Decision::Meets);
        if let Err(why) = self.usable(sight.influence, &correction)
            && !met
        {
            let hints = why.iter().map(|fault| fault.hint(case.runs.setup(), case.job.units)).collect();
            return Advice::OneMoreRun(OneMoreRun { next: NextRun::BetterTrial { why, hints }, ideal: None });
        }
        let ahead = |plan| Ahead::new(&case.runs, sight.influence, &correction, plan, self.limits);
        let ideal = Ideal { ahead: ahead(None), correction: correction.clone() };
        let next = sight.judged.and_then(NextRun::deciding).filter(|_| usual_order);
        if let Some(next) = next {
            return Advice::OneMoreRun(OneMoreRun { next, ideal: Some(ideal) });
        }
        if usual_order && met {
            return Advice::Done(ideal);
        }
        let plan = match plan {
            None | Some(Err(_)) => return Advice::Ideal(ideal),
            Some(Ok(plan)) => plan,
        };
        if plan.planes.iter().any(|plane| !plane.weights.is_empty() || !plane.come_off.is_empty()) {
            return Advice::Hold(Box::new(Hold { ahead: ahead(Some(&plan)), plan, ideal }));
        }
        if case.runs.last_check_block().is_empty() && self.within_as_found(&ideal) {
            return Advice::OneMoreRun(OneMoreRun { next: NextRun::CheckAsItIs, ideal: Some(ideal) });
        }
        Advice::NothingBetter(NothingBetter { plan, ideal })
    }

    /// Whether these masses may be used.
    fn usable(&self, influence: &Influence, correction: &Correction) -> Result<(), Vec<Unusable>> {
        let (job, set) = (&self.case.job, &self.case.runs);
        let most_reading = most_reading(job, set.setup());
        let speed = set.groups().first().and_then(|group| group.speed);
        let limits = self.limits.map(|limits| (limits.planes.as_slice(), &limits.transfer));
        let bounds = bounds(job, self.limits, speed, &most_reading);
        usable(&UsableQuestion { set, influence, correction, limits, bounds })
    }

    fn held_back(&self, sight: &Sight<'_>) -> HeldBack {
        let rows = self.case.runs.rows();
        let blocks = sight.influence.groups.iter().flat_map(GroupInfluence::contradicting);
        let runs = blocks.filter_map(|block| Some(rows.get(*block.rows.first()?)?.run.label.clone()));
        HeldBack {
            runs: runs.collect(),
            explanation: sight.explanation.cloned(),
            sentences: sight
                .explanation
                .map(|found| found.sentences(&self.case.runs, self.case.job.units))
                .unwrap_or_default(),
        }
    }

    /// Whether the unbalance to be corrected is already below the limit in every place.
    fn within_as_found(&self, ideal: &Ideal) -> bool {
        let Some(limits) = self.limits else { return false };
        let now: Vec<Complex64> = ideal.correction.planes.iter().map(|plane| -plane.add.vector()).collect();
        !limits.exceeded_by(&now)
    }
}

/// What the runs showed, for the advice.
struct Sight<'a> {
    influence: &'a Influence,
    explanation: Option<&'a Explanation>,
    judged: Option<&'a Judged>,
}

/// The cautions about weights, if weights are advised.
fn about_weights(advice: &Advice, box_faults: Vec<Caution>) -> Vec<Caution> {
    match advice {
        Advice::Hold(_) | Advice::NothingBetter(_) => {
            advice.plan().map(|plan| plan.cautions.clone()).unwrap_or_default()
        }
        Advice::Ideal(_) => box_faults,
        Advice::MustNotSpin(_) | Advice::HeldBack(_) | Advice::OneMoreRun(_) | Advice::Done(_) => Vec::new(),
    }
}

/// What went wrong, if a check run does not fit or the runs scatter too much.
fn explained(runs: &RunSet, options: &Options<'_>, influence: &Influence) -> Option<Explanation> {
    let scattered = influence.groups.iter().flat_map(GroupInfluence::fits).any(|(_, fit)| fit.above_stated);
    (contradicted(influence) || scattered).then(|| explain(runs, options).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::super::limits::tests::at_ends;
    use super::*;
    use crate::influence::Options;
    use crate::run::RunKind;
    use crate::run::by_hand::{ByHand, exactly, real};

    // Each sensor answers 1 to its own plane: 3 g·mm as found in front, 4 behind.
    #[test]
    fn as_found_is_within_the_limit_where_every_place_is() {
        let set = ByHand::new(2, 2, exactly(0.001))
            .run(RunKind::Initial, &[], &[real(3.0), real(-4.0)])
            .run(RunKind::Trial, &[real(9.0), real(0.0)], &[real(12.0), real(-4.0)])
            .run(RunKind::Trial, &[real(0.0), real(9.0)], &[real(3.0), real(5.0)])
            .set();
        let influence = estimate(&set, &Options::default()).unwrap();
        let correction = correct(&set, &influence);
        let case = Case::new("shaft", Job::default(), set);
        let within = |limits: Option<&Limits>| {
            let ahead = Ahead::new(&case.runs, &influence, &correction, None, limits);
            let ideal = Ideal { correction: correction.clone(), ahead };
            Ground { case: &case, before: None, limits, told: None }.within_as_found(&ideal)
        };
        assert!(within(Some(&at_ends("4.1 g.mm"))));
        assert!(!within(Some(&at_ends("3.9 g.mm"))), "the rear end is above it");
        assert!(!within(Some(&at_ends("2.9 g.mm"))));
        assert!(!within(None), "without a limit nothing is within it");
    }
}
