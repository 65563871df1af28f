//! Runs that are not sufficient for an answer.

use super::refusal::Refusal;
use crate::correction::weights::WeightFault;
use crate::influence::{InfluenceFault, TypeFault};
use crate::quantity::Units;
use crate::stand::without_phase::WithoutPhaseFault;

/// One thing that stands in the way of an answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Missing {
    /// The runs do not show how the shaft responds.
    #[error(transparent)]
    Influence(#[from] InfluenceFault),
    /// Sister shafts give no information about a shaft like this.
    #[error(transparent)]
    Sisters(#[from] TypeFault),
    /// Amplitudes without phase do not tell.
    #[error("{}", in_names(fault, planes, sensors))]
    WithoutPhase {
        /// Why.
        fault: WithoutPhaseFault,
        /// The planes' names.
        planes: Vec<String>,
        /// The sensors' names.
        sensors: Vec<String>,
    },
    /// Without phase the trials must be read in one mounting.
    #[error("run {run} was read in another mounting; without phase all runs but check runs must be in one")]
    MountingsWithoutPhase {
        /// Its label.
        run: String,
    },
    /// Weights to be tried out cannot be on this shaft.
    #[error(transparent)]
    Given(#[from] WeightFault),
}

impl Missing {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Influence(fault) => Some(fault.hint()),
            Self::WithoutPhase { .. } => Some(
                "without phase: the initial run, then the trial mass at three places of each plane, for example 0, \
                 120 and 240 deg, one run each"
                    .into(),
            ),
            Self::MountingsWithoutPhase { .. } => Some("repeat the trials without re-clamping the shaft".into()),
            Self::Sisters(_) | Self::Given(_) => None,
        }
    }
}

fn in_names(fault: &WithoutPhaseFault, planes: &[String], sensors: &[String]) -> String {
    let name = |names: &[String], at: usize| names.get(at).cloned().unwrap_or_else(|| (at + 1).to_string());
    match fault {
        WithoutPhaseFault::TooFewPlaces { plane, found } => format!(
            "{} was tried at {found} place(s); without phase at least 2 are needed, and 3 tell for sure",
            name(planes, plane.index())
        ),
        WithoutPhaseFault::TooFewRuns { sensor, found, needed } => format!(
            "sensor {} was read in {found} run(s); without phase at least {needed} are needed",
            name(sensors, sensor.index())
        ),
        WithoutPhaseFault::OutOfRange { sensor } => {
            format!("the readings of sensor {} are all zero or out of range", name(sensors, sensor.index()))
        }
    }
}

/// Why there is no answer yet.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{shaft}: {}", words(missing))]
pub struct Unsolved {
    /// What the shaft is called.
    pub shaft: String,
    /// Why the shaft must not spin anyway, if it must not.
    pub refusal: Option<Refusal>,
    /// Everything that is missing.
    pub missing: Vec<Missing>,
    /// The units in which people are answered.
    pub units: Units,
}

fn words(missing: &[Missing]) -> String {
    missing.iter().map(ToString::to_string).collect::<Vec<String>>().join("; ")
}
