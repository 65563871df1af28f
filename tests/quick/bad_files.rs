//! Bad files, at least one for every rule of a job's files: each must be refused with place and hint, in
//! exactly the words of the file beside it (`job_decimal_comma.toml`, `job_decimal_comma.txt`), with exit
//! status 2 and without anything being written. The first word of a name says which file of a job it is; the
//! others are those of `good/`.
//!
//! The words are our own past output, checked by a person; `WRITE_EXPECTED=1` writes them again for another
//! check.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

use balance_cli::files::{Problem, open_inputs, render_all};
use balance_tests::program::balance;

/// Which file of a job is bad.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Bad {
    Shop,
    Job,
    /// Only a runs file.
    Runs,
    /// A runs file beside a good job.
    RunsOfJob,
    Runout,
}

/// The beginnings of the names, the longer ones first.
const KINDS: &[(&str, Bad)] = &[
    ("shop_", Bad::Shop),
    ("job_", Bad::Job),
    ("runs_of_job_", Bad::RunsOfJob),
    ("runs_", Bad::Runs),
    ("runout_", Bad::Runout),
];

/// A bad file together with good ones, as a job that can be opened.
struct LaidOut {
    name: String,
    folder: tempfile::TempDir,
    /// What a user would name: the job's folder, or the runs file alone.
    named: PathBuf,
}

impl LaidOut {
    /// `bad` in its place: the shop file is above the job's folder.
    fn of(bad: &Path) -> Self {
        let name = bad.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        let kind = KINDS.iter().find(|(begins, _)| name.starts_with(begins));
        let (_, kind) = *kind.expect("a bad file's name begins with the file of the job that it is");
        let folder = tempfile::tempdir().expect("a folder for the test");
        let job = folder.path().join("WP-0417");
        std::fs::create_dir(&job).expect("a folder for the job");
        let copy = |from: &Path, to: PathBuf| std::fs::copy(from, to).expect("a file can be copied");
        let good = |name: &str, to: &str| copy(&all().join("good").join(name), job.join(to));
        let mut named = job.clone();
        match kind {
            Bad::Shop => {
                good("job.toml", "job.toml");
                good("runs.csv", "runs.csv");
                copy(bad, folder.path().join("shop.toml"));
            }
            Bad::Job => {
                good("runs.csv", "runs.csv");
                copy(bad, job.join("job.toml"));
            }
            Bad::Runs => {
                named = job.join("runs.csv");
                copy(bad, named.clone());
            }
            Bad::RunsOfJob => {
                good("job.toml", "job.toml");
                copy(bad, job.join("runs.csv"));
            }
            Bad::Runout => {
                good("job_with_runout.toml", "job.toml");
                good("runs.csv", "runs.csv");
                copy(bad, job.join("runout.csv"));
            }
        }
        Self { name, folder, named }
    }

    fn job(&self) -> PathBuf {
        self.folder.path().join("WP-0417")
    }

    /// Every fault of the files, those of the set of runs included.
    fn problems(&self) -> Vec<Problem> {
        let job = Some(self.job().join("job.toml")).filter(|file| file.is_file());
        let inputs = match open_inputs(job.as_deref(), &self.job().join("runs.csv")) {
            Ok(inputs) => inputs,
            Err(problems) => return problems,
        };
        let of_shaft = |shaft: Result<
            balance_cli::files::runs::ShaftRuns,
            balance_cli::files::runs::ShaftFaults,
        >| match shaft {
            Ok(shaft) => shaft.run_set().err().unwrap_or_default(),
            Err(faults) => faults.problems,
        };
        inputs.runs.flat_map(of_shaft).collect()
    }

