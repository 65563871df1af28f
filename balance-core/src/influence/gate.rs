//! The gate: a tried or check block speaks about the coefficients only if it agrees with the runs before it.
//!
//! One misplaced weight in the joint fit would make what is reported as left wrong several times over; with the
//! earlier coefficients it stays within a tenth (simulated here, 2026-11).

use num_complex::Complex64;

use super::estimate::GroupInfluence;
use crate::chance::f_quantile;
use crate::linear::{CMatrix, CVector, solve_square};
use crate::run::{RunKind, RunSet};

/// How one tried or check block stands to the runs before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Agreement {
    /// It agrees: it enters the coefficients.
    Agrees,
    /// It disagrees at p = 0.001: the earlier coefficients stand.
    Disagrees,
    /// There is no figure for the noise, or nothing to compare with: the earlier coefficients stand.
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
    let comparisons = comparisons(set, fitted, block);
    if comparisons.is_empty() {
        return Agreement::NotJudged;
    }
    let count = comparisons.len();
    let difference = CVector::from_iterator(count, comparisons.iter().map(|one| one.difference));
    let placement = &set.rows()[block[0]].load_variances;
    let covariance = CMatrix::from_fn(count, count, |one, other| {
        let (first, second) = (&comparisons[one], &comparisons[other]);
        let own = if one == other { first.variance } else { 0.0 };
        let shared: Complex64 = (0..placement.len())
            .map(|plane| {
                first.coefficients[plane] * second.coefficients[plane].conj() * (placement[plane] / 2.0)
            })
            .sum();
        shared + own
    });
    let Some(weighed) = solve_square(&covariance, &difference) else { return Agreement::NotJudged };
    let distance = difference.dotc(&weighed).re;
    let degrees = comparisons.iter().map(|one| one.degrees).fold(f64::INFINITY, f64::min);
    let limit = f_quantile(0.999, 2.0 * count as f64, 2.0 * degrees);
    if distance / (2.0 * count as f64) <= limit { Agreement::Agrees } else { Agreement::Disagrees }
}

/// One sensor in one mounting: measured mean of the block against the prediction.
struct Comparison {
    difference: Complex64,
    /// Per component.
    variance: f64,
    degrees: f64,
    coefficients: Vec<Complex64>,
}

fn comparisons(set: &RunSet, fitted: &GroupInfluence, block: &[usize]) -> Vec<Comparison> {
    let mut found = Vec::new();
    for (sensor, fit) in fitted.fits().filter(|(_, fit)| !fit.coefficients_given()) {
        for (baseline, mounting) in fit.layout.mountings.iter().enumerate() {
            let members: Vec<usize> = (0..fit.rows.len())
                .filter(|&at| {
                    block.contains(&fit.rows[at]) && set.rows()[fit.rows[at]].run.mounting == *mounting
                })
                .collect();
            if members.is_empty() {
                continue;
            }
            let share = 1.0 / members.len() as f64;
            let mut direct = CVector::zeros(fit.rows.len());
            let mut measured = Complex64::ZERO;
            for &at in &members {
                direct[at] = share.into();
                let observed = set.rows()[fit.rows[at]].observed[sensor];
                measured += observed.map_or(Complex64::ZERO, |o| o.reading.vector()) * share;
            }
            let loads = &set.rows()[block[0]].loads;
            let mut columns = -fit.load_columns(loads);
            columns[baseline] -= Complex64::new(1.0, 0.0);
            let predicted = -columns.iter().zip(fit.estimate.iter()).map(|(c, e)| c * e).sum::<Complex64>();
            if let Some(variance) = fit.variance(&direct, &columns) {
                found.push(Comparison {
                    difference: measured - predicted,
                    variance: variance.total,
                    degrees: fit.degrees_of_freedom,
                    coefficients: fit.coefficients.iter().copied().collect(),
                });
            }
        }
    }
    found
}
