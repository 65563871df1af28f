//! What is asked about: one shaft's runs, and its job if there is one.

use balance_core::influence::{Drift, Options, Prior};
use balance_core::run::RunSet;

use crate::files::Job;

/// One shaft to answer about.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    /// What the shaft is called: job number, the `shaft` column, or the file's name.
    pub shaft: String,
    /// The job, unless a runs file stands alone.
    pub job: Option<&'a Job>,
    /// The runs.
    pub set: RunSet,
    /// Whether a drift is reckoned with.
    pub drift: Drift,
    /// What sister shafts say of how this one answers.
    pub prior: Option<Prior>,
}

impl Question<'_> {
    /// What the estimator is told.
    #[must_use]
    pub fn options(&self) -> Options<'_> {
        Options { drift: self.drift, prior: self.prior.as_ref() }
    }
}
