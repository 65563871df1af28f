//! Balance quality grades, permissible and measured residual, the three-valued verdict.

mod residual;

pub use residual::{MeasuredResidual, ResidualFault, measured_residual};
