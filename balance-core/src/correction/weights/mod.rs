//! From ideal corrections to weights that can be welded: which, where, how well, and the account of them.

mod account;
mod cautions;
mod choose;
mod effect;
mod fewest;
mod forecasting;
mod given;
mod plan;
mod problem;
mod room;
mod row;
mod shortfall;
mod take_off;
mod tape;
mod task;

pub use account::{AccountEntry, AccountFault, EntryKind, WeightAccount, When};
pub use effect::{Piece, RowGeometry, effective_unbalance, pull_newtons};
pub use forecasting::{Forecasting, LimitedPlace, Placing};
pub use plan::{ComesOff, PlacedWeight, PlanePlan, WeightPlan, WeldingAdvice, plan_weights, plan_with};
pub use problem::Source;
pub use room::{Room, WidthFrom};
pub use shortfall::{Cause, Help, Shortfall};
pub use take_off::MOST_TAKEN_OFF;
pub use tape::{TapeMarks, TapeReading};
pub use task::{
    GivenWeight, Grid, MayWeld, PlaneTask, TakeOff, WeightCriterion, WeightFault, WeightSettings, WeightTask,
    Work,
};
