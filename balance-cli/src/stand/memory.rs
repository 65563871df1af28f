//! What was said in this session and is asked again in the next: nothing of the job hangs on it.

use std::collections::BTreeSet;

/// What was said, and what was told once.
#[derive(Debug, Default)]
pub struct Memory {
    trial_off: Option<String>,
    try_skipped: Option<usize>,
    goes_on: Option<usize>,
    told: BTreeSet<&'static str>,
    shown_after: Option<usize>,
    /// Questions about the job that were left out.
    pub left_out: BTreeSet<&'static str>,
}

impl Memory {
    /// The trial mass of this run is off.
    pub fn say_trial_off(&mut self, label: &str) {
        self.trial_off = Some(label.into());
    }

    /// Whether the trial mass of this run is off.
    pub fn trial_off(&self, label: Option<&str>) -> bool {
        label.is_some() && self.trial_off.as_deref() == label
    }

    /// Weld without a try, until the next check run.
    pub fn skip_try(&mut self, checks: usize) {
        self.try_skipped = Some(checks);
    }

    /// Whether to weld without a try after so many check runs.
    pub fn try_skipped(&self, checks: usize) -> bool {
        self.try_skipped == Some(checks)
    }

    /// Correct further although the verdict does not ask for it, until the next check run.
    pub fn go_on(&mut self, checks: usize) {
        self.goes_on = Some(checks);
    }

    /// Whether to correct further after so many check runs.
    pub fn goes_on(&self, checks: usize) -> bool {
        self.goes_on == Some(checks)
    }

    /// Whether this is to be told for the first time in this session.
    pub fn first_time(&mut self, what: &'static str) -> bool {
        self.told.insert(what)
    }

    /// Whether an answer was not shown yet since this many runs.
    pub fn shows_after(&mut self, runs: usize) -> bool {
        self.shown_after.replace(runs) != Some(runs)
    }

    /// A run was taken back or changed: what hung on it is asked again.
    pub fn forget(&mut self) {
        self.shown_after = None;
        self.trial_off = None;
        self.try_skipped = None;
        self.goes_on = None;
    }
}
