//! Sister shafts: shafts of one type respond alike, so the measured ones predict how the next will respond.
//!
//! Each shaft's coefficients `a` scatter about the type's mean `μ` with covariance `Σ`, and its runs show
//! them only up to reading noise: `a ~ N(μ, Σ)`, estimate `~ N(a, W)`. The pool finds `μ` and `Σ` with `W`
//! taken out, by maximum likelihood (the EM iteration for a random effect: Laird and Ware, Biometrics 38
//! (1982) 963, from memory), so noisy runs are not taken for scatter between shafts. A shaft whose own runs
//! show its response in only one direction (a known type: initial and check run) counts for that direction.

use num_complex::Complex64;

use super::prior::SensorPrior;
use crate::chance::circle_factor;
use crate::linear::{CMatrix, CVector, from_rows, rows, singular_values};

/// The fewest shafts that make a type.
pub const FEWEST_SHAFTS: usize = 3;
/// No two shafts are assumed to respond more alike than this share of the type's mean [own choice, no
/// source].
const LEAST_SCATTER: f64 = 0.001;
/// Information below this share of the largest is rounding.
const TOLD: f64 = 1e-6;
const MOST_ROUNDS: usize = 200;
/// The iteration stops when the scatter changes by less than this share.
const SETTLED: f64 = 1e-3;

/// The information from one shaft's own runs about its response at one sensor and speed.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnAnswers {
    /// Inverse of the complex covariance; of lower rank where the runs do not determine every direction.
    information: CMatrix,
    /// Information times coefficients.
    weighted: CVector,
}

impl OwnAnswers {
    /// From coefficients and their complex covariance, estimated from the shaft's own runs alone. `None`:
    /// their sizes do not match, they are not finite, or the covariance cannot be inverted.
    #[must_use]
    pub fn new(coefficients: &[Complex64], covariance: &[Vec<Complex64>]) -> Option<Self> {
        let covariance = from_rows(covariance).filter(|own| own.nrows() == coefficients.len())?;
        let information = inverse(&covariance)?;
        let weighted = &information * CVector::from_column_slice(coefficients);
        weighted.iter().all(|value| value.is_finite()).then_some(Self { information, weighted })
    }

    /// From coefficients that were estimated with a prior: the prior is taken out again, so that no shaft
    /// counts twice.
    #[must_use]
    pub fn without_prior(
        coefficients: &[Complex64],
        covariance: &[Vec<Complex64>],
        prior: &SensorPrior,
    ) -> Option<Self> {
        let both = Self::new(coefficients, covariance)?;
        let before = Self::new(&prior.mean, &prior.covariance)?;
        if both.weighted.len() != before.weighted.len() {
            return None;
        }
        Some(Self {
            information: both.information - before.information,
            weighted: both.weighted - before.weighted,
        })
    }

    /// How many directions its runs determine: all planes after a trial run in each, one after a single
    /// correction.
    fn directions(&self) -> usize {
        singular_values(&self.information)
            .values
            .iter()
            .filter(|value| **value > TOLD * self.information.norm())
            .count()
    }

    /// How many planes it covers.
    #[must_use]
    pub fn planes(&self) -> usize {
        self.weighted.len()
    }
}

/// The pooled response of a type's shafts, for one sensor at one speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    pub(super) mean: CVector,
    scatter: CMatrix,
    /// Complex covariance of the mean.
    mean_covariance: CMatrix,
    /// Each shaft's best estimate, in the order given.
    pub(super) shafts: Vec<CVector>,
    /// How many complete shafts they are worth: one known in half its directions counts as a half.
    pub worth: f64,
}

