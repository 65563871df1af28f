//! 14. What a check finds on its own, what only a seal shows, and that the check says which it was.

use std::path::{Path, PathBuf};
use std::process::Output;

use balance_cli::archive::{Archive, NewRecord, Opening, SqliteArchive};
use balance_tests::archive::record;

use super::workshop::process;

/// A shop with an archive of this many records.
fn shop(records: u64) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("shop.toml"), "[shop]\nname = \"depot\"\n").unwrap();
    let path = folder.path().join("a.sqlite");
    add(&path, 0..records);
    (folder, path)
}

fn add(path: &Path, records: impl Iterator<Item = u64>) {
    let mut archive = SqliteArchive::open_or_create(path, Opening::default()).unwrap();
    records.for_each(|index| assert!(archive.add(&record(index)).is_ok()));
}

fn archive(folder: &tempfile::TempDir, words: &[&str]) -> (Option<i32>, String) {
    let mut command = process();
    let Output { status, stdout, stderr } = command
        .current_dir(folder.path())
        .arg("archive")
        .args(words)
        .args(["--archive", "a.sqlite"])
        .output()
        .unwrap();
    (status.code(), String::from_utf8([stdout, stderr].concat()).unwrap())
}

/// Each way to leave an archive that is consistent in itself.
fn forgeries(folder: &tempfile::TempDir, path: &Path) -> Vec<(&'static str, Vec<u8>)> {
    let beside = |name: &str| folder.path().join(name);
    let read = |path: &Path| std::fs::read(path).unwrap();
    // An older backup.
    let older = beside("older.sqlite");
    add(&older, 0..2);
    // Another customer in record 1, and every later digest recomputed: this equals an archive made with that
    // record.
    let anew = beside("anew.sqlite");
    let mut forged = SqliteArchive::open_or_create(&anew, Opening::default()).unwrap();
    assert!(forged.add(&NewRecord { customer: "somebody else".into(), ..record(0) }).is_ok());
    drop(forged);
    add(&anew, 1..3);
    // The newest record removed, and the database's counter set back.
    let cut = beside("cut.sqlite");
    std::fs::copy(path, &cut).unwrap();
    let database = rusqlite::Connection::open(&cut).unwrap();
    let guards: Vec<(String, String)> = database
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    guards.iter().for_each(|(name, _)| database.execute_batch(&format!("DROP TRIGGER {name}")).unwrap());
    // The search index of record 3 is removed too: the index is rebuilt from the two that stay.
    let two = beside("two.sqlite");
    add(&two, 0..2);
    database
        .execute_batch(&format!(
            "DELETE FROM file WHERE record = 3; DELETE FROM record WHERE id = 3;
             DELETE FROM content WHERE id NOT IN (SELECT content FROM file);
             UPDATE sqlite_sequence SET seq = 2 WHERE name = 'record';
             ATTACH '{}' AS two;
             DELETE FROM search_data; INSERT INTO search_data SELECT * FROM two.search_data;
             DELETE FROM search_idx; INSERT INTO search_idx SELECT * FROM two.search_idx;
             DELETE FROM search_docsize; INSERT INTO search_docsize SELECT * FROM two.search_docsize;",
            two.display()
        ))
        .unwrap();
    guards.iter().for_each(|(_, sql)| database.execute_batch(sql).unwrap());
    drop(database);
    vec![("older backup", read(&older)), ("chain made anew", read(&anew)), ("newest taken away", read(&cut))]
}

#[test]
fn line_14_without_a_seal_forgeries_pass_and_the_check_says_that_it_has_none() {
    let (folder, path) = shop(3);
    let (code, said) = archive(&folder, &["check"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("all complete and consistent") && said.contains("no seal to compare with"),
        "{said}"
    );
    for (what, bytes) in forgeries(&folder, &path) {
        std::fs::write(&path, bytes).unwrap();
        let (code, said) = archive(&folder, &["check"]);
        assert!(code == Some(0) && said.contains("no seal to compare with"), "{what}: {said}");
    }
}

#[test]
fn line_14_a_seal_finds_every_forgery() {
    let (folder, path) = shop(3);
    let (code, said) = archive(&folder, &["seal"]);
    assert_eq!(code, Some(0), "{said}");
    let digest = said.lines().find_map(|line| line.strip_prefix("digest ")).unwrap().to_owned();
    assert!(said.starts_with("record 3\n") && said.contains("date ") && said.contains("seals.csv"), "{said}");
    let seals = std::fs::read_to_string(folder.path().join("seals.csv")).unwrap();
    assert!(seals.starts_with("record,sha256,date\n3,") && seals.contains(&digest), "{seals}");
    let (code, said) = archive(&folder, &["check"]);
    assert!(
        code == Some(0) && said.contains("record 3 and all before it are as they were sealed on"),
        "{said}"
    );
    let whole = std::fs::read(&path).unwrap();
    for (what, bytes) in forgeries(&folder, &path) {
        std::fs::write(&path, bytes).unwrap();
        let (code, said) = archive(&folder, &["check"]);
        assert!(code == Some(2) && said.contains("record 3") && said.contains("sealed"), "{what}: {said}");
        let (code, said) = archive(&folder, &["seal"]);
        assert!(code == Some(2), "a forgery is not sealed: {what}: {said}");
        let elsewhere = folder.path().join("none.csv");
        let words = ["check", "--seals", elsewhere.to_str().unwrap(), "--expect", &digest];
        let (code, said) = archive(&folder, &words);
        assert!(code == Some(2) && said.contains("no record has the digest"), "{what}: {said}");
    }
    // The archive grows: an older seal still holds, and the expected digest is found.
    std::fs::write(&path, whole).unwrap();
    add(&path, 3..5);
    let (code, said) = archive(&folder, &["check", "--expect", &digest]);
    assert!(code == Some(0) && said.contains("record 3 has the expected digest"), "{said}");
    assert_eq!(archive(&folder, &["seal"]).0, Some(0));
    let (code, said) = archive(&folder, &["check", "--json"]);
    let object: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!((code, object["faults"].as_array().map(Vec::len)), (Some(0), Some(0)), "{said}");
    assert_eq!(std::fs::read_to_string(folder.path().join("seals.csv")).unwrap().lines().count(), 3);
}

#[test]
fn line_14_seals_need_a_place_and_records_and_are_read_with_care() {
    let (folder, path) = shop(0);
    assert!(archive(&folder, &["seal"]).1.contains("no record to seal yet"));
    add(&path, 0..1);
    let (code, said) = archive(&folder, &["check", "--expect", "12ab"]);
    assert!(code == Some(2) && said.contains("`12ab` is not a digest"), "{said}");
    std::fs::write(folder.path().join("seals.csv"), "record,sha256,date\n1,x,y\n").unwrap();
    let (code, said) = archive(&folder, &["check"]);
    assert!(code == Some(2) && said.contains("seals.csv: row 2 is not a seal"), "{said}");
    std::fs::remove_file(folder.path().join("seals.csv")).unwrap();
    std::fs::remove_file(folder.path().join("shop.toml")).unwrap();
    let (code, said) = archive(&folder, &["seal"]);
    assert!(code == Some(2) && said.contains("--seals FILE"), "{said}");
    assert_eq!(archive(&folder, &["seal", "--seals", "my.csv"]).0, Some(0));
    assert!(folder.path().join("my.csv").is_file());
}
