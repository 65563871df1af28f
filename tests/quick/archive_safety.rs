//! The archive in bad conditions: killed, full, locked, write-protected, damaged, crowded. What it reported
//! as stored is there and complete.

#![cfg(unix)]

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use balance_cli::archive::{Added, Archive, ArchiveFault, NewRecord, Opening, Query, SqliteArchive};
use balance_tests::archive::{record, record_with_photo};
use balance_tests::random::Random;

fn open(path: &Path) -> SqliteArchive {
    SqliteArchive::open_or_create(path, Opening::default()).expect("the archive opens")
}

fn assert_whole(archive: &SqliteArchive) {
    let report = archive.check().expect("the check runs");
    assert_eq!(report.faults, []);
}

/// Every file and field of the stored record is what went in.
fn assert_same(archive: &SqliteArchive, id: i64, wanted: &NewRecord) {
    let stored = archive.show(id).expect("a record said to be stored is there");
    assert_eq!(
        (&stored.line.number, &stored.line.unit, &stored.line.made_at),
        (&wanted.number, &wanted.unit, &wanted.made_at)
    );
    let mut bytes: Vec<&[u8]> = wanted.inputs.iter().map(|(_, bytes)| bytes.as_slice()).collect();
    bytes.push(wanted.result.as_bytes());
    bytes.extend(wanted.report.iter().map(Vec::as_slice));
    bytes.extend(wanted.attachments.iter().map(|own| own.bytes.as_slice()));
    bytes.extend(wanted.answers.iter().map(String::as_bytes));
    let found: Vec<&[u8]> = stored.files.iter().map(|file| file.bytes.as_slice()).collect();
    assert_eq!(found, bytes);
}

/// Starts the writer, kills it (SIGKILL) after some time, and returns what it reported as stored: id and
/// index.
fn killed_after(arguments: &[&str], time: Duration) -> Vec<(i64, u64)> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_archive_writer"))
        .args(arguments)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the writer starts");
    std::thread::sleep(time);
    // It may have ended on its own just before.
    let _ = child.kill();
    let mut said = String::new();
    child.stdout.take().expect("its words are piped").read_to_string(&mut said).expect("its words are text");
    child.wait().expect("it has ended");
    stored(&said)
}

fn stored(said: &str) -> Vec<(i64, u64)> {
    // A line may be cut off by the kill: only whole lines count.
    let whole = said.rfind('\n').map_or("", |end| &said[..end]);
    let pair = |line: &str| {
        let mut words = line.strip_prefix("stored ")?.split(' ');
        Some((words.next()?.parse().ok()?, words.next()?.parse().ok()?))
    };
    whole.lines().filter_map(pair).collect()
}