/// Pools the responses of at least [`FEWEST_SHAFTS`] shafts.
///
/// `None` if there are fewer, if they have different planes, if together they do not determine every plane, or
/// if they respond to nothing.
///
/// # Method
///
/// EM for mean and covariance of a random effect; covariances between planes are shrunk by (K−1)/(K−1+P), so
/// that few shafts do not claim certainty of a combination (towards the diagonal, after Ledoit and Wolf, J.
/// Multivariate Analysis 88 (2004) 365; this weight is our own choice). Scatter below half of W/sqrt(K−1),
/// the error with which noise is removed, is not claimed.
#[must_use]
pub fn pool(shafts: &[OwnAnswers]) -> Option<Pool> {
    let planes = shafts.first()?.planes();
    if shafts.len() < FEWEST_SHAFTS || planes == 0 || shafts.iter().any(|shaft| shaft.planes() != planes) {
        return None;
    }
    let zero = (CMatrix::zeros(planes, planes), CVector::zeros(planes));
    let (information, weighted) = shafts.iter().fold(zero, |(information, weighted), shaft| {
        (information + &shaft.information, weighted + &shaft.weighted)
    });
    let without_scatter = inverse(&information)?;
    let mean = &without_scatter * weighted;
    let size = mean.norm() / (planes as f64).sqrt();
    let count = shafts.len() as f64;
    let floor = (0..planes)
        .map(|plane| {
            let noise = without_scatter[(plane, plane)].re.max(0.0) * count;
            (noise / (2.0 * (count - 1.0).sqrt())).max((LEAST_SCATTER * size).powi(2))
        })
        .collect();
    // A mean of zero, or one beyond all numbers, gives no scatter to start from: nothing is pooled.
    let start = CMatrix::from_diagonal_element(planes, planes, Complex64::from(0.01 * size * size));
    Iteration { shafts, floor, scatter: start }.settle()
}

struct Iteration<'a> {
    shafts: &'a [OwnAnswers],
    /// Least variance for each plane.
    floor: Vec<f64>,
    scatter: CMatrix,
}

/// What follows if a scatter is assumed to be true.
struct Given {
    mean: CVector,
    mean_covariance: CMatrix,
    estimates: Vec<CVector>,
    /// Covariance of each estimate.
    covariances: Vec<CMatrix>,
}

impl Iteration<'_> {
    fn settle(mut self) -> Option<Pool> {
        for _ in 0..MOST_ROUNDS {
            let scatter = self.scatter_of(&self.given_scatter()?);
            let change = (&scatter - &self.scatter).norm() / self.scatter.norm();
            self.scatter = scatter;
            if change < SETTLED {
                break;
            }
        }
        let Given { mean, mean_covariance, estimates, .. } = self.given_scatter()?;
        let worth = self.shafts.iter().map(OwnAnswers::directions).sum::<usize>() as f64 / mean.len() as f64;
        Some(Pool { mean, scatter: self.scatter, mean_covariance, shafts: estimates, worth })
    }

    /// The mean by generalised least squares, each shaft weighted by (Σ + W)⁻¹, and each shaft's own estimate.
    fn given_scatter(&self) -> Option<Given> {
        let certainty = inverse(&self.scatter)?;
        let planes = self.scatter.nrows();
        let mut covariances = Vec::with_capacity(self.shafts.len());
        let (mut weights, mut weighted) = (CMatrix::zeros(planes, planes), CVector::zeros(planes));
        for shaft in self.shafts {
            let covariance = inverse(&(&shaft.information + &certainty))?;
            let share = &certainty * &covariance;
            weights += &share * &shaft.information;
            weighted += share * &shaft.weighted;
            covariances.push(covariance);
        }
        let mean_covariance = inverse(&weights)?;
        let mean = &mean_covariance * weighted;
        let said = certainty * &mean;
        let estimate = |(shaft, covariance): (&OwnAnswers, &CMatrix)| covariance * (&shaft.weighted + &said);
        let estimates = self.shafts.iter().zip(&covariances).map(estimate).collect();
        Some(Given { mean, mean_covariance, estimates, covariances })
    }

    /// The scatter that these estimates show, K−1 in the denominator because the mean came from the same shafts.
    fn scatter_of(&self, given: &Given) -> CMatrix {
        let (planes, count) = (given.mean.len(), self.shafts.len() as f64);
        let mut scatter = CMatrix::zeros(planes, planes);
        for (estimate, covariance) in given.estimates.iter().zip(&given.covariances) {
            let off = estimate - &given.mean;
            scatter += covariance + (&off * off.adjoint()).scale(count / (count - 1.0));
        }
        scatter.unscale_mut(count);
        let together = (count - 1.0) / (count - 1.0 + planes as f64);
        for first in 0..planes {
            for second in (0..planes).filter(|&second| second != first) {
                scatter[(first, second)] *= together;
            }
        }
        for plane in 0..planes {
            scatter[(plane, plane)] = scatter[(plane, plane)].re.max(self.floor[plane]).into();
        }
        scatter
    }
}

