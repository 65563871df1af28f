//! The short answers: one screen, what to do next on the last line, and everything that changes what to do.
//!
//! What must be in them is the project's own rule (the user's wish of a screen of 80 × 24 letters); common
//! practice, no source, for locking out before hand work and for a reading above which the run is broken off.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use balance_cli::page::{Emphasis, Page};
use balance_tests::program::{Said, balance, balance_on};
use balance_tests::shaft_states::{State, sister_archive};

/// The demo's job before its check run.
fn before_the_check() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let depot = folder.path().join("depot");
    assert_eq!(balance(["demo".into(), depot.clone().into_os_string()]).code, 0);
    let job = depot.join("WP-0417");
    let runs = std::fs::read_to_string(job.join("runs.csv")).expect("the demo has runs");
    let without: String =
        runs.lines().filter(|line| !line.starts_with("4,check")).map(|line| format!("{line}\n")).collect();
    std::fs::write(job.join("runs.csv"), without).expect("the runs are written");
    (folder, job)
}

fn on(page: Page, verb: &[&str], job: &Path, archive: Option<&Path>) -> Said {
    let archive = archive.map(|archive| ["--archive".into(), archive.as_os_str().to_owned()]);
    let words = verb.iter().map(OsString::from).chain([job.as_os_str().to_owned()]);
    balance_on(page, words.chain(archive.into_iter().flatten()))
}

#[test]
fn the_demos_correction_is_one_screen_with_the_next_step_last() {
    let (_folder, job) = before_the_check();
    let said = on(Page::default(), &["correct"], &job, None);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    let lines: Vec<&str> = said.answer.lines().collect();
    println!("{} lines of at most 22", lines.len());
    assert!(lines.len() <= 22, "{} lines:\n{}", lines.len(), said.answer);
    assert!(lines.last().is_some_and(|line| line.starts_with("NEXT  ")), "{}", said.answer);
    let low = said.answer.to_lowercase();
    for words in [
        "lock out",
        "stop above 5.29 (front) or 3.24 (rear)",
        "15 g at 258 mm",
        "10 g at 215 mm",
        "10 g at 149 mm",
    ] {
        assert!(low.contains(words), "no `{words}` in\n{}", said.answer);
    }
    let all = on(Page::default(), &["correct", "--all"], &job, None);
    for words in [
        "On the shaft now",
        "should be left after welding",
        "local codes",
        "GENERAL",
        "critical speed 7581 rpm",
    ] {
        assert!(all.answer.contains(words) && !said.answer.contains(words), "`{words}` in\n{}", all.answer);
    }
}

/// Weights that somebody asks about: what they would leave is said, and nothing of them is to be welded where it is too
/// much. The ideal masses at 0 and 180 degrees from where they belong make the two cases.
#[test]
fn weights_asked_about_are_not_to_be_welded_where_they_would_leave_too_much() {
    let (_folder, job) = before_the_check();
    let good =
        on(Page::default(), &["correct", "--with", "front=25@312", "--with", "rear=14@192"], &job, None)
            .answer;
    assert!(good.contains("They would leave front joint about") && good.contains(": weld."), "{good}");
    assert!(!good.contains("too much.") && good.contains("Weld in this order"), "{good}");
    let bad = on(Page::default(), &["correct", "--with", "front=25@132", "--with", "rear=14@12"], &job, None)
        .answer;
    assert!(bad.contains("too much.") && bad.contains("Weld nothing."), "{bad}");
    assert!(!bad.contains("Weld in this order") && !bad.contains(": weld."), "{bad}");
    assert!(bad.lines().last().is_some_and(|line| line.contains("other weights")), "{bad}");
}

