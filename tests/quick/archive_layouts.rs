//! Archives of earlier layouts: read as they are, brought to the newest in one step, the same records afterwards; and what
//! is packed is not believed.
//!
//! `tests/archives/v1.sqlite` was written by version 0.1.0 (`archive_writer sample`), `depot_v1.sqlite` by its program
//! from two jobs of the depot with a picture, both before there was a layout 2. Their digests stand beside them as
//! `archive check` printed them then.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

use balance_cli::archive::{Added, Archive, ArchiveFault, Digest, Opening, Query, Record, SqliteArchive};
use balance_tests::archive::record;
use balance_tests::random::Random;
use rusqlite::{Connection, params};

/// Name, number of records, digest of the newest.
const KEPT: [(&str, u64, &str); 2] = [
    ("v1.sqlite", 5, include_str!("../archives/v1.digest")),
    ("depot_v1.sqlite", 2, include_str!("../archives/depot_v1.digest")),
];

fn copy_of(name: &str, folder: &Path) -> PathBuf {
    let path = folder.join(name);
    std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("archives").join(name), &path)
        .expect("the kept file");
    path
}

fn read(path: &Path) -> SqliteArchive {
    SqliteArchive::open(path, Opening::default()).expect("it can be read")
}

/// Everything in it: every line, digest, file name and byte.
fn all(archive: &SqliteArchive) -> Vec<Record> {
    let mut all = Vec::new();
    archive
        .each(&mut |record| {
            all.push(record);
            Ok(())
        })
        .expect("every record can be read");
    all
}

fn layout(path: &Path) -> i64 {
    let connection = Connection::open(path).expect("it opens");
    connection.pragma_query_value(None, "user_version", |row| row.get(0)).expect("its layout")
}

#[test]
fn an_archive_of_layout_1_is_read_as_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, records, digest) in KEPT {
        let path = copy_of(name, folder.path());
        let before = std::fs::read(&path).expect("the file");
        let archive = read(&path);
        let report = archive.check().expect("the check runs");
        assert_eq!((report.records, report.faults), (records, vec![]), "{name}");
        assert_eq!(report.last.to_string(), digest.trim(), "{name}");
        assert!(report.notes.iter().any(|note| note.contains("not packed yet")), "{:?}", report.notes);
        assert_eq!(all(&archive).len() as u64, records);
        assert!(!archive.find(&Query::of(&["hollin"]), 9).expect("it can be searched").is_empty());
        archive.types(None).expect("types can be read");
        archive.back_up(&folder.path().join("copy.sqlite")).expect("it can be copied");
        drop(archive);
        assert!(before == std::fs::read(&path).expect("the file"), "{name}: reading changed it");
        assert_eq!(layout(&folder.path().join("copy.sqlite")), 1);
        std::fs::remove_file(folder.path().join("copy.sqlite")).expect("our own copy");
    }
}

#[test]
fn layout_2_has_the_same_records_in_less_room() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, records, digest) in KEPT {
        let path = copy_of(name, folder.path());
        let (before, size) = (all(&read(&path)), std::fs::metadata(&path).expect("the file").len());
        let mut told = Vec::new();
        let mut progress = |done, all| told.push((done, all));
        let migrated = SqliteArchive::open_or_create_telling(&path, Opening::default(), &mut progress);
        let mut archive = migrated.expect("it is brought to the newest layout");
        let report = archive.check().expect("the check runs");
        assert_eq!((report.records, report.faults), (records, vec![]), "{name}");
        assert_eq!(report.last.to_string(), digest.trim(), "{name}");
        assert_eq!(told.last(), Some(&(report.files, report.files)), "{name}: every file was told of");
        assert!(all(&archive) == before, "{name}: records differ");
        // It goes on: its jobs are known, the chain is continued.
        if name == "v1.sqlite" {
            assert_eq!(archive.add(&record(418)).expect("it knows its jobs"), Added::AlreadyThere(2));
        }
        assert_eq!(archive.add(&record(9)).expect("it takes more"), Added::Stored(records as i64 + 1));
        assert_eq!(archive.show(records as i64 + 1).expect("the new one").previous, report.last);
        assert_eq!(archive.check().expect("the check runs").faults, []);
        drop(archive);
        assert_eq!(layout(&path), 2);
        let now = std::fs::metadata(&path).expect("the file").len();
        println!("{name}: {size} bytes, now {now}");
        // The dictionary takes as much as a small archive saves.
        assert!(name == "v1.sqlite" || now * 2 < size, "{name}: {size} bytes, now {now}");
    }
}