impl Pool {
    /// The type's mean coefficients, plane by plane: reading per g·mm.
    #[must_use]
    pub fn mean(&self) -> &[Complex64] {
        self.mean.as_slice()
    }

    /// Complex covariance of a shaft's coefficients about the mean, planes × planes, reading noise taken out.
    #[must_use]
    pub fn scatter(&self) -> Vec<Vec<Complex64>> {
        rows(&self.scatter)
    }

    /// The prediction for the next shaft: the mean, and the scatter with the mean's own uncertainty, widened
    /// because the scatter of a few shafts is known only roughly: (Σ + Cov μ)·k(K−1)², which is
    /// Σ·(1+1/K)·k(K−1)² without noise (`k` is `circle_factor`, K what the shafts are worth). `None` if they
    /// are worth fewer than two.
    #[must_use]
    pub fn prior(&self) -> Option<SensorPrior> {
        let degrees = self.worth - 1.0;
        let covariance = (&self.scatter + &self.mean_covariance).scale(circle_factor(degrees).powi(2));
        (degrees >= 1.0).then(|| SensorPrior { mean: self.mean().to_vec(), covariance: rows(&covariance) })
    }

    /// Scatter between shafts as a share of the mean's length, for each plane (complex rms).
    #[must_use]
    pub fn scatter_shares(&self) -> Vec<f64> {
        let size = self.mean.norm() / (self.mean.len() as f64).sqrt();
        (0..self.mean.len()).map(|plane| self.scatter[(plane, plane)].re.max(0.0).sqrt() / size).collect()
    }
}

