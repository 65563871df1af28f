//! Somebody at a terminal of 80 × 24 who types an answer to every question of the guided entry.
#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use rexpect::process::{Signal, WaitStatus};
use rexpect::session::{PtySession, spawn_command};

const PROGRAM: &str = env!("CARGO_BIN_EXE_balance-under-test");

/// Columns and rows of the terminal.
pub const SIZE: [usize; 2] = [80, 24];

/// A program in a pseudo-terminal, and everything that was seen and typed.
pub struct Typist {
    pub session: PtySession,
    /// What is on the terminal, without bells and carriage returns.
    pub log: String,
    /// Every key, Enter included.
    pub keys: usize,
}

impl Typist {
    /// Starts `balance WORDS…` in a folder, with an archive of its own.
    pub fn start(words: &[&str], folder: &Path, archive: &Path) -> Self {
        let mut command = Command::new(PROGRAM);
        command.args(words).current_dir(folder).env("LC_ALL", "C.UTF-8").env("TERM", "xterm");
        command.env("COLUMNS", SIZE[0].to_string()).env("BALANCE_ARCHIVE", archive);
        let mut session = spawn_command(command, Some(30_000)).unwrap();
        // A test that gives up leaves nothing running, even if the program listens to no signal.
        session.process_mut().set_kill_timeout(Some(1000));
        Self { session, log: String::new(), keys: 0 }
    }

    /// The question that waits for an answer.
    pub fn question(&self) -> &str {
        self.log.rsplit('\n').next().unwrap_or_default()
    }

    /// Reads on until the next question.
    pub fn wait(&mut self) {
        // Every question ends with a colon and a blank, and then nothing comes.
        loop {
            let (before, found) =
                self.session.exp_regex(": $").unwrap_or_else(|error| panic!("{error}\n{}", self.log));
            let bytes: Vec<u8> = format!("{before}{found}")
                .chars()
                .filter_map(|letter| u8::try_from(u32::from(letter)).ok())
                .collect();
            let text = String::from_utf8_lossy(&bytes).replace(['\r', '\u{7}'], "");
            self.log.push_str(&text.replace("\u{1b}[1m", "").replace("\u{1b}[0m", ""));
            if !self.question().is_empty() {
                return;
            }
        }
    }

    /// Types a line.
    pub fn types(&mut self, line: &str) {
        self.session.send_line(line).unwrap();
        self.keys += line.chars().count() + 1;
        self.log.push('\n');
    }

    /// The last screen.
    pub fn screen(&self) -> String {
        let rows: Vec<String> = self.log.split('\n').flat_map(in_rows).collect();
        rows[rows.len().saturating_sub(SIZE[1])..].join("\n")
    }

    /// Answers each question in turn until it types q; `answer` sees question, log and screen, and has no answer to what is no
    /// question: a line that ends in a colon because the rest of it was not read yet.
    pub fn goes_on(&mut self, mut answer: impl FnMut(&str, &str, &str) -> Option<String>) {
        for _ in 0..400 {
            self.wait();
            let Some(line) = answer(self.question(), &self.log, &self.screen()) else { continue };
            self.types(&line);
            if line == "q" {
                return;
            }
        }
        panic!("no end:\n{}", self.log);
    }

    /// Types these answers, each to the question that begins so.
    pub fn answers(&mut self, answers: &[(&str, &str)]) {
        for (question, typed) in answers {
            let mut waited = 0;
            while waited == 0 || !self.question().starts_with(question) {
                assert!(waited < 25, "`{question}` was not asked:\n{}", self.log);
                self.wait();
                waited += 1;
            }
            self.types(typed);
        }
    }

    /// Waits for the program's end, but not for ever: what is still there after 30 s is killed.
    pub fn ended(&mut self) -> String {
        if let Ok(rest) = self.session.exp_eof() {
            self.log.push_str(&rest.replace(['\r', '\u{7}'], ""));
        }
        let end = Instant::now() + Duration::from_secs(30);
        while Instant::now() < end {
            match self.session.process().status() {
                Some(WaitStatus::StillAlive) | None => std::thread::sleep(Duration::from_millis(20)),
                Some(status) => return format!("{status:?}"),
            }
        }
        let _ = self.session.process_mut().kill(Signal::SIGKILL);
        panic!("the program did not end in 30 s");
    }
}

/// A line as the terminal shows it: cut where the screen ends.
fn in_rows(line: &str) -> Vec<String> {
    let letters: Vec<char> = line.chars().collect();
    if letters.is_empty() {
        return vec![String::new()];
    }
    letters.chunks(SIZE[0]).map(|row| row.iter().collect()).collect()
}