/// A layout 1 archive whose packing takes a while: the depot's records with many large texts among their files.
fn large_layout_1(folder: &Path) -> PathBuf {
    let path = copy_of("depot_v1.sqlite", folder);
    let connection = Connection::open(&path).expect("it opens");
    let report: Vec<u8> = connection
        .query_row("SELECT bytes FROM content ORDER BY length(bytes) DESC LIMIT 1", [], |row| row.get(0))
        .expect("a report");
    // Stored files without a record are noticed by the check, and by nothing else.
    for index in 0..60 {
        let bytes = [&report[..], format!("<!-- {index} -->").as_bytes()].concat();
        connection
            .execute(
                "INSERT INTO content (digest, bytes) VALUES (?1, ?2)",
                params![Digest::of(&bytes).bytes(), bytes],
            )
            .expect("one more file");
    }
    path
}

/// Killed at any moment of its migration an archive has layout 1 or 2, and all it had.
#[cfg(unix)]
#[test]
fn killed_while_it_is_brought_to_layout_2_nothing_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let made = large_layout_1(folder.path());
    let records = all(&read(&made));
    let path = folder.path().join("killed.sqlite");
    let mut random = Random::seeded(18);
    let kills =
        std::env::var("BALANCE_TEST_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(200) / 5;
    let (mut older, mut newer) = (0, 0);
    // How long it takes here, undisturbed.
    std::fs::copy(&made, &path).expect("a copy");
    let start = Instant::now();
    let whole = Command::new(env!("CARGO_BIN_EXE_archive_writer"))
        .args(["add", &path.display().to_string(), "7", "1"])
        .stdout(Stdio::null())
        .status();
    assert!(whole.expect("the writer starts").success());
    let whole = start.elapsed();
    for _ in 0..kills {
        for left in ["killed.sqlite-wal", "killed.sqlite-shm"] {
            let _ = std::fs::remove_file(folder.path().join(left));
        }
        std::fs::copy(&made, &path).expect("a copy");
        let mut child = Command::new(env!("CARGO_BIN_EXE_archive_writer"))
            .args(["add", &path.display().to_string(), "7", "1"])
            .stdout(Stdio::null())
            .spawn()
            .expect("the writer starts");
        std::thread::sleep(whole.mul_f64(random.even()));
        // It may have ended on its own just before.
        let _ = child.kill();
        child.wait().expect("it has ended");
        let archive = read(&path);
        let faults = archive.check().expect("the check runs").faults;
        let texts: Vec<&str> = faults.iter().map(|fault| fault.text.as_str()).collect();
        assert_eq!(texts, ["60 stored files belong to no record"]);
        assert!(all(&archive)[..records.len()] == records[..], "records differ");
        drop(archive);
        match layout(&path) {
            1 => older += 1,
            _ => newer += 1,
        }
        // The next one finds nothing in its way.
        let mut again = SqliteArchive::open_or_create(&path, Opening::default()).expect("it opens");
        again.add(&record(8)).expect("it takes a record");
        assert!(all(&again)[..records.len()] == records[..], "records differ");
    }
    println!("{kills} kills: {older} left layout 1, {newer} layout 2");
}

#[test]
fn without_room_for_it_an_archive_keeps_layout_1() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = copy_of("v1.sqlite", folder.path());
    let pages = std::fs::metadata(&path).expect("the file").len() / 4096;
    let tight = Opening { most_pages: Some(pages as u32 + 2), ..Opening::default() };
    let fault = SqliteArchive::open_or_create(&path, tight).expect_err("there is no room for the dictionary");
    assert!(matches!(fault, ArchiveFault::Full { .. }), "{fault}");
    assert_eq!(layout(&path), 1);
    assert_eq!(read(&path).check().expect("the check runs").faults, []);
}

#[test]
fn two_stands_bring_one_archive_to_layout_2() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = large_layout_1(folder.path());
    // A third reads all the while.
    let reader = read(&path);
    let before = all(&reader);
    std::thread::scope(|scope| {
        for index in [31, 32] {
            let path = &path;
            scope.spawn(move || {
                let mut archive = SqliteArchive::open_or_create(path, Opening::default()).expect("it opens");
                archive.add(&record(index)).expect("it takes a record");
            });
        }
    });
    let now = all(&reader);
    assert!(now.len() == before.len() + 2 && now[..before.len()] == before[..], "records differ");
}

