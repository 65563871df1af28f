//! A whole job driven in a real pseudo-terminal.
#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::process::Command;
use std::time::{Duration, Instant};

use balance_tests::program::balance;
use balance_tests::stand::{WHOLE, answer, empty_job};
use rexpect::process::{Signal, WaitStatus};
use rexpect::session::{PtySession, spawn_command};

const PROGRAM: &str = env!("CARGO_BIN_EXE_balance-under-test");

fn start(folder: &std::path::Path) -> PtySession {
    let mut command = Command::new(PROGRAM);
    command.arg("stand").arg(folder).env("LC_ALL", "C.UTF-8").env("TERM", "xterm");
    let mut session = spawn_command(command, Some(20_000)).unwrap();
    // A test that gives up leaves nothing running, even if the program ignores signals.
    session.process_mut().set_kill_timeout(Some(1000));
    session
}

/// Waits for the program's end, but only for 20 s: then it is killed.
fn ended(session: &mut PtySession) -> String {
    let end = Instant::now() + Duration::from_secs(20);
    while Instant::now() < end {
        match session.process().status() {
            Some(WaitStatus::StillAlive) | None => std::thread::sleep(Duration::from_millis(20)),
            Some(status) => return format!("{status:?}"),
        }
    }
    session.process_mut().set_kill_timeout(Some(1000));
    let _ = session.process_mut().kill(Signal::SIGKILL);
    panic!("the program did not end in 20 s");
}

