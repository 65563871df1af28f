//! Jobs that the fuzzer once found to be answered with nonsense, each in a folder of `tests/found`.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};

fn cases() -> Vec<PathBuf> {
    let found = Path::new(env!("CARGO_MANIFEST_DIR")).join("found");
    let mut cases: Vec<PathBuf> = std::fs::read_dir(found)
        .expect("the folder of jobs")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    cases.sort();
    cases
}

fn ask(verb: &str, case: &Path, flag: Option<&str>) -> Said {
    let (runs, job) = (case.join("runs.csv"), case.join("job.toml"));
    let words: [OsString; 4] = [verb.into(), runs.into(), "--job".into(), job.into()];
    balance(words.into_iter().chain(flag.map(OsString::from)))
}

#[test]
fn no_answer_has_a_number_without_end() {
    for case in cases() {
        for verb in ["correct", "verify", "explain"] {
            for flag in [None, Some("--all"), Some("--json")] {
                let said = ask(verb, &case, flag);
                let words = format!("{}\n{}", said.answer, said.talk);
                let nonsense = |word: &str| ["inf", "NaN", "-inf"].contains(&word);
                let found = words
                    .split(|letter: char| !letter.is_alphanumeric() && letter != '-')
                    .find(|word| nonsense(word));
                assert_eq!(found, None, "{} {verb} {flag:?}: {words}", case.display());
                assert_ne!(said.code, 101, "{} {verb} {flag:?}: {words}", case.display());
            }
        }
    }
}

/// Both trial readings lie below the dial: all that is left to scatter is a small part of a degree of freedom.
#[test]
fn readings_below_the_dial_leave_a_give_or_take() {
    let case = cases().into_iter().find(|case| case.ends_with("readings_below_the_dial")).expect("the case");
    let said = ask("correct", &case, Some("--json"));
    let answer: serde_json::Value = serde_json::from_str(&said.answer).expect("JSON");
    for plane in answer["planes"].as_array().expect("planes") {
        let give_or_take = plane["mass_uncertainty_g"].as_f64().expect("a figure");
        assert!(give_or_take > plane["mass_g"].as_f64().expect("a mass"), "{plane}");
    }
}