/// The number of kills: 200, or the value of `BALANCE_TEST_KILLS` (50 in every CI run).
fn kills() -> u64 {
    std::env::var("BALANCE_TEST_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(200)
}

#[test]
fn killed_while_adding_nothing_is_lost() {
    let mut random = Random::seeded(2031);
    let (mut seen, mut quiet) = (0, 0);
    let mut next = 0;
    for round in 0..kills().div_ceil(10) {
        // A new archive every ten kills: its creation can be interrupted too.
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("archive.sqlite");
        let text = path.display().to_string();
        let mut all = Vec::new();
        for _ in 0..10.min(kills() - round * 10) {
            let time = Duration::from_micros((random.even().powi(2) * 300_000.0) as u64);
            let stored = killed_after(&["add", &text, &next.to_string(), "1000"], time);
            quiet += usize::from(stored.is_empty());
            next += 1000;
            all.extend(stored);
        }
        let archive = open(&path);
        assert_whole(&archive);
        for (id, index) in &all {
            assert_same(&archive, *id, &record_with_photo(*index, 3000));
        }
        seen += all.len();
    }
    println!("{} kills, {quiet} before the first record, {seen} records reported and found whole", kills());
    assert!(seen > 0 && quiet < kills() as usize, "the kills came too early to tell anything");
}

#[test]
fn killed_while_importing_it_goes_on_where_it_was() {
    const JOBS: u64 = 150;
    let mut random = Random::seeded(2032);
    let folder = tempfile::tempdir().expect("a folder");
    let jobs = folder.path().join("old jobs");
    for index in 0..JOBS {
        let job = jobs.join(format!("{:04}", index / 50)).join(format!("{index:06}"));
        std::fs::create_dir_all(&job).expect("a job folder");
        std::fs::write(job.join("runs.csv"), "run\n").expect("a job file");
    }
    let (mut left, mut finished) = (kills(), 0);
    let mut round = 0;
    while left > 0 {
        round += 1;
        let path = folder.path().join(format!("archive {round}.sqlite"));
        let (text, from) = (path.display().to_string(), jobs.display().to_string());
        let mut all = Vec::new();
        for _ in 0..25.min(left) {
            left -= 1;
            let time = Duration::from_micros((random.even() * 200_000.0) as u64);
            all.extend(killed_after(&["import", &text, &from], time));
        }
        let last = Command::new(env!("CARGO_BIN_EXE_archive_writer")).args(["import", &text, &from]).output();
        let said = String::from_utf8(last.expect("the import ends").stdout).expect("its words are text");
        all.extend(stored(&said));
        finished += 1;
        let archive = open(&path);
        assert_whole(&archive);
        for (id, index) in &all {
            assert_same(&archive, *id, &record(*index));
        }
        let ids: std::collections::BTreeSet<i64> = all.iter().map(|(id, _)| *id).collect();
        assert_eq!(ids.len() as u64, JOBS, "every job once");
        assert_eq!(archive.check().expect("the check runs").records, JOBS, "every job once");
    }
    println!("{} kills, {finished} imports finished", kills());
}

#[test]
fn eight_writers_at_once_lose_nothing() {
    const EACH: u64 = 40;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("archive.sqlite");
    let start = |writer: u64| {
        Command::new(env!("CARGO_BIN_EXE_archive_writer"))
            .args(["add", &path.display().to_string(), &(writer * EACH).to_string(), &EACH.to_string()])
            .stdout(Stdio::piped())
            .spawn()
            .expect("a writer starts")
    };
    let writers: Vec<_> = (0..8).map(start).collect();
    let mut all = Vec::new();
    for writer in writers {
        let output = writer.wait_with_output().expect("a writer ends");
        let said = String::from_utf8(output.stdout).expect("its words are text");
        assert!(output.status.success(), "{said}");
        all.extend(stored(&said));
    }
    assert_eq!(all.len() as u64, 8 * EACH);
    let archive = open(&path);
    assert_whole(&archive);
    for (id, index) in &all {
        assert_same(&archive, *id, &record_with_photo(*index, 3000));
    }
    assert_eq!(archive.check().expect("the check runs").records, 8 * EACH);
}

/// Adds until the archive accepts no more. Returns how many it accepted, and why it stopped.
fn fill(archive: &mut SqliteArchive) -> (Vec<(i64, u64)>, ArchiveFault) {
    let mut taken = Vec::new();
    let fault = (0..10_000).find_map(|index| {
        archive.add(&record_with_photo(index, 20_000)).map(|added| taken.push((added.id(), index))).err()
    });
    (taken, fault.expect("it becomes full"))
}

fn assert_taken(path: &Path, taken: &[(i64, u64)]) {
    let archive = SqliteArchive::open(path, Opening::default()).expect("a full archive can be read");
    assert_whole(&archive);
    for (id, index) in taken {
        assert_same(&archive, *id, &record_with_photo(*index, 20_000));
    }
    assert_eq!(archive.check().expect("the check runs").records, taken.len() as u64);
}

#[test]
fn a_file_that_may_not_grow_keeps_what_it_has() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("archive.sqlite");
    let limit = Opening { most_pages: Some(400), ..Opening::default() };
    let mut archive = SqliteArchive::open_or_create(&path, limit).expect("it opens");
    let (mut taken, fault) = fill(&mut archive);
    assert!(matches!(fault, ArchiveFault::Full { .. }), "{fault}");
    assert!(taken.len() > 20, "{}", taken.len());
    assert_taken(&path, &taken);
    // With room again it continues.
    drop(archive);
    let added = open(&path).add(&record_with_photo(99_999, 20_000)).expect("there is room again");
    taken.push((added.id(), 99_999));
    assert_taken(&path, &taken);
}

/// A small disk of our own; it needs the right to mount, which a root user in a container may not have.
struct SmallDisk {
    folder: tempfile::TempDir,
}

impl SmallDisk {
    fn of(size: &str) -> Option<Self> {
        let folder = tempfile::tempdir().expect("a folder");
        mount(&["-t", "tmpfs", "-o", &format!("size={size}"), "none"], folder.path())
            .then_some(Self { folder })
    }

    fn archive(&self) -> PathBuf {
        self.folder.path().join("archive.sqlite")
    }

    fn protect(&self) {
        assert!(mount(&["-o", "remount,ro"], self.folder.path()), "a disk of our own can be protected");
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.folder.path()).status();
    }
}

fn mount(arguments: &[&str], at: &Path) -> bool {
    let output = Command::new("mount").args(arguments).arg(at).output();
    output.is_ok_and(|output| output.status.success())
}

#[test]
fn a_full_disk_keeps_what_it_has() {
    // Sizes that run out in different places: in the file, in its log, in the log's index.
    for size in ["300k", "700k", "1500k", "4m"] {
        let Some(disk) = SmallDisk::of(size) else {
            println!("no right to mount a small disk here: only the size limit of the file was tested");
            return;
        };
        let mut archive = match SqliteArchive::open_or_create(&disk.archive(), Opening::default()) {
            Ok(archive) => archive,
            Err(fault) => {
                assert!(matches!(fault, ArchiveFault::Full { .. }), "{size}: {fault}");
                continue;
            }
        };
        let (taken, fault) = fill(&mut archive);
        println!("{size}: {} records, then: {fault}", taken.len());
        assert!(matches!(fault, ArchiveFault::Full { .. }), "{size}: {fault}");
        drop(archive);
        assert_taken(&disk.archive(), &taken);
    }
}

