//! What to do next at the stand: never "nothing" while a verdict is open.

use super::budget::ShrinksWith;
use super::evidence::Withheld;
use super::seen::Untried;
use super::verdict::{Decision, Reason, Verdict};
use crate::quantity::{Units, shown};

/// What would settle an open verdict, or bring the shaft within its limit.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NextStep {
    /// It meets: nothing.
    Nothing,
    /// Correct from the last check run.
    CorrectFurther,
    /// This many more check runs in the same mounting.
    CheckRuns(usize),
    /// This many more mountings, each with a check run.
    Mountings(usize),
    /// Measure how far the readings scatter.
    MeasureNoise,
    /// Trial runs at places that were never tried.
    Try(Vec<Untried>),
    /// Find out which run, weight or reading is not what the file says.
    FindCause,
    /// A check run in the mounting of the trials, or the trials again in this one.
    TrialsInThisMounting,
    /// Weigh the shaft, and correct its entry.
    WeighAgain,
    /// This run again.
    RepeatRun {
        /// Its label.
        run: String,
    },
    /// A larger trial, or the trial again.
    LargerTrial,
    /// A finer range of the dial.
    FinerDial,
    /// Readings that scatter less.
    SteadierReadings,
    /// Correction planes farther apart, or other ones.
    OtherPlanes,
    /// Turn the shaft in its fixture.
    ProveFixture,
    /// Read nearer to the service speed.
    NearerServiceSpeed,
    /// A stand that reaches less, or a new test of this one.
    BetterStand,
}

impl NextStep {
    /// In a sentence, for people.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Nothing => "Nothing more is needed.".into(),
            Self::CorrectFurther => {
                "Further runs alone will not decide: correct further, from the last check run.".into()
            }
            Self::CheckRuns(1) => "One more check run that reads the same would decide.".into(),
            Self::CheckRuns(more) => format!("{more} more check runs that read the same would decide."),
            Self::Mountings(1) => {
                "Further check runs alone will not decide; one more mounting with a check run would.".into()
            }
            Self::Mountings(more) => format!(
                "Further check runs alone will not decide; {more} more mountings with a check run each would."
            ),
            Self::MeasureNoise => "The scatter of the readings is not known. Read the check run twice \
                                   more, or state reading_noise under [stand]."
                .into(),
            Self::Try(places) => {
                let names: Vec<&str> = places.iter().map(Untried::name).collect();
                let were = if names.len() == 1 { "was" } else { "were" };
                let runs = if names.len() == 1 { "one trial run there" } else { "one trial run at each" };
                format!("{} {were} never tried: {runs}.", names.join(" and "))
            }
            Self::FindCause => "First find the run, weight or reading that is not what the file says.".into(),
            Self::TrialsInThisMounting => {
                "Make the trial runs again in this mounting, or read the check run in the mounting \
                                           of the trial runs."
                    .into()
            }
            Self::WeighAgain => {
                "Weigh the shaft again and correct its mass, or the size of the tube, in the job file.".into()
            }
            Self::RepeatRun { run } => format!(
                "Check your notes of run {run} and correct its entry, or repeat the run and enter the new \
                reading in its place."
            ),
            Self::LargerTrial => "Further check runs will not decide: how the shaft responds is not known \
                                  well enough. Repeat the trial runs with a larger mass."
                .into(),
            Self::FinerDial => {
                "Further check runs will not decide: read on a finer range of the dial.".into()
            }
            Self::SteadierReadings => "Further check runs will not decide: the readings scatter too much. \
                                       Let the stand settle, or read on a finer range."
                .into(),
            Self::OtherPlanes => "Further check runs will not decide: part of the readings cannot come \
                                  from masses at these planes. Look for a bend or dial runout, or try a \
                                  mass at another place."
                .into(),
            Self::ProveFixture => "Further check runs will not decide: turn the shaft half a turn in its \
                                   fixture to find out what the fixture adds."
                .into(),
            Self::BetterStand => {
                "Only a stand that reaches less can certify this limit: improve this one and prove \
                                  it again (balance prove), or have the shaft verified elsewhere."
                    .into()
            }
            Self::NearerServiceSpeed => {
                "Further check runs will not decide: read nearer to the service speed.".into()
            }
        }
    }
}

