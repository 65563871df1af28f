//! Which trial mass next, for every place.

use crate::correction::{TrialAdvice, TrialQuestion, trial_advice};
use crate::influence::Influence;
use crate::quantity::Speed;
use crate::run::{RunSet, Setup};

use super::limits::Limits;
use crate::job::Job;

/// Advice on a trial at every place; with runs that tell how the shaft answers, sized and placed by them.
#[must_use]
pub fn trials(
    job: &Job,
    limits: Option<&Limits>,
    setup: &Setup,
    speed: Option<Speed>,
    known: Option<(&RunSet, &Influence)>,
) -> Vec<TrialAdvice> {
    let most_reading = vec![job.stand.most_reading; setup.sensors.len()];
    let permissible = |plane: usize| limits?.at_correction.get(plane).map(|limit| limit.amount);
    let advice = |plane: usize| {
        trial_advice(&TrialQuestion {
            setup,
            plane,
            permissible: permissible(plane),
            speed,
            known,
            most_reading: &most_reading,
        })
    };
    (0..setup.planes.len()).map(advice).collect()
}
