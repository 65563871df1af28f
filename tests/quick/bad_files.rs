//! Bad files, at least one for every rule of the job file and the runs file: each must be refused with place and
//! hint, in the very words that stand beside it in `expected.txt`, and without anything being written.
//!
//! The words are our own past output, looked at by a person; `WRITE_EXPECTED=1` writes them anew to be looked at again.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use balance_cli::files::{Problem, open_inputs, render_all};

/// Every fault of a case's files, those of the set of runs included.
fn problems_of(folder: &Path) -> Vec<Problem> {
    let job = Some(folder.join("job.toml")).filter(|file| file.is_file());
    let inputs = match open_inputs(job.as_deref(), &folder.join("runs.csv")) {
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

/// Every file of a folder and its bytes.
fn contents(folder: &Path, all: &mut BTreeMap<PathBuf, Vec<u8>>) {
    for entry in std::fs::read_dir(folder).expect("the bad files can be listed and read") {
        let path = entry.expect("the bad files can be listed and read").path();
        if path.is_dir() {
            contents(&path, all);
        } else {
            all.insert(path.clone(), std::fs::read(&path).expect("the bad files can be listed and read"));
        }
    }
}

fn cases() -> Vec<PathBuf> {
    let all = Path::new(env!("CARGO_MANIFEST_DIR")).join("bad_files");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(all)
        .expect("the bad files can be listed and read")
        .map(|entry| entry.expect("the bad files can be listed and read").path())
        .filter(|path| path.is_dir())
        .collect();
    cases.sort();
    cases
}

#[test]
fn every_bad_file_is_refused_with_place_and_hint_and_nothing_is_written() {
    let cases = cases();
    assert!(cases.len() >= 30, "only {} bad files", cases.len());
    let mut wrong = Vec::new();
    for case in &cases {
        let mut before = BTreeMap::new();
        contents(case, &mut before);
        let folder =
            Some(case.join("WP-0417")).filter(|folder| folder.is_dir()).unwrap_or_else(|| case.clone());
        let problems = problems_of(&folder);
        let mut after = BTreeMap::new();
        contents(case, &mut after);
        assert_eq!(before, after, "{}: something was written", case.display());
        let name = case.file_name().expect("the bad files can be listed and read").to_string_lossy();
        let rendered =
            render_all(&problems).replace(&format!("{}/", balance_cli::files::shown_path(case)), "");
        let found = rendered.replace(&format!("bad_files/{name}/"), "") + "\n";
        let expected = case.join("expected.txt");
        if std::env::var_os("WRITE_EXPECTED").is_some() {
            std::fs::write(&expected, &found).expect("the bad files can be listed and read");
        }
        let wanted = std::fs::read_to_string(&expected).unwrap_or_default().replace("\r\n", "\n");
        if problems.is_empty() || wanted != found {
            wrong.push(format!("{}\nwanted:\n{wanted}\ngot:\n{found}", case.display()));
        }
        for problem in &problems {
            assert!(problem.place.line().is_some() || problem.code == "empty-file", "no place: {problem:?}");
            assert!(problem.hint.is_some(), "no hint: {problem:?}");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}
