//! Reading everything and comparing it with its digests.

use rusqlite::{Connection, Row};

use super::super::digest::{NamedDigest, identity, record_digest};
use super::super::operations::{CheckFault, CheckReport};
use super::super::{ArchiveFault, Digest, NewRecord, RecordLine, Role, is_before};
use super::connection::SqliteArchive;
use super::content;
use super::layout_check::{Anew, schema_faults};
use super::migrate::{NEWEST, layout};
use super::row::{self, COLUMNS};
use super::words::words;

/// At most this many findings are listed one by one.
const MOST_FAULTS: usize = 200;

pub(super) fn check(archive: &SqliteArchive) -> Result<CheckReport, ArchiveFault> {
    let snapshot = archive.connection.unchecked_transaction().map_err(|error| archive.fault(&error))?;
    let mut checker = Checker { connection: &snapshot, faults: Vec::new(), notes: Vec::new() };
    let (records, last) = checker.records();
    let files = checker.contents();
    checker.database();
    checker.schema();
    checker.search(records);
    checker.older();
    checker.faults.truncate(MOST_FAULTS);
    checker.notes.truncate(MOST_FAULTS);
    Ok(CheckReport { records, files, last, faults: checker.faults, notes: checker.notes })
}

/// Role, name and digest of a record's file.
type StoredFile = (Role, String, Digest);
/// The same with its place among the record's files.
type Placed = (i64, StoredFile);

struct Checker<'a> {
    connection: &'a Connection,
    faults: Vec<CheckFault>,
    notes: Vec<String>,
}

/// A record as stored, with the digests that go with it.
struct Stored {
    line: RecordLine,
    previous: Digest,
    identity: Digest,
}