/// Continues until the job is done or `stop` says so; returns what was on the terminal.
fn drive(session: &mut PtySession, stop: impl Fn(&str) -> bool) -> String {
    let mut log = String::new();
    for _ in 0..60 {
        // Every question ends with a colon and a blank; answers never have these at the end of a flush.
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
    let status = ended(&mut session);
    assert!(status.contains("Exited"), "{status}");
    assert!(log.contains("Saved: 1 initial, 2 trial, 1 tried, 1 check."), "{log}");
    assert!(log.contains('\u{7}'), "a bell on a terminal");
    // The session passes on every byte as a separate letter.
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
    // What was shown at the stand is what the other commands show.
    let verdict = balance(["verify".as_ref(), folder.as_os_str()]).answer;
    let plain = log.replace('\r', "").replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
    for line in verdict.lines().take_while(|line| !line.starts_with("NEXT")) {
        let line = line.replace("With --all", "Type all to read");
        assert!(plain.contains(&line), "{line}\nof\n{verdict}\nis not in\n{plain}");
    }
}

#[test]
fn an_interrupt_keeps_everything_that_was_taken() {
    let above = tempfile::tempdir().unwrap();
    let folder = empty_job(above.path()).unwrap();
    let mut session = start(&folder);
    let log = drive(&mut session, |log| {
        log.contains("Run 3, TRIAL") && last_question(log).starts_with("Reading (speed")
    });
    assert!(log.contains("Taken: run 2"), "{log}");
    session.send("5.3").unwrap();
    session.send_control('c').unwrap();
    let status = ended(&mut session);
    assert!(status.contains("SIGINT"), "{status}");
    let runs = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
    assert_eq!(runs.lines().count(), 3, "{runs}");
    let log = drive(&mut start(&folder), |_| false);
    assert!(log.contains("Saved: 1 initial, 2 trial, 1 tried, 1 check."), "{log}");
}

/// Types these answers, each to the question that begins so; returns what was on the terminal.
fn type_in_order(session: &mut PtySession, answers: &[(&str, &str)]) -> String {
    let mut log = String::new();
    for (question, typed) in answers {
        while !last_question(&log).starts_with(question) {
            let (before, found) = session
                .exp_regex(": $")
                .unwrap_or_else(|error| panic!("{question} was not asked: {error}\n{log}"));
            log.push_str(&before);
            log.push_str(&found);
        }
        session.send_line(typed).unwrap();
        log.push('\n');
    }
    log.push_str(&session.exp_eof().unwrap());
    log.replace('\r', "")
}

fn last_question(log: &str) -> &str {
    log.rsplit('\n').next().unwrap_or_default().trim_start_matches(['\u{7}', '\r'])
}

/// 88.9 mm x 2.4 mm x 1385 mm of steel come to 7.1 kg; with two usual ends of 0.7 diameters of solid steel to 13.2 kg
/// (7850 kg/m3). 1090 kg are 10.9 kg without the decimal sign.
#[test]
fn a_doubtful_mass_is_asked_back_once_and_may_be_typed_again() {
    let above = tempfile::tempdir().unwrap();
    let folder = above.path().join("WP-9");
    assert_eq!(balance(["new".as_ref(), folder.as_os_str()]).code, 0);
    let log = type_in_order(
        &mut start(&folder),
        &[
            ("Number", ""),
            ("Is it a worn shaft", ""),
            ("Whose shaft", ""),
            ("Vehicle or machine", "s"),
            ("Tag or stamp", "0"),
            ("Vehicle or machine", "gritter 4, spinner"),
            ("Tag or stamp", ""),
            ("Shaft type", ""),
            ("Who balances it", "M. Holt"),
            ("Mass of the whole shaft in kg, such as 14.2", "1090"),
            ("Highest speed", "2600"),
            ("Balance grade", "16"),
            ("Tube in mm", "88.9 2.4 1385"),
            ("Is the tube", "1"),
            ("1 = it is right, or the mass again in kg", ""),
            ("1 = it is right, or the mass again in kg", "6.4"),
            ("1 = it is right, or the mass again in kg", "1"),
            ("Where weights go (front, rear), in mm", "0"),
            ("1 = it is right, or the mass again in kg", "14.2"),
            ("Where weights go (front, rear), in mm", "q"),
        ],
    );
    assert!(log.contains("given as 1090 kg, but tube and ends come to about 13.16 kg"), "{log}");
    assert_eq!(log.matches("there will be no verdict").count(), 1, "{log}");
    assert!(log.contains("given as 6.4 kg"), "{log}");
    assert_eq!(
        log.matches("Really?").count(),
        3,
        "asked back once for each mass, and again when taken back: {log}"
    );
    let job = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    assert!(job.contains("\nmass = \"14.2 kg\"\n"), "{job}");
}

#[test]
fn a_shop_in_pounds_and_inches_is_asked_in_its_units_and_what_was_typed_stays_as_typed() {
    let above = tempfile::tempdir().unwrap();
    std::fs::write(above.path().join("shop.toml"), "format = 1\n[show]\nunits = \"us\"\n").unwrap();
    let folder = above.path().join("WP-9");
    assert_eq!(balance(["new".as_ref(), folder.as_os_str()]).code, 0);
    let log = type_in_order(
        &mut start(&folder),
        &[
            ("Is it a worn shaft", ""),
            ("Whose shaft", ""),
            ("Vehicle or machine", ""),
            ("Tag or stamp", ""),
            ("Shaft type", ""),
            ("Who balances it", ""),
            ("Weight of the whole shaft in lb, such as 31.3", "24 lbs"),
            ("Highest speed", "2600 rpm"),
            ("Balance grade", "G15"),
            ("1 = it is right, or the grade again", "G16"),
            (
                "Tube in inches: outside, wall, length joint to joint, such as 3.5 .095 54-1/2",
                "3.5in 1/8 52-1/4 in",
            ),
            ("Is the tube", "1"),
            ("Where weights go (front, rear), in inches", "3 3/4 48.5\""),
            ("Where the sensors sit (front, rear), in inches", "0 52 1/4"),
            ("What is the zero mark", "q"),
        ],
    );
    let job = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    for line in [
        "mass = \"24 lbs\"",
        "outer_diameter = \"3.5 in\"",
        "wall = \"1/8 in\"",
        "length = \"52-1/4 in\"",
        "position = \"3 3/4 in\"",
        "position = '48.5 \"'",
        "position = \"52 1/4 in\"",
    ] {
        assert!(job.contains(line), "{line} is not in\n{job}\n{log}");
    }
    let job = balance_cli::files::JobFile::load_folder(&folder).unwrap();
    assert_eq!(job.job.measures.mass.unwrap().grams(), 24.0 * 453.592_37);
    assert_eq!(job.job.setup.planes[1].position.unwrap().inches(), 48.5);
    assert!(!log.contains(" mm") && !log.contains(" kg"), "{log}");
}
