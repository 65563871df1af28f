//! Complex least squares by QR, never by normal equations.

use num_complex::Complex64;

use super::{CMatrix, CVector, singular_values};

/// The matrix that turns right-hand sides into least-squares solutions: R⁻¹Qᴴ of the tall design matrix.
///
/// # Method
///
/// Householder QR of the matrix with its columns scaled to length one, back-substitution, scaling undone. `None` if
/// the matrix is wide, holds a number that is not finite, or a column depends on the others to within `1e-12`.
#[must_use]
pub fn gain(design: &CMatrix) -> Option<CMatrix> {
    let (rows, columns) = design.shape();
    if rows < columns || columns == 0 || design.iter().any(|entry| !entry.is_finite()) {
        return None;
    }
    let lengths: Vec<f64> = design.column_iter().map(|column| column.norm()).collect();
    if lengths.iter().any(|length| *length == 0.0 || !length.is_finite()) {
        return None;
    }
    let scaled = CMatrix::from_fn(rows, columns, |row, column| design[(row, column)] / lengths[column]);
    let (q, r) = scaled.qr().unpack();
    if (0..columns).any(|at| r[(at, at)].norm() < 1e-12) {
        return None;
    }
    let mut inverse = q.adjoint();
    if !r.solve_upper_triangular_mut(&mut inverse) {
        return None;
    }
    for (row, length) in lengths.iter().enumerate() {
        for column in 0..rows {
            inverse[(row, column)] /= *length;
        }
    }
    inverse.iter().all(|entry| entry.is_finite()).then_some(inverse)
}

/// The solution `gain · right` of `matrix · x ≈ right`, with one step of refinement.
///
/// # Method
///
/// The remainder of the right-hand side is fitted again by corrected semi-normal equations: x + G·Gᴴ·Aᴴ·(b −
/// A·x) with the gain G. A product with an inverse alone leaves errors that grow with the condition of the
/// matrix (seen 2026-11: readings expected after a correction were off by thousands of rounding errors for
/// planes that act alike).
///
/// # Source
///
/// Å. Björck, Stability analysis of the method of seminormal equations, Linear Algebra Appl. 88/89 (1987) 31
/// \[from memory\].
#[must_use]
pub fn refined(gain: &CMatrix, matrix: &CMatrix, right: &CVector) -> CVector {
    let first = gain * right;
    let slope = matrix.adjoint() * (right - matrix * &first);
    first + gain * (gain.adjoint() * slope)
}

/// Like [`gain`], but the minimum-norm pseudo-inverse where the matrix is wide or has dependent columns.
#[must_use]
pub fn inverse_gain(matrix: &CMatrix) -> CMatrix {
    gain(matrix).unwrap_or_else(|| singular_values(matrix).pseudo_inverse(1e-12))
}

/// Solves a square system; `None` if it is singular.
#[must_use]
pub fn solve_square(matrix: &CMatrix, right: &CVector) -> Option<CVector> {
    let solution: Vec<Complex64> = (gain(matrix)? * right).iter().copied().collect();
    Some(CVector::from_vec(solution))
}

/// The matrix R with RᴴR the inverse of a Hermitian positive definite matrix: what makes its noise white.
/// `None` if the matrix is not positive definite.
#[must_use]
pub fn whitening(covariance: &CMatrix) -> Option<CMatrix> {
    let lower = covariance.clone().cholesky()?.l();
    let mut inverse = CMatrix::identity(covariance.nrows(), covariance.ncols());
    lower.solve_lower_triangular_mut(&mut inverse).then_some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(rows: usize, columns: usize, entries: &[(f64, f64)]) -> CMatrix {
        CMatrix::from_row_iterator(rows, columns, entries.iter().map(|&(re, im)| Complex64::new(re, im)))
    }

    // numpy.linalg.lstsq (NumPy 2.4.6): A = [[1+1j, 2], [3-2j, 1j], [0.5, -1+4j]], b = [1, 2j, 3+1j].
    #[test]
    fn least_squares_agrees_with_numpy() {
        let design =
            matrix(3, 2, &[(1.0, 1.0), (2.0, 0.0), (3.0, -2.0), (0.0, 1.0), (0.5, 0.0), (-1.0, 4.0)]);
        let right = CVector::from_vec(vec![
            Complex64::new(1.0, 0.0),
            Complex64::new(0.0, 2.0),
            Complex64::new(3.0, 1.0),
        ]);
        let solution = gain(&design).unwrap() * right;
        for (got, wanted) in solution.iter().zip(NUMPY_SOLUTION) {
            assert!((got - wanted).norm() < 1e-14, "{got} {wanted}");
        }
    }
    const NUMPY_SOLUTION: [Complex64; 2] = [
        Complex64::new(-0.21302681992337172, 0.30498084291187755),
        Complex64::new(0.18084291187739482, -0.6130268199233716),
    ];

    #[test]
    fn dependent_columns_and_nonsense_have_no_gain() {
        let dependent =
            matrix(3, 2, &[(1.0, 0.0), (2.0, 0.0), (2.0, 0.0), (4.0, 0.0), (0.0, 1.0), (0.0, 2.0)]);
        assert!(gain(&dependent).is_none());
        assert!(gain(&matrix(1, 1, &[(f64::NAN, 0.0)])).is_none());
        assert!(gain(&matrix(1, 2, &[(1.0, 0.0), (1.0, 0.0)])).is_none());
    }

    #[test]
    fn a_wide_system_is_solved_with_the_smallest_masses() {
        let wide = matrix(1, 2, &[(1.0, 0.0), (1.0, 0.0)]);
        let solution =
            refined(&inverse_gain(&wide), &wide, &CVector::from_vec(vec![Complex64::new(2.0, 0.0)]));
        assert!((solution[0] - 1.0).norm() < 1e-14 && (solution[1] - 1.0).norm() < 1e-14);
    }
}
