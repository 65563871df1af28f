//! Runs that are not sufficient for an answer.

use super::refusal::Refusal;
use crate::correction::weights::WeightFault;
use crate::influence::{InfluenceFault, TypeFault};
use crate::quantity::Units;

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
            Self::Sisters(_) | Self::Given(_) => None,
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
