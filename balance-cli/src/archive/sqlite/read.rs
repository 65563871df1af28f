//! Listing, finding and showing.

use rusqlite::{Connection, OptionalExtension, Row, ToSql};

use super::super::operations::{TypeHistory, TypeMember};
use super::super::{ArchiveFault, Query, Record, RecordFile, RecordLine};
use super::connection::SqliteArchive;
use super::content;
use super::row::{self, COLUMNS};

/// A type is judged by this many of its newest shafts: enough for its scatter, and recent enough for the
/// present stand.
const NEWEST_SHAFTS: usize = 30;

pub(super) fn find(
    archive: &SqliteArchive,
    query: &Query,
    most: usize,
) -> Result<Vec<RecordLine>, ArchiveFault> {
    let texts = query.full_texts();
    if texts.is_empty() && !query.words.is_empty() {
        return Ok(Vec::new());
    }
    closest_first(&archive.connection, &texts, query, most).map_err(|error| archive.fault(&error))
}

/// The closest matches first; the newest first among equals.
fn closest_first(
    connection: &Connection,
    texts: &[String],
    query: &Query,
    most: usize,
) -> rusqlite::Result<Vec<RecordLine>> {
    if texts.is_empty() {
        return find_within(connection, None, query, most);
    }
    let (mut found, mut seen) = (Vec::new(), std::collections::HashSet::new());
    for text in texts {
        // Every closer match is in the next list too, so `most` of it are enough.
        let more = find_within(connection, Some(text), query, most)?;
        found.extend(more.into_iter().filter(|line| seen.insert(line.id)));
        if found.len() >= most {
            break;
        }
    }
    found.truncate(most);
    Ok(found)
}

fn find_within(
    connection: &Connection,
    full_text: Option<&String>,
    query: &Query,
    most: usize,
) -> rusqlite::Result<Vec<RecordLine>> {
    let most = i64::try_from(most).unwrap_or(i64::MAX);
    let (mut conditions, mut values): (Vec<&str>, Vec<&dyn ToSql>) = (Vec::new(), Vec::new());
    let table = match full_text {
        Some(text) => {
            conditions.push("search MATCH ?");
            values.push(text);
            "search JOIN record ON record.id = search.rowid"
        }
        None => "record",
    };
    for size in &query.sizes {
        conditions.push(
            "(outer_diameter_mm BETWEEN ? AND ? OR length_mm BETWEEN ? AND ? OR wall_mm BETWEEN ? AND ?)",
        );
        for _ in 0..3 {
            values.extend([&size.least as &dyn ToSql, &size.most]);
        }
    }
    let filter =
        if conditions.is_empty() { String::new() } else { format!("WHERE {}", conditions.join(" AND ")) };
    let order = if full_text.is_some() { "search.rowid" } else { "record.id" };
    values.push(&most);
    let mut statement = connection
        .prepare_cached(&format!("SELECT {COLUMNS} FROM {table} {filter} ORDER BY {order} DESC LIMIT ?"))?;
    statement.query_map(values.as_slice(), row::line)?.collect()
}

pub(super) fn show(archive: &SqliteArchive, id: i64) -> Result<Record, ArchiveFault> {
    let found = archive.connection.unchecked_transaction().and_then(|_| record(&archive.connection, id));
    match found.map_err(|error| archive.fault(&error))? {
        Some(record) => Ok(record),
        None => {
            let newest = archive
                .connection
                .query_row("SELECT coalesce(max(id), 0) FROM record", [], |row| row.get(0))
                .map_err(|error| archive.fault(&error))?;
            Err(ArchiveFault::NoSuchRecord { id, newest })
        }
    }
}