/// Inverse of a square matrix of any scale; `None` if it is singular or not finite.
pub(super) fn inverse(matrix: &CMatrix) -> Option<CMatrix> {
    let inverse = matrix.clone().try_inverse()?;
    inverse.iter().all(|entry| entry.is_finite()).then_some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::by_hand::real;

    /// Shafts of one plane with these coefficients, each with this complex variance.
    fn shafts(coefficients: &[f64], variance: f64) -> Vec<OwnAnswers> {
        let own = |&own: &f64| OwnAnswers::new(&[real(own)], &[vec![real(variance)]]).unwrap();
        coefficients.iter().map(own).collect()
    }

    fn scatter(pool: &Pool) -> f64 {
        pool.scatter[(0, 0)].re
    }

    // Almost exactly known shafts: the plain mean and the variance with K − 1, (4 + 0 + 4)/2.
    #[test]
    fn exactly_known_shafts_scatter_as_they_lie() {
        let pool = pool(&shafts(&[8.0, 10.0, 12.0], 1e-8)).unwrap();
        assert!((pool.mean()[0] - 10.0).norm() < 1e-6 && (scatter(&pool) - 4.0).abs() < 1e-6, "{pool:?}");
        assert!((pool.scatter_shares()[0] - 0.2).abs() < 1e-6);
        assert_eq!(pool.worth, 3.0);
        // Σ·(1 + 1/K), widened by the factor of K − 1 = 2.
        let prior = pool.prior().unwrap();
        let wanted = 4.0 * (1.0 + 1.0 / 3.0) * circle_factor(2.0).powi(2);
        assert!((prior.covariance[0][0] - wanted).norm() < 1e-5, "{prior:?}");
    }

    // Shafts that are all known with the variance W = 5 lie about their mean with Σ + W: here (2·4² + 2·24)/(5 − 1) = 20.
    #[test]
    fn noise_of_the_runs_is_not_taken_for_scatter() {
        let far = 24f64.sqrt();
        let pool = pool(&shafts(&[20.0, 24.0, 16.0, 20.0 + far, 20.0 - far], 5.0)).unwrap();
        assert!((pool.mean()[0] - 20.0).norm() < 1e-9);
        assert!((scatter(&pool) / 15.0 - 1.0).abs() < 0.01, "{}", scatter(&pool));
    }

    // Below half of W/√(K − 1), the error with which noise is taken out, no scatter is claimed: five shafts that read alike with
    // a variance of 8 may differ by 8/(2·2). Exactly known ones by a thousandth of the mean.
    #[test]
    fn shafts_that_read_alike_are_not_taken_to_be_alike() {
        let alike = pool(&shafts(&[10.0; 5], 8.0)).unwrap();
        assert!((scatter(&alike) - 2.0).abs() < 1e-12, "{}", scatter(&alike));
        let exact = pool(&shafts(&[10.0; 5], 1e-9)).unwrap();
        assert!((scatter(&exact) - 1e-4).abs() < 1e-12, "{}", scatter(&exact));
    }

    #[test]
    fn the_unit_of_a_reading_changes_nothing() {
        let own = [8.0, 10.5, 12.0, 9.0];
        let (unit, small) = (pool(&shafts(&own, 1.5)).unwrap(), 1.0 / 1024.0);
        let scaled = pool(&shafts(&own.map(|one| one * small), 1.5 * small * small)).unwrap();
        assert!((scaled.mean()[0] / small - unit.mean()[0]).norm() < 1e-9);
        assert!((scatter(&scaled) / (small * small) / scatter(&unit) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn shafts_that_make_no_type_are_not_pooled() {
        assert!(pool(&[]).is_none());
        assert!(pool(&shafts(&[8.0, 10.0], 1.0)).is_none(), "too few");
        assert!(pool(&shafts(&[0.0; 3], 1.0)).is_none(), "no response");
        assert!(pool(&shafts(&[1e200; 3], 1.0)).is_none(), "beyond all numbers");
        let mut mixed = shafts(&[8.0, 10.0, 12.0], 1.0);
        let unit = |row: usize| (0..2).map(|column| real(if row == column { 1.0 } else { 0.0 })).collect();
        let two_planes = OwnAnswers::new(&[real(8.0); 2], &[unit(0), unit(1)]).unwrap();
        mixed.push(two_planes.clone());
        assert!(pool(&mixed).is_none(), "different planes");
        assert_eq!(two_planes.planes(), 2);
    }

    // Prior and runs weigh 1/2 and 1/4 together: 3/4. The runs' own part, taken out again: mean 14 with a variance of 4.
    #[test]
    fn a_prior_is_taken_out_again() {
        let prior = SensorPrior { mean: vec![real(8.0)], covariance: vec![vec![real(2.0)]] };
        let both = (8.0 / 2.0 + 14.0 / 4.0) / 0.75;
        let own = OwnAnswers::without_prior(&[real(both)], &[vec![real(1.0 / 0.75)]], &prior).unwrap();
        assert!((own.information[(0, 0)] - 0.25).norm() < 1e-12 && (own.weighted[0] - 3.5).norm() < 1e-12);
        let wide = SensorPrior { mean: vec![real(8.0); 2], ..prior };
        assert!(OwnAnswers::without_prior(&[real(both)], &[vec![real(1.0)]], &wide).is_none());
    }
}
