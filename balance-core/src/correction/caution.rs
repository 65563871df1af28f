//! Cautions about a correction.

use num_complex::Complex64;

use super::convention_proof::convention;
use super::ideal::Correction;
use crate::caution::Caution;
use crate::influence::{Influence, System};
use crate::run::{Row, RunKind, RunSet};
use crate::shaft::PlaneId;

/// A trial should change some reading by a quarter, or turn it by 25° [common practice, no source].
const LEAST_CHANGE: f64 = 0.25;
const LEAST_TURN_DEGREES: f64 = 25.0;
/// First-order circles are valid while noise times |correction/trial| stays below this (simulated here,
/// 2026-11).
const LARGEST_SHARE: f64 = 0.25;
/// From this condition on small reading errors grow noticeably [common practice, no source].
const ALIKE: f64 = 5.0;
/// Speeds of one group further apart than this are worth mentioning [common practice, no source].
const SPEED_SPREAD: f64 = 0.005;
/// All cautions about a correction, in no particular order.
pub(super) fn cautions(
    set: &RunSet,
    influence: &Influence,
    system: &System<'_>,
    correction: &Correction,
) -> Vec<Caution> {
    let mut found = Vec::new();
    shape(set, system, correction, &mut found);
    speeds(set, &mut found);
    for trial in small_trials(set, influence) {
        found.push(trial);
    }
    convention(set, influence, correction, &mut found);
    repeated(set, &mut found);
    if correction.planes.iter().any(|plane| plane.give_or_take.is_none()) {
        found.push(Caution::NoiseUnknown);
    } else if uncertain_coefficients(system, correction) {
        found.push(Caution::TrialWeak);
    }
    found
}

fn shape(set: &RunSet, system: &System<'_>, correction: &Correction, found: &mut Vec<Caution>) {
    let (lines, planes) = system.shape();
    if lines < planes {
        found.push(Caution::FewerSensorsThanPlanes { readings: lines, planes });
    } else if correction.condition >= ALIKE {
        let names = correction
            .weak_direction
            .iter()
            .zip(&set.setup().planes)
            .filter(|(part, _)| part.norm() > 0.3)
            .map(|(_, plane)| plane.name.clone())
            .collect();
        found.push(Caution::PlanesActAlike { planes: names, factor: correction.condition });
    }
}

fn speeds(set: &RunSet, found: &mut Vec<Caution>) {
    for group in set.groups() {
        if let Some((low, high)) = group.range_rpm
            && high / low - 1.0 > SPEED_SPREAD
        {
            found.push(Caution::SpeedsDiffer { slowest_rpm: low, fastest_rpm: high });
        }
    }
}

/// Trials that hardly moved any needle.
fn small_trials(set: &RunSet, influence: &Influence) -> Vec<Caution> {
    let mut found = Vec::new();
    for row in set.rows().iter().filter(|row| row.run.kind == RunKind::Trial) {
        if !moved_a_needle(influence, row) {
            found.push(Caution::TrialTooSmall { run: row.run.label.clone() });
        }
    }
    found
}

fn moved_a_needle(influence: &Influence, row: &Row) -> bool {
    influence.groups[row.group].fits().any(|(sensor, fit)| {
        let Some(observed) = row.observed[sensor] else { return false };
        let reading = observed.reading.vector();
        let before = reading - fit.effect(&row.loads);
        let turn = (reading * before.conj()).arg().to_degrees().abs();
        (reading.norm() / before.norm() - 1.0).abs() >= LEAST_CHANGE || turn >= LEAST_TURN_DEGREES
    })
}

/// Whether coefficient errors dominate: noise of the trial's effect times correction over trial above a quarter.
fn uncertain_coefficients(system: &System<'_>, correction: &Correction) -> bool {
    let add: Vec<Complex64> = correction.planes.iter().map(|plane| plane.add.vector()).collect();
    system.lines.iter().any(|line| {
        let effects = line.fit.coefficients.iter().zip(&add).map(|(a, w)| (a * w).norm()).sum::<f64>();
        let spread: f64 = PlaneId::numbered(&add)
            .filter_map(|(plane, w)| Some(2.0 * line.fit.coefficient_variance(plane)? * w.norm_sqr()))
            .sum::<f64>()
            .sqrt();
        effects > 0.0 && spread / effects > LARGEST_SHARE
    })
}

/// The third correction in a row means that something else is wrong.
fn repeated(set: &RunSet, found: &mut Vec<Caution>) {
    let mut states: Vec<&[Complex64]> = Vec::new();
    for row in set
        .rows()
        .iter()
        .filter(|row| row.run.kind == RunKind::Check && row.loads.iter().any(|l| l.norm() > 0.0))
    {
        if !states.contains(&row.loads.as_slice()) {
            states.push(&row.loads);
        }
    }
    if states.len() >= 2 {
        found.push(Caution::ThirdCorrection);
    }
}

/// A correction many times the permissible: straighten or look for the cause first [common practice, no
/// source].
///
/// `permissible` is the total permissible residual in g·mm.
#[must_use]
pub fn far_above_permissible(correction: &Correction, permissible: f64) -> Option<Caution> {
    let total: f64 = correction.planes.iter().map(|plane| plane.add.gram_millimetres()).sum();
    let times = total / permissible;
    (permissible > 0.0 && times > 10.0).then_some(Caution::CorrectionManyTimesPermissible { times })
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_circle_factor_is_the_chi_squared_quantile() {
        let quantile = crate::chance::chi_squared_quantile(0.95, 2.0);
        assert!((super::super::CIRCLE_95 - quantile.sqrt()).abs() < 1e-9);
    }
}
