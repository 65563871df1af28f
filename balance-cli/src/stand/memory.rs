//! What was said in this session. None of it is needed to go on with the job another day: it is asked again then.

use std::collections::BTreeSet;

use crate::files::job_edit::{Edit, NewValue};

/// A question about the job that was answered or left out.
#[derive(Debug)]
pub struct Asked {
    /// Its name.
    pub name: &'static str,
    /// What its answer did to the job file; `None`: it was left out.
    pub edit: Option<Edit>,
}

/// What was said, and what was shown once.
#[derive(Debug, Default)]
pub struct Memory {
    trial_off: Option<String>,
    try_skipped: Option<usize>,
    goes_on: Option<usize>,
    shown_once: BTreeSet<&'static str>,
    shown_after: Option<usize>,
    said_right: BTreeSet<String>,
    places_left_out: Vec<(usize, f64)>,
    /// Whether trial runs are wanted although sister shafts are known; `None`: not asked yet.
    pub with_trials: Option<bool>,
    /// Whether the counting of angles is left open.
    pub counting_left_open: bool,
    /// Whether the bench is done with in this session.
    pub left_the_bench: bool,
    /// Questions about the job that are not asked again.
    pub left_out: BTreeSet<&'static str>,
    /// Answers that may hold for all jobs of the shop.
    pub for_the_shop: Vec<NewValue>,
    asked: Vec<Asked>,
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

    /// There is no room for a trial mass at this place of a plane, in degrees.
    pub fn leave_out_place(&mut self, plane: usize, degrees: f64) {
        self.places_left_out.push((plane, degrees));
    }

    /// The places of a plane that are left out, in degrees.
    pub fn places_left_out(&self, plane: usize) -> Vec<f64> {
        self.places_left_out.iter().filter(|own| own.0 == plane).map(|own| own.1).collect()
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

    /// Whether this is shown for the first time in this session.
    pub fn first_time(&mut self, what: &'static str) -> bool {
        self.shown_once.insert(what)
    }

    /// Whether an answer was not shown yet since this many runs.
    pub fn shows_after(&mut self, runs: usize) -> bool {
        self.shown_after.replace(runs) != Some(runs)
    }

    /// The readings of this run were doubted, and somebody said that they are right.
    pub fn say_right(&mut self, label: &str) {
        self.said_right.insert(label.into());
    }

    /// Whether somebody said that the doubted readings of this run are right.
    pub fn said_right(&self, label: Option<&str>) -> bool {
        label.is_some_and(|label| self.said_right.contains(label))
    }

    /// This question is not asked again, unless it is taken back.
    pub fn asked(&mut self, asked: Asked) {
        self.left_out.insert(asked.name);
        self.asked.push(asked);
    }

    /// The question that was asked last; it is asked again.
    pub fn last_asked(&mut self) -> Option<Asked> {
        let last = self.asked.pop()?;
        self.left_out.remove(last.name);
        Some(last)
    }

    /// A run was taken back or changed: what hung on it is asked again.
    pub fn forget(&mut self) {
        self.shown_after = None;
        self.places_left_out.clear();
        self.trial_off = None;
        self.try_skipped = None;
        self.goes_on = None;
        self.said_right.clear();
    }
}
