//! Matrices: the only place that names the matrix library.

mod clustered;
mod complex;
mod plain;
mod real_fit;
mod singular;
mod spectrum;
mod symmetric;

pub use clustered::{Block, Normal, RVector};
pub use complex::{gain, inverse_gain, refined, solve_square, whitening};
pub use plain::{from_rows, rows};
pub use real_fit::real_fit;
pub use singular::{SingularValues, singular_values};
pub use spectrum::Spectra;
pub use symmetric::generalised_eigen;

/// A complex matrix.
pub type CMatrix = nalgebra::DMatrix<num_complex::Complex64>;
/// A complex column vector.
pub type CVector = nalgebra::DVector<num_complex::Complex64>;
/// A real matrix.
pub type RMatrix = nalgebra::DMatrix<f64>;
