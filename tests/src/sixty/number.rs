//! Complex numbers of 60 digits: the only place that names the library for long floating-point numbers.

use std::ops::{Add, Mul, Sub};

use balance_core::Complex64;
use dashu_float::{FBig, round::mode::HalfEven};

type Long = FBig<HalfEven, 2>;

/// 208 bits are 62 decimal digits.
const BITS: usize = 208;

fn long(value: f64) -> Long {
    Long::try_from(value).expect("a finite number").with_precision(BITS).value()
}

/// A complex number of 60 digits.
#[derive(Debug, Clone, PartialEq)]
pub struct Big {
    re: Long,
    im: Long,
}

impl Big {
    /// Zero.
    #[must_use]
    pub fn zero() -> Self {
        Self::real(0.0)
    }

    /// A number of the usual kind, exactly.
    #[must_use]
    pub fn real(value: f64) -> Self {
        Self { re: long(value), im: long(0.0) }
    }

    /// A complex number of the usual kind, exactly.
    #[must_use]
    pub fn from(value: Complex64) -> Self {
        Self { re: long(value.re), im: long(value.im) }
    }

    /// The vector of length one at an angle in degrees.
    #[must_use]
    pub fn at_degrees(degrees: f64) -> Self {
        let (im, re) = long(degrees).sin_cos_unit(360);
        Self { re: re.with_precision(BITS).value(), im: im.with_precision(BITS).value() }
    }

    /// Mirrored at the real line.
    #[must_use]
    pub fn conj(&self) -> Self {
        Self { re: self.re.clone(), im: -self.im.clone() }
    }

    /// One over this number.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let size = &self.re * &self.re + &self.im * &self.im;
        Self { re: &self.re / &size, im: -&self.im / &size }
    }

    /// The size squared.
    #[must_use]
    pub fn norm_sqr(&self) -> f64 {
        (&self.re * &self.re + &self.im * &self.im).to_f64().value()
    }

    /// Rounded to a number of the usual kind.
    #[must_use]
    pub fn rounded(&self) -> Complex64 {
        Complex64::new(self.re.to_f64().value(), self.im.to_f64().value())
    }

    /// The difference from a number of the usual kind.
    #[must_use]
    pub fn distance(&self, value: Complex64) -> f64 {
        (self - &Self::from(value)).norm_sqr().sqrt()
    }
}

impl Add for &Big {
    type Output = Big;
    fn add(self, other: Self) -> Big {
        Big { re: &self.re + &other.re, im: &self.im + &other.im }
    }
}

impl Sub for &Big {
    type Output = Big;
    fn sub(self, other: Self) -> Big {
        Big { re: &self.re - &other.re, im: &self.im - &other.im }
    }
}

impl Mul for &Big {
    type Output = Big;
    fn mul(self, other: Self) -> Big {
        Big {
            re: &self.re * &other.re - &self.im * &other.im,
            im: &self.re * &other.im + &self.im * &other.re,
        }
    }
}

/// The solution of a square Hermitian positive definite system for several right-hand sides, by elimination.
#[must_use]
pub fn solve(mut matrix: Vec<Vec<Big>>, mut right: Vec<Vec<Big>>) -> Vec<Vec<Big>> {
    let size = matrix.len();
    for pivot in 0..size {
        let inverse = matrix[pivot][pivot].inverse();
        let (pivot_row, pivot_side) = (matrix[pivot].clone(), right[pivot].clone());
        for row in pivot + 1..size {
            let factor = &matrix[row][pivot] * &inverse;
            let take_away = |own: &mut Big, above: &Big| *own = &*own - &(&factor * above);
            matrix[row][pivot..]
                .iter_mut()
                .zip(&pivot_row[pivot..])
                .for_each(|(own, above)| take_away(own, above));
            right[row].iter_mut().zip(&pivot_side).for_each(|(own, above)| take_away(own, above));
        }
    }
    for row in (0..size).rev() {
        let inverse = matrix[row][row].inverse();
        for side in 0..right[row].len() {
            let mut sum = right[row][side].clone();
            for column in row + 1..size {
                sum = &sum - &(&matrix[row][column] * &right[column][side]);
            }
            right[row][side] = &sum * &inverse;
        }
    }
    right
}

/// Least squares by normal equations: columns, one weight for each row, right-hand side.
#[must_use]
pub fn normal_solution(columns: &[Vec<Big>], weights: &[Big], right: &[Big]) -> Vec<Big> {
    let turned: Vec<Vec<Big>> = columns
        .iter()
        .map(|column| column.iter().zip(weights).map(|(entry, weight)| &entry.conj() * weight).collect())
        .collect();
    let mut matrix = vec![vec![Big::zero(); columns.len()]; columns.len()];
    for one in 0..columns.len() {
        for other in one..columns.len() {
            matrix[one][other] = product(&turned[one], &columns[other]);
            matrix[other][one] = matrix[one][other].conj();
        }
    }
    let sides = turned.iter().map(|column| vec![product(column, right)]).collect();
    solve(matrix, sides).into_iter().flatten().collect()
}

/// Σ a·b.
fn product(one: &[Big], other: &[Big]) -> Big {
    one.iter().zip(other).fold(Big::zero(), |sum, (a, b)| &sum + &(a * b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixty_digits_are_kept() {
        // sin 1° = 0.0174524064372835128194189785163161924722527203071396426836124276..., table value.
        let one = Big::at_degrees(1.0);
        let head = Complex64::new(0.0, 0.017_452_406_437_283_51);
        assert!((one.rounded().im - head.im).abs() < 1e-17);
        let unit = &(&one * &one.conj()) - &Big::real(1.0);
        assert!(unit.norm_sqr().sqrt() < 1e-60, "{}", unit.norm_sqr().sqrt());
        // 360 steps of one degree come round to one.
        let mut round = Big::real(1.0);
        for _ in 0..360 {
            round = &round * &one;
        }
        assert!(round.distance(Complex64::new(1.0, 0.0)) < 1e-59);
    }

    #[test]
    fn a_system_put_back_in_is_solved() {
        let entry = |row: usize, column: usize| {
            Big::from(if row == column {
                Complex64::new(3.0, 0.0)
            } else if row < column {
                Complex64::new(0.3, 0.7)
            } else {
                Complex64::new(0.3, -0.7)
            })
        };
        let matrix: Vec<Vec<Big>> =
            (0..3).map(|row| (0..3).map(|column| entry(row, column)).collect()).collect();
        let right: Vec<Vec<Big>> = (0..3).map(|row| vec![Big::real(1.0 + row as f64)]).collect();
        let found = solve(matrix.clone(), right.clone());
        for row in 0..3 {
            let sum =
                (0..3).fold(Big::zero(), |sum, column| &sum + &(&matrix[row][column] * &found[column][0]));
            assert!((&sum - &right[row][0]).norm_sqr().sqrt() < 1e-59);
        }
    }
}
