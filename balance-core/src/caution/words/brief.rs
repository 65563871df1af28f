//! Shorter sentences for answers that show only what affects the next step.

use crate::caution::Caution;
use crate::quantity::Units;

impl Caution {
    /// What to know and do in one short sentence, where [`Caution::words`] is longer than needed at the
    /// stand.
    #[must_use]
    pub fn brief(&self, units: Units) -> String {
        match self {
            Self::ConventionUnproved { .. } => {
                "How angles are counted is not proved: a quarter-turn trial proves it.".into()
            }
            Self::ConventionUnstated => {
                "How the stand counts angles is not stated. If phase is not counted the same way as masses, every \
                 angle here is wrong."
                    .into()
            }
            Self::NoiseUnknown => {
                "The scatter of the readings is not known, so there is no give or take: repeat the initial run, or \
                 state reading_noise under [stand]."
                    .into()
            }
            Self::WithoutPhase { .. } => {
                "No phase was read: worked out from amplitudes alone.".into()
            }
            Self::TrialTooSmall { run } => format!("Trial run {run} hardly changed the readings: use a \
                                                   larger trial mass."),
            Self::TrialWeak => "The trial's effect is small compared with the noise: use a larger trial \
                               mass.".into(),
            _ => self.words(units),
        }
    }
}
