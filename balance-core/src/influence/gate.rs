//! The gate: a tried or check block contributes to the coefficients only if it agrees with the runs before
//! it.
//!
//! One misplaced weight in the joint fit would make the reported residual several times too large or small;
//! with the earlier coefficients it stays within a tenth (simulated here, 2026-11).

use num_complex::Complex64;

use super::estimate::{GroupInfluence, JudgedBlock};
use super::fit::SensorFit;
use crate::chance::f_quantile;
use crate::linear::{CMatrix, CVector, solve_square};
use crate::run::{LoadChange, RunKind, RunSet};
use crate::shaft::{PlaneId, SensorId};

/// A correct run is accused once in a thousand.
const AGREES: f64 = 0.999;
/// A reading below the dial's scale is accused only if its forecast is this many deviations beyond the limit.
const BEYOND_LIMIT: f64 = 3.0;
/// A change of weights proves something only if it moved a reading by more than this many deviations.
const CLEAR_MOVE: f64 = 4.0;

/// Whether one tried or check block agrees with the runs before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Agreement {
    /// It agrees: it enters the coefficients.
    Agrees,
    /// It disagrees at p = 0.001: the earlier coefficients are kept.
    Disagrees,
    /// There is no figure for the noise, or nothing to compare with: the earlier coefficients are kept.
    NotJudged,
}

/// Consecutive tried or check rows of one group with the same masses.
pub(super) fn blocks(set: &RunSet, group: usize) -> Vec<Vec<usize>> {
    let mut blocks: Vec<Vec<usize>> = Vec::new();
    let mut last: Option<usize> = None;
    for (at, row) in set.rows().iter().enumerate().filter(|(_, row)| row.group == group) {
        if matches!(row.run.kind, RunKind::Tried | RunKind::Check) {
            let same = last.is_some_and(|last| {
                set.rows()[last].run.kind == row.run.kind && set.rows()[last].loads == row.loads
            });
            match blocks.last_mut() {
                Some(block) if same => block.push(at),
                _ => blocks.push(vec![at]),
            }
        }
        last = Some(at);
    }
    blocks
}

/// Tests a block against the fit of the rows before it, placement included.
pub(super) fn agreement(set: &RunSet, fitted: &GroupInfluence, block: &[usize]) -> Agreement {
    let row = &set.rows()[block[0]];
    if loads_untold_plane(set, fitted, &row.loads) {
        return Agreement::NotJudged;
    }
    let found = comparisons(set, fitted, block);
    if found.iter().any(Comparison::beyond_limit) {
        return Agreement::Disagrees;
    }
    let shown: Vec<Comparison> = found.into_iter().filter(|one| one.limit.is_none()).collect();
    tested(&shown, &row.load_variances)
}

/// Whether the last change of weights changed the readings as the coefficients predict: from the block before
/// the last, or from the shaft as found, in a mounting they share. Only a change that clearly moved a reading
/// proves anything.
pub(super) fn last_change(set: &RunSet, fitted: &GroupInfluence, blocks: &[JudgedBlock]) -> bool {
    let Some((last, earlier)) = blocks.split_last() else { return false };
    let (&before, &after) = match (earlier.last().and_then(|block| block.rows.first()), last.rows.first()) {
        (Some(before), Some(after)) => (before, after),
        _ => return false,
    };
    let change = set.change_between(before, after);
    if loads_untold_plane(set, fitted, &change.loads) {
        return false;
    }
    let earlier = &earlier[earlier.len() - 1].rows;
    let moves: Vec<Comparison> = fitted
        .fits()
        .filter(|(_, fit)| !fit.coefficients_given())
        .flat_map(|(sensor, fit)| moves_of(set, fitted, (sensor, fit), [earlier, &last.rows], &change))
        .collect();
    proves_every_plane(&moves, &change.loads) && tested(&moves, &change.variances) == Agreement::Agrees
}

/// Whether a change of weights clearly moved some reading, and did so in every plane: an unchanged plane
/// proves nothing.
fn proves_every_plane(moves: &[Comparison], loads: &[Complex64]) -> bool {
    let clear = |plane: PlaneId| {
        moves.iter().any(|one| {
            let own = (one.coefficients[plane] * loads[plane]).norm();
            one.moved > CLEAR_MOVE && own > CLEAR_MOVE * one.own
        })
    };
    let told = |plane: &PlaneId| moves.iter().any(|one| one.coefficients[*plane] != Complex64::ZERO);
    !moves.is_empty() && PlaneId::all(loads.len()).filter(told).all(clear)
}