/// A frame of Zstandard (RFC 8878, section 3.1.1) made by hand: `blocks` run-length blocks of 128 KiB of zeros each.
fn bomb(blocks: usize) -> Vec<u8> {
    let mut frame = vec![0x28, 0xB5, 0x2F, 0xFD, 0x00, 0x58];
    for block in 1..=blocks {
        let header = u32::from(block == blocks) | 1 << 1 | (128 << 10) << 3;
        frame.extend(&header.to_le_bytes()[..3]);
        frame.push(0);
    }
    frame
}

/// Puts packed bytes and their statement in the place of a record's report, as someone could who knows the layout.
fn forged(folder: &Path, bytes: &[u8], size: i64, packed: Option<Digest>) -> Vec<String> {
    let path = folder.join("forged.sqlite");
    let _ = std::fs::remove_file(&path);
    let mut archive = SqliteArchive::open_or_create(&path, Opening::default()).expect("it opens");
    archive.add(&record(1)).expect("it takes a record");
    drop(archive);
    let connection = Connection::open(&path).expect("it opens");
    let guard: String = connection
        .query_row("SELECT sql FROM sqlite_schema WHERE name = 'content_is_never_changed'", [], |row| {
            row.get(0)
        })
        .expect("the guard");
    connection.execute_batch("DROP TRIGGER content_is_never_changed").expect("it can be taken away");
    let changed = connection.execute(
        "UPDATE content SET bytes = ?1, size = ?2, packed = ?3 WHERE id = (SELECT content FROM file WHERE role = 'report')",
        params![bytes, size, packed.map(|digest| digest.bytes().to_vec())],
    );
    assert_eq!(changed, Ok(1));
    connection.execute_batch(&guard).expect("it can be put back");
    drop(connection);
    let archive = read(&path);
    let shown = archive.show(1).expect_err("it cannot be shown");
    assert!(matches!(shown, ArchiveFault::Damaged { .. }), "{shown}");
    let faults = archive.check().expect("the check runs").faults;
    faults.iter().map(|fault| format!("record {:?}: {}", fault.record, fault.text)).collect()
}

#[test]
fn a_packed_file_that_unpacks_to_more_than_it_states_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    // 1 GiB in 32 kB.
    let gib = bomb(8192);
    assert!(gib.len() < 40_000);
    let own = Some(Digest::of(&gib));
    for (bytes, size, digest, words) in [
        (&gib[..], 1000, own, "unpacks to more than the 1000 bytes it states"),
        (&gib, 1 << 30, own, "it states 1073741824 bytes, at most 268435456 are unpacked"),
        (&gib, i64::MAX, own, "at most 268435456 are unpacked"),
        (&gib, 1000, Some(Digest::NOTHING), "its packed bytes were changed"),
        (&gib, 1000, None, "are not both there"),
        (&bomb(1), 131_073, Some(Digest::of(&bomb(1))), "it unpacks to 131072 bytes and states 131073"),
        (&gib[..100], 1 << 23, Some(Digest::of(&gib[..100])), "it cannot be unpacked"),
        (b"<!doctype html>", 15, Some(Digest::of(b"<!doctype html>")), "it cannot be unpacked"),
    ] {
        let faults = forged(folder.path(), bytes, size, digest);
        assert!(
            faults.len() == 1
                && faults[0].starts_with("record Some(1): its file report.html is damaged")
                && faults[0].contains(words),
            "{words}: {faults:?}"
        );
    }
}

/// Whoever has the archive and any reader of Zstandard can unpack its files: the dictionary lies in it.
#[test]
fn the_dictionary_in_the_archive_is_guarded_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.sqlite");
    drop(SqliteArchive::open_or_create(&path, Opening::default()).expect("it opens"));
    let connection = Connection::open(&path).expect("it opens");
    assert!(connection.execute("UPDATE dictionary SET bytes = x'00'", []).is_err());
    assert!(connection.execute("DELETE FROM dictionary", []).is_err());
    connection.execute("INSERT INTO dictionary (id, bytes) VALUES (7, x'00')", []).expect("one more");
    let faults = read(&path).check().expect("the check runs").faults;
    assert!(faults.iter().any(|fault| fault.text.contains("dictionary")), "{faults:?}");
}
