//! The few probability laws a verdict needs.

mod bessel;
mod quantile;
mod rice;

pub use quantile::{CIRCLE_95, chi_squared_quantile, circle_factor, f_quantile};
pub use rice::Rice;