/// Whether masses changed in a plane whose response the runs do not show.
fn loads_untold_plane(set: &RunSet, fitted: &GroupInfluence, loads: &[Complex64]) -> bool {
    let told = fitted.tells(set.setup().planes.len());
    told.iter().zip(loads).any(|(told, load)| !told && *load != Complex64::ZERO)
}

/// One sensor in one mounting: measured against predicted.
struct Comparison {
    difference: Complex64,
    /// Per component.
    variance: f64,
    degrees: f64,
    coefficients: Vec<Complex64>,
    /// The limit, where only "below what the dial shows" was read.
    limit: Option<f64>,
    /// Standard deviation per component of what was read.
    own: f64,
    /// How far the reading itself moved, in those deviations; only for a change of weights.
    moved: f64,
}

impl Comparison {
    fn beyond_limit(&self) -> bool {
        let forecast = self.difference.norm();
        self.limit.is_some_and(|limit| forecast > limit + BEYOND_LIMIT * self.variance.sqrt())
    }
}

/// The joint test of several differences. Placing errors act in one direction only, along the tape, so a
/// circle of their variance would be too small there: the variance counts double.
fn tested(comparisons: &[Comparison], placement: &[f64]) -> Agreement {
    if comparisons.is_empty() {
        return Agreement::NotJudged;
    }
    let count = comparisons.len();
    let difference = CVector::from_iterator(count, comparisons.iter().map(|one| one.difference));
    let covariance = CMatrix::from_fn(count, count, |one, other| {
        let (first, second) = (&comparisons[one], &comparisons[other]);
        let own = if one == other { first.variance } else { 0.0 };
        let shared: Complex64 = (0..placement.len())
            .map(|plane| first.coefficients[plane] * second.coefficients[plane].conj() * placement[plane])
            .sum();
        shared + own
    });
    let Some(weighed) = solve_square(&covariance, &difference) else { return Agreement::NotJudged };
    let distance = difference.dotc(&weighed).re;
    let degrees = comparisons.iter().map(|one| one.degrees).fold(f64::INFINITY, f64::min);
    let limit = f_quantile(AGREES, 2.0 * count as f64, 2.0 * degrees);
    if distance / (2.0 * count as f64) <= limit { Agreement::Agrees } else { Agreement::Disagrees }
}

fn comparisons(set: &RunSet, fitted: &GroupInfluence, block: &[usize]) -> Vec<Comparison> {
    let mut found = Vec::new();
    for (sensor, fit) in fitted.fits().filter(|(_, fit)| !fit.coefficients_given()) {
        for (baseline, mounting) in fit.layout.mountings.iter().enumerate() {
            let Some(mean) = Mean::of(set, fitted, (sensor, fit), mounting, block) else { continue };
            let mut columns = -fit.load_columns(&set.rows()[block[0]].loads);
            columns[baseline] -= Complex64::ONE;
            if let Some(drift) = fit.layout.drift_column() {
                columns[drift] -= Complex64::from(mean.ticks);
            }
            found.extend(mean.against(fit, &columns));
        }
    }
    found
}

/// How one sensor's readings moved from one block to another, mounting by mounting.
fn moves_of(
    set: &RunSet,
    fitted: &GroupInfluence,
    own: (SensorId, &SensorFit),
    [before, after]: [&[usize]; 2],
    change: &LoadChange,
) -> Vec<Comparison> {
    let fit = own.1;
    let mut mountings: Vec<&str> = after.iter().map(|&row| set.rows()[row].run.mounting.as_str()).collect();
    mountings.dedup();
    let of_mounting = |mounting: &str| {
        let old = Mean::of(set, fitted, own, mounting, before).filter(|mean| mean.limit.is_none())?;
        let new = Mean::of(set, fitted, own, mounting, after).filter(|mean| mean.limit.is_none())?;
        let moved = Mean {
            value: new.value - old.value,
            direct: new.direct - old.direct,
            ticks: new.ticks - old.ticks,
            limit: None,
        };
        let mut columns = -fit.load_columns(&change.loads);
        if let Some(drift) = fit.layout.drift_column() {
            columns[drift] -= Complex64::from(moved.ticks);
        }
        moved.against(fit, &columns)
    };
    mountings.into_iter().filter_map(of_mounting).collect()
}

/// The mean of one sensor's readings of a block in one mounting.
struct Mean {
    value: Complex64,
    direct: CVector,
    /// The time used for drift.
    ticks: f64,
    /// The limit, where every reading was below what the dial shows.
    limit: Option<f64>,
}

