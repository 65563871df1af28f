//! 2. A backup destroys nothing and is complete or not there; a check changes nothing and finds what was
//!    removed.

use std::path::Path;

use balance_cli::archive::{Archive, ArchiveFault, Opening, SqliteArchive};
use balance_tests::archive::{record, record_with_photo};

use super::workshop::{Workshop, on, process};

fn archive_of(path: &Path, records: u64) {
    let mut archive = SqliteArchive::open_or_create(path, Opening::default()).unwrap();
    (0..records).for_each(|index| assert!(archive.add(&record_with_photo(index, 20_000)).is_ok()));
}

fn check(path: &Path) -> (Option<i32>, String) {
    let said = process().args(["archive", "check", "--archive"]).arg(path).output().unwrap();
    (said.status.code(), String::from_utf8([said.stdout, said.stderr].concat()).unwrap())
}

#[test]
fn line_2_a_backup_never_takes_the_place_of_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    archive_of(&at("a.sqlite"), 1);
    archive_of(&at("other.sqlite"), 2);
    std::fs::write(at("letter.txt"), "dear").unwrap();
    std::os::unix::fs::symlink(at("nowhere"), at("link")).unwrap();
    for target in ["other.sqlite", "letter.txt", "link", "a.sqlite"] {
        let before = std::fs::read(at(target)).ok();
        let said = process()
            .args(["archive", "backup"])
            .arg(at(target))
            .arg("--archive")
            .arg(at("a.sqlite"))
            .output();
        let said = said.unwrap();
        assert_eq!(said.status.code(), Some(2), "{target}");
        assert!(String::from_utf8_lossy(&said.stderr).contains("already exists and was not changed"));
        assert_eq!(std::fs::read(at(target)).ok(), before, "{target}");
    }
    assert!(!at("nowhere").exists());
}

/// Killed at every thousandth of the time it takes: there is a whole copy or none.
#[test]
fn line_2_a_killed_backup_leaves_no_half_copy() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    archive_of(&at("a.sqlite"), 300);
    let start = |name: &str| {
        process()
            .args(["archive", "backup"])
            .arg(at(name))
            .arg("--archive")
            .arg(at("a.sqlite"))
            .spawn()
            .unwrap()
    };
    let begun = std::time::Instant::now();
    assert!(start("whole.sqlite").wait().unwrap().success());
    let time = begun.elapsed();
    let mut there = 0;
    for part in 0..40 {
        let name = format!("{part}.sqlite");
        let mut child = start(&name);
        std::thread::sleep(time * part / 40);
        let _ = child.kill();
        child.wait().unwrap();
        if at(&name).exists() {
            there += 1;
            let (code, said) = check(&at(&name));
            assert!(code == Some(0) && said.contains("300 records"), "{part}: {said}");
        }
    }
    println!("40 kills: {there} whole copies, no half one");
    assert!(there < 40);
}

#[test]
fn line_2_an_empty_file_is_no_archive_and_stays_empty() {
    let shop = Workshop::usual();
    let archive = shop.beside("empty.sqlite");
    std::fs::write(&archive, "").unwrap();
    for verb in ["check", "list", "export", "add"] {
        let mut words = process();
        words.args(["archive", verb]);
        if verb == "add" {
            words.arg(shop.job());
        }
        let said = words.arg("--archive").arg(&archive).output().unwrap();
        assert_eq!(said.status.code(), Some(2), "{verb}");
        assert!(
            String::from_utf8_lossy(&said.stderr).contains("is an empty file, not an archive"),
            "{verb}: {said:?}"
        );
        assert_eq!(std::fs::read(&archive).unwrap(), b"", "{verb}");
    }
}

#[test]
fn line_2_reading_changes_nothing_and_works_where_nothing_can_be_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.sqlite");
    archive_of(&path, 3);
    let files = || {
        let mut all: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
        all.sort();
        all.into_iter().map(|path| (path.clone(), std::fs::read(path).unwrap())).collect::<Vec<_>>()
    };
    let before = files();
    assert_eq!(check(&path).0, Some(0));
    assert!(before == files(), "a check changed something");
    let mut archive = SqliteArchive::open(&path, Opening::default()).unwrap();
    assert!(matches!(archive.add(&record(9)), Err(ArchiveFault::ReadOnly { .. })));
    drop(archive);
    assert!(before == files(), "reading changed something");
    // Root can write anywhere, so the folder is read through a name under which no one can create a file.
    let text = std::process::Command::new("mount")
        .args(["--bind", "-o", "ro"])
        .arg(folder.path())
        .arg(folder.path())
        .status();
    let protected = text.is_ok_and(|status| status.success());
    if protected {
        let (code, said) = check(&path);
        let _ = std::process::Command::new("umount").arg(folder.path()).status();
        assert_eq!(code, Some(0), "{said}");
    } else {
        println!("no right to mount here: archive_safety's protected disk holds this");
    }
}

#[test]
fn line_2_schema_guards_and_search_words_are_checked() {
    let folder = tempfile::tempdir().unwrap();
    for (change, told) in [
        ("DROP TRIGGER record_is_never_changed", "the trigger record_is_never_changed is missing"),
        ("CREATE TABLE more (x)", "the table more does not belong in an archive"),
        (
            "DROP TRIGGER file_is_never_deleted; CREATE TRIGGER file_is_never_deleted BEFORE DELETE ON file BEGIN SELECT 1; END",
            "the trigger file_is_never_deleted was changed",
        ),
        ("DROP INDEX record_supersedes", "the index record_supersedes is missing"),
        (
            "INSERT INTO search (search) VALUES ('delete-all'); INSERT INTO search (rowid, words) VALUES (1, 'x'), (2, 'y')",
            "the search index has other words for it",
        ),
    ] {
        let path = folder.path().join("a.sqlite");
        let _ = std::fs::remove_file(&path);
        archive_of(&path, 2);
        assert_eq!(check(&path).0, Some(0));
        rusqlite::Connection::open(&path).unwrap().execute_batch(change).unwrap();
        let (code, said) = check(&path);
        assert!(code == Some(2) && said.contains(told), "{change}: {said}");
    }
}

#[test]
fn line_2_a_name_is_a_file_and_nothing_else() {
    let shop = Workshop::usual();
    for name in [":memory:", "file:x.sqlite?mode=memory", "file::memory:", "-a b%20?.sqlite"] {
        let stored = process()
            .current_dir(shop.beside(""))
            .args(["archive", "add", "WP-0417", &format!("--archive={name}")])
            .output()
            .unwrap();
        assert!(stored.status.success(), "{name}: {}", String::from_utf8_lossy(&stored.stderr));
        assert!(shop.beside(name).is_file(), "{name}");
        let said = on(&["archive", "check", "--archive"], &shop.beside(name));
        assert!(said.answer.starts_with("1 records"), "{name}: {said:?}");
    }
}
