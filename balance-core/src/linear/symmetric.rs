//! The generalised eigenvalue problem of two symmetric matrices.

use nalgebra::{Cholesky, SymmetricEigen};

use super::RMatrix;

/// Eigenvalues with their vectors.
#[derive(Debug, Clone, PartialEq)]
pub struct Eigenpairs {
    /// Largest first.
    pub values: Vec<f64>,
    /// One column for each value, in the same order, scaled so that xᵀ·B·x = 1.
    pub vectors: RMatrix,
}

/// Solves A·x = λ·B·x for symmetric A and symmetric positive definite B: B = L·Lᵀ (Cholesky), then the ordinary
/// symmetric problem of L⁻¹·A·L⁻ᵀ.
///
/// The largest eigenvalues come out with full relative accuracy: put the matrix whose end of the spectrum matters
/// first (for the lowest natural frequencies A is the mass, B the stiffness, λ = 1/ω²).
///
/// `None` if B is not positive definite, the sizes differ, or an entry is not finite.
///
/// ```
/// # #[cfg(feature = "checks")]
/// # fn shown() -> Result<(), Box<dyn std::error::Error>> {
/// use balance_core::linear::{RMatrix, generalised_eigen};
/// let a = RMatrix::from_row_slice(2, 2, &[2.0, 0.0, 0.0, 12.0]);
/// let b = RMatrix::from_row_slice(2, 2, &[1.0, 0.0, 0.0, 4.0]);
/// let pairs = generalised_eigen(&a, &b).expect("b is positive definite");
/// assert!((pairs.values[0] - 3.0).abs() < 1e-14 && (pairs.values[1] - 2.0).abs() < 1e-14);
/// assert!((pairs.vectors[(1, 0)].abs() - 0.5).abs() < 1e-14);
/// # Ok(())
/// # }
/// # #[cfg(feature = "checks")]
/// # shown().unwrap();
/// ```
#[must_use]
pub fn generalised_eigen(a: &RMatrix, b: &RMatrix) -> Option<Eigenpairs> {
    let size = b.nrows();
    let sizes_agree = a.shape() == (size, size) && b.ncols() == size;
    let finite = a.iter().chain(b.iter()).all(|entry| entry.is_finite());
    if size == 0 || !sizes_agree || !finite {
        return None;
    }
    let lower = Cholesky::new(b.clone())?.l();
    let half = lower.solve_lower_triangular(a)?;
    let reduced = lower.solve_lower_triangular(&half.transpose())?;
    let symmetric = (&reduced + reduced.transpose()) * 0.5;
    let eigen = SymmetricEigen::try_new(symmetric, f64::EPSILON, 10_000)?;
    let mut order: Vec<usize> = (0..size).collect();
    order.sort_by(|&i, &j| eigen.eigenvalues[j].total_cmp(&eigen.eigenvalues[i]));
    let vectors = lower.tr_solve_lower_triangular(&eigen.eigenvectors.select_columns(&order))?;
    Some(Eigenpairs { values: order.iter().map(|&i| eigen.eigenvalues[i]).collect(), vectors })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_that_is_not_positive_definite_is_refused() {
        let a = RMatrix::identity(2, 2);
        let b = RMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 1.0]);
        assert!(generalised_eigen(&a, &b).is_none());
        assert!(generalised_eigen(&a, &RMatrix::from_element(2, 2, f64::NAN)).is_none());
        assert!(generalised_eigen(&a, &RMatrix::identity(3, 3)).is_none());
    }

    #[test]
    fn a_chain_of_springs_has_its_known_frequencies() {
        // Three equal masses between walls on equal springs: ω² = 2 − 2·cos(jπ/4) (any vibration textbook).
        let stiffness = RMatrix::from_row_slice(3, 3, &[2.0, -1.0, 0.0, -1.0, 2.0, -1.0, 0.0, -1.0, 2.0]);
        let pairs = generalised_eigen(&RMatrix::identity(3, 3), &stiffness).unwrap();
        for (j, value) in (1..=3).zip(&pairs.values) {
            let wanted = 2.0 - 2.0 * (f64::from(j) * std::f64::consts::FRAC_PI_4).cos();
            assert!((1.0 / value - wanted).abs() < 1e-14, "{j}: {value}");
        }
    }
}
