//! The ideal masses: least squares over all sensors and speeds.

use num_complex::Complex64;

use super::caution::cautions;
use crate::caution::Caution;
use crate::chance::{CIRCLE_95, circle_factor};
use crate::influence::{Influence, System, Which};
use crate::linear::{CMatrix, rows};
use crate::quantity::{Angle, Reading, Unbalance};
use crate::run::RunSet;
use crate::shaft::{PlaneId, SensorId};

/// What to add in one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneCorrection {
    /// The unbalance to add, g·mm (g where masses are compared at one radius).
    pub add: Unbalance,
    /// Radius of its 95 % circle in the same unit; `None`: no figure for the noise.
    pub give_or_take: Option<f64>,
}

impl PlaneCorrection {
    /// How far the angle may be off: the 95 % circle as seen from the centre; half a turn where it holds the centre.
    #[must_use]
    pub fn angle_give_or_take(&self) -> Option<Angle> {
        let share = self.give_or_take? / self.add.gram_millimetres();
        let degrees = if share < 1.0 { share.asin().to_degrees() } else { 180.0 };
        Angle::from_degrees(degrees).ok()
    }
}

/// What a sensor is expected to show.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Index of the speed group.
    pub group: usize,
    /// Which sensor.
    pub sensor: SensorId,
    /// What it shows now.
    pub now: Reading,
    /// What it is expected to show.
    pub expected: Reading,
    /// Radius of the 95 % circle about the true reading that is meant; `None`: no figure for the noise.
    pub circle: Option<f64>,
    /// The same with the next reading's own noise and the placing of the masses: where the needle may be.
    pub needle_circle: Option<f64>,
}

/// The ideal correction relative to the shaft as it is after the last check run (or as found).
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// One for each plane.
    pub planes: Vec<PlaneCorrection>,
    pub(crate) covariance: Option<CMatrix>,
    /// What widens a standard uncertainty for how well the noise is known.
    pub widening: f64,
    /// One for each sensor and speed.
    pub forecasts: Vec<Forecast>,
    /// Condition of the weighted influence matrix.
    pub condition: f64,
    /// The combination of plane unbalances that the sensors see least.
    pub weak_direction: Vec<Complex64>,
    /// The cautions.
    pub cautions: Vec<Caution>,
}

impl Correction {
    /// Covariance per component of what is to be added, planes × planes, (g·mm)²; `None`: no figure for the noise.
    #[must_use]
    pub fn covariance(&self) -> Option<Vec<Vec<Complex64>>> {
        self.covariance.as_ref().map(rows)
    }
}

/// Finds the masses that leave the smallest readings overall.
///
/// # Method
///
/// Minimises ‖W(v + A·w)‖ over all sensors and speeds by QR, with `v` the mean of the readings MEASURED in the last
/// check block (the fitted baseline before any check). Exact where there are as many sensors as planes; smallest
/// masses, with a caution, where there are fewer. First-order uncertainty: every reading is followed through the
/// coefficients into the answer, correlations included.
#[must_use]
pub fn correct(set: &RunSet, influence: &Influence) -> Correction {
    correct_beside(set, influence, &vec![Complex64::ZERO; set.setup().planes.len()], 0.0)
}

/// The same where some of the unbalance is none of the shaft's and stays: for each plane what turns with the fixture,
/// and the radius of its 95 % circle, g·mm.
#[must_use]
pub fn correct_beside(
    set: &RunSet,
    influence: &Influence,
    stays: &[Complex64],
    give_or_take: f64,
) -> Correction {
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    let system = System::of(set, influence, &groups, Which::Now);
    let Masses { add, planes, covariance, widening } = masses(&system, stays, give_or_take);
    let mut found = Correction {
        planes,
        covariance,
        widening,
        forecasts: forecast_of(set, &system, &add, &placing(set, &add)),
        condition: system.condition(),
        weak_direction: system.weak_direction(),
        cautions: influence.cautions.clone(),
    };
    found.cautions.extend(cautions(set, influence, &system, &found));
    found.cautions.sort_by_key(Caution::level);
    found
}

/// The planes of [`correct`] alone, without forecasts and cautions.
pub(super) fn planes_alone(set: &RunSet, influence: &Influence) -> Vec<PlaneCorrection> {
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    let system = System::of(set, influence, &groups, Which::Now);
    masses(&system, &vec![Complex64::ZERO; set.setup().planes.len()], 0.0).planes
}

/// The ideal masses and how well they are known.
struct Masses {
    add: Vec<Complex64>,
    planes: Vec<PlaneCorrection>,
    covariance: Option<CMatrix>,
    widening: f64,
}

fn masses(system: &System<'_>, stays: &[Complex64], give_or_take: f64) -> Masses {
    let add: Vec<Complex64> =
        system.unbalance().iter().zip(stays).map(|(unbalance, stays)| -(unbalance - stays)).collect();
    let of_fixture = (give_or_take / CIRCLE_95).powi(2);
    let variances = system.variances_after(&add);
    let covariance = variances
        .as_ref()
        .map(|lines| system.plane_covariance(&lines.iter().map(|line| line.total).collect::<Vec<f64>>()))
        .zip(system.turning_covariance(&add))
        .map(|(seen, turning)| seen + turning)
        .map(|found: CMatrix| {
            CMatrix::from_fn(found.nrows(), found.ncols(), |row, column| {
                found[(row, column)] + if row == column { of_fixture } else { 0.0 }
            })
        });
    let widening = circle_factor(system.degrees_of_freedom());
    let factor = CIRCLE_95 * widening;
    let planes = add
        .iter()
        .enumerate()
        .map(|(plane, &vector)| PlaneCorrection {
            add: Unbalance::from_vector(vector),
            give_or_take: covariance.as_ref().map(|c| factor * c[(plane, plane)].re.max(0.0).sqrt()),
        })
        .collect();
    Masses { add, planes, covariance, widening }
}

/// What the sensors are expected to show after adding these loads (one for each plane, g·mm), each with the complex
/// variance of placing it.
#[must_use]
pub fn forecast(set: &RunSet, influence: &Influence, add: &[Complex64], placed: &[f64]) -> Vec<Forecast> {
    let groups: Vec<usize> = (0..set.groups().len()).collect();
    forecast_of(set, &System::of(set, influence, &groups, Which::Now), add, placed)
}

fn forecast_of(set: &RunSet, system: &System<'_>, add: &[Complex64], placed: &[f64]) -> Vec<Forecast> {
    let variances = system.variances_after(add);
    let one = |(at, expected): (usize, Complex64)| {
        let line = &system.lines[at];
        let factor = CIRCLE_95 * circle_factor(line.fit.degrees_of_freedom);
        let own = variances.as_ref().map(|lines| lines[at].total);
        let placing: f64 =
            line.fit.coefficients.iter().zip(placed).map(|(a, v)| a.norm_sqr() * v / 2.0).sum();
        let next = line.fit.next_reading_variance(set, expected.norm());
        Forecast {
            group: line.group,
            sensor: line.state.sensor,
            now: Reading::from_vector(line.state.reading),
            expected: Reading::from_vector(expected),
            circle: own.map(|variance| factor * variance.sqrt()),
            needle_circle: own.zip(next).map(|(own, next)| factor * (own + next + placing).sqrt()),
        }
    };
    system.readings_after(add).into_iter().enumerate().map(one).collect()
}

/// Complex variance of putting each plane's load on as one mass at the plane's radius.
fn placing(set: &RunSet, add: &[Complex64]) -> Vec<f64> {
    PlaneId::numbered(add).map(|(plane, load)| set.setup().placing_variance(plane, load.norm())).collect()
}
