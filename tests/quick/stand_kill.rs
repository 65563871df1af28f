//! The guided entry killed at random moments: nothing that was acknowledged is lost, and the job can be finished.
//!
//! `BALANCE_KILLS` sets how often (default 50; 200 in the long run).
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use balance_cli::files::JobFile;
use balance_cli::files::runs::RunsReader;
use balance_tests::stand::{WHOLE, answer, empty_job, fresh_answer, taken};

const PROGRAM: &str = env!("CARGO_BIN_EXE_balance-under-test");

fn start(folder: &Path) -> (Child, Receiver<Vec<u8>>) {
    let mut child = Command::new(PROGRAM)
        .arg("stand")
        .arg(folder)
        .env("BALANCE_ARCHIVE", folder.with_file_name("no-archive.sqlite"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut output = child.stdout.take().unwrap();
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        let mut buffer = [0; 4096];
        while let Ok(count) = output.read(&mut buffer) {
            if count == 0 || sender.send(buffer[..count].to_vec()).is_err() {
                return;
            }
        }
    });
    (child, receiver)
}

/// Answers until the program ends or its time is up; then it is killed (SIGKILL on Unix). Returns its output.
fn drive(folder: &Path, life: Duration) -> String {
    drive_with(folder, life, |log| answer(log).map(str::to_owned))
}

/// The same with other answers.
fn drive_with(folder: &Path, life: Duration, answer: impl Fn(&str) -> Option<String>) -> String {
    let (mut child, output) = start(folder);
    let mut input = child.stdin.take().unwrap();
    let (mut bytes, begun) = (Vec::new(), Instant::now());
    loop {
        let left = life.saturating_sub(begun.elapsed());
        match output.recv_timeout(left) {
            Ok(more) => bytes.extend(more),
            Err(RecvTimeoutError::Timeout) => {
                child.kill().unwrap();
                child.wait().unwrap();
                bytes.extend(output.iter().flatten());
                return String::from_utf8_lossy(&bytes).into_owned();
            }
            Err(RecvTimeoutError::Disconnected) => {
                assert!(child.wait().unwrap().success(), "{}", String::from_utf8_lossy(&bytes));
                return String::from_utf8_lossy(&bytes).into_owned();
            }
        }
        if let Some(answer) = answer(&String::from_utf8_lossy(&bytes)) {
            // A program that has already ended is noticed in the next round.
            let _ = writeln!(input, "{answer}");
            bytes.push(b'\n');
        }
    }
}

fn labels(folder: &Path) -> Vec<String> {
    let job = JobFile::load_folder(folder).unwrap();
    let mut reader = RunsReader::open(&folder.join("runs.csv"), Some(&job)).unwrap();
    let shaft = reader.next().unwrap().unwrap_or_else(|faults| panic!("{faults:?}"));
    if !shaft.runs.is_empty() {
        shaft.run_set().unwrap();
    }
    shaft.runs.into_iter().map(|run| run.label).collect()
}

#[test]
fn killed_at_random_moments_nothing_taken_is_lost() {
    let kills: u32 = std::env::var("BALANCE_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(50);
    let mut random = balance_tests::random::Random::seeded(417);
    let slowest = {
        let above = tempfile::tempdir().unwrap();
        let begun = Instant::now();
        drive(&empty_job(above.path()).unwrap(), Duration::from_secs(300));
        begun.elapsed()
    };
    let (mut done, mut finished, mut acknowledged) = (0, 0, 0);
    while done < kills {
        let above = tempfile::tempdir().unwrap();
        let folder = empty_job(above.path()).unwrap();
        let mut known: Vec<String> = Vec::new();
        // One job, killed again and again until it gets to its end.
        loop {
            let log = drive(&folder, slowest.mul_f64(0.02 + 0.6 * random.even()));
            known.extend(taken(&log));
            let found = labels(&folder);
            for label in &known {
                assert!(
                    found.contains(label),
                    "run {label} was acknowledged and is not in the file: {found:?}\n{log}"
                );
            }
            assert!(found.len() <= known.len() + 1, "at most one run was written and not yet acknowledged");
            known.clone_from(&found);
            if log.contains("Saved: ") {
                break;
            }
            done += 1;
            if done >= kills {
                drive(&folder, Duration::from_secs(300));
                break;
            }
        }
        let whole = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
        assert_eq!(whole, WHOLE, "the job finished as if nothing had happened");
        finished += 1;
        acknowledged += known.len();
    }
    println!("killed {done} times; {finished} jobs finished; {acknowledged} acknowledged runs, all found");
}

/// The last entry of the bench's list, as the answers of [`fresh_answer`] write it.
const LAST_PART: &str =
    "\n[[inspection]]\npart = \"steady bearing\"\nfinding = \"notched\"\ndecision = \"replace\"\n";

/// A folder with a new job.
fn fresh_job(above: &Path) -> std::path::PathBuf {
    let folder = above.join("WP-9");
    assert_eq!(balance_tests::program::balance(["new".as_ref(), folder.as_os_str()]).code, 0);
    folder
}

#[test]
fn killed_while_the_job_is_asked_for_every_answer_taken_is_in_the_job_file() {
    let kills: u32 = std::env::var("BALANCE_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(50) / 2;
    let mut random = balance_tests::random::Random::seeded(418);
    let begun = Instant::now();
    let above = tempfile::tempdir().unwrap();
    let whole = fresh_job(above.path());
    let log = drive_with(&whole, Duration::from_secs(300), fresh_answer);
    assert!(log.contains("Saved: no run yet"), "{log}");
    let slowest = begun.elapsed();
    let wanted = std::fs::read_to_string(whole.join("job.toml")).unwrap();
    assert_eq!(wanted.matches("\n[[inspection]]").count(), 10, "{wanted}");
    assert!(wanted.contains(LAST_PART), "{wanted}");
    let (mut done, mut finished) = (0, 0);
    while done < kills {
        let above = tempfile::tempdir().unwrap();
        let folder = fresh_job(above.path());
        loop {
            let left = if done < kills {
                slowest.mul_f64(0.02 + 0.5 * random.even())
            } else {
                Duration::from_secs(300)
            };
            let log = drive_with(&folder, left, fresh_answer);
            let job = std::fs::read_to_string(folder.join("job.toml")).unwrap();
            JobFile::load_folder(&folder).unwrap_or_else(|faults| panic!("{faults:?}\n{job}"));
            let answers =
                log.lines().filter_map(|line| line.trim_start_matches('\u{7}').strip_prefix("Taken: "));
            for taken in
                answers.filter(|taken| !taken.contains("shop.toml") && !taken.contains("written down"))
            {
                let words =
                    taken.trim_end_matches('.').split([',', ':', ';']).next().unwrap_or_default().trim();
                assert!(job.contains(words), "`{taken}` was acknowledged and is not in\n{job}");
            }
            if log.contains("Saved: ") {
                break;
            }
            done += 1;
        }
        let found = std::fs::read_to_string(folder.join("job.toml")).unwrap();
        // A shaft of one piece has no steady bearing: killed when that alone is open, the bench is not offered again.
        let as_wanted = [wanted.clone(), wanted.replace(LAST_PART, "")].contains(&found);
        assert!(as_wanted, "the job as if nothing had happened:\n{found}\nnot\n{wanted}");
        finished += 1;
    }
    println!("killed {done} times in the questions and on the bench; {finished} jobs finished, all alike");
}
