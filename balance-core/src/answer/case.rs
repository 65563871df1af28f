//! Everything an answer depends on.

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
    /// What was on the shaft and what the stand read. Planes, sensors, convention and noise are taken from
    /// its own setup.
    pub runs: RunSet,
    /// Whether a drift of the readings is allowed for.
    pub drift: Drift,
    /// How sister shafts responded; `None`: only this shaft's own runs are used.
    pub sisters: Option<Sisters>,
    /// Weights to try out instead of a choice from the box; empty: choose from the box.
    pub given: Vec<GivenWeight>,
    /// Whether to correct now even if one more run would be the next step.
    pub insist: Insist,
    /// What was noticed while the runs were read.
    pub noticed: Vec<Caution>,
}

/// How shafts of the same type responded.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Sisters {
    /// The type's name.
    pub shaft_type: String,
    /// Their responses, oldest first.
    pub shafts: Vec<ShaftAnswers>,
}

/// Whether weights are wanted even though one more run would be better.
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
    /// A shaft and its runs, with nothing else stated.
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
