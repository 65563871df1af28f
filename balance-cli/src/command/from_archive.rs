//! What the archive knows that helps to begin a job: records of shafts that were here, and shaft types.

use std::path::PathBuf;

use crate::archive::{Archive, Opening, Query, RecordLine, SqliteArchive, default_place};

/// A record in a few words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordSeen {
    /// Its number in the archive.
    pub id: i64,
    /// "WP-0417, rotary snow blower 3, tag HP-12, 2026-11-20".
    pub words: String,
}

/// The archive, if there is one; one that cannot be read is as good as none here.
fn open(archive: Option<PathBuf>) -> Option<SqliteArchive> {
    let place = default_place(archive, |name| std::env::var_os(name)).ok()?;
    if place.is_file() { SqliteArchive::open(&place, Opening::default()).ok() } else { None }
}

/// Whether there is an archive with at least one record.
#[must_use]
pub fn has_records(archive: Option<PathBuf>) -> bool {
    open(archive).is_some_and(|archive| archive.list(1).is_ok_and(|found| !found.is_empty()))
}

/// The newest records that fit these words; a number alone is first the record of that number.
#[must_use]
pub fn records_like(archive: Option<PathBuf>, words: &str, most: usize) -> Vec<RecordSeen> {
    let Some(archive) = open(archive) else { return Vec::new() };
    if let Ok(id) = words.trim().parse()
        && let Ok(record) = archive.show(id)
    {
        return vec![seen(&record.line)];
    }
    let found = archive.find(&Query::of(&[words]), most).unwrap_or_default();
    found.iter().filter(|line| line.superseded_by.is_none()).map(seen).collect()
}

/// The shaft types of the archive with the number of their shafts.
#[must_use]
pub fn known_types(archive: Option<PathBuf>) -> Vec<(String, u64)> {
    let types = open(archive).and_then(|archive| archive.types(None).ok()).unwrap_or_default();
    types.into_iter().map(|history| (history.key, history.shafts)).collect()
}

fn seen(line: &RecordLine) -> RecordSeen {
    let tag = if line.tag.is_empty() { String::new() } else { format!("tag {}", line.tag) };
    let day = line.made_at.split('T').next().unwrap_or_default().to_owned();
    let parts = [line.number.clone(), line.unit.clone(), line.customer.clone(), tag, day];
    let words: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    RecordSeen { id: line.id, words: words.join(", ") }
}
