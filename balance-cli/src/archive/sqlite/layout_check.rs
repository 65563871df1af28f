//! Whether tables, indexes and guards are the archive's own, and whether the search knows every word.

use std::collections::BTreeMap;

use rusqlite::{Connection, Row, params};

use super::migrate::{NEWEST, empty, layout};

/// One entry of a schema: its kind and how it was made.
type Made = (String, Option<String>);

/// Everything in the schema that differs from the layout the archive states, in words.
pub(super) fn schema_faults(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    let found = schema(connection)?;
    let wanted = schema(&empty(layout(connection)?)?)?;
    let mut faults = Vec::new();
    for (name, (kind, made)) in &wanted {
        match found.get(name) {
            None => faults.push(format!("the {kind} {name} is missing")),
            Some((_, other)) if other != made => faults.push(format!("the {kind} {name} was changed")),
            Some(_) => {}
        }
    }
    for (name, (kind, _)) in found.iter().filter(|(name, _)| !wanted.contains_key(*name)) {
        faults.push(format!("the {kind} {name} does not belong in an archive"));
    }
    Ok(faults)
}

/// By name. How the search stores its words is up to the database library.
fn schema(connection: &Connection) -> rusqlite::Result<BTreeMap<String, Made>> {
    let mut statement = connection.prepare("SELECT name, type, sql FROM sqlite_schema")?;
    let one = |row: &Row<'_>| {
        let (name, kind, sql): (String, String, Option<String>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        let own = sql.filter(|_| !name.starts_with("search_"));
        Ok((name, (kind, own)))
    };
    statement.query_map([], one)?.collect()
}

/// A search index rebuilt from the records, to compare with that of the archive.
pub(super) struct Anew(Connection);

impl Anew {
    pub(super) fn new() -> rusqlite::Result<Self> {
        let anew = empty(NEWEST)?;
        anew.execute_batch("BEGIN")?;
        Ok(Self(anew))
    }

    /// The words of a record.
    pub(super) fn add(&self, record: i64, words: &str) -> rusqlite::Result<()> {
        let mut insert = self.0.prepare_cached("INSERT INTO search (rowid, words) VALUES (?1, ?2)")?;
        insert.execute(params![record, words]).map(|_| ())
    }

    /// The first record for which the archive's search index has other words, if there is one.
    pub(super) fn first_difference(&self, archive: &Connection) -> rusqlite::Result<Option<i64>> {
        let (mut here, mut there) = (words_of(&self.0)?, words_of(archive)?);
        let (mut here, mut there) = (here.query([])?, there.query([])?);
        loop {
            let pair = (here.next()?.map(word).transpose()?, there.next()?.map(word).transpose()?);
            match pair {
                (None, None) => return Ok(None),
                (one, other) if one == other => {}
                (Some((_, record, _)), _) | (None, Some((_, record, _))) => return Ok(Some(record)),
            }
        }
    }
}

/// A word, the record it is in, and its place there.
fn word(row: &Row<'_>) -> rusqlite::Result<(String, i64, i64)> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?))
}

fn words_of(connection: &Connection) -> rusqlite::Result<rusqlite::Statement<'_>> {
    // A table of this connection only; a read-only connection refuses even that.
    let only_read: bool = connection.pragma_query_value(None, "query_only", |row| row.get(0))?;
    connection.pragma_update(None, "query_only", false)?;
    let made = connection.execute_batch(
        "CREATE VIRTUAL TABLE IF NOT EXISTS temp.word USING fts5vocab (main, 'search', 'instance')",
    );
    connection.pragma_update(None, "query_only", only_read)?;
    made?;
    connection.prepare("SELECT term, doc, offset FROM temp.word")
}
