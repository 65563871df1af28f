//! Coefficients and correction of a job from its runs as entered, in 60 digits.

use balance_core::Complex64;
use balance_core::run::{Change, PhaseSense, PlacedMass, Run, RunKind, SensorReading, Setup};

use super::number::{Big, normal_solution, solve};
use crate::job::Job;

/// The answers in 60 digits.
#[derive(Debug, Clone)]
pub struct Reference {
    /// Sensor by sensor, plane by plane.
    pub coefficients: Vec<Vec<Big>>,
    /// The least-squares correction; the smallest where there are fewer sensors than planes.
    pub correction: Vec<Big>,
    /// What each sensor shows now.
    pub now: Vec<Big>,
}

impl Reference {
    /// What each sensor is expected to show with these loads on.
    #[must_use]
    pub fn expected_after(&self, loads: &[Complex64]) -> Vec<Big> {
        let one = |(row, now): (&Vec<Big>, &Big)| {
            row.iter().zip(loads).fold(now.clone(), |sum, (a, load)| &sum + &(a * &Big::from(*load)))
        };
        self.coefficients.iter().zip(&self.now).map(one).collect()
    }
}

/// Everything computed again from the input; `enters` says which rows contribute to the coefficients (that
/// choice is statistical and taken from the program).
///
/// # Panics
///
/// If the job cannot be a random job, because a reading is not shown.
#[must_use]
pub fn reference(job: &Job, enters: &[bool]) -> Reference {
    let planes = job.setup.planes.len();
    let loads = loads(&job.setup, &job.runs);
    let mut coefficients = Vec::new();
    let mut now = Vec::new();
    for sensor in 0..job.setup.sensors.len() {
        let readings: Vec<(f64, Big)> = job.runs.iter().map(|run| reading(&job.setup, run, sensor)).collect();
        let fit = fit(job, enters, &loads, &readings);
        now.push(measured_now(job, &readings).unwrap_or_else(|| fit.baseline.clone()));
        coefficients.push(fit.coefficients);
    }
    let correction: Vec<Big> =
        least_squares(&coefficients, &now, planes).iter().map(|u| &Big::zero() - u).collect();
    Reference { coefficients, correction, now }
}

struct Fit {
    /// Mean of the fitted baselines over the mountings.
    baseline: Big,
    coefficients: Vec<Big>,
}

/// Weighted normal equations of one sensor.
fn fit(job: &Job, enters: &[bool], loads: &[Vec<Big>], readings: &[(f64, Big)]) -> Fit {
    let largest = readings.iter().map(|(amplitude, _)| *amplitude).fold(0.0, f64::max);
    let rows: Vec<usize> = (0..job.runs.len()).filter(|&row| enters[row]).collect();
    let mut mountings: Vec<&str> = Vec::new();
    for &row in &rows {
        if !mountings.contains(&job.runs[row].mounting.as_str()) {
            mountings.push(&job.runs[row].mounting);
        }
    }
    let mut columns: Vec<Vec<Big>> = mountings
        .iter()
        .map(|name| rows.iter().map(|&row| Big::real(f64::from(job.runs[row].mounting == **name))).collect())
        .collect();
    let of_plane = |plane: usize| rows.iter().map(|&row| loads[row][plane].clone()).collect();
    columns.extend((0..job.setup.planes.len()).map(of_plane));
    // One over the variance, except for a common factor: rows scatter in proportion to the amplitude, none
    // less than a hundredth of the largest.
    let weight = |&row: &usize| {
        let inverse = Big::real(readings[row].0.max(largest / 100.0)).inverse();
        &inverse * &inverse
    };
    let weights: Vec<Big> = rows.iter().map(weight).collect();
    let right: Vec<Big> = rows.iter().map(|&row| readings[row].1.clone()).collect();
    let solution = normal_solution(&columns, &weights, &right);
    let share = Big::real(mountings.len() as f64).inverse();
    let baseline = solution[..mountings.len()].iter().fold(Big::zero(), |sum, one| &sum + &(one * &share));
    Fit { baseline, coefficients: solution[mountings.len()..].to_vec() }
}