impl Mean {
    fn of(
        set: &RunSet,
        fitted: &GroupInfluence,
        (sensor, fit): (SensorId, &SensorFit),
        mounting: &str,
        block: &[usize],
    ) -> Option<Self> {
        let here = |row: &usize| block.contains(row) && set.rows()[*row].run.mounting == mounting;
        let members: Vec<usize> = (0..fit.rows.len()).filter(|&at| here(&fit.rows[at])).collect();
        let (below, shown): (Vec<usize>, Vec<usize>) =
            members.into_iter().partition(|&at| fit.limit_below(at).is_some());
        // Where the dial showed a value, that value counts.
        let used = if shown.is_empty() { &below } else { &shown };
        if used.is_empty() {
            return None;
        }
        let share = 1.0 / used.len() as f64;
        let mut mean =
            Self { value: Complex64::ZERO, direct: CVector::zeros(fit.rows.len()), ticks: 0.0, limit: None };
        for &at in used {
            mean.direct[at] = share.into();
            mean.ticks += share * fitted.clock[fit.rows[at]];
            let observed = set.rows()[fit.rows[at]].observed[sensor];
            mean.value += observed.map_or(Complex64::ZERO, |own| own.reading.vector()) * share;
        }
        if shown.is_empty() {
            mean.limit = below.iter().filter_map(|&at| fit.limit_below(at)).reduce(f64::max);
        }
        Some(mean)
    }

