//! The demo workshop's shaft WP-0417 in every state that a program may have to handle. Invented.

use std::path::{Path, PathBuf};

use crate::program::balance;

/// A state of the shaft and its files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// The runout is forty times too large.
    MustNotSpin,
    /// The check run reads nothing like what the trials predict.
    Contradicting,
    /// The needles wander too much for what is left.
    Undecided,
    /// Far too much is left after the check run.
    Exceeds,
    /// Finished.
    Meets,
    /// No weights are known.
    NoBox,
    /// No trial runs: sister shafts show how it responds.
    SisterShafts,
    /// No trial runs, no sisters.
    NoTrials,
    /// Answered in ounces and inches.
    UsUnits,
}

const FILES: [(&str, &str); 4] = [
    ("shop.toml", include_str!("../../data/depot/shop.toml")),
    ("WP-0417/job.toml", include_str!("../../data/depot/WP-0417/job.toml")),
    ("WP-0417/runs.csv", include_str!("../../data/depot/WP-0417/runs.csv")),
    ("WP-0417/runout.csv", include_str!("../../data/depot/WP-0417/runout.csv")),
];

impl State {
    /// Every state.
    pub const ALL: [Self; 9] = [
        Self::MustNotSpin,
        Self::Contradicting,
        Self::Undecided,
        Self::Exceeds,
        Self::Meets,
        Self::NoBox,
        Self::SisterShafts,
        Self::NoTrials,
        Self::UsUnits,
    ];

    /// Writes the files and returns the job's folder.
    ///
    /// # Panics
    ///
    /// If the folder cannot be written.
    #[must_use]
    pub fn lay_out(self, folder: &Path) -> PathBuf {
        let job = folder.join("WP-0417");
        if job.exists() {
            std::fs::remove_dir_all(&job).expect("an old folder goes");
        }
        std::fs::create_dir_all(&job).expect("a folder for the job");
        for (name, text) in FILES {
            std::fs::write(folder.join(name), self.changed(name, text)).expect("a file of the job");
        }
        job
    }

    fn changed(self, name: &str, text: &str) -> String {
        match (self, name) {
            (Self::MustNotSpin, "WP-0417/runout.csv") => larger_runout(text),
            (Self::Contradicting, "WP-0417/runs.csv") => check_reads(text, "6.40,41,5.90,170"),
            (Self::Undecided, "shop.toml") => text.replace("reading_floor = 0.02", "reading_floor = 0.9"),
            (Self::Exceeds, "WP-0417/runs.csv") => {
                check_with(text, "4,check,1800,,,,,,,,,,5.27,230.4,3.26,69.3")
            }
            (Self::NoBox | Self::SisterShafts | Self::NoTrials | Self::UsUnits, "WP-0417/runs.csv") => {
                let keep = |line: &&str| {
                    let no_trials = matches!(self, Self::SisterShafts | Self::NoTrials);
                    let goes = line.contains(",check,") || (no_trials && line.contains(",trial,"));
                    !goes
                };
                lines(text.lines().filter(keep))
            }
            (Self::NoBox, "shop.toml") => {
                let weights = text.find("[[weight]]").unwrap_or(text.len());
                let weld = text.find("[weld]").unwrap_or(text.len());
                format!("{}{}", &text[..weights], &text[weld..])
            }
            (Self::SisterShafts, "WP-0417/job.toml") => {
                text.replace("number = \"WP-0417\"", "number = \"WP-0417\"\ntype = \"auger drive 88.9 mm\"")
            }
            (Self::UsUnits, "shop.toml") => format!("{text}\n[show]\nunits = \"us\"\n"),
            _ => text.to_owned(),
        }
    }
}

fn lines<'a>(all: impl Iterator<Item = &'a str>) -> String {
    all.map(|line| format!("{line}\n")).collect()
}

/// The check run's four readings.
fn check_reads(text: &str, readings: &str) -> String {
    let line = text.lines().find(|line| line.contains(",check,")).unwrap_or_default();
    let cells: Vec<&str> = line.split(',').collect();
    let masses = cells[..cells.len().saturating_sub(4)].join(",");
    check_with(text, &format!("{masses},{readings}"))
}

fn check_with(text: &str, row: &str) -> String {
    lines(text.lines().map(|line| if line.contains(",check,") { row } else { line }))
}

/// Every indicator reading forty times as large.
fn larger_runout(text: &str) -> String {
    let bigger =
        |cell: &str| cell.trim().parse::<f64>().map_or_else(|_| cell.to_owned(), |v| format!("{}", 40.0 * v));
    let mut header = true;
    let each = |line: &str| {
        if line.starts_with('#') || std::mem::take(&mut header) {
            return line.to_owned();
        }
        let cells: Vec<&str> = line.split(',').collect();
        let last = cells.len().saturating_sub(1);
        let row: Vec<String> = cells
            .iter()
            .enumerate()
            .map(|(at, cell)| if at == last { bigger(cell) } else { (*cell).to_owned() })
            .collect();
        row.join(",")
    };
    text.lines().map(each).map(|line| line + "\n").collect()
}

/// An archive with four sister shafts of WP-0417, each with its own trial runs.
///
/// # Panics
///
/// If a sister cannot be stored.
#[must_use]
pub fn sister_archive(folder: &Path) -> PathBuf {
    let archive = folder.join("archive.sqlite");
    for sister in 1..=4 {
        let place = folder.join(format!("sister-{sister}"));
        let job = State::Meets.lay_out(&place);
        let file = job.join("job.toml");
        let text = std::fs::read_to_string(&file).expect("a job file").replace(
            "number = \"WP-0417\"",
            &format!("number = \"WP-04{sister}0\"\ntype = \"auger drive 88.9 mm\""),
        );
        std::fs::write(&file, text).expect("a job file");
        let runs = job.join("runs.csv");
        let text = std::fs::read_to_string(&runs).expect("runs");
        // No two shafts respond exactly alike.
        let own = text.replace("8.68,211", &format!("8.6{sister},211"));
        std::fs::write(&runs, own).expect("runs");
        let words = ["archive", "add", &job.to_string_lossy(), "--archive", &archive.to_string_lossy()]
            .map(str::to_owned);
        let said = balance(words);
        assert_eq!(said.code, 0, "{said:?}");
    }
    archive
}
