//! The steps of a dial: the smallest differences that readings can show.
//!
//! Two readings on one step of the dial are equal, however often they are repeated: the step is a lower bound
//! on the uncertainty of a reading.

use super::{Run, SensorReading, Setup};
use crate::quantity::Angle;
use crate::shaft::SensorId;

/// This many values of a column are needed before their common divisor shows the dial's step [derived here:
/// values with a finer last digit all divide by twice that digit once in 2⁸ columns, by five times it once in
/// 5⁸].
const FEWEST_VALUES: usize = 8;
/// Steps that dials have: these times a power of ten.
const STEPS: [f64; 3] = [5.0, 2.0, 1.0];
/// Phase dials also have these, in degrees.
const PHASE_STEPS: [f64; 2] = [30.0, 15.0];

/// The smallest difference a sensor's readings can show.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct DialStep {
    /// Of the amplitude, in the sensor's unit; `None`: not known.
    pub amplitude: Option<f64>,
    /// Of the phase; `None`: not known.
    pub phase: Option<Angle>,
}

impl DialStep {
    /// Variance per component from reading a dial with these steps at an amplitude, in the sensor's unit
    /// squared; `None` if neither step is known.
    ///
    /// # Method
    ///
    /// (q² + (|v|·q_φ)²)/24: a value rounded to steps of q is off by q²/12 in one direction (the law of the
    /// uniform distribution), shared between two components.
    ///
    /// ```
    /// use balance_core::run::DialStep;
    /// let half = DialStep { amplitude: Some(0.5), phase: None };
    /// assert!((half.variance(3.0).unwrap() - 0.25 / 24.0).abs() < 1e-15);
    /// assert_eq!(DialStep::default().variance(3.0), None);
    /// ```
    #[must_use]
    pub fn variance(self, amplitude: f64) -> Option<f64> {
        if self.amplitude.is_none() && self.phase.is_none() {
            return None;
        }
        let across = amplitude * self.phase.map_or(0.0, Angle::radians);
        Some((self.amplitude.unwrap_or(0.0).powi(2) + across.powi(2)) / 24.0)
    }

    /// The coarser of each.
    fn at_least(self, other: Self) -> Self {
        let phase = |one: Angle, other: Angle| if other.degrees() > one.degrees() { other } else { one };
        Self {
            amplitude: self.amplitude.into_iter().chain(other.amplitude).reduce(f64::max),
            phase: self.phase.into_iter().chain(other.phase).reduce(phase),
        }
    }

    fn or(self, other: Self) -> Self {
        Self { amplitude: self.amplitude.or(other.amplitude), phase: self.phase.or(other.phase) }
    }
}

/// The steps of each sensor's dial.
///
/// # Method
///
/// The stated step; otherwise the coarsest of 1, 2, 5·10^k (for a phase also 15 and 30) that divides all
/// values of the column, if it has at least eight; otherwise the same for all columns in that unit together;
/// otherwise the digits as typed; but no finer than the dials were proved to be.
pub(super) fn steps(setup: &Setup, runs: &[Run]) -> Vec<DialStep> {
    let columns: Vec<Column> = setup.sensor_ids().map(|sensor| Column::of(runs, sensor)).collect();
    let of_unit = |unit: &str| {
        let mut all = Column::default();
        let same = columns.iter().zip(&setup.sensors).filter(|(_, other)| other.unit == unit);
        same.for_each(|(column, _)| all.take(column));
        all.step()
    };
    let of_sensor = |(sensor, column): (SensorId, &Column)| {
        let typed = setup.noise.typed.get(sensor.index()).copied().unwrap_or_default();
        let seen = column.step().or(of_unit(&setup.sensors[sensor].unit)).or(typed);
        setup.noise.step.or(seen.at_least(setup.noise.proved_step))
    };
    SensorId::numbered(&columns).map(of_sensor).collect()
}

/// The numbers read at one sensor.
#[derive(Default)]
struct Column {
    amplitudes: Vec<f64>,
    degrees: Vec<f64>,
}

