//! All that an answer depends on.

use std::sync::Arc;

use crate::caution::Caution;
use crate::correction::weights::GivenWeight;
use crate::influence::{Drift, ShaftAnswers};
use crate::job::Job;
use crate::run::RunSet;

/// One shaft to answer about: nothing that can change a number, a verdict, a caution or an advice is left outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What the shaft is called.
    pub shaft: String,
    /// What the shaft is, what it has to meet, what can be welded.
    pub job: Arc<Job>,
    /// What was on the shaft and what the stand read. Its own setup counts for planes, sensors, convention and noise.
    pub runs: RunSet,
    /// Whether a drift of the readings is allowed for.
    pub drift: Drift,
    /// How sister shafts answered; `None`: this shaft's own runs have to tell.
    pub sisters: Option<Sisters>,
    /// Weights to try out instead of a choice from the box; empty: the box is asked.
    pub given: Vec<GivenWeight>,
    /// Whether to correct now where one more run would be the next step.
    pub insist: Insist,
    /// What was noticed while the runs were read.
    pub noticed: Vec<Caution>,
}

/// How the shafts of this one's type answered.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Sisters {
    /// The type's name.
    pub shaft_type: String,
    /// Their answers, oldest first.
    pub shafts: Vec<ShaftAnswers>,
}

/// Whether someone wants weights although one more run would tell more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Insist {
    /// The usual order: the run first.
    #[default]
    No,
    /// Correct further now.
    CorrectFurther,
}

impl Case {
    /// A shaft and its runs, nothing else said.
    #[must_use]
    pub fn new(shaft: &str, job: impl Into<Arc<Job>>, runs: RunSet) -> Self {
        let job = job.into();
        Self {
            shaft: shaft.into(),
            drift: job.stand.drift,
            job,
            runs,
            sisters: None,
            given: Vec::new(),
            insist: Insist::No,
            noticed: Vec::new(),
        }
    }
}
