//! A changed byte anywhere in a record is found.

use std::path::{Path, PathBuf};

use balance_cli::archive::{Archive, NewRecord, Opening, SqliteArchive};
use balance_tests::archive::{record, record_with_photo};
use balance_tests::random::Random;
use rusqlite::types::Value;

const TABLES: [&str; 4] = ["record", "file", "content", "dictionary"];

fn archive_of_six(folder: &Path) -> PathBuf {
    let path = folder.join("archive.sqlite");
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default()).expect("it opens");
    for index in 1..=4 {
        archive.add(&record(index)).expect("it takes a record");
    }
    archive.add(&record_with_photo(5, 9000)).expect("it takes a record");
    archive
        .add(&NewRecord {
            supersedes: Some(2),
            inputs: vec![("job.toml".into(), vec![0xFF, 0x00])],
            ..record(2)
        })
        .expect("it takes a record");
    path
}

/// Whether opening or checking finds something.
fn found(path: &Path) -> bool {
    SqliteArchive::open(path, Opening::default())
        .and_then(|archive| archive.check())
        .map_or(true, |report| !report.faults.is_empty())
}

#[test]
fn an_untouched_archive_is_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    assert!(!found(&archive_of_six(folder.path())));
}

/// Every column of every table, any row, any byte, through SQL with the guards removed.
#[test]
fn a_bit_changed_in_any_stored_value_is_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = archive_of_six(folder.path());
    let columns: Vec<(&str, String)> = {
        let connection = rusqlite::Connection::open(&path).expect("it opens");
        let names = |table: &'static str| {
            let mut statement = connection.prepare(&format!("PRAGMA table_info({table})")).expect("a table");
            let names = statement.query_map([], |row| row.get::<_, String>(1)).expect("its columns");
            names.map(|name| (table, name.expect("a name"))).collect::<Vec<_>>()
        };
        TABLES.into_iter().flat_map(names).collect()
    };
    assert_eq!(columns.len(), 21 + 5 + 5 + 2, "every column of the layout");
    let mut random = Random::seeded(416);
    let copy = folder.path().join("copy.sqlite");
    let (mut flips, mut tried) = (0, 0);
    while flips < 320 {
        let (table, column) = &columns[tried % columns.len()];
        tried += 1;
        std::fs::copy(&path, &copy).expect("a copy");
        let Some(what) = change(&copy, table, column, &mut random) else { continue };
        flips += 1;
        assert!(found(&copy), "{table}.{column} changed ({what}) and not found");
    }
}

/// Changes one bit of one value; `None` if the drawn row has nothing there or the database cannot hold the change.
fn change(path: &Path, table: &str, column: &str, random: &mut Random) -> Option<String> {
    let connection = rusqlite::Connection::open(path).expect("it opens");
    let mut drop_guards = connection
        .prepare("SELECT 'DROP TRIGGER ' || name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .expect("the schema");
    let guards: Vec<(String, String)> = drop_guards
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .expect("guards")
        .map(|text| text.expect("text"))
        .collect();
    assert_eq!(guards.len(), 8, "an update and a delete guard for each table");
    for (off, _) in &guards {
        connection.execute_batch(off).expect("a guard can be dropped");
    }
    connection
        .execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;")
        .expect("guards off");
    let key = if table == "file" { "record * 1000 + place" } else { "id" };
    let mut statement = connection.prepare(&format!("SELECT {key}, {column} FROM {table}")).expect("a table");
    let rows: Vec<(i64, Value)> = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .expect("rows")
        .map(|row| row.expect("a row"))
        .collect();
    let (row, value) = &rows[random.below(rows.len())];
    let bit = 1_u8 << random.below(8);
    let (cast, changed) = match value {
        Value::Null => return None,
        Value::Integer(number) => ("?1", Value::Integer(number ^ i64::from(bit))),
        Value::Real(number) => {
            ("?1", Value::Real(f64::from_bits(number.to_bits() ^ (1 << random.below(64)))))
        }
        Value::Text(text) => ("CAST(?1 AS TEXT)", Value::Blob(flipped(text.as_bytes(), bit, random)?)),
        Value::Blob(bytes) => ("?1", Value::Blob(flipped(bytes, bit, random)?)),
    };
    let said = format!("row {row}, {value:?}").chars().take(120).collect();
    let update = format!("UPDATE {table} SET {column} = {cast} WHERE {key} = ?2");
    let changed = connection.execute(&update, rusqlite::params![changed, row]);
    // Missing guards would themselves be found.
    for (_, on) in &guards {
        connection.execute_batch(on).expect("a guard can be put back");
    }
    match changed {
        Ok(1) => Some(said),
        // Even without its guards the database does not accept two rows with one key, or a null for a number.
        _ => None,
    }
}

fn flipped(bytes: &[u8], bit: u8, random: &mut Random) -> Option<Vec<u8>> {
    let mut bytes = bytes.to_vec();
    let at = (!bytes.is_empty()).then(|| random.below(bytes.len()))?;
    bytes[at] ^= bit;
    Some(bytes)
}

/// The same in the file itself, wherever the bytes of a stored value are.
#[test]
fn a_bit_changed_in_the_file_where_a_record_lies_is_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = archive_of_six(folder.path());
    let places = payload_places(&path);
    let whole = std::fs::read(&path).expect("the file");
    assert!(places.len() > 10_000, "{}", places.len());
    let mut random = Random::seeded(417);
    let copy = folder.path().join("copy.sqlite");
    let stored = dump(&path);
    let (mut flips, mut outside) = (0, 0);
    while flips < 320 {
        let at = places[random.below(places.len())];
        let mut bytes = whole.clone();
        bytes[at] ^= 1 << random.below(8);
        std::fs::write(&copy, &bytes).expect("a changed copy");
        if found(&copy) {
            flips += 1;
        } else {
            // Pages keep stale bytes of values that were moved to another page: those belong to no record.
            assert_eq!(dump(&copy), stored, "byte {at} of page {} changed and not found", at / 4096 + 1);
            outside += 1;
        }
    }
    println!("{flips} changed bits found, {outside} lay in bytes that no record uses");
    assert!(outside < flips / 3, "{outside}");
}

