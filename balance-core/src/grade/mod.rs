//! Balance quality grades, permissible and measured residual, the three-valued verdict.

mod allocation;
mod budget;
mod crosstalk;
mod evidence;
#[cfg(test)]
mod laws;
mod limits;
mod mounting;
mod next_step;
mod parts;
mod quality;
mod residual;
mod seen;
mod supports;
mod transfer;
mod verdict;

pub use allocation::shares;
pub use budget::{
    Budget, BudgetFault, Combination, MoreRuns, RandomTerm, Share, ShrinksWith, SystematicTerm, TermKind,
};
pub use crosstalk::{CROSSTALK, crosstalk_term};
pub use evidence::{Evidence, Withheld, budget_of};
pub(crate) use limits::sure_reading;
pub use limits::{CorrectionPlaneLimit, centrifugal_newtons, grams_at, limits_at_correction_planes};
pub use mounting::{MountingScatter, mounting_scatter};
pub use next_step::NextStep;
pub use parts::{Criterion, LimitFault, PlaneLimit, Rated, planes_of_part};
pub use quality::{GRADES, Grade, GradeFault, GradeRow};
pub use residual::{BelowScale, MeasuredResidual, ResidualFault, Unexplained, measured_residual};
pub use seen::{BalancedIn, Seen, SeenPiece, SeenQuestion, Untried};
pub use supports::default_tolerance_planes;
pub use transfer::{Transfer, TransferFault};
pub use verdict::{Decision, InTheWay, JudgedPlane, PlaneVerdict, Question, Reason, Verdict, worst};