impl Column {
    fn of(runs: &[Run], sensor: SensorId) -> Self {
        let mut column = Self::default();
        for run in runs {
            // A reading that states its own uncertainty comes from a recording: no dial was read.
            let by_dial = run.uncertainty(sensor).is_none();
            match run.readings.get(sensor.index()).filter(|_| by_dial) {
                Some(SensorReading::Shown { amplitude, phase }) => {
                    column.amplitudes.push(*amplitude);
                    column.degrees.push(phase.degrees());
                }
                Some(SensorReading::Amplitude(amplitude)) => column.amplitudes.push(*amplitude),
                Some(SensorReading::Below(_) | SensorReading::NotRead) | None => {}
            }
        }
        column
    }

    fn take(&mut self, other: &Self) {
        self.amplitudes.extend(&other.amplitudes);
        self.degrees.extend(&other.degrees);
    }

    fn step(&self) -> DialStep {
        let phase = common_step(&self.degrees, &PHASE_STEPS).and_then(|step| Angle::from_degrees(step).ok());
        DialStep { amplitude: common_step(&self.amplitudes, &[]), phase }
    }
}

/// The coarsest step that divides all values; `None` if there are too few values, or no step does.
fn common_step(values: &[f64], more: &[f64]) -> Option<f64> {
    let told: Vec<f64> = values.iter().map(|value| value.abs()).filter(|value| *value > 0.0).collect();
    if values.len() < FEWEST_VALUES || told.is_empty() {
        return None;
    }
    let largest = told.iter().fold(0.0_f64, |most, value| most.max(*value));
    let decade = largest.log10().floor();
    if !decade.is_finite() {
        return None;
    }
    // No dial has steps six decades below the largest value: such numbers are computed.
    let powers = (0..=6).map(|down| 10_f64.powf(decade - f64::from(down)));
    let mut steps: Vec<f64> =
        powers.flat_map(|power| STEPS.map(|step| step * power)).chain(more.iter().copied()).collect();
    steps.sort_by(|one, other| other.total_cmp(one));
    steps.into_iter().find(|step| told.iter().all(|value| divides(*step, *value)))
}

/// Whether a value is a whole number of steps, up to the rounding of typed decimals in binary numbers.
fn divides(step: f64, value: f64) -> bool {
    let count = value / step;
    (count - count.round()).abs() <= 1e-12 * count.max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_coarsest_step_that_divides_all_is_found() {
        let halves = [0.5, 1.5, 2.0, 2.5, 0.0, 4.0, 4.5, 3.0];
        assert_eq!(common_step(&halves, &[]), Some(0.5));
        let fine = [0.51, 1.5, 2.0, 2.5, 0.0, 4.0, 4.5, 3.0];
        assert!((common_step(&fine, &[]).unwrap() - 0.01).abs() < 1e-12);
        let phases = [30.0, 60.0, 270.0, 0.0, 90.0, 330.0, 120.0, 210.0];
        assert_eq!(common_step(&phases, &PHASE_STEPS), Some(30.0));
        let phases = [45.0, 60.0, 270.0, 0.0, 90.0, 330.0, 120.0, 210.0];
        assert_eq!(common_step(&phases, &PHASE_STEPS), Some(15.0));
    }

    #[test]
    fn seven_values_or_computed_numbers_say_nothing() {
        assert_eq!(common_step(&[1.0; 7], &[]), None);
        let computed: Vec<f64> = (1..9).map(|n| f64::from(n).sqrt() + 0.123_456_789).collect();
        assert_eq!(common_step(&computed, &[]), None);
        assert_eq!(common_step(&[0.0; 9], &[]), None);
    }

    // A finer dial never claims less than a coarser one.
    #[test]
    fn a_finer_step_never_widens() {
        let step = |amplitude: f64, degrees: f64| DialStep {
            amplitude: Some(amplitude),
            phase: Some(Angle::from_degrees(degrees).unwrap()),
        };
        for (coarse, fine) in [(step(0.5, 10.0), step(0.2, 10.0)), (step(0.5, 10.0), step(0.5, 1.0))] {
            assert!(fine.variance(3.0) < coarse.variance(3.0));
        }
    }
}
