//! Whether a type's answers walk: shafts of one type, in the order they were balanced, should scatter about one mean.

use super::sister_shafts::{Pool, inverse};
use crate::chance::f_quantile;
use crate::linear::{CMatrix, CVector};

/// So many shafts on either side of a change are needed to tell it.
const FEWEST_ON_A_SIDE: usize = 4;
/// How often a steady stand may be told to walk.
const FALSE_ALARMS: f64 = 0.001;

/// A change of a type's answers over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// The first shaft (its place in the order given) that answers by the new mean.
    pub since: usize,
    /// Mean coefficients before.
    pub before: CVector,
    /// Mean coefficients from there on.
    pub after: CVector,
    /// Length of the change as a share of the earlier mean.
    pub share: f64,
}

impl Pool {
    /// Looks for the place in time where the answers changed most; `None` if no change is larger than the scatter makes
    /// by chance, or if there are too few shafts to tell.
    ///
    /// # Method
    ///
    /// Hotelling's T² of the shafts before against those after, for complex vectors (N. Giri, Ann. Math. Statist. 36
    /// (1965) 664, from memory: T²·(ν−P+1)/(νP) ~ F(2P, 2(ν−P+1)), ν = K−2), at every place with enough shafts on both
    /// sides, each tested at 0.001 divided by the number of places (Bonferroni).
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
        let changes = (FEWEST_ON_A_SIDE..=last).filter_map(|since| Some((since, self.change_at(since)?)));
        let (since, ratio) = changes.max_by(|(_, one), (_, other)| one.total_cmp(other))?;
        (ratio > limit).then(|| {
            let (before, after) = (mean(&self.shafts[..since]), mean(&self.shafts[since..]));
            let share = (&after - &before).norm() / before.norm();
            Walk { since, before, after, share }
        })
    }

    /// The F ratio of a change before this shaft.
    fn change_at(&self, since: usize) -> Option<f64> {
        let (earlier, later) = self.shafts.split_at(since);
        let (before, after) = (mean(earlier), mean(later));
        let degrees = self.shafts.len() as f64 - 2.0;
        let within = (squares(earlier, &before) + squares(later, &after)).unscale(degrees);
        let difference = after - before;
        let weighed = inverse(&within)? * &difference;
        let each = 1.0 / earlier.len() as f64 + 1.0 / later.len() as f64;
        let planes = self.mean.len() as f64;
        Some(difference.dotc(&weighed).re / each * (degrees - planes + 1.0) / (degrees * planes))
    }
}

fn mean(shafts: &[CVector]) -> CVector {
    shafts.iter().sum::<CVector>().unscale(shafts.len() as f64)
}

fn squares(shafts: &[CVector], about: &CVector) -> CMatrix {
    shafts.iter().fold(CMatrix::zeros(about.len(), about.len()), |sum, shaft| {
        let off = shaft - about;
        sum + &off * off.adjoint()
    })
}
