//! A whole job driven in a real pseudo-terminal.
#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::process::Command;

use balance_tests::program::balance;
use balance_tests::stand::{WHOLE, answer, empty_job};
use rexpect::session::{PtySession, spawn_command};

const PROGRAM: &str = env!("CARGO_BIN_EXE_balance-under-test");

fn start(folder: &std::path::Path) -> PtySession {
    let mut command = Command::new(PROGRAM);
    command.arg("stand").arg(folder).env("LC_ALL", "C.UTF-8").env("TERM", "xterm");
    spawn_command(command, Some(20_000)).unwrap()
}

/// Goes on until the job is done or `stop` says so; returns what was on the terminal.
fn drive(session: &mut PtySession, stop: impl Fn(&str) -> bool) -> String {
    let mut log = String::new();
    for _ in 0..60 {
        // Every question ends with a colon and a blank; answers do not hold one at the end of a flush.
        loop {
            let (before, found) = session.exp_regex(": $").unwrap_or_else(|error| panic!("{error}\n{log}"));
            log.push_str(&before);
            log.push_str(&found);
            if answer(&log).is_some() {
                break;
            }
        }
        let Some(answer) = answer(&log) else { continue };
        if stop(&log) {
            return log;
        }
        session.send_line(answer).unwrap();
        if answer == "q" {
            log.push_str(&session.exp_eof().unwrap());
            return log;
        }
    }
    panic!("no end:\n{log}");
}

#[test]
fn a_whole_job_in_a_terminal_gives_the_file_that_a_careful_hand_writes() {
    let above = tempfile::tempdir().unwrap();
    let folder = empty_job(above.path()).unwrap();
    let mut session = start(&folder);
    let log = drive(&mut session, |_| false);
    let status = session.process().wait().unwrap();
    assert!(format!("{status:?}").contains("Exited"), "{status:?}");
    assert!(log.contains("Saved: 1 initial, 2 trial, 1 tried, 1 check."), "{log}");
    assert!(log.contains('\u{7}'), "a bell on a terminal");
    // The session hands on every byte as a letter of its own.
    let bytes: Vec<u8> = log.chars().filter_map(|letter| u8::try_from(u32::from(letter)).ok()).collect();
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.chars().any(|letter| ('\u{2801}'..='\u{28ff}').contains(&letter)), "a picture");

    let by_hand = tempfile::tempdir().unwrap();
    let other = empty_job(by_hand.path()).unwrap();
    std::fs::write(other.join("runs.csv"), WHOLE).unwrap();
    for words in [vec!["correct"], vec!["correct", "--json"], vec!["verify"], vec!["verify", "--json"]] {
        let said = |folder: &std::path::Path| {
            let mut all: Vec<std::ffi::OsString> = words.iter().map(Into::into).collect();
            all.push(folder.into());
            balance(all)
        };
        let (own, wanted) = (said(&folder), said(&other));
        assert_eq!(own, wanted, "{words:?}");
        assert_eq!(own.code, 0);
    }
    // What was shown at the stand is what the other commands say.
    let verdict = balance(["verify".as_ref(), folder.as_os_str()]).answer;
    let plain = log.replace('\r', "");
    assert!(plain.contains(verdict.trim_end()), "{verdict}\nis not in\n{plain}");
}

#[test]
fn an_interrupt_keeps_everything_that_was_taken() {
    let above = tempfile::tempdir().unwrap();
    let folder = empty_job(above.path()).unwrap();
    let mut session = start(&folder);
    let log = drive(&mut session, |log| log.contains("Run 3, TRIAL") && log.trim_end().ends_with("typed):"));
    assert!(log.contains("Taken: run 2"), "{log}");
    session.send("5.3").unwrap();
    session.send_control('c').unwrap();
    let status = session.process().wait().unwrap();
    assert!(format!("{status:?}").contains("SIGINT"), "{status:?}");
    let runs = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
    assert_eq!(runs.lines().count(), 3, "{runs}");
    let log = drive(&mut start(&folder), |_| false);
    assert!(log.contains("Saved: 1 initial, 2 trial, 1 tried, 1 check."), "{log}");
}
