//! How much may be left, and which trial comes next, with or without runs.

use std::sync::Arc;

use super::ahead::SureReading;
use super::before_spin::{BeforeSpin, CheckMemory};
use super::case::Case;
use super::limits::{Limits, limits};
use super::refusal::Refusal;
use super::solve::{Answer, solve};
use super::trial::{SoFar, trials};
use crate::caution::Caution;
use crate::correction::TrialAdvice;
use crate::job::Job;
use crate::quantity::{Speed, Units};
use crate::run::Setup;

/// How much may be left.
#[derive(Debug, Clone)]
pub struct LimitsAnswer {
    /// What the shaft is called.
    pub shaft: String,
    /// The limits.
    pub limits: Limits,
    /// The readings that are certain to meet them, once the runs show how the shaft responds.
    pub sure: Option<Vec<SureReading>>,
    /// Advice on a trial at every place.
    pub trials: Vec<TrialAdvice>,
    /// Planes and sensors.
    pub setup: Setup,
    /// The shaft before it spins.
    pub before: Option<Arc<BeforeSpin>>,
    /// All cautions, worst first.
    pub cautions: Vec<Caution>,
    /// The units in which people are answered.
    pub units: Units,
}

/// What is known for the question about limits.
#[derive(Debug, Clone, Copy)]
pub struct LimitsQuestion<'a> {
    /// What the shaft is called.
    pub shaft: &'a str,
    /// The job.
    pub job: &'a Arc<Job>,
    /// Planes and sensors: the job's own, or those of its runs file.
    pub setup: &'a Setup,
    /// The speed of the runs read so far.
    pub speed: Option<Speed>,
    /// The case, once the runs are a consistent set.
    pub case: Option<&'a Case>,
}

impl LimitsAnswer {
    /// The limits of a job with what its runs already show.
    ///
    /// # Errors
    ///
    /// One line for each thing that is missing for a limit.
    pub fn new(question: &LimitsQuestion<'_>) -> Result<Self, Vec<String>> {
        let job = question.job;
        let limits = limits(job, &question.setup.planes)?;
        let solved = question.case.and_then(|case| solve(case).ok());
        let runs = question.case.map(|case| &case.runs);
        let trials = advice_on_trials(question, Some(&limits), solved.as_ref());
        // Even before the first trial, the initial run shows how fast the stand turns.
        let before = solved.as_ref().map_or_else(
            || CheckMemory::default().check(job, runs, Some(&limits)),
            |answer| answer.before_spin.clone(),
        );
        let mut cautions: Vec<Caution> =
            before.iter().flat_map(|before| before.bearing_on_answers()).collect();
        cautions.extend(trials.iter().flat_map(|trial| trial.cautions().to_vec()));
        cautions.sort_by_key(Caution::level);
        cautions.dedup();
        Ok(Self {
            shaft: question.shaft.into(),
            sure: solved.and_then(|answer| answer.sure_readings),
            setup: question.setup.clone(),
            limits,
            trials,
            before,
            cautions,
            units: job.units,
        })
    }

    /// Why the shaft must not spin, if it must not.
    #[must_use]
    pub fn refusal(&self) -> Option<Refusal> {
        self.before.as_deref().and_then(BeforeSpin::refusal)
    }
}

/// Advice on a trial at every place, with or without a limit.
#[must_use]
pub fn trials_of(question: &LimitsQuestion<'_>) -> Vec<TrialAdvice> {
    let limits = limits(question.job, &question.setup.planes).ok();
    let solved = question.case.and_then(|case| solve(case).ok());
    advice_on_trials(question, limits.as_ref(), solved.as_ref())
}

fn advice_on_trials(
    question: &LimitsQuestion<'_>,
    limits: Option<&Limits>,
    solved: Option<&Answer>,
) -> Vec<TrialAdvice> {
    let so_far = SoFar {
        speed: question.speed,
        runs: question.case.map(|case| &case.runs),
        known: solved.map(|answer| (&answer.runs, &answer.influence)),
    };
    trials(question.job, limits, question.setup, so_far)
}