/// In every state of a shaft, at every width: the next step comes last, no line is wider than the page, no
/// word is cut, the letters are the same whatever the width, and bold adds only its marks.
#[test]
fn every_short_answer_ends_with_the_next_step_and_keeps_to_the_page() {
    let archives = tempfile::tempdir().expect("a folder");
    let archive = sister_archive(archives.path());
    let mut answers = 0;
    for state in State::ALL {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let job = state.lay_out(folder.path());
        for verb in [&["correct"][..], &["verify"], &["correct", "--all"], &["verify", "--all"]] {
            let usual = on(Page::default(), verb, &job, Some(&archive));
            if usual.answer.is_empty() {
                continue;
            }
            let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<String>>();
            for width in [50, 66, 120] {
                let said = on(Page::new(width, Emphasis::Plain), verb, &job, Some(&archive));
                assert_eq!(words(&said.answer), words(&usual.answer), "{state:?} {verb:?} at {width}");
                for line in said.answer.lines() {
                    let fits = line.chars().count() <= width || line.split_whitespace().count() == 1;
                    assert!(fits || has_a_layout(line), "{state:?} {verb:?} at {width}: {line}");
                }
            }
            let bold = on(Page::new(80, Emphasis::Bold), verb, &job, Some(&archive)).answer;
            let unmarked = bold.replace("\u{1b}[1m", "").replace("\u{1b}[0m", "");
            assert_eq!(unmarked, usual.answer, "{state:?} {verb:?}");
            if verb.len() == 1 {
                let next =
                    usual.answer.rfind("\nNEXT  ").map(|at| &usual.answer[at + 1..]).expect("a next step");
                assert!(
                    next.lines().skip(1).all(|line| line.starts_with("      ")),
                    "{state:?} {verb:?}: {next}"
                );
                assert!(bold.contains("\u{1b}[1mNEXT\u{1b}[0m"), "{state:?} {verb:?}: {bold}");
                answers += 1;
            }
        }
    }
    assert!(answers >= 10, "only {answers} short answers");
}

/// A table's lines keep their columns.
fn has_a_layout(line: &str) -> bool {
    line.contains("random  ") || line.contains("systematic")
}

/// Every stop, and everything that changes what to do, is in the short answer too.
#[test]
fn no_stop_is_left_out_of_a_short_answer() {
    let archives = tempfile::tempdir().expect("a folder");
    let archive = sister_archive(archives.path());
    let mut stops = 0;
    for state in State::ALL {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let job = state.lay_out(folder.path());
        for verb in ["correct", "verify"] {
            let count = |words: &[&str]| {
                let said = on(Page::new(120, Emphasis::Plain), words, &job, Some(&archive)).answer;
                said.lines().filter(|line| line.starts_with("STOP: ")).count()
            };
            let (short, full) = (count(&[verb]), count(&[verb, "--all"]));
            assert_eq!(short, full, "{state:?} {verb}");
            stops += full;
        }
    }
    assert!(stops > 0, "no state says STOP");
}

#[test]
fn a_table_of_many_shafts_shows_weights_and_verdict() {
    let (folder, job) = before_the_check();
    let runs = std::fs::read_to_string(job.join("runs.csv")).expect("the demo has runs");
    let table: Vec<&str> = runs.lines().filter(|line| !line.starts_with('#')).collect();
    let (head, rows) = table.split_first().expect("a header line");
    let shafts =
        ["A", "B"].map(|shaft| rows.iter().map(|row| format!("{shaft},{row}\n")).collect::<String>());
    let many = folder.path().join("many.csv");
    std::fs::write(&many, format!("shaft,{head}\n{}", shafts.concat())).expect("the runs are written");
    let said = balance(["correct".into(), many.into_os_string(), "--job".into(), job.into_os_string()]);
    assert_eq!(said.code, 0, "{}", said.talk);
    for line in [
        "A               -          front 15 g at 333 deg, 10 g at 277 deg;",
        "B               -          front 15 g",
    ] {
        assert!(said.answer.contains(line), "{}", said.answer);
    }
    assert_eq!(said.answer.matches("; rear 10 g at").count(), 2, "{}", said.answer);
}

