//! One row for every coefficient: how each plane of each recorded shaft moves each sensor.

use std::collections::HashMap;

use balance_core::influence::{ShaftAnswers, month_of};

use super::run_rows::LeftOut;
use super::table::{Cell, RowForm, Table};
use super::{Archive, ArchiveFault, Role, type_report};

const COLUMNS: [&str; 17] = [
    "record",
    "made_at",
    "month",
    "number",
    "shaft_type",
    "superseded",
    "speed_rpm",
    "sensor",
    "sensor_unit",
    "plane",
    "per",
    "response_re",
    "response_im",
    "uncertainty",
    "own_runs",
    "in_type",
    "type_speed_rpm",
];

/// Record, sensor, and the bits of its speed.
type Key = (i64, String, Option<u64>);

/// Hands over the rows of every record's response, after the table's head. Returns the records that were left out.
///
/// # Errors
///
/// [`ArchiveFault`] if the archive cannot be read.
pub fn response_rows(
    archive: &dyn Archive,
    form: RowForm,
    take: &mut dyn FnMut(&str),
) -> Result<Vec<LeftOut>, ArchiveFault> {
    let table = Table { columns: COLUMNS.map(String::from).into(), form };
    let (in_types, mut left_out) = (in_types(archive)?, Vec::new());
    take(&table.head());
    archive.each(&mut |record| {
        let line = &record.line;
        let Some(text) = record.text_of(Role::Answers) else { return Ok(()) };
        let Ok(answers) = serde_json::from_str::<ShaftAnswers>(text) else {
            left_out.push((line.id, "its response cannot be read".into()));
            return Ok(());
        };
        for (speed, sensor) in
            answers.speeds.iter().flat_map(|speed| speed.sensors.iter().map(move |sensor| (speed, sensor)))
        {
            let in_type = in_types.get(&(line.id, sensor.name.clone(), speed.speed_rpm.map(f64::to_bits)));
            for (at, (plane, [re, im])) in answers.planes.iter().zip(&sensor.coefficients).enumerate() {
                let variance = sensor.covariance.get(at).and_then(|row| row.get(at)).map(|[re, _]| *re);
                take(&table.row(&[
                    Cell::Integer(Some(line.id)),
                    Cell::Text(&line.made_at),
                    Cell::Text(month_of(&line.made_at)),
                    Cell::Text(&line.number),
                    Cell::maybe(line.shaft_type.as_deref()),
                    Cell::Flag(line.superseded_by.is_some()),
                    Cell::Number(speed.speed_rpm),
                    Cell::Text(&sensor.name),
                    Cell::Text(&sensor.unit),
                    Cell::Text(plane),
                    Cell::Text(&answers.per),
                    Cell::Number(Some(*re)),
                    Cell::Number(Some(*im)),
                    Cell::Number(variance.map(f64::sqrt)),
                    Cell::Flag(sensor.prior.is_none()),
                    Cell::Flag(in_type.is_some()),
                    Cell::Number(in_type.copied().flatten()),
                ]));
            }
        }
        Ok(())
    })?;
    Ok(left_out)
}

/// What `archive types` takes into its monthly means, with the type's speed.
fn in_types(archive: &dyn Archive) -> Result<HashMap<Key, Option<f64>>, ArchiveFault> {
    let mut all = HashMap::new();
    for report in archive.types(None)?.iter().map(type_report) {
        for (speed, sensor) in report.sensors() {
            for own in &sensor.own {
                all.insert((own.record, sensor.name.clone(), own.speed_rpm.map(f64::to_bits)), speed);
            }
        }
    }
    Ok(all)
}