    /// The faults in words, with the files' names without their folders.
    fn words(&self) -> String {
        let own = self.folder.path().file_name().expect("the folder has a name").to_string_lossy();
        let own = format!("{own}/");
        let mut words = render_all(&self.problems());
        // Whichever way the folder is reached from here.
        while let Some(at) = words.find(&own) {
            let begin = words[..at].rfind(|letter: char| letter.is_whitespace() || "`\"".contains(letter));
            words.replace_range(begin.map_or(0, |before| before + 1)..at + own.len(), "");
        }
        words.replace("WP-0417/", "") + "\n"
    }

    /// Every file and its bytes.
    fn contents(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let mut found = BTreeMap::new();
        let mut folders = vec![self.folder.path().to_path_buf()];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(folder).expect("a folder can be listed") {
                let path = entry.expect("a folder can be listed").path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    found.insert(path.clone(), std::fs::read(&path).expect("a file can be read"));
                }
            }
        }
        found
    }
}

fn all() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("bad_files")
}

/// Every bad file.
fn cases() -> Vec<PathBuf> {
    let mut cases: Vec<PathBuf> = std::fs::read_dir(all())
        .expect("the bad files can be listed")
        .map(|entry| entry.expect("the bad files can be listed").path())
        .filter(|path| path.is_file() && path.extension().is_some_and(|ends| ends == "toml" || ends == "csv"))
        .collect();
    cases.sort();
    assert!(cases.len() >= 90, "only {} bad files", cases.len());
    cases
}

#[test]
fn every_bad_file_is_refused_in_the_words_beside_it() {
    let mut wrong = Vec::new();
    for bad in cases() {
        let case = LaidOut::of(&bad);
        let problems = case.problems();
        let found = case.words();
        let expected = bad.with_extension("txt");
        if std::env::var_os("WRITE_EXPECTED").is_some() {
            std::fs::write(&expected, &found).expect("the words can be written");
        }
        let wanted = std::fs::read_to_string(&expected).unwrap_or_default().replace("\r\n", "\n");
        if problems.is_empty() || wanted != found {
            wrong.push(format!("{}\nwanted:\n{wanted}\ngot:\n{found}", case.name));
        }
        for problem in &problems {
            assert!(problem.place.line().is_some() || problem.code == "empty-file", "no place: {problem:?}");
            assert!(problem.hint.is_some(), "no hint: {problem:?}");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn every_bad_file_ends_in_exit_2_with_place_and_hint_and_nothing_written() {
    for bad in cases() {
        let case = LaidOut::of(&bad);
        let before = case.contents();
        let said = balance([OsString::from("correct"), case.named.clone().into_os_string()]);
        assert_eq!(said.code, 2, "{}: {said:?}", case.name);
        assert!(said.talk.contains("hint:"), "{}: {}", case.name, said.talk);
        let places = ["runs.csv", "runout.csv", "job.toml", "shop.toml"];
        assert!(places.iter().any(|file| said.talk.contains(file)), "{}: {}", case.name, said.talk);
        assert!(before == case.contents(), "{}: something was written", case.name);
    }
}

#[test]
fn the_faults_of_job_and_runs_are_told_together() {
    let case = LaidOut::of(&all().join("job_many_faults_at_once.toml"));
    let runs = all().join("runs_many_faults_at_once.csv");
    std::fs::copy(runs, case.job().join("runs.csv")).expect("the runs file can be copied");
    let words = |name: &str| std::fs::read_to_string(all().join(name)).expect("the words can be read");
    assert_eq!(case.words(), words("job_many_faults_at_once.txt") + &words("runs_many_faults_at_once.txt"));
}

#[test]
fn every_text_belongs_to_a_bad_file() {
    let texts = std::fs::read_dir(all()).expect("the bad files can be listed");
    for text in texts.map(|entry| entry.expect("the bad files can be listed").path()) {
        if text.extension().is_some_and(|ends| ends == "txt") {
            let bad = ["toml", "csv"].map(|ends| text.with_extension(ends));
            assert!(bad.iter().any(|bad| bad.is_file()), "{}: of which file?", text.display());
        }
    }
}
