//! The bytes of stored files: packed from layout 2 on.

use rusqlite::types::{Type, ValueRef};
use rusqlite::{Connection, Error, OptionalExtension, Row, params};

use super::super::Digest;
use super::super::packed::{DICTIONARY, PackFault, Packed, digest_unpacked, kept, unpacked};
use super::migrate::{Progress, layout};

/// The layout from which on files are packed.
const PACKING: i64 = 2;

/// The columns for [`bytes`], for the layout the archive has at this moment.
pub(super) fn columns(connection: &Connection) -> rusqlite::Result<&'static str> {
    Ok(if layout(connection)? < PACKING { "bytes, NULL, NULL" } else { "bytes, size, packed" })
}

/// The plain bytes of a file whose columns begin here.
pub(super) fn bytes(row: &Row<'_>, column: usize) -> rusqlite::Result<Vec<u8>> {
    let stored = row.get_ref(column)?.as_blob()?;
    let plain = match packed(row, column)? {
        Ok(None) => Ok(stored.to_vec()),
        Ok(Some(packed)) => unpacked(stored, packed),
        Err(fault) => Err(fault),
    };
    plain.map_err(|fault| Error::FromSqlConversionFailure(column, Type::Blob, Box::new(fault)))
}

/// The same where there may be no file.
pub(super) fn maybe_bytes(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<Vec<u8>>> {
    if row.get_ref(column)? == ValueRef::Null { Ok(None) } else { bytes(row, column).map(Some) }
}

/// The digest of a file's plain bytes as they are now; or what is wrong with its packed bytes.
pub(super) fn digest_now(row: &Row<'_>, column: usize) -> rusqlite::Result<Result<Digest, PackFault>> {
    let stored = row.get_ref(column)?.as_blob()?;
    Ok(match packed(row, column)? {
        Ok(None) => Ok(Digest::of(stored)),
        Ok(Some(packed)) if packed.digest != Digest::of(stored) => Err(PackFault::Changed),
        Ok(Some(packed)) => digest_unpacked(stored, packed),
        Err(fault) => Err(fault),
    })
}

fn packed(row: &Row<'_>, column: usize) -> rusqlite::Result<Result<Option<Packed>, PackFault>> {
    let size: Option<i64> = row.get(column + 1)?;
    let digest: Option<Vec<u8>> = row.get(column + 2)?;
    Ok(match (size, digest) {
        (None, None) => Ok(None),
        (Some(size), Some(digest)) => {
            let stated = u64::try_from(size).ok().zip(Digest::from_bytes(&digest));
            stated.map(|(size, digest)| Some(Packed { size, digest })).ok_or(PackFault::Half)
        }
        _ => Err(PackFault::Half),
    })
}

/// What is wrong with the archive's copy of the dictionary.
pub(super) fn dictionary_fault(connection: &Connection) -> rusqlite::Result<Option<&'static str>> {
    if layout(connection)? < PACKING {
        return Ok(None);
    }
    let mut statement = connection.prepare("SELECT id, bytes FROM dictionary")?;
    let found: Vec<(i64, Vec<u8>)> =
        statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<rusqlite::Result<_>>()?;
    let (id, bytes) = DICTIONARY;
    Ok(match found.as_slice() {
        [(own, same)] if *own == id && same == bytes => None,
        [] => Some("the dictionary of its packed files is missing"),
        _ => Some("the dictionary of its packed files was changed"),
    })
}

/// Packs every file that is there, one after the other: only one is in memory at a time.
pub(super) fn pack_all(connection: &Connection, progress: Progress<'_>) -> rusqlite::Result<()> {
    let (id, dictionary) = DICTIONARY;
    connection.execute("INSERT INTO dictionary (id, bytes) VALUES (?1, ?2)", params![id, dictionary])?;
    let all: i64 = connection.query_row("SELECT count(*) FROM content", [], |row| row.get(0))?;
    let mut next = connection.prepare("SELECT id, bytes FROM content WHERE id > ?1 ORDER BY id LIMIT 1")?;
    let mut update =
        connection.prepare("UPDATE content SET bytes = ?2, size = ?3, packed = ?4 WHERE id = ?1")?;
    let (mut after, mut done) = (i64::MIN, 0);
    loop {
        let found: Option<(i64, Vec<u8>)> =
            next.query_row([after], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
        let Some((id, plain)) = found else { return Ok(()) };
        let kept = kept(&plain);
        if let Some(packed) = kept.packed {
            update.execute(params![id, &*kept.bytes, packed.size as i64, packed.digest.bytes()])?;
        }
        (after, done) = (id, done + 1);
        progress(done, all as u64);
    }
}
