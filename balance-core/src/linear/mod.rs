//! Matrices: the only place that names the matrix library.

mod real_fit;
mod symmetric;

pub use real_fit::real_fit;
pub use symmetric::{Eigenpairs, generalised_eigen};

/// A real matrix.
pub type RMatrix = nalgebra::DMatrix<f64>;