/// Every value of every table, read row by row without an index.
fn dump(path: &Path) -> Vec<Value> {
    let connection = rusqlite::Connection::open(path).expect("it opens");
    let mut values = Vec::new();
    for table in TABLES {
        let mut statement =
            connection.prepare(&format!("SELECT * FROM {table} NOT INDEXED")).expect("a table");
        let columns = statement.column_count();
        let mut rows = statement.query([]).expect("rows");
        while let Some(row) = rows.next().expect("a row") {
            values.extend((0..columns).map(|column| row.get::<_, Value>(column).expect("a value")));
        }
    }
    values
}

/// Every byte of the file that belongs to a text or blob of a record, longer than six bytes so that it is found where it
/// lies and not by chance. The search keeps words in lower case, so a value with a capital letter is not found there.
fn payload_places(path: &Path) -> Vec<usize> {
    let archive = SqliteArchive::open(path, Opening::default()).expect("it opens");
    let mut values: Vec<Vec<u8>> = Vec::new();
    archive
        .each(&mut |record| {
            let line = &record.line;
            for text in [&line.number, &line.customer, &line.tag, &line.made_at] {
                values.push(text.as_bytes().to_vec());
            }
            values.push(line.digest.bytes().to_vec());
            values.extend(record.files.iter().map(|file| file.digest.bytes().to_vec()));
            Ok(())
        })
        .expect("every record can be read");
    drop(archive);
    // Files as they are stored: most of them packed.
    let connection = rusqlite::Connection::open(path).expect("it opens");
    for stored in ["bytes FROM content", "packed FROM content WHERE packed NOT NULL", "bytes FROM dictionary"]
    {
        let mut statement = connection.prepare(&format!("SELECT {stored}")).expect("a table");
        let rows = statement.query_map([], |row| row.get::<_, Vec<u8>>(0)).expect("its rows");
        for bytes in rows {
            // Long values continue on other pages: handle them piece by piece.
            let bytes = bytes.expect("stored bytes");
            values.extend(bytes.chunks(64).filter(|piece| piece.len() > 6).map(<[u8]>::to_vec));
        }
    }
    values.retain(|value| value.iter().any(u8::is_ascii_uppercase) || value.len() >= 32);
    let file = std::fs::read(path).expect("the file");
    let mut places: Vec<usize> = Vec::new();
    for value in &values {
        let starts = file.windows(value.len()).enumerate().filter(|(_, window)| window == value);
        places.extend(starts.flat_map(|(start, _)| start..start + value.len()));
    }
    places.sort_unstable();
    places.dedup();
    places
}
