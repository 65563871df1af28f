//! What is to be expected: forecasts, never verdicts.

use balance_core::Complex64;
use balance_core::chance::Rice;
use balance_core::correction::weights::WeightPlan;
use balance_core::correction::{CIRCLE_95, Correction, Forecast, forecast};
use balance_core::grade::{PlaneLimit, sure_reading};
use balance_core::influence::{Influence, System, Which};
use balance_core::linear::CMatrix;
use balance_core::quantity::Speed;
use balance_core::run::RunSet;

use super::limits::Limits;
use super::weights::{Beads, added, placing};

/// What should be left at a tolerance plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftAfter {
    /// Amount in g·mm.
    pub amount: f64,
    /// Radius of its 95 % circle; `None`: no figure for the noise.
    pub circle: Option<f64>,
}

/// A reading under which, with all the others, the limit is surely met.
#[derive(Debug, Clone, PartialEq)]
pub struct SureReading {
    /// The sensor's name.
    pub sensor: String,
    /// Its unit.
    pub unit: String,
    /// The stand's speed.
    pub speed: Option<Speed>,
    /// The amplitude.
    pub amplitude: f64,
}

/// Everything expected.
pub(super) struct Ahead {
    pub welded: Vec<Forecast>,
    pub held: Vec<Forecast>,
    pub left_after: Option<Vec<LeftAfter>>,
}

/// What the sensors will show and what will be left, with the plan's weights or, without a plan, the ideal masses.
pub(super) fn ahead(
    set: &RunSet,
    influence: &Influence,
    correction: &Correction,
    plan: Option<&WeightPlan>,
    limits: Option<&Limits>,
) -> Ahead {
    let ideal: Vec<Complex64> = correction.planes.iter().map(|plane| plane.add.vector()).collect();
    let Some(plan) = plan else {
        let placed: Vec<f64> = ideal
            .iter()
            .enumerate()
            .map(|(at, load)| set.setup().placing_variance(at, load.norm()))
            .collect();
        let forecasts = correction.forecasts.clone();
        let left_after =
            limits.map(|limits| left_after(limits, correction, &vec![Complex64::ZERO; ideal.len()], &placed));
        return Ahead { held: forecasts.clone(), welded: forecasts, left_after };
    };
    let placed = placing(set, plan);
    let on = added(plan, Beads::On);
    let left: Vec<Complex64> = on.iter().zip(&ideal).map(|(on, ideal)| on - ideal).collect();
    Ahead {
        welded: forecast(set, influence, &on, &placed),
        held: forecast(set, influence, &added(plan, Beads::None), &placed),
        left_after: limits.map(|limits| left_after(limits, correction, &left, &placed)),
    }
}

/// What should be left, moved to where the limit holds, with the uncertainty of the correction and of placing it.
fn left_after(
    limits: &Limits,
    correction: &Correction,
    left: &[Complex64],
    placed: &[f64],
) -> Vec<LeftAfter> {
    let covariance = correction.covariance.as_ref().map(|found| {
        let placing = CMatrix::from_fn(found.nrows(), found.ncols(), |row, column| {
            if row == column { Complex64::from(placed[row] / 2.0) } else { Complex64::ZERO }
        });
        found + placing
    });
    let moved = covariance.and_then(|covariance| limits.transfer.covariance(&covariance));
    let circle = |plane: usize| {
        moved.as_ref().map(|m| CIRCLE_95 * correction.widening * m[(plane, plane)].re.max(0.0).sqrt())
    };
    let amounts = limits.transfer.moved(left);
    amounts
        .iter()
        .enumerate()
        .map(|(plane, u)| LeftAfter { amount: u.norm(), circle: circle(plane) })
        .collect()
}

/// At least this chance that what is left after the correction is within every limit; `None`: no figure for the noise.
///
/// The amount at each place follows the law of Rice; 1 − Σ(1 − P) holds whatever the places have in common.
pub(super) fn chance(limits: &Limits, after: &[LeftAfter]) -> Option<f64> {
    let miss = |(limit, after): (&PlaneLimit, &LeftAfter)| {
        let law = Rice::new(after.amount, after.circle? / CIRCLE_95)?;
        Some(law.beyond(limit.amount.gram_millimetres()))
    };
    let misses: Option<Vec<f64>> = limits.planes.iter().zip(after).map(miss).collect();
    Some((1.0 - misses?.iter().sum::<f64>()).max(0.0))
}

/// The readings under which every limit is surely met, at the highest speed.
#[must_use]
pub fn sure_readings(set: &RunSet, influence: &Influence, limits: &Limits) -> Option<Vec<SureReading>> {
    let rpm = |group: usize| set.groups()[group].speed.map_or(0.0, Speed::rpm);
    let group = (0..set.groups().len()).max_by(|&one, &other| rpm(one).total_cmp(&rpm(other)))?;
    let system = System::of(set, influence, &[group], Which::Now);
    let (lines, planes) = system.shape();
    if lines < planes {
        return None;
    }
    let moved = limits.transfer.times(system.inverse())?;
    let amounts: Vec<_> = limits.planes.iter().map(|plane| plane.amount).collect();
    let scales: Vec<f64> = system.lines.iter().map(|line| 1.0 / line.weight).collect();
    let amplitudes = sure_reading(&moved, &amounts, &scales)?;
    let named = system.lines.iter().zip(amplitudes).map(|(line, amplitude)| {
        let sensor = &set.setup().sensors[line.state.sensor];
        SureReading {
            sensor: sensor.name.clone(),
            unit: sensor.unit.clone(),
            speed: set.groups()[group].speed,
            amplitude,
        }
    });
    Some(named.collect())
}
