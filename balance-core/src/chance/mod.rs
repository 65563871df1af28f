//! The few probability laws a verdict needs.

mod bessel;
mod ellipse;
mod quantile;
mod rice;

pub use ellipse::ellipse_95;
pub use quantile::{CIRCLE_95, chi_squared_quantile, circle_factor, f_quantile};
pub use rice::Rice;
