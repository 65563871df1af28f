//! Whether weights will meet the limits: the forecast by which a choice of few weights is judged.

use num_complex::Complex64;

use super::super::Correction;
use super::task::WeightSettings;
use crate::chance::Rice;
use crate::grade::{PlaneLimit, Transfer};
use crate::linear::CMatrix;
use crate::quantity::UnbalanceAmount;
use crate::run::Setup;
use crate::shaft::PlaneId;

/// A place where a limit holds.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitedPlace {
    /// How much may be left there.
    pub limit: UnbalanceAmount,
    /// For each correction plane the share of its unbalance that acts here.
    pub levers: Vec<f64>,
}

/// The uncertainty that putting one weight on a correction plane adds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Placing {
    /// Complex variance for each (g·mm)² of the weight's unbalance: the square of the place error in radians.
    pub share: f64,
    /// Complex variance of each weight whatever it weighs, in (g·mm)².
    pub each: f64,
}

impl Placing {
    /// Complex variance of putting on one weight of this unbalance in g·mm.
    #[must_use]
    pub fn variance(&self, amount: f64) -> f64 {
        self.share * amount * amount + self.each
    }
}

/// The plain figures needed to forecast what will be left where the limits hold.
///
/// # Example
///
/// ```
/// use balance_core::correction::weights::{Forecasting, LimitedPlace, Placing};
/// use balance_core::{Complex64, quantity::UnbalanceAmount};
/// # fn main() -> Result<(), balance_core::quantity::QuantityFault> {
/// let limit = UnbalanceAmount::from_gram_millimetres(400.0)?;
/// let forecasting = Forecasting {
///     places: vec![LimitedPlace { limit, levers: vec![1.0] }],
///     covariance: vec![vec![40.0 * 40.0]],
///     widening: 1.0,
///     placing: vec![Placing::default()],
/// };
/// // Limit 400 g·mm, one sigma 40 g·mm to each side: 332 g·mm is within with 95 %, 200 g·mm almost surely.
/// let chance = |left| forecasting.chance(&[Complex64::new(left, 0.0)], &[0.0]);
/// assert!((chance(332.0) - 0.95).abs() < 0.001);
/// assert!(chance(200.0) > 0.999_99);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Forecasting {
    /// The places where a limit holds.
    pub places: Vec<LimitedPlace>,
    /// Covariance per component of the ideal correction, correction planes × correction planes, (g·mm)²: its real part,
    /// which is all that real levers need.
    pub covariance: Vec<Vec<f64>>,
    /// The factor that widens a standard uncertainty for how well the noise is known; 1: it is known exactly.
    pub widening: f64,
    /// One for each correction plane.
    pub placing: Vec<Placing>,
}

impl Forecasting {
    /// The figures for a correction; `None` without a figure for the noise.
    #[must_use]
    pub fn of(
        limits: &[PlaneLimit],
        transfer: &Transfer,
        correction: &Correction,
        setup: &Setup,
    ) -> Option<Self> {
        let place = |(limit, levers): (&PlaneLimit, Vec<f64>)| LimitedPlace { limit: limit.amount, levers };
        let placing = |plane: PlaneId| {
            let each = setup.placing_variance(plane, 0.0);
            Placing { share: setup.placing_variance(plane, 1.0) - each, each }
        };
        Some(Self {
            places: limits.iter().zip(transfer.levers()).map(place).collect(),
            covariance: real_rows(correction.covariance.as_ref()?),
            widening: correction.widening,
            placing: setup.plane_ids().map(placing).collect(),
        })
    }

    /// At least this chance that every limit is met when this much is left in each correction plane (g·mm),
    /// each put there with this complex variance.
    ///
    /// The amount at each place follows the law of Rice; 1 − Σ(1 − P) holds however the places are
    /// correlated.
    #[must_use]
    pub fn chance(&self, left: &[Complex64], placed: &[f64]) -> f64 {
        let misses = self.places.iter().map(|place| {
            let law = Rice::new(place.moved(left).norm(), self.uncertainty(place, placed));
            law.map_or(1.0, |law| law.beyond(place.limit.gram_millimetres()))
        });
        (1.0 - misses.sum::<f64>()).max(0.0)
    }

    /// Whether what is left is good enough: little at each place, and all limits met with near certainty.
    pub(super) fn is_met(&self, left: &[Complex64], placed: &[f64], settings: &WeightSettings) -> bool {
        let little = |place: &LimitedPlace| {
            place.moved(left).norm() <= settings.most_left_share * place.limit.gram_millimetres()
        };
        self.places.iter().all(little) && self.chance(left, placed) >= settings.sure_enough
    }

    /// Complex variance that the readings leave in the ideal correction of a plane, (g·mm)².
    pub(super) fn reading_variance(&self, plane: PlaneId) -> f64 {
        2.0 * self.widening * self.widening * self.covariance[plane][plane].clamp(0.0, f64::INFINITY)
    }

    /// Whether the figures are for so many correction planes.
    pub(super) fn fits(&self, planes: usize) -> bool {
        self.covariance.len() == planes
            && self.covariance.iter().all(|row| row.len() == planes)
            && self.placing.len() == planes
            && self.places.iter().all(|place| place.levers.len() == planes)
    }

    /// Standard uncertainty per component at a place, g·mm.
    fn uncertainty(&self, place: &LimitedPlace, placed: &[f64]) -> f64 {
        let levers = || place.levers.iter().enumerate();
        let read: f64 = levers()
            .flat_map(|(row, one)| levers().map(move |(column, other)| (row, column, one * other)))
            .map(|(row, column, both)| both * self.covariance[row][column])
            .sum();
        let put: f64 =
            place.levers.iter().zip(placed).map(|(lever, variance)| lever * lever * variance / 2.0).sum();
        self.widening * (read + put).clamp(0.0, f64::INFINITY).sqrt()
    }
}

impl LimitedPlace {
    /// What unbalances in the correction planes make here.
    fn moved(&self, unbalances: &[Complex64]) -> Complex64 {
        self.levers.iter().zip(unbalances).map(|(lever, unbalance)| unbalance * *lever).sum()
    }
}

fn real_rows(matrix: &CMatrix) -> Vec<Vec<f64>> {
    matrix.row_iter().map(|row| row.iter().map(|value| value.re).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the docs, 40 g·mm to each side, once from the readings and once from putting the weights on: two
    /// complex variances of 2·24² and 2·32² through a lever of one, for 24² + 32² = 40².
    #[test]
    fn putting_weights_on_counts_like_the_readings() {
        let forecasting = |read: f64| Forecasting {
            places: vec![LimitedPlace {
                limit: UnbalanceAmount::from_gram_millimetres(400.0).unwrap(),
                levers: vec![1.0, -1.0],
            }],
            covariance: vec![vec![read, 0.0], vec![0.0, 0.0]],
            widening: 1.0,
            placing: vec![Placing::default(); 2],
        };
        let left = [Complex64::new(0.0, 332.0), Complex64::ZERO];
        let by_reading = forecasting(40.0 * 40.0).chance(&left, &[0.0, 0.0]);
        let by_putting = forecasting(0.0).chance(&left, &[2.0 * 24.0 * 24.0, 2.0 * 32.0 * 32.0]);
        assert!((by_reading - 0.95).abs() < 0.001 && (by_putting - by_reading).abs() < 1e-12, "{by_putting}");
        let both = forecasting(24.0 * 24.0).chance(&left, &[0.0, 2.0 * 32.0 * 32.0]);
        assert!((both - by_reading).abs() < 1e-12, "{both}");
    }
}