impl Verdict {
    /// What to do next.
    ///
    /// # Method
    ///
    /// What withholds a verdict comes first; then the fewest check runs, then the fewest mountings that would
    /// decide. Where none would, but a residual of zero would meet the limit, a further correction decides;
    /// otherwise the limiting term says what would make it smaller.
    #[must_use]
    pub fn next_step(&self) -> NextStep {
        match self.decision {
            Decision::Meets => return NextStep::Nothing,
            Decision::Exceeds => return NextStep::CorrectFurther,
            Decision::Undecided => {}
        }
        match (self.withheld.first(), self.reason, self.more_check_runs, self.more_mountings) {
            (Some(withheld), ..) => withheld.next_step(),
            (None, Reason::NoiseUnknown, ..) => NextStep::MeasureNoise,
            (None, _, Some(more), _) => NextStep::CheckRuns(more),
            (None, _, None, Some(more)) => NextStep::Mountings(more),
            (None, Reason::TooNear, ..) => NextStep::CorrectFurther,
            _ => self.in_the_way.as_ref().map_or(NextStep::CorrectFurther, |way| way.shrinks.next_step()),
        }
    }

    /// Everything to do: one step for each reason that withholds a verdict, else the one [`Verdict::next_step`].
    #[must_use]
    pub fn next_steps(&self) -> Vec<NextStep> {
        let mut steps: Vec<NextStep> = self.withheld.iter().map(Withheld::next_step).collect();
        steps.dedup();
        if steps.is_empty() { vec![self.next_step()] } else { steps }
    }
}

impl Withheld {
    /// What would resolve it.
    #[must_use]
    pub fn next_step(&self) -> NextStep {
        match self {
            Self::NotSeen { untried, .. } => NextStep::Try(untried.clone()),
            Self::CheckDisagrees { .. } => NextStep::FindCause,
            Self::OtherMounting { .. } => NextStep::TrialsInThisMounting,
            Self::ScatterAboveStated { .. } => NextStep::MeasureNoise,
            Self::MassFarOff { .. } => NextStep::WeighAgain,
            Self::ReadingLikelyWrong { run, .. } => NextStep::RepeatRun { run: run.clone() },
            Self::PlanesActAlike { .. } | Self::Unexplained { .. } => NextStep::OtherPlanes,
            Self::BelowStand { .. } => NextStep::BetterStand,
        }
    }

    /// The problem in a sentence, for people.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        match self {
            Self::NotSeen { part, .. } => {
                let piece = part.as_ref().map_or("the shaft".into(), |part| format!("part {part}"));
                format!(
                    "The runs do not see all of {piece}: one tried place shows nothing about the other \
                     end, whatever the dials show."
                )
            }
            Self::CheckDisagrees { run } => {
                format!("Run {run} does not fit the runs before it, so nothing can be judged from them.")
            }
            Self::OtherMounting { plane, share } => format!(
                "The check run was not read in the mounting of the trial runs, and at {plane} it differs \
                 from their forecast by {:.0} % of what was put on. The cause is the re-clamping or a \
                 slip in a trial.",
                100.0 * share
            ),
            Self::ScatterAboveStated { sensor } => format!(
                "The readings at sensor {sensor} scatter more than the stated noise: either the noise or \
                 a run is wrong in the file."
            ),
            Self::MassFarOff { stated, usual } => {
                let times = stated.grams() / usual.grams();
                format!(
                    "The limit depends on the mass, and the mass differs {:.1} times from that of tube \
                    and ends.",
                    times.max(1.0 / times)
                )
            }
            Self::ReadingLikelyWrong { story, .. } => {
                format!("The runs fit much better if {story}, and too much would be left then.")
            }
            Self::PlanesActAlike { condition } => format!(
                "The planes act so alike on the dials (factor {condition:.0}) that small errors in the \
                 trial runs hide their difference."
            ),
            Self::BelowStand { place, allowed, reached, source } => format!(
                "This stand cannot certify so small a limit: {} may be left at {place}, and the least it \
                 can reach is {} ({source}).",
                shown::unbalance(units, allowed.gram_millimetres()),
                shown::unbalance(units, reached.gram_millimetres())
            ),
            Self::Unexplained { share } => format!(
                "Masses at these planes do not explain all of the readings: up to {:.0} % of the limit \
                may be hidden in the rest.",
                100.0 * share
            ),
        }
    }
}

impl ShrinksWith {
    fn next_step(self) -> NextStep {
        match self {
            Self::CheckRuns | Self::Mountings => NextStep::SteadierReadings,
            Self::LargerTrial => NextStep::LargerTrial,
            Self::FinerDial => NextStep::FinerDial,
            Self::OtherPlane => NextStep::OtherPlanes,
            Self::ProvedFixture => NextStep::ProveFixture,
            Self::ServiceSpeed => NextStep::NearerServiceSpeed,
            Self::Nothing => NextStep::CorrectFurther,
        }
    }
}
