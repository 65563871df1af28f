//! Matrices: the only place that names the matrix library.

mod complex;
mod singular;

pub use complex::{gain, inverse_gain, least_squares_minimum_norm, refined, solve_square, whitening};
pub use singular::{SingularValues, singular_values};

/// A complex matrix.
pub type CMatrix = nalgebra::DMatrix<num_complex::Complex64>;
/// A complex column vector.
pub type CVector = nalgebra::DVector<num_complex::Complex64>;
/// A real matrix.
pub type RMatrix = nalgebra::DMatrix<f64>;
