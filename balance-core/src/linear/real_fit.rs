//! Least squares over a few real unknowns.

use super::RMatrix;

/// The x with the least |design·x − targets|² for each column of targets, by normal equations of scaled
/// columns.
///
/// For a handful of unknowns with well separated columns (a circle round a tube, a bow along it). `None` if
/// the columns do not separate the unknowns, sizes differ, or an entry is not finite.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
/// use balance_core::linear::{RMatrix, real_fit};
/// let design = RMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 1.0, 1.0, 2.0]);
/// let line = real_fit(&design, &RMatrix::from_row_slice(3, 1, &[1.0, 3.0, 5.0])).expect("two points would do");
/// assert!((line[(0, 0)] - 1.0).abs() < 1e-12 && (line[(1, 0)] - 2.0).abs() < 1e-12);
/// assert!(real_fit(&RMatrix::from_element(3, 2, 1.0), &RMatrix::zeros(3, 1)).is_none());
/// # Ok(())
/// # }
/// # #[cfg(feature = "checks")]
/// # shown().unwrap();
/// ```
#[must_use]
pub fn real_fit(design: &RMatrix, targets: &RMatrix) -> Option<RMatrix> {
    let finite = design.iter().chain(targets.iter()).all(|entry| entry.is_finite());
    if !finite || design.nrows() != targets.nrows() || design.ncols() == 0 {
        return None;
    }
    let lengths: Vec<f64> = design.column_iter().map(|column| column.norm()).collect();
    if lengths.contains(&0.0) {
        return None;
    }
    let scaled = RMatrix::from_fn(design.nrows(), design.ncols(), |i, j| design[(i, j)] / lengths[j]);
    let factor = (scaled.transpose() * &scaled).cholesky()?;
    let weakest = factor.l_dirty().diagonal().min();
    if weakest < INDEPENDENT {
        return None;
    }
    let mut solution = factor.solve(&(scaled.transpose() * targets));
    for (mut row, length) in solution.row_iter_mut().zip(&lengths) {
        row /= *length;
    }
    Some(solution)
}

/// A column of length one must stick out of the space of those before it by at least this much.
const INDEPENDENT: f64 = 1e-4;
