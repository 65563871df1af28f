//! Least squares whose errors hang together inside blocks and not between them.

use nalgebra::SymmetricEigen;

use super::RMatrix;

/// A real column vector.
pub type RVector = nalgebra::DVector<f64>;

/// What one block of rows adds: its columns' products, and their products with what the fit leaves over.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// XᵀX of the block's rows.
    pub gram: RMatrix,
    /// Xᵀr of the block's rows, r being what is left over.
    pub score: RVector,
}

/// A factored matrix XᵀX.
#[derive(Debug, Clone, PartialEq)]
pub struct Normal {
    gram: RMatrix,
    inverse: RMatrix,
    /// inverse = root·rootᵀ.
    root: RMatrix,
}

/// Covariance of some unknowns.
#[derive(Debug, Clone, PartialEq)]
pub struct Covariance {
    /// In the order asked for.
    pub matrix: RMatrix,
    /// Degrees of freedom of each variance.
    pub degrees_of_freedom: Vec<f64>,
}

impl Normal {
    /// `None` if the columns do not separate the unknowns or an entry is not finite.
    #[must_use]
    pub fn new(gram: RMatrix) -> Option<Self> {
        let size = gram.nrows();
        let lengths: Vec<f64> = gram.diagonal().iter().map(|square| square.sqrt()).collect();
        let sound = lengths.iter().all(|length| length.is_finite() && *length > 0.0);
        if size == 0 || !sound || gram.iter().any(|entry| !entry.is_finite()) {
            return None;
        }
        let scaled = RMatrix::from_fn(size, size, |i, j| gram[(i, j)] / lengths[i] / lengths[j]);
        let factor = scaled.cholesky()?;
        if factor.l_dirty().diagonal().min() < INDEPENDENT {
            return None;
        }
        let mut root = factor.l().transpose().try_inverse()?;
        for (mut row, length) in root.row_iter_mut().zip(&lengths) {
            row /= *length;
        }
        let inverse = &root * root.transpose();
        Some(Self { gram, inverse, root })
    }

    /// The unknowns for a right-hand side Xᵀy, refined once.
    #[must_use]
    pub fn solve(&self, right: &RVector) -> RVector {
        let first = &self.inverse * right;
        let left = right - &self.gram * &first;
        first + &self.inverse * left
    }

    /// (XᵀX)⁻¹.
    #[must_use]
    pub fn inverse(&self) -> &RMatrix {
        &self.inverse
    }

    /// Covariance of the unknowns `of`, from how the blocks' scores scatter.
    ///
    /// # Method
    ///
    /// Σ_b A·(I − G_b·A)^(−1/2)·g_b·g_bᵀ·(…)ᵀ·A with A = (XᵀX)⁻¹: unbiased if errors are independent and alike, right
    /// whatever they are inside a block. Degrees of freedom by Satterthwaite's rule under independent errors.
    ///
    /// # Source
    ///
    /// R. M. Bell and D. F. McCaffrey, Survey Methodology 28 (2002) 169 (from memory).
    #[must_use]
    pub fn covariance(&self, blocks: &[Block], of: &[usize]) -> Covariance {
        let size = self.gram.nrows();
        // One column for each block and unknown: (I − G_b·A)^(−T/2)·A·unit vector.
        let mut levers: Vec<RMatrix> = Vec::with_capacity(blocks.len());
        for block in blocks {
            let inner = self.root.transpose() * &block.gram * &self.root;
            let own = SymmetricEigen::new((&inner + inner.transpose()) * 0.5);
            let stretch = own.eigenvalues.map(|value| 1.0 / (1.0 - value.clamp(0.0, LARGEST_SHARE)).sqrt());
            let half = &own.eigenvectors
                * RMatrix::from_diagonal(&stretch)
                * own.eigenvectors.transpose()
                * self.root.transpose();
            let all = &self.root * half;
            levers.push(RMatrix::from_fn(size, of.len(), |row, column| all[(row, of[column])]));
        }
        let shares: Vec<RVector> =
            blocks.iter().zip(&levers).map(|(block, lever)| lever.transpose() * &block.score).collect();
        let matrix =
            RMatrix::from_fn(of.len(), of.len(), |i, j| shares.iter().map(|share| share[i] * share[j]).sum());
        let degrees = |unknown: usize| {
            let lever: Vec<RVector> = levers.iter().map(|lever| lever.column(unknown).into_owned()).collect();
            let seen: Vec<RVector> =
                blocks.iter().zip(&lever).map(|(block, lever)| &block.gram * lever).collect();
            let through: Vec<RVector> = seen.iter().map(|seen| &self.inverse * seen).collect();
            let (mut trace, mut squares) = (0.0, 0.0);
            for one in 0..blocks.len() {
                for (other, through) in through.iter().enumerate() {
                    let own = if one == other { lever[one].dot(&seen[one]) } else { 0.0 };
                    let entry = own - seen[one].dot(through);
                    trace += if one == other { entry } else { 0.0 };
                    squares += entry * entry;
                }
            }
            if squares > 0.0 { trace * trace / squares } else { 1.0 }
        };
        Covariance { matrix, degrees_of_freedom: (0..of.len()).map(degrees).collect() }
    }
}

/// A column of length one must stick out of the space of those before it by at least this much.
const INDEPENDENT: f64 = 1e-3;
/// A block that alone decides an unknown says nothing about its scatter.
const LARGEST_SHARE: f64 = 0.95;

#[cfg(test)]
mod tests {
    use super::*;

    /// A mean over blocks of one row each: the variance of the mean is that of any textbook, with n − 1 degrees.
    #[test]
    fn the_mean_of_single_rows_has_its_textbook_variance() {
        let values = [3.0, 5.0, 4.0, 9.0, 1.0];
        let normal = Normal::new(RMatrix::from_element(1, 1, 5.0)).unwrap();
        let mean = normal.solve(&RVector::from_element(1, values.iter().sum()));
        assert!((mean[0] - 4.4).abs() < 1e-12);
        let blocks: Vec<Block> = values
            .iter()
            .map(|value| Block {
                gram: RMatrix::from_element(1, 1, 1.0),
                score: RVector::from_element(1, value - mean[0]),
            })
            .collect();
        let found = normal.covariance(&blocks, &[0]);
        // Σ(x − mean)² = 35.2; over n·(n − 1).
        assert!((found.matrix[(0, 0)] - 35.2 / 20.0).abs() < 1e-12, "{found:?}");
        assert!((found.degrees_of_freedom[0] - 4.0).abs() < 1e-9);
    }

    #[test]
    fn columns_that_are_alike_are_refused() {
        assert!(Normal::new(RMatrix::from_element(2, 2, 1.0)).is_none());
        assert!(Normal::new(RMatrix::from_element(1, 1, f64::NAN)).is_none());
    }
}
