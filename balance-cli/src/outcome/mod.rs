//! Every fact of an answer, computed once: nothing here is formatted, nothing after it computes.

mod ahead;
mod before_spin;
mod bow;
mod check_row;
mod compare;
mod describe;
mod limits;
mod question;
mod shaft_work;
mod solve;
mod trial;
mod verdict;
mod weights;

pub use ahead::{LeftAfter, SureReading, sure_readings};
pub use before_spin::{BeforeSpin, CheckMemory, highest_speed, least_permissible};
pub use check_row::check_row;
pub use compare::{Compared, Moved, Stands, compared, moved, what_went_wrong};
pub use describe::{assumed_bearings, describe};
pub use limits::{Limits, LimitsAnswer, limits};
pub use question::Question;
pub use shaft_work::{
    RelengthFinding, ShaftAnswer, ShaftWork, ToothOut, YokeFinding, critical_curve, shaft_work,
};
pub use solve::{Loose, Outcome, solve, solve_remembering, with_given};
pub use trial::trials;
pub use verdict::{GroupVerdict, Judged, Stated, judge};
pub use weights::{plan, plan_given};
