//! Matrices as plain figures, row by row: how they leave this room.

use num_complex::Complex64;

use super::CMatrix;

/// A matrix row by row.
#[must_use]
pub fn rows(matrix: &CMatrix) -> Vec<Vec<Complex64>> {
    matrix.row_iter().map(|row| row.iter().copied().collect()).collect()
}

/// A square matrix from its rows; `None` if it is not square.
#[must_use]
pub fn from_rows(rows: &[Vec<Complex64>]) -> Option<CMatrix> {
    let size = rows.len();
    let square = rows.iter().all(|row| row.len() == size);
    square.then(|| CMatrix::from_fn(size, size, |row, column| rows[row][column]))
}
