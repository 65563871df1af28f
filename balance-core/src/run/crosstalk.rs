//! How much of one end's unbalance shows at the other, on a stand that shows unbalance itself.

use num_complex::Complex64;

use super::{Row, RunKind, RunSet};
use crate::shaft::{PlaneId, SensorId};

/// A load that is this small a part of what was put on counts as zero: it is rounding of the masses in the
/// file.
const ROUNDING: f64 = 1e-9;

/// For each sensor, and there for each plane, the share of an unbalance there that shows at the sensor as if
/// it were in the sensor's own plane; zero for its own plane and for sensors that show vibration.
///
/// # Method
///
/// Measured by trials: a known mass in one plane changes its own sensor by its full amount and another by a
/// share of it. Where no trial covers a pair, the largest share measured anywhere on the stand is used, or
/// the stated one ([`crate::shaft::Sensor::crosstalk`]) if it is larger.
#[must_use]
pub fn crosstalk(set: &RunSet) -> Vec<Vec<f64>> {
    let (sensors, planes) = (&set.setup().sensors, set.setup().planes.len());
    let mut measured: Vec<Vec<Option<f64>>> = vec![vec![None; planes]; sensors.len()];
    for (row, base, plane) in trials(set) {
        for (sensor, share) in shares(set, row, base, plane) {
            let entry = &mut measured[sensor][plane];
            *entry = Some(entry.map_or(share, |earlier: f64| earlier.max(share)));
        }
    }
    let anywhere = measured.iter().flatten().flatten().copied().fold(0.0, f64::max);
    let of_pair = |sensor: SensorId, plane: PlaneId| match sensors[sensor].shows.plane() {
        Some(own) if own != plane => {
            measured[sensor][plane].unwrap_or(anywhere).max(sensors[sensor].crosstalk.unwrap_or(0.0))
        }
        _ => 0.0,
    };
    let of_sensor = |sensor| set.setup().plane_ids().map(|plane| of_pair(sensor, plane)).collect();
    set.setup().sensor_ids().map(of_sensor).collect()
}

/// What the trials of these runs show: for each trial and each other sensor that shows unbalance, the share of what was
/// put on that shows there.
#[must_use]
pub fn measured_crosstalk(set: &RunSet) -> Vec<CrosstalkShare> {
    let of_trial = |(row, base, plane): (&Row, &Row, PlaneId)| {
        let share = |(sensor, share)| CrosstalkShare { sensor, plane, share };
        shares(set, row, base, plane).into_iter().map(share).collect::<Vec<_>>()
    };
    trials(set).into_iter().flat_map(of_trial).collect()
}

/// How much of a plane's unbalance a trial showed at another plane's sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrosstalkShare {
    /// The sensor.
    pub sensor: SensorId,
    /// The plane of the trial mass.
    pub plane: PlaneId,
    /// The share, 0 to 1.
    pub share: f64,
}

/// Every trial row with the preceding row that differs from it in only one plane, and that plane.
fn trials(set: &RunSet) -> Vec<(&Row, &Row, PlaneId)> {
    let rows = set.rows();
    let of_trial = |at: usize| {
        let base = rows[..at].iter().rfind(|row| {
            row.run.kind != RunKind::Trial
                && row.group == rows[at].group
                && row.run.mounting == rows[at].run.mounting
        })?;
        Some((&rows[at], base, only_change(&rows[at], base)?))
    };
    (0..rows.len()).filter(|&at| rows[at].run.kind == RunKind::Trial).filter_map(of_trial).collect()
}

fn only_change(row: &Row, base: &Row) -> Option<PlaneId> {
    let changes: Vec<f64> =
        row.loads.iter().zip(&base.loads).map(|(on, before)| (on - before).norm()).collect();
    let largest = changes.iter().copied().fold(0.0, f64::max);
    let changed: Vec<PlaneId> =
        PlaneId::all(changes.len()).filter(|&plane| changes[plane] > ROUNDING * largest).collect();
    match changed[..] {
        [only] => Some(only),
        _ => None,
    }
}

/// What each other sensor showed for a load in this plane, as a share of what the plane's own sensor showed.
fn shares(set: &RunSet, row: &Row, base: &Row, plane: PlaneId) -> Vec<(SensorId, f64)> {
    let sensors = &set.setup().sensors;
    let shown = |sensor: SensorId| -> Option<f64> {
        let read =
            |row: &Row| row.observed.get(sensor.index()).copied().flatten().map(|own| own.reading.vector());
        let change: Complex64 = read(row)? - read(base)?;
        Some(change.norm() * sensors[sensor].unbalance_per_unit)
    };
    let shows = |sensor: &SensorId| sensors[*sensor].shows.plane();
    let own = set.setup().sensor_ids().find(|sensor| shows(sensor) == Some(plane)).and_then(shown);
    let Some(own) = own.filter(|own| *own > 0.0) else { return Vec::new() };
    let others = set.setup().sensor_ids().filter(|sensor| shows(sensor).is_some_and(|shown| shown != plane));
    others.filter_map(|sensor| Some((sensor, shown(sensor)? / own))).collect()
}
