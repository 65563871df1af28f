//! Balance quality grades, permissible and measured residual, the three-valued verdict.

mod allocation;
mod budget;
mod crosstalk;
#[cfg(test)]
mod laws;
mod limits;
mod parts;
mod quality;
mod residual;
mod supports;
mod transfer;
mod verdict;

pub use allocation::shares;
pub use budget::{
    Budget, BudgetFault, Combination, MoreRuns, RandomTerm, Share, ShrinksWith, SystematicTerm, TermKind,
};
pub use crosstalk::crosstalk_term;
pub use limits::{
    CorrectionPlaneLimit, centrifugal_newtons, grams_at, limits_at_correction_planes, sure_reading,
};
pub use parts::{Criterion, LimitFault, PlaneLimit, Rated, planes_of_part};
pub use quality::{GRADES, Grade, GradeFault, GradeRow};
pub use residual::{MeasuredResidual, ResidualFault, measured_residual};
pub use supports::default_tolerance_planes;
pub use transfer::{Transfer, TransferFault};
pub use verdict::{Decision, InTheWay, JudgedPlane, PlaneVerdict, Question, Reason, Verdict, worst};
