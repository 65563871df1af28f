//! Readings that are more likely wrong than the check run being where it is by chance.

use super::find::{NAMED_TOGETHER, agrees};
use super::hypothesis::{Amount, Hypothesis, ReadingSlip};
use super::score::score;
use crate::chance::chi_squared_quantile;
use crate::influence::{Influence, Options, estimate, joint_within_noise};
use crate::run::{RunSet, SensorReading};
use crate::shaft::SensorId;

/// −2 ln of the likelihood ratio from which a wrong reading is believed: e³ = 20, because about one reading
/// in twenty is wrong at a busy stand (our assumption).
const BELIEVED: f64 = 6.0;
/// Runs that agree as well as nineteen correct jobs in twenty are not examined.
const ORDINARY: f64 = 0.95;
/// What a reading really was when it was written down or taken wrongly: the decimal point, half or double (peak and
/// peak to peak), a quarter or half a turn.
const SLIPS: [ReadingSlip; 7] = [
    ReadingSlip::Amount(Amount::Tenfold),
    ReadingSlip::Amount(Amount::Tenth),
    ReadingSlip::Amount(Amount::Double),
    ReadingSlip::Amount(Amount::Half),
    ReadingSlip::Turned(90),
    ReadingSlip::Turned(-90),
    ReadingSlip::PhaseOpposite,
];

/// A reading that is more likely wrong than right.
#[derive(Debug, Clone)]
pub struct LikelierReading {
    /// Which, and how.
    pub slip: Hypothesis,
    /// Its row.
    pub row: usize,
    /// The runs as they should have been entered.
    pub set: RunSet,
    /// How the shaft responds then.
    pub influence: Influence,
}

/// Single readings that, if changed, make the runs fit at least twenty times better than as entered; of
/// those, the best and the ones named together with it. None where the runs fit as well as nineteen correct
/// jobs in twenty, and none without a stated figure for the noise, because then the misfit itself sets the
/// scatter.
///
/// The gate of a check run accuses at p = 0.001, whatever the cause. A known kind of slip is found much
/// sooner: of the shafts over their limit with one gross reading in twenty, the gate alone passed 1.3 %,
/// together with this 1.0 % (simulated here, 2026-11).
#[must_use]
pub fn likelier_readings(set: &RunSet, options: &Options<'_>) -> Vec<LikelierReading> {
    if !set.noise_stated() {
        return Vec::new();
    }
    let Some(plain) = joint_within_noise(set, options) else { return Vec::new() };
    let degrees = plain.degrees();
    if degrees <= 0.0 || plain.squares() <= chi_squared_quantile(ORDINARY, 2.0 * degrees) {
        return Vec::new();
    }
    let Some(as_entered) = score(None, set, set, options) else { return Vec::new() };
    let mut told: Vec<(f64, usize, Hypothesis, RunSet)> = every_slip(set)
        .filter_map(|(row, slip)| {
            let story = slip.applied_to_readings(set);
            let own = score(Some(&slip), set, &story, options)?;
            (as_entered - own >= BELIEVED).then_some((own, row, slip, story))
        })
        .collect();
    told.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut best = f64::INFINITY;
    let mut found = Vec::new();
    for (own, row, slip, set) in told {
        if own - best > NAMED_TOGETHER {
            break;
        }
        let Some(influence) = estimate(&set, options).ok().filter(agrees) else { continue };
        best = best.min(own);
        found.push(LikelierReading { slip, row, set, influence });
    }
    found
}

fn every_slip(set: &RunSet) -> impl Iterator<Item = (usize, Hypothesis)> {
    let shown = |row: usize, sensor: SensorId| {
        matches!(set.rows()[row].run.readings.get(sensor.index()), Some(SensorReading::Shown { .. }))
    };
    let sensors = set.setup().sensor_ids();
    let readings =
        (0..set.rows().len()).flat_map(move |row| sensors.clone().map(move |sensor| (row, sensor)));
    readings.filter(move |&(row, sensor)| shown(row, sensor)).flat_map(|(row, sensor)| {
        SLIPS.into_iter().map(move |slip| (row, Hypothesis::Reading { rows: [row, row], sensor, slip }))
    })
}
