//! Which trial mass to put where, from what the job and its runs say.

use balance_core::correction::{TrialAdvice, TrialQuestion, trial_advice};
use balance_core::influence::{Options, estimate};
use balance_core::run::{RunSet, Setup};

use super::limits::limits;
use crate::files::Job;

/// The adviser's answer for a place.
#[must_use]
pub fn trial_for(job: &Job, set: Option<&RunSet>, setup: &Setup, plane: usize) -> TrialAdvice {
    let known = set
        .and_then(|set| Some((set, estimate(set, &Options { drift: job.stand.drift, prior: None }).ok()?)));
    let at_plane = limits(job, &setup.planes).ok();
    let permissible = at_plane.and_then(|limits| limits.at_correction.get(plane).map(|limit| limit.amount));
    let most = vec![job.stand.most_reading; setup.sensors.len()];
    trial_advice(&TrialQuestion {
        setup,
        plane,
        permissible,
        speed: set.and_then(|set| set.groups().first()?.speed),
        known: known.as_ref().map(|(set, influence)| (*set, influence)),
        most_reading: &most,
    })
}