#[test]
fn a_write_protected_archive_can_be_read_and_says_so() {
    let protected = SmallDisk::of("8m");
    let folder = tempfile::tempdir().expect("a folder");
    let path = protected.as_ref().map_or_else(|| folder.path().join("archive.sqlite"), SmallDisk::archive);
    open(&path).add(&record(1)).expect("it takes a record");
    match &protected {
        Some(disk) => disk.protect(),
        None => {
            let mut rights = std::fs::metadata(&path).expect("the file is there").permissions();
            rights.set_readonly(true);
            std::fs::set_permissions(&path, rights).expect("our own file");
        }
    }
    let mut archive = SqliteArchive::open(&path, Opening::default()).expect("it can be read");
    assert_same(&archive, 1, &record(1));
    assert_whole(&archive);
    assert_eq!(archive.find(&Query::of(&["hollin"]), 5).expect("it can be searched").len(), 1);
    let fault = archive.add(&record(2)).expect_err("it cannot be written");
    assert!(matches!(fault, ArchiveFault::ReadOnly { .. }), "{fault}");
}

#[test]
fn a_locked_archive_says_so_and_can_be_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("archive.sqlite");
    let soon = Opening { wait: Duration::from_millis(50), ..Opening::default() };
    let mut archive = SqliteArchive::open_or_create(&path, soon).expect("it opens");
    archive.add(&record(1)).expect("it takes a record");
    let other = rusqlite::Connection::open(&path).expect("another program");
    other.execute_batch("BEGIN IMMEDIATE").expect("it locks");
    let fault = archive.add(&record(2)).expect_err("it is locked");
    assert!(matches!(fault, ArchiveFault::Locked { .. }), "{fault}");
    assert_same(&archive, 1, &record(1));
    other.execute_batch("ROLLBACK").expect("it unlocks");
    assert_eq!(archive.add(&record(2)).expect("it is free"), Added::Stored(2));
}

#[test]
fn files_that_are_no_archive_are_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let fault =
        |path: &Path| SqliteArchive::open(path, Opening::default()).err().map(|fault| fault.to_string());
    let says = |path: &Path, words: &str| {
        let said = fault(path).unwrap_or_default();
        assert!(said.contains(words), "{said:?} should say {words:?}");
    };
    says(&at("none.sqlite"), "there is no archive");
    std::fs::write(at("text.sqlite"), "run,kind\n".repeat(500)).expect("a file");
    says(&at("text.sqlite"), "is not an archive");
    let foreign = rusqlite::Connection::open(at("foreign.sqlite")).expect("another database");
    foreign.execute_batch("CREATE TABLE shelf (book TEXT)").expect("it is made");
    says(&at("foreign.sqlite"), "is not an archive");
    assert!(SqliteArchive::open_or_create(&at("foreign.sqlite"), Opening::default()).is_err());
    drop(open(&at("later.sqlite")));
    let later = rusqlite::Connection::open(at("later.sqlite")).expect("the archive");
    later.pragma_update(None, "user_version", 99).expect("it is marked");
    drop(later);
    says(&at("later.sqlite"), "newer version of the program");
    std::fs::write(at("empty.sqlite"), "").expect("a file");
    says(&at("empty.sqlite"), "is an empty file");
}

/// Pages overwritten, and the file truncated: reading reports damage, or the check finds it; nothing panics.
#[test]
fn a_damaged_file_is_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("archive.sqlite");
    let mut archive = open(&path);
    for index in 0..30 {
        archive.add(&record_with_photo(index, 2000)).expect("it takes a record");
    }
    drop(archive);
    let whole = std::fs::read(&path).expect("the file");
    let pages = whole.len() / 4096;
    let damaged = folder.path().join("damaged.sqlite");
    for page in 0..=pages {
        let mut bytes = whole.clone();
        if page == pages {
            bytes.truncate(whole.len() / 2);
        } else {
            // The very first bytes identify the file: that case is tested elsewhere.
            bytes[(page * 4096).max(100)..(page + 1) * 4096].fill(0xA5);
        }
        std::fs::write(&damaged, &bytes).expect("a damaged copy");
        match SqliteArchive::open(&damaged, Opening::default()).map(|archive| archive.check()) {
            Ok(Ok(report)) => assert!(!report.faults.is_empty(), "page {page}: nothing found"),
            Ok(Err(fault)) | Err(fault) => {
                assert!(
                    matches!(fault, ArchiveFault::Damaged { .. } | ArchiveFault::NotAnArchive { .. }),
                    "page {page}: {fault}"
                );
            }
        }
    }
}
