//! What the sensors show of a state of the shaft: as measured, or as fitted.

use num_complex::Complex64;

use super::estimate::{GroupInfluence, Influence};
use super::fit::{SensorFit, Variance};
use crate::linear::CVector;
use crate::run::RunSet;
use crate::shaft::SensorId;

/// Which state of the shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// After the last check run; before any check run, as found.
    Now,
    /// The shaft as found, from the initial runs.
    AsFound,
}

/// One sensor's reading of a state, and how it was obtained from the runs.
#[derive(Debug, Clone)]
pub struct SensorState {
    /// Which sensor.
    pub sensor: SensorId,
    /// The reading, averaged within mountings and then over them.
    pub reading: Complex64,
    /// Readings in the individual mountings, where measured.
    pub by_mounting: Vec<(String, Complex64)>,
    /// How many readings the mean is taken over; zero where it is fitted, not measured.
    pub measured: usize,
    direct: CVector,
    columns: CVector,
    /// Whether some of those readings were below what the dial shows.
    pub below: bool,
}

impl SensorState {
    /// How far the reading after adding `loads` can be off because readings were below what the dial shows, in the
    /// sensor's unit: a bound that no repeat makes smaller.
    #[must_use]
    pub fn below_bound(&self, fit: &SensorFit, loads: &[Complex64]) -> f64 {
        fit.below_bound(&self.direct, &(&self.columns + fit.load_columns(loads)))
    }

    /// Variance per component of this reading after adding `loads`; `None` without a figure for the noise.
    #[must_use]
    pub fn variance_after(&self, fit: &SensorFit, loads: &[Complex64]) -> Option<Variance> {
        fit.variance(&self.direct, &(&self.columns + fit.load_columns(loads)))
    }
}

/// A state of the shaft at one speed.
#[derive(Debug, Clone)]
pub struct State {
    /// The sensors with a fit, in order.
    pub sensors: Vec<SensorState>,
}

impl State {
    /// The state at one speed.
    #[must_use]
    pub fn of(set: &RunSet, influence: &Influence, group: usize, which: Which) -> Self {
        let measured = match which {
            Which::Now => set.last_check_block(),
            Which::AsFound => set.initial_block(),
        };
        let at_speed: Vec<usize> =
            measured.iter().copied().filter(|&row| set.rows()[row].group == group).collect();
        let loads = measured.first().map_or_else(
            || vec![Complex64::ZERO; set.setup().planes.len()],
            |&row| set.rows()[row].loads.clone(),
        );
        let own = &influence.groups[group];
        let sensors = own
            .fits()
            .map(|(sensor, fit)| {
                mean_reading(set, own, fit, sensor, &at_speed)
                    .unwrap_or_else(|| fitted(set, own, fit, sensor, &loads))
            })
            .collect();
        Self { sensors }
    }
}

/// Mean of the readings measured in these rows, less the measured drift; `None` if the sensor was read in
/// none of them.
fn mean_reading(
    set: &RunSet,
    group: &GroupInfluence,
    fit: &SensorFit,
    sensor: SensorId,
    rows: &[usize],
) -> Option<SensorState> {
    let mut mountings: Vec<(String, Vec<usize>)> = Vec::new();
    for (at, row) in fit.rows.iter().enumerate().filter(|(_, row)| rows.contains(row)) {
        let mounting = &set.rows()[*row].run.mounting;
        match mountings.iter_mut().find(|(name, _)| name == mounting) {
            Some((_, members)) => members.push(at),
            None => mountings.push((mounting.clone(), vec![at])),
        }
    }
    if mountings.is_empty() {
        return None;
    }
    let drift = fit.layout.drift_column();
    let per_tick = drift.map_or(Complex64::ZERO, |column| fit.estimate[column]);
    let reading = |at: usize| {
        let row = fit.rows[at];
        let read =
            set.rows()[row].observed[sensor].map_or(Complex64::ZERO, |observed| observed.reading.vector());
        read - per_tick * group.clock[row]
    };
    let mut direct = CVector::zeros(fit.rows.len());
    let mut by_mounting = Vec::new();
    for (name, members) in &mountings {
        let share = 1.0 / (mountings.len() * members.len()) as f64;
        members.iter().for_each(|&at| direct[at] = share.into());
        let sum: Complex64 = members.iter().map(|&at| reading(at)).sum();
        by_mounting.push((name.clone(), sum / members.len() as f64));
    }
    let mean = by_mounting.iter().map(|(_, value)| value).sum::<Complex64>() / by_mounting.len() as f64;
    let measured = mountings.iter().map(|(_, members)| members.len()).sum();
    let mut columns = CVector::zeros(fit.layout.columns());
    if let Some(drift) = drift {
        let ticks: Complex64 =
            direct.iter().zip(&fit.rows).map(|(share, &row)| share * group.clock[row]).sum();
        columns[drift] = -ticks;
    }
    let below = mountings.iter().flat_map(|(_, members)| members).any(|&at| fit.limit_below(at).is_some());
    Some(SensorState { sensor, reading: mean, by_mounting, measured, direct, columns, below })
}

/// The fitted baseline (mean over the mountings, drift taken to the last row) with these loads on.
fn fitted(
    set: &RunSet,
    group: &GroupInfluence,
    fit: &SensorFit,
    sensor: SensorId,
    loads: &[Complex64],
) -> SensorState {
    let mut columns = fit.load_columns(loads);
    let mountings = fit.layout.mountings.len();
    for mounting in 0..mountings {
        columns[mounting] = (1.0 / mountings as f64).into();
    }
    if let Some(drift) = fit.layout.drift_column() {
        let last = fit.rows.last().map_or(0.0, |&row| group.clock[row.min(set.rows().len() - 1)]);
        columns[drift] = last.into();
    }
    let known_effect = if fit.coefficients_given() { fit.effect(loads) } else { Complex64::ZERO };
    let reading =
        columns.iter().zip(fit.estimate.iter()).map(|(weight, value)| weight * value).sum::<Complex64>();
    SensorState {
        sensor,
        reading: reading + known_effect,
        by_mounting: Vec::new(),
        measured: 0,
        direct: CVector::zeros(fit.rows.len()),
        columns,
        below: false,
    }
}
