//! One row a run: what was on the shaft and what the dials showed, read from the files that a record keeps.

use balance_core::Complex64;
use balance_core::quantity::{Angle, Speed};
use balance_core::run::{MassAngle, Row, RunSet, SensorReading};

use super::table::{Cell, RowForm, Table};
use super::{Archive, ArchiveFault, Record, Role};
use crate::files::job::{JOB_FILE, RUNS_FILE, SHOP_FILE};
use crate::files::problem::Source;
use crate::files::runs::RunsReader;
use crate::files::{JobFile, render_all};

/// A record whose runs cannot be read, and why.
pub type LeftOut = (i64, String);

const BEFORE: [&str; 12] = [
    "record",
    "made_at",
    "number",
    "shaft_type",
    "superseded",
    "place",
    "run",
    "kind",
    "speed_rpm",
    "mounting",
    "minutes",
    "unbalance_unit",
];
const OF_PLANE: [&str; 3] = ["", "_unbalance", "_angle_deg"];
const OF_SENSOR: [&str; 5] = ["", "_unit", "_amplitude", "_phase_deg", "_below"];

/// Hands over the rows of every record's runs, after the table's head: the columns are those of the shaft with the most
/// planes and of that with the most sensors. Returns the records that were left out.
///
/// # Errors
///
/// [`ArchiveFault`] if the archive cannot be read.
pub fn run_rows(
    archive: &dyn Archive,
    form: RowForm,
    take: &mut dyn FnMut(&str),
) -> Result<Vec<LeftOut>, ArchiveFault> {
    let (mut planes, mut sensors, mut last, mut left_out) = (0, 0, 0, Vec::new());
    archive.each(&mut |record| {
        last = record.line.id;
        match runs_of(&record) {
            Ok(set) => {
                planes = planes.max(set.setup().planes.len());
                sensors = sensors.max(set.setup().sensors.len());
            }
            Err(reason) => left_out.push((record.line.id, reason)),
        }
        Ok(())
    })?;
    let numbered = |what: &str, count: usize, parts: &[&str]| -> Vec<String> {
        (1..=count)
            .flat_map(|number| parts.iter().map(move |part| (number, part)))
            .map(|(number, part)| format!("{what}_{number}{part}"))
            .collect()
    };
    let columns = BEFORE.map(String::from).into_iter();
    let columns =
        columns.chain(numbered("plane", planes, &OF_PLANE)).chain(numbered("sensor", sensors, &OF_SENSOR));
    let table = Table { columns: columns.collect(), form };
    take(&table.head());
    archive.each(&mut |record| {
        // What another stand adds meanwhile may have more planes than there are columns.
        if let (Ok(set), true) = (runs_of(&record), record.line.id <= last) {
            for (place, row) in (1..).zip(set.rows()) {
                take(&table.row(&cells(&record, &set, place, row, planes)));
            }
        }
        Ok(())
    })?;
    Ok(left_out)
}

fn cells<'a>(record: &'a Record, set: &'a RunSet, place: i64, row: &'a Row, planes: usize) -> Vec<Cell<'a>> {
    let (line, setup, run) = (&record.line, set.setup(), &row.run);
    let in_one_unit = setup.planes.iter().all(|plane| plane.radius.is_some());
    let mut cells = vec![
        Cell::Integer(Some(line.id)),
        Cell::Text(&line.made_at),
        Cell::Text(&line.number),
        Cell::maybe(line.shaft_type.as_deref()),
        Cell::Flag(line.superseded_by.is_some()),
        Cell::Integer(Some(place)),
        Cell::Text(&run.label),
        Cell::Text(run.kind.word()),
        Cell::Number(run.speed.map(Speed::rpm)),
        Cell::Text(&run.mounting),
        Cell::Number(run.minutes),
        Cell::Text(if in_one_unit { "g.mm" } else { "g" }),
    ];
    for (plane, load) in setup.planes.iter().zip(&row.loads) {
        // As the job counts masses.
        let counted = match setup.convention.mass_angle {
            MassAngle::AgainstRotation => *load,
            MassAngle::WithRotation => load.conj(),
        };
        cells.extend([
            Cell::Text(&plane.name),
            Cell::Number(Some(counted.norm())),
            Cell::Number(degrees(counted)),
        ]);
    }
    let missing = OF_PLANE.len() * planes.saturating_sub(setup.planes.len());
    cells.extend(std::iter::repeat_n(Cell::Number(None), missing));
    for (sensor, reading) in setup.sensors.iter().zip(&run.readings) {
        let (amplitude, phase, below) = match *reading {
            SensorReading::NotRead => (None, None, None),
            SensorReading::Below(limit) => (None, None, Some(limit)),
            SensorReading::Amplitude(amplitude) => (Some(amplitude), None, None),
            SensorReading::Shown { amplitude, phase } => (Some(amplitude), Some(phase.degrees()), None),
        };
        cells.extend([Cell::Text(&sensor.name), Cell::Text(&sensor.unit)]);
        cells.extend([amplitude, phase, below].map(Cell::Number));
    }
    cells
}

/// From 0 to below 360; `None` where nothing is.
fn degrees(vector: Complex64) -> Option<f64> {
    let angle = Angle::from_degrees(vector.arg().to_degrees()).ok()?;
    (vector.norm() > 0.0).then(|| angle.degrees_in_turn())
}

/// The runs of a record, or why they cannot be read.
fn runs_of(record: &Record) -> Result<RunSet, String> {
    let file =
        |name: &str| record.files_of(Role::Input).find(|file| file.name == name).map(|file| &*file.bytes);
    let text = |name: &str| -> Result<Option<Source>, String> {
        let Some(bytes) = file(name) else { return Ok(None) };
        let text = std::str::from_utf8(bytes).map_err(|_| format!("{name} is not a text"))?;
        Ok(Some(Source::new(name, text.trim_start_matches('\u{feff}'))))
    };
    let job = match text(JOB_FILE)? {
        Some(job) => {
            Some(JobFile::read(&job, text(SHOP_FILE)?.as_ref()).map_err(|faults| render_all(&faults))?)
        }
        None => None,
    };
    let runs = file(RUNS_FILE).ok_or_else(|| format!("there is no {RUNS_FILE}"))?;
    let mut reader = RunsReader::new(runs, RUNS_FILE, job.as_ref()).map_err(|faults| render_all(&faults))?;
    let shaft = reader.next().ok_or("there are no runs")?.map_err(|faults| render_all(&faults.problems))?;
    shaft.run_set().map_err(|faults| render_all(&faults))
}
