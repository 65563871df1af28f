//! Whether a type's response changes over time: shafts of one type, in the order they were balanced, should
//! scatter about one mean.

use num_complex::Complex64;

use super::sister_shafts::{Pool, inverse};
use crate::chance::f_quantile;
use crate::linear::{CMatrix, CVector};

/// The shafts needed on either side of a change to detect it.
const FEWEST_ON_A_SIDE: usize = 4;
/// How often a steady stand may be wrongly reported as changed.
const FALSE_ALARMS: f64 = 0.001;

/// A change of a type's response over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// The first shaft (its place in the order given) that follows the new mean.
    pub since: usize,
    /// Mean coefficients before.
    pub before: Vec<Complex64>,
    /// Mean coefficients from there on.
    pub after: Vec<Complex64>,
    /// Length of the change as a share of the earlier mean.
    pub share: f64,
}

impl Pool {
    /// Looks for the point in time where the response changed most; `None` if no change is larger than
    /// chance, or if there are too few shafts.
    ///
    /// # Method
    ///
    /// Hotelling's T² of the shafts before against those after, for complex vectors (N. Giri, Ann. Math.
    /// Statist. 36 (1965) 664, from memory: T²·(ν−P+1)/(νP) ~ F(2P, 2(ν−P+1)), ν = K−2), at every place with
    /// enough shafts on both sides, each tested at 0.001 divided by the number of places (Bonferroni).
    #[must_use]
    pub fn walk(&self) -> Option<Walk> {
        let planes = self.mean.len();
        let last = self.shafts.len().checked_sub(FEWEST_ON_A_SIDE)?;
        let freedom = (self.shafts.len() as f64) - 2.0 - planes as f64 + 1.0;
        if last < FEWEST_ON_A_SIDE || freedom < 1.0 {
            return None;
        }
        let places = (last - FEWEST_ON_A_SIDE + 1) as f64;
        let limit = f_quantile(1.0 - FALSE_ALARMS / places, 2.0 * planes as f64, 2.0 * freedom);
        // About the mean, so that nothing is lost in the difference of large sums.
        let about: Vec<CVector> = self.shafts.iter().map(|shaft| shaft - &self.mean).collect();
        let (mut earlier, mut later) = (Sums::nothing(planes), Sums::of(&about));
        let mut largest = (0, f64::NEG_INFINITY);
        for (at, shaft) in about.iter().enumerate() {
            if (FEWEST_ON_A_SIDE..=last).contains(&at)
                && let Some(ratio) = change(&earlier, &later)
                && ratio > largest.1
            {
                largest = (at, ratio);
            }
            earlier.add(shaft, 1.0);
            later.add(shaft, -1.0);
        }
        let (since, ratio) = largest;
        (ratio > limit).then(|| {
            let (before, after) =
                (Sums::of(&self.shafts[..since]).mean(), Sums::of(&self.shafts[since..]).mean());
            let share = (&after - &before).norm() / before.norm();
            Walk { since, before: before.as_slice().to_vec(), after: after.as_slice().to_vec(), share }
        })
    }
}

/// Sums over shafts, from which mean and squares about it follow.
#[derive(Debug, Clone)]
struct Sums {
    count: f64,
    values: CVector,
    products: CMatrix,
}

impl Sums {
    fn nothing(planes: usize) -> Self {
        Self { count: 0.0, values: CVector::zeros(planes), products: CMatrix::zeros(planes, planes) }
    }

    fn of(shafts: &[CVector]) -> Self {
        let mut sums = Self::nothing(shafts.first().map_or(0, CVector::len));
        shafts.iter().for_each(|shaft| sums.add(shaft, 1.0));
        sums
    }

    fn add(&mut self, shaft: &CVector, times: f64) {
        let times_complex = Complex64::from(times);
        self.count += times;
        self.values.axpy(times_complex, shaft, Complex64::ONE);
        self.products.gerc(times_complex, shaft, shaft, Complex64::ONE);
    }

    fn mean(&self) -> CVector {
        self.values.unscale(self.count)
    }

    fn squares(&self) -> CMatrix {
        let mut squares = self.products.clone();
        squares.gerc(Complex64::from(-1.0 / self.count), &self.values, &self.values, Complex64::ONE);
        squares
    }
}

/// The F ratio of the change between two stretches of shafts.
fn change(earlier: &Sums, later: &Sums) -> Option<f64> {
    let (degrees, planes) = (earlier.count + later.count - 2.0, earlier.values.len() as f64);
    let within = (earlier.squares() + later.squares()).unscale(degrees);
    let difference = later.mean() - earlier.mean();
    let weighed = inverse(&within)? * &difference;
    let each = 1.0 / earlier.count + 1.0 / later.count;
    Some(difference.dotc(&weighed).re / each * (degrees - planes + 1.0) / (degrees * planes))
}
