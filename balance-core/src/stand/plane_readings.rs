//! The readings of a test out of a shaft's runs.

use num_complex::Complex64;

use super::{IndexReading, MovedReading, Repeat, Shown};
use crate::influence::{Drift, InfluenceFault, Lines, Options, System, Which, estimate};
use crate::quantity::Reading;
use crate::run::{Row, RunKind, RunSet, SensorReading};
use crate::shaft::{PlaneId, SensorId, Shows};

/// What one plane's own sensor read with masses in that plane only, and without any.
///
/// # Units
///
/// Masses in g·mm; readings in g·mm from a sensor that shows unbalance, else in the sensor's unit.
///
/// # Method
///
/// The plane's own sensor is the one that shows the plane, else the one of its name, else the one of its number.
/// Readings of a sensor that shows where to add are turned by half a turn.
#[must_use]
pub fn plane_readings(set: &RunSet, plane: PlaneId) -> Vec<MovedReading> {
    let Some(sensor) = own_sensor(set, plane) else { return Vec::new() };
    let own = &set.setup().sensors[sensor];
    let sign = if matches!(own.shows, Shows::Correction { .. }) { -1.0 } else { 1.0 };
    let factor = if own.shows == Shows::Vibration { 1.0 } else { sign * own.unbalance_per_unit };
    let alone = |row: &&Row| {
        let others = PlaneId::numbered(&row.loads).filter(|(other, _)| *other != plane);
        row.run.kind != RunKind::Check && others.into_iter().all(|(_, load)| *load == Complex64::ZERO)
    };
    let read = |row: &Row| {
        let shown = match row.run.readings.get(sensor.index())? {
            SensorReading::Amplitude(amplitude) => Shown::Amplitude(amplitude * factor.abs()),
            SensorReading::Shown { .. } => {
                let reading = row.observed.get(sensor.index()).copied().flatten()?.reading;
                Shown::Vector(Reading::vector(reading) * factor)
            }
            SensorReading::Below(_) | SensorReading::NotRead => return None,
        };
        Some(MovedReading { mass: row.loads[plane], shown })
    };
    set.rows().iter().filter(alone).filter_map(read).collect()
}

/// Whether the plane's own sensor shows unbalance itself.
#[must_use]
pub fn shows_unbalance(set: &RunSet, plane: PlaneId) -> bool {
    own_sensor(set, plane).is_some_and(|sensor| set.setup().sensors[sensor].shows != Shows::Vibration)
}

fn own_sensor(set: &RunSet, plane: PlaneId) -> Option<SensorId> {
    let setup = set.setup();
    let name = setup.planes.get(plane.index()).map(|own| own.name.as_str());
    let shows = setup.sensor_ids().find(|&sensor| setup.sensors[sensor].shows.plane() == Some(plane));
    let named = || setup.sensor_ids().find(|&sensor| Some(setup.sensors[sensor].name.as_str()) == name);
    shows
        .or_else(named)
        .or_else(|| setup.sensor_ids().nth(plane.index()))
        .or_else(|| setup.sensor_ids().next())
}

/// Which mark turns with what the phases are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountedFrom {
    /// The zero mark is on the shaft and is turned with it in the fixture.
    Shaft,
    /// The zero mark is on the fixture, or on the stand's spindle.
    Fixture,
}

/// For each plane the readings of an index test, as unbalance in g·mm: every initial run, whose mounting says by how
/// many degrees the shaft was turned in its fixture.
///
/// # Errors
///
/// The runs do not show how the shaft responds, so that readings cannot be turned into unbalance.
pub fn index_readings(
    set: &RunSet,
    counted: CountedFrom,
) -> Result<Vec<Vec<IndexReading>>, Vec<InfluenceFault>> {
    let planes = unbalances(set, |row| turned_in_fixture(&row.run.mounting))?;
    let index = |(turned, unbalance): (f64, Complex64)| match counted {
        CountedFrom::Shaft => IndexReading::from_the_shaft(turned, unbalance),
        CountedFrom::Fixture => IndexReading { turned, reading: unbalance },
    };
    Ok(planes.into_iter().map(|own| own.into_iter().map(index).collect()).collect())
}

/// For each plane the unbalance that every initial run with a time shows, g·mm.
///
/// # Errors
///
/// As [`index_readings`].
pub fn drift_readings(set: &RunSet) -> Result<Vec<Vec<Repeat>>, Vec<InfluenceFault>> {
    let planes = unbalances(set, |row| row.run.minutes)?;
    let repeat = |(minutes, reading): (f64, Complex64)| Repeat { minutes, reading };
    Ok(planes.into_iter().map(|own| own.into_iter().map(repeat).collect()).collect())
}

/// For each sensor its reading in every initial run with a time, in its unit.
#[must_use]
pub fn sensor_repeats(set: &RunSet) -> Vec<Vec<Repeat>> {
    let initial = || set.rows().iter().filter(|row| row.run.kind == RunKind::Initial && row.group == 0);
    let of_sensor = |sensor: SensorId| {
        let read = |row: &Row| {
            let own =
                row.observed.get(sensor.index()).copied().flatten().filter(|own| own.below.is_none())?;
            Some(Repeat { minutes: row.run.minutes?, reading: own.reading.vector() })
        };
        initial().filter_map(read).collect()
    };
    set.setup().sensor_ids().map(of_sensor).collect()
}

/// For each plane what every initial run shows as unbalance, with a figure of the run; runs without it are left out.
fn unbalances(
    set: &RunSet,
    figure: impl Fn(&Row) -> Option<f64>,
) -> Result<Vec<Vec<(f64, Complex64)>>, Vec<InfluenceFault>> {
    let influence = estimate(set, &Options { drift: Drift::Ignored, prior: None })?;
    let system = System::with(set, &influence, &[0], Which::AsFound, Lines::Measured);
    let mut planes: Vec<Vec<(f64, Complex64)>> = vec![Vec::new(); set.setup().planes.len()];
    for row in set.rows().iter().filter(|row| row.run.kind == RunKind::Initial && row.group == 0) {
        let Some(figure) = figure(row) else { continue };
        let readings: Option<Vec<Complex64>> = system
            .lines
            .iter()
            .map(|line| {
                Some(row.observed.get(line.state.sensor.index()).copied().flatten()?.reading.vector())
            })
            .collect();
        let Some(readings) = readings else { continue };
        for (own, unbalance) in planes.iter_mut().zip(system.unbalance_of(&readings)) {
            own.push((figure, unbalance));
        }
    }
    Ok(planes)
}

/// "120", "120 deg": by how many degrees the shaft was turned in its fixture; `None`: the mounting has another name.
#[must_use]
pub fn turned_in_fixture(mounting: &str) -> Option<f64> {
    let number = mounting.trim().trim_end_matches('°').trim_end_matches("deg").trim();
    number.parse::<f64>().ok().filter(|degrees| degrees.is_finite())
}
