//! 1. The exit status gives the verdict even if no one reads the answer to its end.

use std::io::{BufRead, BufReader, Write};
use std::process::Command;

use super::workshop::{HEADER, JOB, ROWS, Workshop, process};

/// Reads one line, hangs up, and waits for the end.
fn status_after_one_line(command: &mut Command) -> Option<i32> {
    let mut child = command.spawn().unwrap();
    let mut line = String::new();
    BufReader::with_capacity(1, child.stdout.take().unwrap()).read_line(&mut line).unwrap();
    assert!(!line.is_empty());
    child.wait().unwrap().code()
}

#[test]
fn line_1_verify_keeps_the_verdicts_status_when_its_reader_hangs_up() {
    // Far more than a pipe holds (64 kB).
    let shafts = 1..=400;
    let rows: String = shafts
        .flat_map(|shaft| {
            ROWS.lines().chain(["4,check,1800,,,,,5.29,230,3.24,69"]).map(move |row| (shaft, row))
        })
        .map(|(shaft, row)| format!("s{shaft},{row}\n"))
        .collect();
    let shop = Workshop::new(JOB, &format!("shaft,{HEADER}{rows}"));
    for words in [&["verify", "--json"][..], &["verify"]] {
        let whole = process().args(words).arg(shop.job()).output().unwrap();
        assert_eq!(whole.status.code(), Some(1), "{}", String::from_utf8_lossy(&whole.stderr));
        assert!(words.len() == 1 || whole.stdout.len() > 1 << 16, "more than a pipe holds");
        assert_eq!(status_after_one_line(process().args(words).arg(shop.job())), Some(1), "{words:?}");
    }
    // Faults that no one reads are still faults.
    std::fs::write(shop.job().join("runs.csv"), format!("shaft,{HEADER}s1,x\n")).unwrap();
    let mut deaf = process();
    deaf.args(["verify"]).arg(shop.job());
    let mut child = deaf.spawn().unwrap();
    drop((child.stdout.take(), child.stderr.take()));
    assert_eq!(child.wait().unwrap().code(), Some(2));
}

#[test]
fn line_1_archive_check_keeps_its_status_when_its_reader_hangs_up() {
    let shop = Workshop::usual();
    let archive = shop.beside("archive.sqlite");
    for number in 0..40 {
        let mut runs = std::fs::OpenOptions::new().append(true).open(shop.job().join("runs.csv")).unwrap();
        writeln!(runs, "# {number}").unwrap();
        let said = process().args(["archive", "add"]).arg(shop.job()).arg("--archive").arg(&archive).output();
        assert!(said.unwrap().status.success());
    }
    let database = rusqlite::Connection::open(&archive).unwrap();
    database.execute_batch("DROP TRIGGER IF EXISTS record_is_never_changed").unwrap();
    let triggers: Vec<String> = database
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    for trigger in triggers {
        database.execute_batch(&format!("DROP TRIGGER {trigger}")).unwrap();
    }
    database.execute("UPDATE record SET customer = 'somebody else'", []).unwrap();
    drop(database);
    let mut check = process();
    check.args(["archive", "check", "--archive"]).arg(&archive);
    assert_eq!(check.output().unwrap().status.code(), Some(2));
    let mut child = check.spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(2));
}