/// Mean of the check readings within mountings, then over them; `None` before any check.
fn measured_now(job: &Job, readings: &[(f64, Big)]) -> Option<Big> {
    let checks: Vec<usize> =
        (0..job.runs.len()).filter(|&row| job.runs[row].kind == RunKind::Check).collect();
    let mut mountings: Vec<&str> = checks.iter().map(|&row| job.runs[row].mounting.as_str()).collect();
    mountings.sort_unstable();
    mountings.dedup();
    let mut mean = Big::zero();
    for name in &mountings {
        let own: Vec<usize> = checks.iter().copied().filter(|&row| job.runs[row].mounting == *name).collect();
        let share = Big::real((own.len() * mountings.len()) as f64).inverse();
        mean = own.iter().fold(mean, |sum, &row| &sum + &(&readings[row].1 * &share));
    }
    (!checks.is_empty()).then_some(mean)
}

/// The unbalances behind readings; the smallest, Aᴴ(AAᴴ)⁻¹v, where there are fewer sensors than planes.
fn least_squares(matrix: &[Vec<Big>], right: &[Big], planes: usize) -> Vec<Big> {
    let column = |plane: usize| matrix.iter().map(|row| row[plane].clone()).collect::<Vec<Big>>();
    if matrix.len() >= planes {
        let columns: Vec<Vec<Big>> = (0..planes).map(column).collect();
        return normal_solution(&columns, &vec![Big::real(1.0); matrix.len()], right);
    }
    let scalar = |one: &[Big], other: &[Big]| {
        one.iter().zip(other).fold(Big::zero(), |sum, (a, b)| &sum + &(a * &b.conj()))
    };
    let square = matrix.iter().map(|one| matrix.iter().map(|other| scalar(one, other)).collect()).collect();
    let sides = right.iter().map(|value| vec![value.clone()]).collect();
    let inner: Vec<Big> = solve(square, sides).into_iter().flatten().collect();
    let share = |plane: usize| {
        let terms = matrix.iter().zip(&inner);
        terms.fold(Big::zero(), |sum, (row, one)| &sum + &(&row[plane].conj() * one))
    };
    (0..planes).map(share).collect()
}

fn loads(setup: &Setup, runs: &[Run]) -> Vec<Vec<Big>> {
    let mut found: Vec<Vec<Big>> = Vec::new();
    for run in runs {
        let base = run
            .on_top_of
            .as_ref()
            .and_then(|base| runs.iter().position(|one| base.label() == Some(&one.label)));
        let mut loads = base.map_or_else(|| vec![Big::zero(); setup.planes.len()], |row| found[row].clone());
        for mass in &run.masses {
            loads[mass.plane] = &loads[mass.plane] + &vector(setup, run.kind, mass);
        }
        found.push(loads);
    }
    found
}

fn vector(setup: &Setup, kind: RunKind, mass: &PlacedMass) -> Big {
    let plane = &setup.planes[mass.plane];
    let trial = plane.trial_radius.filter(|_| kind == RunKind::Trial);
    let lever = plane.radius.map_or(1.0, |own| mass.radius.or(trial).unwrap_or(own).millimetres());
    let grams = &Big::real(mass.mass.grams()) + &Big::real(mass.bead.grams());
    let sign = if mass.change == Change::Added { 1.0 } else { -1.0 };
    &(&grams * &Big::real(sign * lever)) * &Big::at_degrees(mass.angle.degrees())
}

fn reading(setup: &Setup, run: &Run, sensor: usize) -> (f64, Big) {
    let SensorReading::Shown { amplitude, phase } = run.readings[sensor] else {
        unreachable!("random jobs show every reading")
    };
    let sign = if setup.convention.phase_sense() == PhaseSense::OppositeToMasses { -1.0 } else { 1.0 };
    (amplitude, &Big::real(amplitude) * &Big::at_degrees(sign * phase.degrees()))
}
