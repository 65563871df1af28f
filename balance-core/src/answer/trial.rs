//! Which trial mass next, for every place.

use crate::correction::{TrialAdvice, TrialBounds, TrialQuestion, trial_advice};
use crate::influence::Influence;
use crate::quantity::{Mass, Speed};
use crate::run::{RunSet, Setup};

use super::limits::Limits;
use crate::job::Job;
use crate::shaft::PlaneId;

/// What the runs show so far.
#[derive(Debug, Clone, Copy, Default)]
pub struct SoFar<'a> {
    /// The stand's speed, as the runs have it.
    pub speed: Option<Speed>,
    /// The runs, though they may not yet show how every place responds.
    pub runs: Option<&'a RunSet>,
    /// Runs that show it, and how the shaft responds.
    pub known: Option<(&'a RunSet, &'a Influence)>,
}

/// Advice on a trial at every place, sized and placed from the runs if they show how the shaft responds.
#[must_use]
pub fn trials(job: &Job, limits: Option<&Limits>, setup: &Setup, so_far: SoFar<'_>) -> Vec<TrialAdvice> {
    let most_reading = most_reading(job, setup);
    let bounds = bounds(job, limits, so_far.speed, &most_reading);
    let permissible = |plane: PlaneId| limits?.at_correction.get(plane.index()).map(|limit| limit.amount);
    let advice = |plane: PlaneId| {
        let (runs, known) = (so_far.runs, so_far.known);
        trial_advice(&TrialQuestion { setup, plane, permissible: permissible(plane), bounds, runs, known })
    };
    setup.plane_ids().map(advice).collect()
}

/// The reading at which to stop, for each sensor.
pub(super) fn most_reading(job: &Job, setup: &Setup) -> Vec<Option<f64>> {
    vec![job.stand.most_reading; setup.sensors.len()]
}

/// The bounds of a trial.
pub(super) fn bounds<'a>(
    job: &Job,
    limits: Option<&Limits>,
    speed: Option<Speed>,
    most_reading: &'a [Option<f64>],
) -> TrialBounds<'a> {
    TrialBounds {
        shaft_mass: limits.and_then(|limits| limits.mass).or(job.measures.mass).or_else(|| of_parts(job)),
        speed: speed.or(job.stand.speed).or(job.measures.service_speed),
        most_speed: job.stand.most_speed,
        most_reading,
    }
}

/// The mass of all parts together.
fn of_parts(job: &Job) -> Option<Mass> {
    let grams: f64 = job.parts.iter().map(|part| part.mass.grams()).sum();
    Mass::from_grams(grams).ok().filter(|mass| *mass > Mass::ZERO)
}