impl Checker<'_> {
    fn found(&mut self, record: Option<i64>, text: impl Into<String>) {
        self.faults.push(CheckFault { record, text: text.into() });
    }

    /// What could be read; what could not is a finding.
    fn read<T>(&mut self, record: Option<i64>, result: rusqlite::Result<T>) -> Option<T> {
        result.map_err(|error| self.found(record, format!("cannot be read: {error}"))).ok()
    }

    /// Compares every record with its digest and the chain. Returns how many there are, and the digest of the
    /// newest.
    fn records(&mut self) -> (u64, Digest) {
        let (mut count, mut last, mut expected) = (0, Digest::NOTHING, 1);
        let mut before: Option<(i64, String)> = None;
        for id in self.ids() {
            if id != expected {
                self.found(None, format!("records {expected} to {} are missing", id - 1));
            }
            expected = id + 1;
            count += 1;
            if let Some(stored) = self.stored(id) {
                if stored.previous != last {
                    self.found(Some(id), "does not follow the record before it: one of the two was changed");
                }
                self.compare(&stored);
                last = stored.line.digest;
                let dated = (stored.line.id, stored.line.made_at);
                if let Some(before) = before.filter(|before| is_before(&dated.1, &before.1)) {
                    let text = format!(
                        "record {} is dated before record {}: the clock ran backwards",
                        dated.0, before.0
                    );
                    self.notes.push(text);
                }
                before = Some(dated);
            }
        }
        self.none_taken_away(expected - 1);
        (count, last)
    }

    fn ids(&mut self) -> Vec<i64> {
        let all = || {
            let mut statement = self.connection.prepare("SELECT id FROM record ORDER BY id")?;
            statement.query_map([], |row| row.get(0))?.collect::<rusqlite::Result<Vec<i64>>>()
        };
        let ids = all();
        self.read(None, ids).unwrap_or_default()
    }

    /// The database counts every record it ever numbered.
    fn none_taken_away(&mut self, newest: i64) {
        let counted = self.connection.query_row(
            "SELECT coalesce(max(seq), 0) FROM sqlite_sequence WHERE name = 'record'",
            [],
            |row| row.get::<_, i64>(0),
        );
        if let Some(counted) = self.read(None, counted)
            && counted != newest
        {
            self.found(None, format!("the newest record is {newest}, but {counted} were numbered"));
        }
    }

    fn stored(&mut self, id: i64) -> Option<Stored> {
        let one = |row: &Row<'_>| {
            Ok(Stored { line: row::line(row)?, previous: row::previous(row)?, identity: row::identity(row)? })
        };
        let stored = self
            .connection
            .prepare_cached(&format!("SELECT {COLUMNS} FROM record WHERE id = ?1"))
            .and_then(|mut statement| statement.query_row([id], one));
        self.read(Some(id), stored)
    }

    fn compare(&mut self, stored: &Stored) {
        let id = stored.line.id;
        let Some(files) = self.files(id) else { return };
        let named: Vec<NamedDigest<'_>> = files
            .iter()
            .map(|(role, name, digest)| NamedDigest { role: *role, name, digest: *digest })
            .collect();
        if record_digest(&stored.line, &stored.previous, &named) != stored.line.digest {
            self.found(Some(id), "was changed after it was stored: its digest does not match");
        }
        if identity(&as_new(&stored.line), &named) != stored.identity {
            self.found(Some(id), "the digest that identifies the job does not match");
        }
    }

    fn files(&mut self, id: i64) -> Option<Vec<StoredFile>> {
        let one = |row: &Row<'_>| Ok((row.get(3)?, (row::role(row, 0)?, row.get(1)?, row::digest(row, 2)?)));
        let all = || {
            self.connection
                .prepare_cached(
                    "SELECT role, name, digest, place FROM file JOIN content ON content.id = file.content
                     WHERE file.record = ?1 ORDER BY place",
                )?
                .query_map([id], one)?
                .collect::<rusqlite::Result<_>>()
        };
        let files: rusqlite::Result<Vec<Placed>> = all();
        let files = self.read(Some(id), files)?;
        if files.iter().zip(0..).any(|((place, _), expected)| *place != expected) {
            self.found(Some(id), "its files are not in order");
        }
        Some(files.into_iter().map(|(_, file)| file).collect())
    }

    /// Compares every stored file with its digest.
    fn contents(&mut self) -> u64 {
        let all = || -> rusqlite::Result<(u64, Vec<(i64, String)>)> {
            let columns = content::columns(self.connection)?;
            let mut statement =
                self.connection.prepare(&format!("SELECT id, digest, {columns} FROM content"))?;
            let mut rows = statement.query([])?;
            let (mut count, mut changed) = (0, Vec::new());
            while let Some(row) = rows.next()? {
                count += 1;
                match content::digest_now(row, 2)? {
                    Ok(now) if now == row::digest(row, 1)? => {}
                    Ok(_) => changed.push((row.get(0)?, "was changed after it was stored".into())),
                    Err(fault) => changed.push((row.get(0)?, format!("is damaged: {fault}"))),
                }
            }
            Ok((count, changed))
        };
        let read = all();
        let (count, changed) = self.read(None, read).unwrap_or_default();
        let dictionary = content::dictionary_fault(self.connection);
        if let Some(Some(fault)) = self.read(None, dictionary) {
            self.found(None, fault);
        }
        for (content, how) in changed {
            self.name_changed(content, &how);
        }
        let orphans = self.connection.query_row(
            "SELECT count(*) FROM content WHERE NOT EXISTS (SELECT 1 FROM file WHERE file.content = content.id)",
            [],
            |row| row.get::<_, i64>(0),
        );
        if let Some(orphans @ 1..) = self.read(None, orphans) {
            self.found(None, format!("{orphans} stored files belong to no record"));
        }
        count
    }

    fn name_changed(&mut self, content: i64, how: &str) {
        let all = || {
            self.connection
                .prepare_cached("SELECT record, name FROM file WHERE content = ?1")?
                .query_map([content], |row| Ok((row.get(0)?, row.get(1)?)))?
                .collect::<rusqlite::Result<Vec<(i64, String)>>>()
        };
        let of = all();
        match self.read(None, of) {
            Some(of) if !of.is_empty() => {
                for (record, name) in of {
                    self.found(Some(record), format!("its file {name} {how}"));
                }
            }
            _ => self.found(None, format!("stored file {content} {how}")),
        }
    }

    /// The database's own checks of its pages, indexes and references.
    fn database(&mut self) {
        for (pragma, kind) in
            [("PRAGMA integrity_check", "database"), ("PRAGMA foreign_key_check", "reference")]
        {
            let all = || {
                let mut statement = self.connection.prepare(pragma)?;
                let text = |row: &Row<'_>| row.get_ref(0).map(|value| format!("{value:?}"));
                statement
                    .query_map([], |row| row.get::<_, String>(0).or_else(|_| text(row)))?
                    .collect::<rusqlite::Result<Vec<String>>>()
            };
            let said = all();
            for text in self.read(None, said).unwrap_or_default() {
                if text != "ok" {
                    self.found(None, format!("{kind}: {text}"));
                }
            }
        }
    }

    /// Whether tables, indexes and guards are as the archive made them.
    fn schema(&mut self) {
        let found = schema_faults(self.connection);
        for text in self.read(None, found).unwrap_or_default() {
            self.found(None, text);
        }
    }

    /// An archive of an older layout is as good as a new one; it only takes more room.
    fn older(&mut self) {
        let found = layout(self.connection);
        if self.read(None, found).is_some_and(|found| found < NEWEST) {
            self.notes.push("its files are not packed yet: the next `archive add` packs them, once".into());
        }
    }

    /// Whether the search knows every record by every word.
    fn search(&mut self, records: u64) {
        let counted =
            self.connection.query_row("SELECT count(*) FROM search_docsize", [], |row| row.get::<_, i64>(0));
        if let Some(counted) = self.read(None, counted)
            && u64::try_from(counted) != Ok(records)
        {
            self.found(None, format!("the search index has {counted} of {records} records"));
            return;
        }
        let difference = self.other_words();
        if let Some(Some(record)) = self.read(None, difference) {
            self.found(
                Some(record),
                "the search index has other words for it than the record: it may not \
                                     be found",
            );
        }
    }

    fn other_words(&self) -> rusqlite::Result<Option<i64>> {
        let anew = Anew::new()?;
        let mut lines = self.connection.prepare(&format!("SELECT {COLUMNS} FROM record ORDER BY id"))?;
        let mut rows = lines.query([])?;
        while let Some(row) = rows.next()? {
            let line = row::line(row)?;
            anew.add(line.id, &words(self.connection, &line)?)?;
        }
        anew.first_difference(self.connection)
    }
}

/// The fields of a line that identify a job.
fn as_new(line: &RecordLine) -> NewRecord {
    NewRecord {
        number: line.number.clone(),
        customer: line.customer.clone(),
        unit: line.unit.clone(),
        tag: line.tag.clone(),
        technician: line.technician.clone(),
        supersedes: line.supersedes,
        ..NewRecord::default()
    }
}
