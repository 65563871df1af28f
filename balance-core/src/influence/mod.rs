//! The one estimator: runs (and a prior) in, influence coefficients with their uncertainty out.
//!
//! Row r of a runs file says what was on the shaft (`u`, one unbalance per plane) and what the stand read
//! (`v`, one vector per sensor):
//!
//! ```text
//! v = b + d·k + A·u + e
//! ```
//!
//! with `b` the reading of the mounting with nothing added, `d·k` the drift where requested, and `A` the
//! influence coefficients. Every run plan (three runs, trials left on, several masses in one run, repeats,
//! trim runs, both ways of a trial) is the same linear regression, solved by QR for each sensor and speed.
//!
//! Source: X. Yu, General influence coefficient algorithm in balancing of rotating machinery, Int. J.
//! Rotating Machinery 10 (2004) 85.

mod design;
mod estimate;
mod fault;
mod fit;
mod gate;
mod joint;
mod prior;
mod shaft_answers;
mod shaft_type;
mod sister_shafts;
mod state;
mod system;
mod walk;

pub use estimate::{
    Drift, GroupInfluence, Influence, JudgedBlock, Options, estimate, estimate_as_far_as_told,
};
pub use fault::InfluenceFault;
pub use fit::{SensorFit, Variance};
pub use gate::Agreement;
pub use joint::{Joint, SensorJoint, joint, joint_within_noise};
pub use prior::{Prior, SensorPrior};
pub use shaft_answers::{PriorAnswers, SensorAnswers, ShaftAnswers, SpeedAnswers};
pub use shaft_type::{
    MonthlyResponse, OwnResponse, Sister, TypeFault, TypeReport, TypeSensor, TypeSpeed, TypeWalk, month_of,
};
pub use sister_shafts::{FEWEST_SHAFTS, OwnAnswers, Pool, pool};
pub use state::{SensorState, State, Which};
pub use system::{Line, Lines, System};
pub use walk::Walk;