fn record(connection: &Connection, id: i64) -> rusqlite::Result<Option<Record>> {
    let found = connection
        .prepare_cached(&format!("SELECT {COLUMNS} FROM record WHERE id = ?1"))?
        .query_row([id], |row| Ok((row::line(row)?, row::previous(row)?)))
        .optional()?;
    let Some((line, previous)) = found else { return Ok(None) };
    let file = |row: &Row<'_>| {
        Ok(RecordFile {
            role: row::role(row, 0)?,
            name: row.get(1)?,
            digest: row::digest(row, 2)?,
            bytes: content::bytes(row, 3)?,
        })
    };
    let files = connection
        .prepare_cached(&format!(
            "SELECT role, name, digest, {} FROM file JOIN content ON content.id = file.content
             WHERE file.record = ?1 ORDER BY place",
            content::columns(connection)?
        ))?
        .query_map([id], file)?
        .collect::<rusqlite::Result<_>>()?;
    Ok(Some(Record { line, previous, files }))
}

pub(super) fn each(
    archive: &SqliteArchive,
    visit: &mut dyn FnMut(Record) -> Result<(), ArchiveFault>,
) -> Result<(), ArchiveFault> {
    let translate = |error: rusqlite::Error| archive.fault(&error);
    let snapshot = archive.connection.unchecked_transaction().map_err(translate)?;
    let mut after = 0;
    loop {
        let next: Option<i64> = snapshot
            .prepare_cached("SELECT id FROM record WHERE id > ?1 ORDER BY id LIMIT 1")
            .and_then(|mut statement| statement.query_row([after], |row| row.get(0)).optional())
            .map_err(translate)?;
        let Some(id) = next else { return Ok(()) };
        if let Some(record) = record(&snapshot, id).map_err(translate)? {
            visit(record)?;
        }
        after = id;
    }
}

pub(super) fn types(archive: &SqliteArchive, key: Option<&str>) -> Result<Vec<TypeHistory>, ArchiveFault> {
    types_within(&archive.connection, key).map_err(|error| archive.fault(&error))
}

fn types_within(connection: &Connection, key: Option<&str>) -> rusqlite::Result<Vec<TypeHistory>> {
    let snapshot = connection.unchecked_transaction()?;
    let counts: Vec<(String, i64)> = snapshot
        .prepare_cached(
            "SELECT shaft_type, count(*) FROM record WHERE shaft_type IS NOT NULL AND (?1 IS NULL OR shaft_type = ?1)
             GROUP BY shaft_type ORDER BY shaft_type",
        )?
        .query_map([key], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let mut superseded = snapshot.prepare_cached(
        "SELECT count(*) FROM record AS later JOIN record AS earlier ON earlier.id = later.supersedes
         WHERE later.supersedes IS NOT NULL AND earlier.shaft_type = ?1",
    )?;
    let mut newest = snapshot.prepare_cached(&format!(
        "SELECT record.id, record.number, made_at, {} FROM record
             JOIN file ON file.record = record.id AND file.role = 'answers'
             JOIN content ON content.id = file.content
         WHERE shaft_type = ?1
             AND NOT EXISTS (SELECT 1 FROM record AS later WHERE later.supersedes = record.id)
         ORDER BY record.id DESC LIMIT ?2",
        content::columns(&snapshot)?
    ))?;
    let mut histories = Vec::with_capacity(counts.len());
    for (key, all) in counts {
        let replaced: i64 = superseded.query_row([&key], |row| row.get(0))?;
        let answers = |row: &Row<'_>| {
            let bytes = content::bytes(row, 3)?;
            Ok(TypeMember {
                record: row.get(0)?,
                number: row.get(1)?,
                made_at: row.get(2)?,
                answers: String::from_utf8_lossy(&bytes).into_owned(),
            })
        };
        let mut answers: Vec<TypeMember> = newest
            .query_map(rusqlite::params![key, NEWEST_SHAFTS as i64], answers)?
            .collect::<rusqlite::Result<_>>()?;
        answers.reverse();
        histories.push(TypeHistory { key, shafts: u64::try_from(all - replaced).unwrap_or(0), answers });
    }
    Ok(histories)
}
