//! Matrices: the only place that names the matrix library.

mod symmetric;

pub use symmetric::{Eigenpairs, generalised_eigen};

/// A real matrix.
pub type RMatrix = nalgebra::DMatrix<f64>;
