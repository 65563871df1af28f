//! Rows of the record table.

use balance_core::quantity::{Length, QuantityFault, Speed};
use rusqlite::types::Type;
use rusqlite::{Error, Row};

use super::super::{Digest, RecordLine, Role, TubeSize};

/// The columns of a [`RecordLine`] and the digest before, for [`line`].
pub(super) const COLUMNS: &str = "record.id, made_at, number, customer, unit, tag, technician, shaft_type, \
     outer_diameter_mm, wall_mm, length_mm, verdict, grade, service_speed_rpm, marks, weights, program, \
     record.supersedes, (SELECT later.id FROM record AS later WHERE later.supersedes = record.id), record.digest, \
     previous, identity";

pub(super) fn line(row: &Row<'_>) -> rusqlite::Result<RecordLine> {
    Ok(RecordLine {
        id: row.get(0)?,
        made_at: row.get(1)?,
        number: row.get(2)?,
        customer: row.get(3)?,
        unit: row.get(4)?,
        tag: row.get(5)?,
        technician: row.get(6)?,
        shaft_type: row.get(7)?,
        tube: TubeSize {
            outer_diameter: quantity(row, 8, Length::from_millimetres)?,
            wall: quantity(row, 9, Length::from_millimetres)?,
            length: quantity(row, 10, Length::from_millimetres)?,
        },
        verdict: row.get(11)?,
        grade: row.get(12)?,
        service_speed: quantity(row, 13, Speed::from_rpm)?,
        marks: row.get(14)?,
        weights: row.get(15)?,
        program: row.get(16)?,
        supersedes: row.get(17)?,
        superseded_by: row.get(18)?,
        digest: digest(row, 19)?,
    })
}

/// The digest of the record before.
pub(super) fn previous(row: &Row<'_>) -> rusqlite::Result<Digest> {
    digest(row, 20)
}

/// The digest that identifies the job.
pub(super) fn identity(row: &Row<'_>) -> rusqlite::Result<Digest> {
    digest(row, 21)
}

pub(super) fn digest(row: &Row<'_>, column: usize) -> rusqlite::Result<Digest> {
    let bytes: Vec<u8> = row.get(column)?;
    Digest::from_bytes(&bytes).ok_or_else(|| unexpected(column, "a digest has 32 bytes"))
}

pub(super) fn role(row: &Row<'_>, column: usize) -> rusqlite::Result<Role> {
    let word: String = row.get(column)?;
    Role::of_word(&word).ok_or_else(|| unexpected(column, "no such kind of file"))
}

fn quantity<Q>(
    row: &Row<'_>,
    column: usize,
    from: fn(f64) -> Result<Q, QuantityFault>,
) -> rusqlite::Result<Option<Q>> {
    let value: Option<f64> = row.get(column)?;
    value
        .map(from)
        .transpose()
        .map_err(|fault| Error::FromSqlConversionFailure(column, Type::Real, Box::new(fault)))
}

fn unexpected(column: usize, text: &'static str) -> Error {
    Error::FromSqlConversionFailure(column, Type::Blob, text.into())
}