    /// Against the estimate: `columns` holds what is predicted, with the sign turned. `None` without a figure for the
    /// noise.
    fn against(&self, fit: &SensorFit, columns: &CVector) -> Option<Comparison> {
        let predicted = -columns.iter().zip(fit.estimate.iter()).map(|(c, e)| c * e).sum::<Complex64>();
        let variance = fit.variance(&self.direct, columns)?;
        let own = fit.variance(&self.direct, &CVector::zeros(columns.len()))?.total.sqrt();
        Some(Comparison {
            difference: self.value - predicted,
            variance: variance.total + variance.placement,
            degrees: fit.degrees_of_gate(),
            coefficients: fit.coefficients.clone(),
            limit: self.limit,
            own,
            moved: if own > 0.0 { self.value.norm() / own } else { f64::INFINITY },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::influence::{Drift, Influence, Options, estimate};
    use crate::run::by_hand::{ByHand, exactly, real};

    fn comparison(difference: Complex64, degrees: f64, coefficients: &[Complex64]) -> Comparison {
        Comparison {
            difference,
            variance: 1.0,
            degrees,
            coefficients: coefficients.to_vec(),
            limit: None,
            own: 1.0,
            moved: 10.0,
        }
    }

    fn agrees(comparisons: &[Comparison], placement: &[f64]) -> bool {
        tested(comparisons, placement) == Agreement::Agrees
    }

    // One difference: |d|²/(2·(1 + |a|²·p)) against F with 2 and 2n degrees of freedom at 0.001, in closed form
    // n·(0.001^(−1/n) − 1), 14.905 for n = 5 (printed tables: 14.91); −ln 0.001 where the noise is exactly known.
    #[test]
    fn a_difference_is_compared_with_what_chance_shows_once_in_a_thousand() {
        for (degrees, quantile) in
            [(5.0, 5.0 * (0.001_f64.powf(-0.2) - 1.0)), (f64::INFINITY, -(0.001_f64.ln()))]
        {
            let limit = (2.0 * (1.0 + 4.0 * 0.25) * quantile).sqrt();
            let own = |size: f64| [comparison(Complex64::new(0.0, size), degrees, &[real(2.0)])];
            assert!(agrees(&own(limit * 0.999), &[0.25]), "{degrees}");
            assert_eq!(tested(&own(limit * 1.001), &[0.25]), Agreement::Disagrees, "{degrees}");
        }
        assert_eq!(tested(&[], &[0.25]), Agreement::NotJudged);
    }

    // Two sensors that answer 1 and i: placing makes the covariance [[2, −i], [i, 2]]. The difference (d, i·d), which one
    // misplaced mass makes, has the distance 2d²/3, (d, −i·d) has 2d². Over 4, against F(4, 10) at 0.001: 11.28 (printed
    // tables). The fewest degrees of freedom count.
    #[test]
    fn sensors_that_one_misplaced_mass_turns_together_may_differ_by_more() {
        let pair = |size: f64, other: Complex64| {
            [comparison(real(size), 5.0, &[real(1.0)]), comparison(other * size, 50.0, &[Complex64::I])]
        };
        for (other, limit) in
            [(Complex64::I, (11.28 * 4.0 * 1.5_f64).sqrt()), (-Complex64::I, (11.28 * 4.0 / 2.0_f64).sqrt())]
        {
            assert!(agrees(&pair(limit * 0.995, other), &[1.0]), "{other}");
            assert!(!agrees(&pair(limit * 1.005, other), &[1.0]), "{other}");
        }
    }

    fn of(runs: ByHand, drift: Drift) -> Influence {
        estimate(&runs.set(), &Options { drift, prior: None }).unwrap()
    }

    /// Initial run 10, a trial of 2 adds 6: three a gram. Noise 0.1 in each component.
    fn trials() -> ByHand {
        ByHand::new(1, 1, exactly(0.1)).run(RunKind::Initial, &[], &[real(10.0)]).run(
            RunKind::Trial,
            &[real(2.0)],
            &[real(16.0)],
        )
    }

    // A check with −4: the forecast 10 − 2·(16 − 10) has the variance 3² + 2² times that of a reading, the check one more:
    // |d|² up to 2·6.9078·14·0.1².
    #[test]
    fn a_check_is_compared_with_its_forecast() {
        let limit = (2.0 * -(0.001_f64.ln()) * 14.0 * 0.01).sqrt();
        let agreement = |off: f64| {
            let check = Complex64::new(-2.0, off);
            of(trials().run(RunKind::Check, &[real(-4.0)], &[check]), Drift::Ignored).groups[0].blocks[0]
                .agreement
        };
        assert_eq!(agreement(limit * 0.999), Agreement::Agrees);
        assert_eq!(agreement(-limit * 0.999), Agreement::Agrees);
        assert_eq!(agreement(limit * 1.001), Agreement::Disagrees);
    }

    #[test]
    fn consecutive_rows_with_the_same_masses_are_one_block() {
        let check = |runs: ByHand, load: f64| runs.run(RunKind::Check, &[real(load)], &[real(1.0)]);
        let tried = trials().run(RunKind::Tried, &[real(-2.0)], &[real(1.0)]);
        let set = [-2.0, -2.0, -3.0, -2.0].into_iter().fold(tried, check).set();
        assert_eq!(blocks(&set, 0), [vec![2], vec![3, 4], vec![5], vec![6]]);
        assert!(blocks(&set, 1).is_empty());
    }

    /// Readings drift by 0.5 a minute; the first check mass is written as −1 and was −3, so the first check disagrees;
    /// `more` is what the second adds to the first (as written).
    fn slipped(more: f64, moved: f64) -> Influence {
        let drift = |minute: f64| real(0.5 * minute);
        let runs = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .at_minute(0.0)
            .run(RunKind::Trial, &[real(2.0)], &[real(16.0) + drift(8.0)])
            .at_minute(8.0)
            .run(RunKind::Initial, &[], &[real(10.0) + drift(20.0)])
            .at_minute(20.0)
            .run(RunKind::Check, &[real(-1.0)], &[real(1.0) + drift(24.0)])
            .at_minute(24.0)
            .run(RunKind::Check, &[real(-1.0 + more)], &[real(1.0 + moved) + drift(38.0)])
            .at_minute(38.0);
        of(runs, Drift::Fitted)
    }

    #[test]
    fn a_last_change_that_shows_as_forecast_ends_the_doubt() {
        let influence = slipped(2.0, 6.0);
        let group = &influence.groups[0];
        assert!(group.drift_measured && group.disagrees());
        assert!(group.last_change_fits && !group.in_doubt());
    }

    #[test]
    fn a_last_change_that_shows_otherwise_or_hardly_at_all_ends_no_doubt() {
        // A gram less than written.
        assert!(slipped(2.0, 3.0).groups[0].in_doubt());
        // Below four standard deviations of the change of a reading, √2·0.1, so a change of up to 0.1886.
        assert!(slipped(0.15, 0.45).groups[0].in_doubt());
        assert!(!slipped(0.7, 2.1).groups[0].in_doubt());
    }

    #[test]
    fn a_plane_that_was_not_changed_is_not_proved() {
        let moved = |coefficients: [f64; 2]| [comparison(real(0.0), 5.0, &coefficients.map(real))];
        let loads = [real(2.0), real(0.0)];
        assert!(!proves_every_plane(&moved([3.0, 1.0]), &loads));
        assert!(proves_every_plane(&moved([3.0, 0.0]), &loads), "no sensor responds to the other");
        assert!(proves_every_plane(&moved([3.0, 1.0]), &[real(2.0), real(5.0)]));
        // 4 deviations of 1: a coefficient of 2 on a load of 2 is not more.
        assert!(!proves_every_plane(&moved([2.0, 0.0]), &loads));
        assert!(proves_every_plane(&moved([2.01, 0.0]), &loads));
        let hardly = [Comparison { moved: 4.0, ..comparison(real(0.0), 5.0, &[real(3.0), real(0.0)]) }];
        assert!(!proves_every_plane(&hardly, &loads));
        assert!(!proves_every_plane(&[], &loads));
    }
}
