//! The run that would help more than any weight.

use super::judged::Judged;
use crate::correction::Unusable;
use crate::grade::{Decision, NextStep, Reason, Withheld};
use crate::run::PlacedMass;

/// Trial masses of a run that is proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct ProposedTrial {
    /// The masses, each at the place where trial masses sit.
    pub masses: Vec<PlacedMass>,
    /// The same in words: "20 g at 60 deg at front and 20 g at 90 deg at rear".
    pub words: String,
}

/// What to read next, and why.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NextRun {
    /// The check run again, in the same mounting: this many more decide if they read the same.
    CheckAgain {
        /// How many.
        runs: usize,
    },
    /// The check run in other mountings: this many more decide if they read the same.
    AnotherMounting {
        /// How many.
        mountings: usize,
    },
    /// The check run twice more: the scatter of the readings is not known.
    MeasureTheNoise,
    /// A check run of the shaft as it is: it seems that nothing needs to be added.
    CheckAsItIs,
    /// A trial that shows more: masses worked out from the present ones must not be used.
    BetterTrial {
        /// Why not, and what would do.
        why: Vec<Unusable>,
        /// What would do, in sentences.
        hints: Vec<String>,
    },
    /// A trial run at every untried place.
    TryUntriedPlace {
        /// Their names.
        places: Vec<String>,
    },
    /// The trial runs again in this mounting, or a check run in the mounting of the trials.
    TrialsInThisMounting,
    /// The shaft as found: everything else is compared with it.
    InitialRun,
    /// No run at all: the mass behind the limit cannot be right.
    WeighAgain,
    /// Without phase, two or more answers explain the runs: one more trial tells which is right.
    SettleMirrored {
        /// How many answers there are.
        answers: usize,
        /// What to put on.
        trial: ProposedTrial,
    },
    /// Without phase, and hardly any reading with nothing added: two runs with all places loaded.
    BothPlacesLoaded {
        /// What to put on in the first and in the second run.
        trials: [ProposedTrial; 2],
    },
    /// This run again: one of its readings is likely to be wrong.
    RepeatRun {
        /// Its label.
        run: String,
        /// What the reading would have been, as part of a sentence.
        story: String,
    },
}

impl NextRun {
    /// A stable word for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::CheckAgain { .. } => "check-again",
            Self::AnotherMounting { .. } => "another-mounting",
            Self::MeasureTheNoise => "measure-the-noise",
            Self::CheckAsItIs => "check-as-it-is",
            Self::BetterTrial { .. } => "better-trial",
            Self::TryUntriedPlace { .. } => "try-untried-place",
            Self::TrialsInThisMounting => "trials-in-this-mounting",
            Self::InitialRun => "initial-run",
            Self::WeighAgain => "weigh-again",
            Self::SettleMirrored { .. } => "settle-mirrored",
            Self::BothPlacesLoaded { .. } => "both-places-loaded",
            Self::RepeatRun { .. } => "repeat-run",
        }
    }

    /// What to do, in a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::CheckAgain { runs: 1 } => {
                "Read the check run once more: if it reads the same, the verdict is clear.".into()
            }
            Self::CheckAgain { runs } => {
                format!("Read the check run {runs} times more: if they read the same, the verdict is clear.")
            }
            Self::AnotherMounting { mountings: 1 } => {
                "Re-clamp the shaft and read the check run in that mounting too.".into()
            }
            Self::AnotherMounting { mountings } => {
                format!("Re-clamp the shaft {mountings} times and read the check run in each mounting.")
            }
            Self::MeasureTheNoise => {
                "Read the check run twice more: as long as the scatter of the readings is not known, \
                 nothing can be promised."
                    .into()
            }
            Self::TryUntriedPlace { places } if places.len() == 1 => {
                format!("{} was never tried: make one trial run with a mass there.", places.join(""))
            }
            Self::TryUntriedPlace { places } => {
                format!("{} were never tried: make one trial run with a mass at each.", places.join(" and "))
            }
            Self::TrialsInThisMounting => NextStep::TrialsInThisMounting.sentence(),
            Self::InitialRun => "The shaft was never read as found, so how it responds is not known: \
                                 enter the shaft as it is now as the initial run, with nothing added, and \
                                 make one trial run at each place."
                .into(),
            Self::SettleMirrored { answers, trial } => format!(
                "No masses are given: without phase {answers} answers explain these runs equally well, and the wrong \
                 one would make it worse. One more trial run tells: {}.",
                trial.words
            ),
            Self::BothPlacesLoaded { trials: [first, second] } => format!(
                "No masses are given: the shaft as found reads so little that amplitudes hardly show which way a \
                 mass acts. Two more trial runs show it: first {}; then {}.",
                first.words, second.words
            ),
            Self::WeighAgain => NextStep::WeighAgain.sentence(),
            Self::RepeatRun { run, .. } => NextStep::RepeatRun { run: run.clone() }.sentence(),
            Self::CheckAsItIs => {
                "The shaft looks good as it is: read it once more as a check run, because only a check \
                run can confirm it."
                    .into()
            }
            Self::BetterTrial { why, hints } => {
                let faults: Vec<String> = why.iter().map(ToString::to_string).collect();
                format!("No masses are given: {}. {}", faults.join("; "), hints.join(" "))
            }
        }
    }

    /// The run that would decide an open verdict, if there is one.
    pub(super) fn deciding(judged: &Judged) -> Option<Self> {
        if judged.decision != Decision::Undecided {
            return None;
        }
        let verdict = &judged.deciding().verdict;
        match verdict.withheld.first() {
            Some(Withheld::NotSeen { untried, .. }) => {
                let places = untried.iter().map(|place| place.name().to_owned()).collect();
                return Some(Self::TryUntriedPlace { places });
            }
            Some(Withheld::OtherMounting { .. }) => return Some(Self::TrialsInThisMounting),
            Some(Withheld::ScatterAboveStated { .. }) => return Some(Self::MeasureTheNoise),
            Some(Withheld::MassFarOff { .. }) => return Some(Self::WeighAgain),
            Some(Withheld::ReadingLikelyWrong { run, story }) => {
                return Some(Self::RepeatRun { run: run.clone(), story: story.clone() });
            }
            Some(_) | None => {}
        }
        if verdict.reason == Reason::NoiseUnknown {
            return Some(Self::MeasureTheNoise);
        }
        match (verdict.more_check_runs, verdict.more_mountings) {
            (Some(runs), _) if runs > 0 => Some(Self::CheckAgain { runs }),
            (_, Some(mountings)) if mountings > 0 => Some(Self::AnotherMounting { mountings }),
            _ => None,
        }
    }
}
