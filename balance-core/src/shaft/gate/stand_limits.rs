//! What the stand can bear.

use crate::caution::Caution;
use crate::quantity::{Speed, UnbalanceAmount};

/// The stand's own limits; what is not stated is not checked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StandLimits {
    /// It must not turn faster.
    pub most_speed: Option<Speed>,
    /// No sensor may show more, in the sensors' unit.
    pub most_reading: Option<f64>,
}

/// The worst reading a trial mass can cause at a sensor: |now| + |influence|·trial, with the trial at the
/// worst angle. `now` in the sensor's unit, `influence_per_gram_millimetre` from an earlier job on a similar
/// shaft at a similar speed.
///
/// ```
/// use balance_core::{quantity::parse, shaft::worst_trial_reading};
/// assert_eq!(worst_trial_reading(5.0, 0.004, parse("1000 g.mm")?), 9.0);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
#[must_use]
pub fn worst_trial_reading(now: f64, influence_per_gram_millimetre: f64, trial: UnbalanceAmount) -> f64 {
    now.abs() + influence_per_gram_millimetre.abs() * trial.gram_millimetres()
}

/// The largest trial that keeps a sensor within `most_reading` at any angle; `None` if the reading is already
/// there, or the influence is zero.
#[must_use]
pub fn largest_trial(
    now: f64,
    influence_per_gram_millimetre: f64,
    most_reading: f64,
) -> Option<UnbalanceAmount> {
    let trial = (most_reading - now.abs()) / influence_per_gram_millimetre.abs();
    UnbalanceAmount::from_gram_millimetres(trial).ok()
}

/// What to print before a trial spins: the worst reading against the stand's limit, or that it is not known.
/// `worst` in the sensor's unit; `None` when no influence is known yet.
#[must_use]
pub fn reading_caution(sensor: &str, unit: &str, worst: Option<f64>, limits: &StandLimits) -> Caution {
    let sensor = sensor.to_owned();
    let Some(worst) = worst else { return Caution::WorstTrialReadingUnknown { sensor } };
    let unit = unit.to_owned();
    match limits.most_reading {
        Some(limit) if worst > limit => Caution::TrialTooLargeForStand { sensor, unit, worst, limit },
        limit => Caution::WorstTrialReading { sensor, unit, worst, limit },
    }
}
