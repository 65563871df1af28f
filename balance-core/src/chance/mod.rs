//! The few probability laws a verdict needs.

mod bessel;
mod quantile;
mod rice;

pub use quantile::{chi_squared_quantile, circle_factor, f_quantile};
pub use rice::Rice;
