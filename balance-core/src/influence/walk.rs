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

#[cfg(test)]
mod tests {
    use super::super::sister_shafts::{OwnAnswers, pool};
    use super::*;
    use crate::run::by_hand::real;

    fn sums(shafts: &[&[f64]]) -> Sums {
        let vector = |own: &&[f64]| CVector::from_iterator(own.len(), own.iter().copied().map(real));
        Sums::of(&shafts.iter().map(vector).collect::<Vec<_>>())
    }

    // One plane by hand: means 2 and 7, squares about them 2 + 4, ν = 5 − 2 = 3: a variance of 2. T² = 5²/(2·(1/2 + 1/3)) = 15,
    // and with P = 1 the ratio is T²·ν/(ν·1).
    #[test]
    fn the_change_of_one_plane_is_that_of_two_samples() {
        let ratio =
            change(&sums(&[&[1.0], &[3.0]]), &sums(&[&[7.0], &[7.0 - 2f64.sqrt()], &[7.0 + 2f64.sqrt()]]));
        assert!((ratio.unwrap() - 15.0).abs() < 1e-12, "{ratio:?}");
    }

    // Two planes by hand: means (0, 0) and (1, 2), squares diag(4, 4) + diag(2, 2) over ν = 6 is the unit matrix;
    // T² = (1 + 4)/(1/4 + 1/4) = 10, times (6 − 2 + 1)/(6·2).
    #[test]
    fn the_change_of_two_planes_weighs_each_by_its_scatter() {
        let cross = |one: f64, other: f64, by: f64| {
            [[one + by, other], [one - by, other], [one, other + by], [one, other - by]]
        };
        let (before, after) = (cross(0.0, 0.0, 2f64.sqrt()), cross(1.0, 2.0, 1.0));
        let of = |shafts: &[[f64; 2]]| sums(&shafts.iter().map(|own| &own[..]).collect::<Vec<_>>());
        let ratio = change(&of(&before), &of(&after));
        assert!((ratio.unwrap() - 10.0 * 5.0 / 12.0).abs() < 1e-12, "{ratio:?}");
    }

    /// The shafts of one plane with these coefficients, almost exactly known.
    fn exactly_known(shafts: &[f64]) -> Pool {
        let own: Vec<OwnAnswers> =
            shafts.iter().map(|&own| OwnAnswers::new(&[real(own)], &[vec![real(1e-9)]]).unwrap()).collect();
        pool(&own).unwrap()
    }

    /// `before` shafts about 10 and `after` about 10 + `step`, those of each side one unit above and below.
    fn stepped(before: usize, after: usize, step: f64) -> Vec<f64> {
        let about = |count: usize, mean: f64| (0..count).map(move |at| mean + [1.0, -1.0][at % 2]);
        about(before, 10.0).chain(about(after, 10.0 + step)).collect()
    }

    // F(2, 12) at 0.001 is 12.97 (printed tables). Four shafts on either side, each ±1 about its mean: a variance of 8/6, so
    // the ratio is step²/((8/6)·(1/4 + 1/4)) = 1.5·step²: the limit is a step of 2.941.
    #[test]
    fn a_change_is_told_where_chance_would_show_it_once_in_a_thousand() {
        let walk = |step: f64| exactly_known(&stepped(4, 4, step)).walk();
        assert_eq!(walk(2.93), None);
        let told = walk(2.95).unwrap();
        assert_eq!(told.since, 4);
        assert!((told.before[0] - 10.0).norm() < 1e-6 && (told.after[0] - 12.95).norm() < 1e-6, "{told:?}");
        assert!((told.share - 0.295).abs() < 1e-6, "{told:?}");
    }

    // Twelve shafts have five places with four shafts on either side, each tested at 0.0002: with ν = 10, P = 1 the limit of F
    // with 2 and 2n degrees of freedom is n·(p^(−1/n) − 1) (its distribution in closed form), here 10·(0.0002^(−0.1) − 1)
    // = 13.4367. Six shafts ±1 on either side: a variance of 1.2, a ratio of step²/(1.2/3) = 2.5·step².
    #[test]
    fn each_place_of_several_is_tested_more_strictly() {
        let limit = (10.0 * (0.0002_f64.powf(-0.1) - 1.0) / 2.5).sqrt();
        let walk = |step: f64| exactly_known(&stepped(6, 6, step)).walk();
        assert_eq!(walk(limit - 0.005), None);
        assert_eq!(walk(limit + 0.005).map(|own| own.since), Some(6));
    }

    #[test]
    fn a_change_needs_four_shafts_on_either_side() {
        assert_eq!(exactly_known(&stepped(4, 3, 50.0)).walk(), None);
        assert_eq!(exactly_known(&stepped(8, 4, 50.0)).walk().map(|own| own.since), Some(8));
    }
}
