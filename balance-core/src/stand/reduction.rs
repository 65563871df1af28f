//! The unbalance reduction ratio (URR): how much of an unbalance one correction takes away.

use num_complex::Complex64;

use super::{MovedReading, Shown};
use crate::linear::{CMatrix, CVector, gain};

/// One reading of the test: a mass that stays and one that travels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReductionPoint {
    /// What was on: stationary and travelling mass together, g·mm.
    pub resultant: Complex64,
    /// What the stand showed for it, g·mm.
    pub shown: Complex64,
}

impl ReductionPoint {
    /// The share of the resultant by which the stand is off: what one correction by this reading would leave.
    #[must_use]
    pub fn left(self) -> f64 {
        (self.shown - self.resultant).norm() / self.resultant.norm()
    }
}

/// The test in one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct ReductionTest {
    /// Every reading.
    pub points: Vec<ReductionPoint>,
    /// The ratio of the worst reading, 0 to 1: below it no reading falls.
    pub reached: f64,
    /// Whether the stand's scale was found from the test itself, because it shows no unbalance.
    pub own_scale: bool,
}

impl ReductionTest {
    /// Whether every reading lies in its limit circle, of radius (1 − ratio) × resultant.
    #[must_use]
    pub fn passed(&self, ratio: f64) -> bool {
        self.points.iter().all(|point| point.left() <= 1.0 - ratio)
    }
}

/// Why a test does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReductionFault {
    /// Too few readings.
    #[error("{found} reading(s) with masses on; the test needs at least {needed}, and 11 are usual")]
    TooFewReadings {
        /// How many.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A reading has no phase.
    #[error("a reading without phase does not show where the unbalance is")]
    NoPhase,
    /// Masses that cancel, or readings that do not change.
    #[error("the masses cancel in one run, or the readings do not change with them")]
    NoResultant,
}

/// Fewest readings that count as a test.
const FEWEST: usize = 4;

/// Where the stand's scale comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StandScale {
    /// It shows the unbalance itself, g·mm.
    Shows,
    /// Found from the test: readings = offset + scale·unbalance by least squares.
    FromTest,
}

/// The unbalance reduction ratio of a stand in one plane, from a stationary and a travelling mass.
///
/// # Units
///
/// Masses in g·mm (their sum in each run); readings in g·mm, or in any unit where the scale is found from the test.
///
/// # Method
///
/// The reading of each run is compared with the resultant of the two masses: one correction by it would leave their
/// difference. Passed at a ratio if every reading lies in the circle of radius (1 − ratio) × resultant about the
/// resultant (ISO 21940-21 lets one reading a plane lie outside \[from memory\]; here none may).
///
/// # Errors
///
/// [`ReductionFault`].
pub fn reduction(readings: &[MovedReading], scale: StandScale) -> Result<ReductionTest, ReductionFault> {
    let vector = |own: &MovedReading| match own.shown {
        Shown::Vector(vector) => Ok(vector),
        Shown::Amplitude(_) => Err(ReductionFault::NoPhase),
    };
    let shown: Vec<Complex64> = readings.iter().map(vector).collect::<Result<_, _>>()?;
    let on = readings.iter().filter(|own| own.mass != Complex64::ZERO).count();
    if on < FEWEST {
        return Err(ReductionFault::TooFewReadings { found: on, needed: FEWEST });
    }
    let size = readings.iter().map(|own| own.mass.norm()).fold(0.0, f64::max);
    if readings.iter().any(|own| own.mass != Complex64::ZERO && own.mass.norm() < 1e-6 * size) {
        return Err(ReductionFault::NoResultant);
    }
    let as_unbalance = match scale {
        StandScale::Shows => shown,
        StandScale::FromTest => scaled(readings, &shown).ok_or(ReductionFault::NoResultant)?,
    };
    let points: Vec<ReductionPoint> = readings
        .iter()
        .zip(as_unbalance)
        .filter(|(own, _)| own.mass != Complex64::ZERO)
        .map(|(own, shown)| ReductionPoint { resultant: own.mass, shown })
        .collect();
    let worst = points.iter().map(|point| point.left()).fold(0.0, f64::max);
    Ok(ReductionTest { points, reached: (1.0 - worst).max(0.0), own_scale: scale == StandScale::FromTest })
}

/// Readings turned into unbalance by the scale and offset that fit the whole test best.
fn scaled(readings: &[MovedReading], shown: &[Complex64]) -> Option<Vec<Complex64>> {
    let size = readings.iter().map(|own| own.mass.norm()).fold(0.0, f64::max);
    let design = CMatrix::from_fn(readings.len(), 2, |row, column| {
        if column == 0 { Complex64::ONE } else { readings[row].mass / size }
    });
    let fitted = gain(&design)? * CVector::from_column_slice(shown);
    let (offset, scale) = (fitted[0], fitted[1] / size);
    let found: Vec<Complex64> = shown.iter().map(|own| (own - offset) / scale).collect();
    found.iter().all(|own| own.is_finite()).then_some(found)
}

/// The ratio of one correction: (U₁ − U₂)/U₁ with the unbalance before and after, in any one unit. Below zero where it
/// grew; `None` if there was nothing to take away.
///
/// ```
/// use balance_core::stand::single_run_ratio;
/// assert_eq!(single_run_ratio(1000.0, 50.0), Some(0.95));
/// assert_eq!(single_run_ratio(0.0, 50.0), None);
/// ```
#[must_use]
pub fn single_run_ratio(before: f64, after: f64) -> Option<f64> {
    (before > 0.0 && before.is_finite() && after.is_finite()).then(|| (before - after) / before)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn test(error: f64, scale: Complex64, offset: Complex64) -> Vec<MovedReading> {
        let stationary = Complex64::from(100.0);
        (1..12)
            .map(|at| {
                let mass = stationary + Complex64::from_polar(500.0, f64::from(at).to_radians() * 30.0);
                let wrong = mass * error * Complex64::cis(f64::from(at));
                MovedReading { mass, shown: Shown::Vector(offset + scale * (mass + wrong)) }
            })
            .collect()
    }

    #[test]
    fn the_worst_reading_sets_the_ratio() {
        let found = reduction(&test(0.04, Complex64::ONE, Complex64::ZERO), StandScale::Shows).unwrap();
        assert!((found.reached - 0.96).abs() < 1e-12 && found.passed(0.95) && !found.passed(0.97));
        assert!(!found.own_scale);
    }

    #[test]
    fn a_stand_that_shows_vibration_is_scaled_by_the_test_itself() {
        let readings = test(0.0, Complex64::from_polar(0.004, 2.0), Complex64::new(0.3, -0.2));
        let found = reduction(&readings, StandScale::FromTest).unwrap();
        assert!(found.reached > 1.0 - 1e-9 && found.own_scale);
    }

    #[test]
    fn what_is_no_test_is_refused() {
        let readings = test(0.0, Complex64::ONE, Complex64::ZERO);
        assert_eq!(
            reduction(&readings[..3], StandScale::Shows),
            Err(ReductionFault::TooFewReadings { found: 3, needed: 4 })
        );
        let mut amplitude = readings.clone();
        amplitude[0].shown = Shown::Amplitude(3.0);
        assert_eq!(reduction(&amplitude, StandScale::Shows), Err(ReductionFault::NoPhase));
        let same: Vec<MovedReading> =
            readings.iter().map(|own| MovedReading { mass: readings[0].mass, ..*own }).collect();
        assert_eq!(reduction(&same, StandScale::FromTest), Err(ReductionFault::NoResultant));
    }
}
