//! Adding a record.

use balance_core::quantity::{Length, Speed};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use super::super::digest::{NamedDigest, identity, record_digest};
use super::super::operations::Added;
use super::super::packed::{Kept, kept};
use super::super::{ArchiveFault, Digest, NewRecord, RecordLine, Role};
use super::connection::SqliteArchive;
use super::row;
use super::words::words;

/// A file about to be stored.
struct File<'a> {
    named: NamedDigest<'a>,
    bytes: &'a [u8],
}

/// The result of a transaction.
enum Outcome {
    Done(Added),
    Refused(ArchiveFault),
}

pub(super) fn add(archive: &mut SqliteArchive, record: &NewRecord) -> Result<Added, ArchiveFault> {
    if !is_time(&record.made_at) {
        return Err(ArchiveFault::Time { found: record.made_at.clone() });
    }
    match stored(&mut archive.connection, record, &files(record)) {
        Ok(Outcome::Done(added)) => Ok(added),
        Ok(Outcome::Refused(fault)) => Err(fault),
        Err(error) => Err(archive.fault(&error)),
    }
}

fn stored(connection: &mut Connection, record: &NewRecord, files: &[File<'_>]) -> rusqlite::Result<Outcome> {
    let named: Vec<NamedDigest<'_>> = files.iter().map(|file| file.named).collect();
    let identity = identity(record, &named);
    if let Some(id) = same_job(connection, &identity)? {
        return Ok(Outcome::Done(Added::AlreadyThere(id)));
    }
    // Packing takes longer than storing, so it is done before the archive is locked.
    let kept: Vec<Kept<'_>> = files.iter().map(|file| kept(file.bytes)).collect();
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let outcome = add_within(&transaction, record, &identity, &named, &kept)?;
    if matches!(outcome, Outcome::Done(Added::Stored(_))) {
        transaction.commit()?;
    }
    Ok(outcome)
}

/// The record of a job that is there already.
fn same_job(connection: &Connection, identity: &Digest) -> rusqlite::Result<Option<i64>> {
    connection
        .prepare_cached("SELECT id FROM record WHERE identity = ?1")?
        .query_row([identity.bytes()], |row| row.get(0))
        .optional()
}

fn add_within(
    transaction: &Transaction<'_>,
    record: &NewRecord,
    identity: &Digest,
    named: &[NamedDigest<'_>],
    kept: &[Kept<'_>],
) -> rusqlite::Result<Outcome> {
    // Another stand may have stored it while we packed.
    if let Some(id) = same_job(transaction, identity)? {
        return Ok(Outcome::Done(Added::AlreadyThere(id)));
    }
    let newest: Option<(i64, Digest)> = transaction
        .prepare_cached("SELECT id, digest FROM record ORDER BY id DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row::digest(row, 1)?)))
        .optional()?;
    let (last, previous) = newest.unwrap_or((0, Digest::NOTHING));
    if let Some(fault) = may_not_supersede(transaction, record.supersedes, last)? {
        return Ok(Outcome::Refused(fault));
    }
    let mut line = line_of(record, last + 1);
    line.digest = record_digest(&line, &previous, named);
    insert_record(transaction, &line, identity, &previous)?;
    for (place, (named, kept)) in named.iter().zip(kept).enumerate() {
        insert_file(transaction, line.id, place, named, kept)?;
    }
    // The words of what was stored, not of what was given, because a check uses the same.
    let words = words(transaction, &line)?;
    transaction
        .prepare_cached("INSERT INTO search (rowid, words) VALUES (?1, ?2)")?
        .execute(params![line.id, words])?;
    Ok(Outcome::Done(Added::Stored(line.id)))
}

fn may_not_supersede(
    transaction: &Transaction<'_>,
    supersedes: Option<i64>,
    newest: i64,
) -> rusqlite::Result<Option<ArchiveFault>> {
    let Some(id) = supersedes else { return Ok(None) };
    let known: Option<i64> = transaction
        .prepare_cached("SELECT id FROM record WHERE id = ?1")?
        .query_row([id], |row| row.get(0))
        .optional()?;
    if known.is_none() {
        return Ok(Some(ArchiveFault::NoSuchRecord { id, newest }));
    }
    let by: Option<i64> = transaction
        .prepare_cached("SELECT id FROM record WHERE supersedes = ?1")?
        .query_row([id], |row| row.get(0))
        .optional()?;
    Ok(by.map(|by| ArchiveFault::AlreadySuperseded { id, by }))
}

fn insert_record(
    transaction: &Transaction<'_>,
    line: &RecordLine,
    identity: &Digest,
    previous: &Digest,
) -> rusqlite::Result<()> {
    transaction
        .prepare_cached(
            "INSERT INTO record (id, made_at, number, customer, unit, tag, technician, shaft_type, outer_diameter_mm,
                 wall_mm, length_mm, verdict, grade, service_speed_rpm, marks, weights, program, supersedes, identity,
                 previous, digest)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21)",
        )?
        .execute(params![
            line.id,
            line.made_at,
            line.number,
            line.customer,
            line.unit,
            line.tag,
            line.technician,
            line.shaft_type,
            line.tube.outer_diameter.map(Length::millimetres),
            line.tube.wall.map(Length::millimetres),
            line.tube.length.map(Length::millimetres),
            line.verdict,
            line.grade,
            line.service_speed.map(Speed::rpm),
            line.marks,
            line.weights,
            line.program,
            line.supersedes,
            identity.bytes(),
            previous.bytes(),
            line.digest.bytes(),
        ])
        .map(|_| ())
}

fn insert_file(
    transaction: &Transaction<'_>,
    record: i64,
    place: usize,
    named: &NamedDigest<'_>,
    kept: &Kept<'_>,
) -> rusqlite::Result<()> {
    let digest = named.digest;
    let (size, packed) = match &kept.packed {
        Some(packed) => (Some(packed.size as i64), Some(packed.digest.bytes())),
        None => (None, None),
    };
    let known: Option<i64> = transaction
        .prepare_cached("SELECT id FROM content WHERE digest = ?1")?
        .query_row([digest.bytes()], |row| row.get(0))
        .optional()?;
    let content = match known {
        Some(content) => content,
        None => transaction
            .prepare_cached("INSERT INTO content (digest, bytes, size, packed) VALUES (?1, ?2, ?3, ?4)")?
            .insert(params![digest.bytes(), &*kept.bytes, size, packed])?,
    };
    transaction
        .prepare_cached("INSERT INTO file (record, place, role, name, content) VALUES (?1, ?2, ?3, ?4, ?5)")?
        .execute(params![record, place as i64, named.role.word(), named.name, content])
        .map(|_| ())
}

/// All files of a record in their fixed order.
fn files(record: &NewRecord) -> Vec<File<'_>> {
    let file =
        |role, name, bytes| File { named: NamedDigest { role, name, digest: Digest::of(bytes) }, bytes };
    let inputs = record.inputs.iter().map(|(name, bytes)| file(Role::Input, name, bytes));
    let result = file(Role::Result, "result.json", record.result.as_bytes());
    let report = record.report.iter().map(|bytes| file(Role::Report, "report.html", bytes));
    let attachments = record.attachments.iter().map(|own| file(Role::Attachment, &own.name, &own.bytes));
    let answers = record.answers.iter().map(|text| file(Role::Answers, "answers.json", text.as_bytes()));
    inputs.chain([result]).chain(report).chain(attachments).chain(answers).collect()
}

fn line_of(record: &NewRecord, id: i64) -> RecordLine {
    RecordLine {
        id,
        made_at: record.made_at.clone(),
        number: record.number.clone(),
        customer: record.customer.clone(),
        unit: record.unit.clone(),
        tag: record.tag.clone(),
        technician: record.technician.clone(),
        shaft_type: record.shaft_type.clone(),
        tube: record.tube,
        verdict: record.verdict.clone(),
        grade: record.grade.clone(),
        service_speed: record.service_speed,
        marks: record.marks.clone(),
        weights: record.weights.clone(),
        program: record.program.clone(),
        supersedes: record.supersedes,
        superseded_by: None,
        digest: Digest::NOTHING,
    }
}

/// Whether a text has the form of RFC 3339: `2026-11-25T14:30:00Z` or with an offset.
fn is_time(text: &str) -> bool {
    const FORM: &[u8] = b"0000-00-00T00:00:00";
    let fits = |(found, form): (&u8, &u8)| if *form == b'0' { found.is_ascii_digit() } else { found == form };
    let bytes = text.as_bytes();
    let zone = bytes.get(FORM.len()..).unwrap_or_default();
    bytes.len() > FORM.len()
        && bytes.iter().zip(FORM).all(fits)
        && (zone.ends_with(b"Z") || zone.iter().rev().nth(5).is_some_and(|sign| matches!(sign, b'+' | b'-')))
}

#[cfg(test)]
mod tests {
    use super::is_time;

    // RFC 3339 section 5.8, examples.
    #[test]
    fn times_of_rfc_3339_are_taken_and_others_are_not() {
        for good in ["1985-04-12T23:20:50.52Z", "1996-12-19T16:39:57-08:00", "1937-01-01T12:00:27.87+00:20"] {
            assert!(is_time(good), "{good}");
        }
        for bad in ["", "yesterday", "1985-04-12", "1985-04-12 23:20:50Z", "1996-12-19T16:39:57"] {
            assert!(!is_time(bad), "{bad}");
        }
    }
}
