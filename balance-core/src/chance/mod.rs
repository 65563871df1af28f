//! The few probability laws a verdict needs.

mod quantile;

pub use quantile::{chi_squared_quantile, circle_factor, f_quantile};