/// Ideal masses from typed values equal those of a runs file with the same values (the shaft of Formats: one linear shaft,
/// worked out by hand in `tests/cases`), and say that there is no verdict.
#[test]
fn typed_values_alone_give_the_ideal_masses() {
    let folder = tempfile::tempdir().expect("a folder");
    let runs = folder.path().join("runs.csv");
    let text = "run,kind,front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],\
        front phase [deg],rear amplitude [mm/s],rear phase [deg]\n1,initial,,,,,5.29,230,3.24,69\n\
        2,trial,20,90,,,8.68,211,3.56,49\n3,trial,,,20,90,5.34,241,4.38,124\n";
    std::fs::write(&runs, text).expect("the runs are written");
    let typed = |more: &[&str]| {
        let words = [
            "correct",
            "--now",
            "front=5.29@230,rear=3.24@69",
            "--trial",
            "front=20@90:front=8.68@211,rear=3.56@49",
        ];
        balance(words.iter().chain(&["--trial", "rear=20g@90deg:rear=4.38@124,front=5.34@241"]).chain(more))
    };
    let json = |said: &Said| serde_json::from_str::<serde_json::Value>(&said.answer).expect("one object");
    let (from_typed, from_file) = (
        json(&typed(&["--json"])),
        json(&balance(["correct".into(), runs.into_os_string(), "--json".into()])),
    );
    assert_eq!(from_typed["advice"], "ideal");
    for plane in 0..2 {
        for key in ["name", "mass_g", "angle_deg"] {
            let [typed, file] = [&from_typed, &from_file].map(|answer| answer["planes"][plane][key].clone());
            assert_eq!(typed, file, "{key} of plane {plane}");
        }
    }
    let said = typed(&[]);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    assert!(said.answer.contains("no verdict") && said.answer.contains("Lock out"), "{}", said.answer);
    assert!(said.answer.lines().last().is_some_and(|line| line.starts_with("NEXT  ")), "{}", said.answer);
}

/// By hand: one place, one dial, everything at angle 0. 10 g raise the reading from 4 to 6, so 1 g makes 0.2, and 20 g on
/// the other side take the 4 away.
#[test]
fn one_dial_and_one_place_need_no_names() {
    let said = balance(["correct", "--now", "4@0", "--trial", "10@0:6@0", "--json"]);
    assert_eq!(said.code, 0, "{}", said.talk);
    let answer: serde_json::Value = serde_json::from_str(&said.answer).expect("one object");
    let number = |key: &str| answer["planes"][0][key].as_f64().expect("a number");
    assert!((number("mass_g") - 20.0).abs() < 1e-9 && (number("angle_deg") - 180.0).abs() < 1e-9, "{answer}");
}

#[test]
fn wrong_typed_values_are_refused_all_at_once() {
    for (words, wanted) in [
        (
            &["--now", "front=5,29@230", "--trial", "front=20@90"][..],
            &["use a decimal point", "`front=20@90` has no readings"][..],
        ),
        (
            &["--now", "front=5.29@230", "--trial", "front=20@90:frnt=8@211"],
            &["sensor `frnt`", "did you mean `front`?"],
        ),
        (
            &["--now", "front=x@230", "--trial", "front=-20@90:front=8@1"],
            &["`front=x@230` is not a reading", "`front=-20@90` is not a mass"],
        ),
        (&["--now", "5@1"], &["--trial"]),
        (&["--now", "5@1", "--trial", "5@1:5@1"], &["hint:"]),
        (&["--now", "5@1", "--trial", "5@1:6@1", "--append"], &["cannot be used with"]),
    ] {
        let said = balance(["correct"].iter().chain(words));
        assert_eq!((said.code, said.answer.as_str()), (2, ""), "{words:?}");
        for wanted in wanted {
            assert!(said.talk.contains(wanted), "{words:?}: no `{wanted}` in\n{}", said.talk);
        }
    }
}
