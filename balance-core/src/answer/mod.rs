//! The whole answer about one shaft: [`solve`] takes a [`Case`] and gives an [`Answer`].
//!
//! Limits, the check of the shaft before it spins, influence, correction, weights, verdict and cautions are
//! worked out once, here. What may be done now is an [`Advice`]: code that shows weights, pictures of
//! weights, a check row or a verdict has to match on it.

mod advice;
mod ahead;
mod before_spin;
mod bow;
mod case;
#[cfg(feature = "serde")]
mod case_json;
mod check_row;
mod compare;
mod describe;
mod doubts;
#[cfg(feature = "serde")]
pub mod json;
mod judged;
mod limits;
mod limits_answer;
mod next_run;
mod no_verdict;
mod quarter_turn;
mod refusal;
mod shaft_work;
mod solve;
mod taken_off;
mod trial;
mod unsolved;
mod weights;
mod without_phase;

pub use advice::{Advice, HeldBack, Hold, Ideal, NothingBetter, OneMoreRun};
pub use ahead::{Ahead, LeftAfter, SureReading};
pub use before_spin::{BeforeSpin, CheckMemory, highest_speed};
pub use case::{Case, Insist, Sisters};
pub use compare::{Compared, Moved, Stands, compared, moved};
pub use describe::{assumed_bearings, describe};
pub use judged::{GroupVerdict, Judged, Stated};
pub use limits::{Limits, limits};
pub use limits_answer::{LimitsAnswer, LimitsQuestion, trials_of};
pub use next_run::{NextRun, ProposedTrial};
pub use no_verdict::NoVerdict;
pub use quarter_turn::{QuarterTurn, quarter_turn};
pub use refusal::Refusal;
pub use shaft_work::{RelengthFinding, ShaftAnswer, ShaftWork, ToothOut, YokeFinding, critical_curve};
pub use solve::{Answer, IfUntried, Solver, solve};
pub use unsolved::{Missing, Unsolved};
