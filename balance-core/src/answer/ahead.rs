//! What to expect: forecasts, never verdicts.

use num_complex::Complex64;

use super::limits::Limits;
use super::weights::{Beads, added, placing};
use crate::chance::Rice;
use crate::correction::weights::WeightPlan;
use crate::correction::{CIRCLE_95, Correction, Forecast, forecast};
use crate::grade::{PlaneLimit, sure_reading};
use crate::influence::{Influence, System, Which};
use crate::linear::CMatrix;
use crate::quantity::Speed;
use crate::run::RunSet;
use crate::shaft::PlaneId;

/// What should be left at a tolerance plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftAfter {
    /// Amount in g·mm.
    pub amount: f64,
    /// Radius of its 95 % circle; `None`: no figure for the noise.
    pub circle: Option<f64>,
}

/// The limit is certain to be met when this and all the other readings are under these amounts.
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

/// What the weights, or the ideal masses, are expected to do: a forecast, never a verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// What the sensors will show once everything is welded.
    pub welded: Vec<Forecast>,
    /// The same under clamps, before any bead.
    pub held: Vec<Forecast>,
    /// What should be left at each tolerance plane after welding; `None` without limits.
    pub left_after: Option<Vec<LeftAfter>>,
    /// At least this chance of meeting every limit after welding; `None`: no limits, or no figure for the noise.
    pub chance: Option<f64>,
}

impl Ahead {
    /// What the sensors will show and what will be left, with the plan's weights or, without a plan, the ideal masses.
    pub(super) fn new(
        set: &RunSet,
        influence: &Influence,
        correction: &Correction,
        plan: Option<&WeightPlan>,
        limits: Option<&Limits>,
    ) -> Self {
        let ideal: Vec<Complex64> = correction.planes.iter().map(|plane| plane.add.vector()).collect();
        let (welded, held, left, placed) = match plan {
            None => {
                let placing =
                    |(at, load): (PlaneId, &Complex64)| set.setup().placing_variance(at, load.norm());
                let placed = PlaneId::numbered(&ideal).map(placing).collect();
                let forecasts = correction.forecasts.clone();
                (forecasts.clone(), forecasts, vec![Complex64::ZERO; ideal.len()], placed)
            }
            Some(plan) => {
                let placed = placing(set, plan);
                let on = added(plan, Beads::On);
                let left = on.iter().zip(&ideal).map(|(on, ideal)| on - ideal).collect();
                let held = forecast(set, influence, &added(plan, Beads::None), &placed);
                (forecast(set, influence, &on, &placed), held, left, placed)
            }
        };
        let left_after = limits.map(|limits| left_after(limits, correction, &left, &placed));
        let chance = limits.zip(left_after.as_ref()).and_then(|(limits, after)| chance(limits, after));
        Self { welded, held, left_after, chance }
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

/// At least this chance that what is left after the correction is within every limit; `None`: no figure for
/// the noise.
///
/// The amount at each place follows the law of Rice; 1 − Σ(1 − P) holds however the places are correlated.
fn chance(limits: &Limits, after: &[LeftAfter]) -> Option<f64> {
    let miss = |(limit, after): (&PlaneLimit, &LeftAfter)| {
        let law = Rice::new(after.amount, after.circle? / CIRCLE_95)?;
        Some(law.beyond(limit.amount.gram_millimetres()))
    };
    let misses: Option<Vec<f64>> = limits.planes.iter().zip(after).map(miss).collect();
    Some((1.0 - misses?.iter().sum::<f64>()).max(0.0))
}

/// The readings under which every limit is certain to be met, at the highest speed.
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
