//! Every fact of an answer, computed once: nothing here is formatted, nothing after it computes.

mod ahead;
mod check_row;
mod compare;
mod limits;
mod question;
mod solve;
mod trial;
mod verdict;
mod weights;

pub use ahead::{LeftAfter, SureReading, sure_readings};
pub use check_row::check_row;
pub use compare::{Compared, Moved, Stands, compared, moved, what_went_wrong};
pub use limits::{Limits, LimitsAnswer, limits};
pub use question::Question;
pub use solve::{Loose, Outcome, solve, with_given};
pub use trial::trials;
pub use verdict::{GroupVerdict, Judged, judge};
pub use weights::{plan, plan_given};
