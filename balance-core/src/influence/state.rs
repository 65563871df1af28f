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
                    .unwrap_or_else(|| fitted(own, fit, sensor, &loads))
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
fn fitted(group: &GroupInfluence, fit: &SensorFit, sensor: SensorId, loads: &[Complex64]) -> SensorState {
    let mut columns = fit.load_columns(loads);
    let mountings = fit.layout.mountings.len();
    for mounting in 0..mountings {
        columns[mounting] = (1.0 / mountings as f64).into();
    }
    if let Some(drift) = fit.layout.drift_column() {
        let last = fit.rows.last().map_or(0.0, |&row| group.clock[row]);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::influence::{Drift, Options, estimate};
    use crate::quantity::Angle;
    use crate::run::by_hand::{ByHand, exactly, real};
    use crate::run::{RunKind, SensorReading};
    use crate::shaft::{PlaneId, Sensor, Shows};

    fn state(set: &RunSet, drift: Drift) -> State {
        let influence = estimate(set, &Options { drift, prior: None }).unwrap();
        State::of(set, &influence, 0, Which::Now)
    }

    fn shown(amplitude: f64) -> SensorReading {
        SensorReading::Shown { amplitude, phase: Angle::ZERO }
    }

    // Mounting a: the mean of 6.9 and 7.1; with b: the mean of 7 and 7.2. Its variance: 1/4 of 0.1²·(1/2 + 1).
    #[test]
    fn a_reading_is_averaged_within_mountings_and_then_over_them() {
        let check = |runs: ByHand, (mounting, reading): (&str, f64)| {
            runs.run(RunKind::Check, &[real(-1.0)], &[real(reading)]).in_mounting(mounting)
        };
        let trials = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .in_mounting("a")
            .run(RunKind::Trial, &[real(2.0)], &[real(16.0)])
            .in_mounting("a");
        let set = [("a", 6.9), ("b", 7.2), ("a", 7.1)].into_iter().fold(trials, check).set();
        let influence = estimate(&set, &Options::default()).unwrap();
        let state = State::of(&set, &influence, 0, Which::Now);
        let own = &state.sensors[0];
        assert!((own.reading - 7.1).norm() < 1e-12, "{own:?}");
        assert_eq!((own.measured, own.by_mounting.len()), (3, 2));
        let fit = influence.groups[0].sensors[0].as_ref().unwrap();
        let variance = own.variance_after(fit, &[real(0.0)]).unwrap();
        assert!((variance.total - 0.003_75).abs() < 1e-12 && variance.coefficients == 0.0, "{variance:?}");
    }

    // −2 g by the coefficient (16 − 10)/2 makes 4: of the readings as found and of the trial it takes 1 + 1 and −1 times.
    #[test]
    fn a_forecast_follows_every_reading_through_the_coefficients() {
        let set = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .run(RunKind::Trial, &[real(2.0)], &[real(16.0)])
            .set();
        let influence = estimate(&set, &Options::default()).unwrap();
        let state = State::of(&set, &influence, 0, Which::AsFound);
        let fit = influence.groups[0].sensors[0].as_ref().unwrap();
        let variance = state.sensors[0].variance_after(fit, &[real(-2.0)]).unwrap();
        for (found, wanted) in
            [(variance.total, 0.05), (variance.reading, 0.01), (variance.coefficients, 0.02)]
        {
            assert!((found - wanted).abs() < 1e-12, "{variance:?}");
        }
    }

    // The second sensor: 20 as found, (26 − 20)/2 a gram, so 20 − 3 with −1 g on; drift 0.5 a minute up to minute 12.
    #[test]
    fn a_sensor_not_read_in_the_check_shows_what_the_runs_before_forecast() {
        let run = |runs: ByHand, kind, load: f64, second: SensorReading, minute: f64| {
            let loads = if load == 0.0 { vec![] } else { vec![real(load)] };
            runs.shown(kind, &loads, vec![shown(10.0 + load + 0.5 * minute), second]).at_minute(minute)
        };
        let runs = ByHand::new(1, 2, exactly(0.1));
        let runs = run(runs, RunKind::Initial, 0.0, shown(20.0), 0.0);
        let runs = run(runs, RunKind::Trial, 2.0, shown(26.0 + 2.0), 4.0);
        let runs = run(runs, RunKind::Initial, 0.0, shown(20.0 + 6.0), 12.0);
        let set = run(runs, RunKind::Check, -1.0, SensorReading::NotRead, 16.0).set();
        let state = state(&set, Drift::Fitted);
        assert!((state.sensors[0].reading - 9.0).norm() < 1e-9, "{state:?}");
        assert!((state.sensors[1].reading - (17.0 + 6.0)).norm() < 1e-9, "{state:?}");
        assert_eq!(state.sensors[1].measured, 0);
    }

    // A stand that shows grams: 30 − 12 where −12 g·mm are on, 50 g·mm a unit makes 0.24 of it.
    #[test]
    fn a_stand_that_shows_unbalance_forecasts_by_what_was_put_on() {
        let mut runs = ByHand::new(2, 2, exactly(0.1));
        for (plane, unbalance_per_unit) in [(0, 1.0), (1, 50.0)] {
            let shows = Shows::Unbalance { plane: PlaneId::new(plane) };
            let sensor = Sensor::vibration(&format!("sensor {plane}"), "g");
            runs.setup.sensors[plane] = Sensor { shows, unbalance_per_unit, ..sensor };
        }
        let set = runs
            .shown(RunKind::Initial, &[], vec![shown(8.0), shown(30.0)])
            .shown(RunKind::Check, &[real(-3.0), real(-12.0)], vec![shown(5.0), SensorReading::NotRead])
            .set();
        let state = state(&set, Drift::Ignored);
        assert!((state.sensors[0].reading - 5.0).norm() < 1e-12, "{state:?}");
        assert!((state.sensors[1].reading - (30.0 - 0.24)).norm() < 1e-12, "{state:?}");
    }

    // Baselines 10 in a and 14 in b, three a gram.
    #[test]
    fn a_forecast_is_the_mean_over_the_mountings() {
        let set = ByHand::new(1, 1, exactly(0.1))
            .run(RunKind::Initial, &[], &[real(10.0)])
            .in_mounting("a")
            .run(RunKind::Trial, &[real(2.0)], &[real(16.0)])
            .in_mounting("a")
            .run(RunKind::Initial, &[], &[real(14.0)])
            .in_mounting("b")
            .set();
        assert!((state(&set, Drift::Ignored).sensors[0].reading - 12.0).norm() < 1e-12);
    }
}
