//! The program as a user runs it: exit statuses, the demo, faults.

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance, balance_with};

/// The demo workshop, in a separate folder.
fn depot() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let depot = folder.path().join("depot");
    let said = balance(["demo".into(), depot.clone().into_os_string()]);
    assert_eq!(said.code, 0, "{}", said.talk);
    let job = depot.join("WP-0417");
    (folder, job)
}

fn on(verb: &[&str], path: &Path) -> Said {
    balance(verb.iter().map(|word| (*word).into()).chain([path.as_os_str().to_owned()]))
}

/// The runs file with its lines changed.
fn change(job: &Path, change: impl Fn(&str) -> Option<String>) {
    let runs = job.join("runs.csv");
    let text = std::fs::read_to_string(&runs).expect("the demo has runs");
    let changed: String = text.lines().filter_map(change).map(|line| line + "\n").collect();
    std::fs::write(&runs, changed).expect("the runs are written");
}

#[test]
fn the_demo_ends_in_correction_verdict_and_pictures() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let depot = folder.path().join("depot");
    let said = balance(["demo".into(), depot.clone().into_os_string()]);
    assert_eq!(said.code, 0, "{}", said.talk);
    for words in
        ["TOO MUCH IS LEFT", "Hold these under clamps", "MEETS", "readings-front.png", "wrap-strip-a4.svg"]
    {
        assert!(said.answer.contains(words), "no `{words}` in\n{}", said.answer);
    }
    let picture = std::fs::read(depot.join("WP-0417/readings-front.png")).expect("the picture is there");
    assert!(picture.starts_with(b"\x89PNG"));
}

#[test]
fn exit_0_meets_and_after_it_nothing_is_advised() {
    let (_folder, job) = depot();
    let said = on(&["verify"], &job);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    let said = on(&["correct"], &job);
    assert_eq!(said.code, 0);
    assert!(
        said.answer.contains("Done. Leave it.") && !said.answer.contains("Hold these"),
        "{}",
        said.answer
    );
    let json: serde_json::Value =
        serde_json::from_str(&on(&["correct", "--json"], &job).answer).expect("one object");
    assert_eq!(json["verdict"], "meets");
    assert!(json["planes"][0]["mass_g"].as_f64().is_some_and(|grams| grams > 0.0));
}

#[test]
fn exit_1_exceeds() {
    let (_folder, job) = depot();
    assert_eq!(on(&["verify", "--as-found"], &job).code, 1);
}

#[test]
fn exit_3_undecided_without_any_figure_for_the_noise() {
    let (_folder, job) = depot();
    let shop = job.with_file_name("shop.toml");
    let text = std::fs::read_to_string(&shop).expect("there is a shop file");
    let without = text.lines().filter(|line| !line.starts_with("reading_")).collect::<Vec<&str>>().join("\n");
    std::fs::write(&shop, without).expect("the shop file is written");
    let said = on(&["verify"], &job);
    assert_eq!(said.code, 3, "{}", said.answer);
    assert!(said.answer.contains("Read the check run twice more"), "{}", said.answer);
}

#[test]
fn exit_2_without_a_check_run_there_is_no_verdict() {
    let (_folder, job) = depot();
    change(&job, |line| (!line.starts_with("4,check")).then(|| line.to_owned()));
    let said = on(&["verify"], &job);
    assert_eq!((said.code, said.answer.as_str()), (2, ""));
    assert!(said.talk.contains("check") && said.talk.contains("hint:"), "{}", said.talk);
}

#[test]
fn exit_2_usage_and_missing_files() {
    for words in
        [vec!["corect"], vec!["correct", "no-such-folder"], vec!["verify", "--job", "none.toml"], vec![]]
    {
        let said = balance(words.clone());
        assert_eq!(said.code, 2, "{words:?}");
        assert!(!said.talk.is_empty() && said.answer.is_empty(), "{words:?}: {said:?}");
    }
}

#[test]
fn help_version_completions_and_manual_are_answers() {
    for words in [
        vec!["--help"],
        vec!["--version"],
        vec!["completions", "bash"],
        vec!["manual"],
        vec!["correct", "--help"],
    ] {
        let said = balance(words.clone());
        assert_eq!((said.code, said.talk.as_str()), (0, ""), "{words:?}");
        assert!(!said.answer.is_empty());
    }
}

#[test]
fn a_check_run_that_does_not_fit_is_explained_and_nothing_is_advised() {
    let (_folder, job) = depot();
    // The same weights counted the other way round on the simulated demo shaft.
    change(&job, |line| {
        Some(if line.starts_with("4,check") {
            "4,check,1800,15,333,1,10,277,1,10,192,1,6.96,186,1.23,357".into()
        } else {
            line.to_owned()
        })
    });
    let said = on(&["correct"], &job);
    assert!(
        said.answer.contains("Weld nothing now") && said.answer.contains("other way round"),
        "{}",
        said.answer
    );
    assert!(on(&["explain"], &job).answer.contains("other way round"));
    assert!(on(&["verify"], &job).answer.contains("STOP"));
}

#[test]
fn a_fault_in_one_shaft_does_not_hide_the_others() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let runs = folder.path().join("many.csv");
    let text = "shaft,run,kind,front mass [g],front angle [deg],front amplitude [mm/s],front phase [deg]\n\
        A,1,initial,,,5,10\nA,2,trial,10,0,6,20\nB,1,initial,,,5,10\nB,2,trial,ten,0,6,20\n\
        C,1,initial,,,4,10\nC,2,trial,10,0,6,20\n";
    std::fs::write(&runs, text).expect("the runs are written");
    let said = on(&["correct", "--json"], &runs);
    assert_eq!(said.code, 2);
    let shafts: Vec<String> = said
        .answer
        .lines()
        .map(|line| {
            serde_json::from_str::<serde_json::Value>(line).expect("one object per line")["shaft"].to_string()
        })
        .collect();
    assert_eq!(shafts, ["\"A\"", "\"C\""]);
    assert!(said.talk.contains("many.csv:5") && said.talk.contains("ten"), "{}", said.talk);
}

#[test]
fn weights_of_ones_own_are_worked_out_and_nonsense_is_refused() {
    let (_folder, job) = depot();
    change(&job, |line| (!line.starts_with("4,check")).then(|| line.to_owned()));
    let said = on(&["correct", "--all", "--with", "front=15@333,10@277", "--with", "rear=10@192"], &job);
    assert_eq!(said.code, 0, "{}", said.talk);
    assert!(
        said.answer.contains("15 g") && said.answer.contains("should be left after welding"),
        "{}",
        said.answer
    );
    let said = on(&["correct", "--with", "frnt=15@333", "--with", "rear=ten@192"], &job);
    assert_eq!((said.code, said.answer.as_str()), (2, ""));
    assert!(said.talk.contains("did you mean `front`") && said.talk.contains("ten@192"), "{}", said.talk);
}

#[test]
fn the_ready_row_is_appended_and_asks_for_its_readings() {
    let (_folder, job) = depot();
    change(&job, |line| (!line.starts_with("4,check")).then(|| line.to_owned()));
    let said = on(&["correct", "--append"], &job);
    assert_eq!(said.code, 0, "{}", said.talk);
    let text = std::fs::read_to_string(job.join("runs.csv")).expect("the runs are there");
    assert!(text.contains("\n4,check,1800,15,333,1,10,277,1,10,192,1"), "{text}");
    // The prepared row is not a fault: it waits, and the last line of the answer says so.
    let said = on(&["correct"], &job);
    assert_eq!((said.code, said.talk.as_str()), (0, ""), "{}", said.answer);
    let last = said.answer.lines().last().unwrap_or_default();
    assert_eq!(last, "NEXT  spin, read, and fill in row 4 of the runs file");
    assert!(said.answer.contains("15 g at 258 mm (333 deg)"), "{}", said.answer);
    assert_eq!(on(&["plot", "--format", "svg"], &job).code, 0);
    let verdict = on(&["verify"], &job);
    assert_eq!((verdict.code, verdict.answer.as_str()), (2, ""));
    // A second one is not added after it.
    let said = on(&["correct", "--append"], &job);
    assert_eq!(said.code, 2);
    assert!(said.talk.contains("runs.csv:6: row 4 waits for its readings"), "{}", said.talk);
    assert_eq!(std::fs::read_to_string(job.join("runs.csv")).expect("the runs are there"), text);
}

#[test]
fn a_report_goes_into_a_new_folder() {
    let (folder, job) = depot();
    let into = folder.path().join("for the customer").join("2026");
    let words = ["report".into(), job.into_os_string(), "--into".into(), into.clone().into_os_string()];
    let said = balance(words);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    assert!(into.join("report.html").is_file());
}

#[test]
fn a_shaft_that_comes_back_starts_from_its_record() {
    let (folder, job) = depot();
    let archive = folder.path().join("archive.sqlite");
    let at = |words: &[&str], path: &Path| {
        let words = words.iter().map(std::ffi::OsString::from).chain([path.as_os_str().to_owned()]);
        balance(words.chain(["--archive".into(), archive.clone().into_os_string()]))
    };
    assert_eq!(at(&["archive", "add"], &job).answer, "record 1 stored\n");
    let back = job.with_file_name("WP-0999");
    let said = at(&["new", "--from", "1"], &back);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    assert!(said.answer.contains("It left with 15 g at front 333 deg."), "{}", said.answer);
    let job_file = std::fs::read_to_string(back.join("job.toml")).expect("the job's file is written");
    let welded: Vec<&str> = job_file.split("[[welded]]").skip(1).collect();
    // 15 g and 10 g of the demo's box are both 25 mm wide and 3 mm thick.
    let sized = |section: &&str| section.contains("width = \"25 mm\"\nthickness = \"3 mm\"\n");
    assert_eq!((welded.len(), welded.iter().filter(|section| sized(section)).count()), (3, 3), "{job_file}");
    let runs = std::fs::read_to_string(job.join("runs.csv")).expect("the demo has runs");
    let without: String = runs.lines().filter(|l| !l.starts_with("4,")).map(|l| format!("{l}\n")).collect();
    std::fs::write(back.join("runs.csv"), without).expect("the runs are written");
    let said = on(&["correct", "--all"], &back);
    assert_eq!(said.code, 0, "{}", said.talk);
    assert!(said.answer.contains("It left here with front joint"), "{}", said.answer);
    assert!(said.answer.contains("15 g at FRONT 333 deg"), "{}", said.answer);
}

#[test]
fn the_readme_shows_what_the_program_prints() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let readme = std::fs::read_to_string(readme).expect("there is a README");
    let (_folder, job) = depot();
    let verified = on(&["verify"], &job).answer;
    change(&job, |line| (!line.starts_with("4,check")).then(|| line.to_owned()));
    let corrected = on(&["correct"], &job).answer;
    for (what, printed) in [("correct", corrected), ("verify", verified)] {
        let missing: Vec<&str> = printed.lines().filter(|line| !readme.contains(line.trim_end())).collect();
        assert!(missing.is_empty(), "README lacks these lines of balance {what}:\n{}", missing.join("\n"));
    }
}

#[test]
fn the_guided_entry_starts_from_a_record_too() {
    let (folder, job) = depot();
    let archive = folder.path().join("archive.sqlite");
    let end = ["--archive".into(), archive.into_os_string()];
    let words = |verb: &[&str], path: &Path| -> Vec<std::ffi::OsString> {
        let verb = verb.iter().map(std::ffi::OsString::from);
        verb.chain([path.as_os_str().to_owned()]).chain(end.clone()).collect()
    };
    assert_eq!(balance(words(&["archive", "add"], &job)).answer, "record 1 stored\n");
    let back = job.with_file_name("WP-0998");
    let said = balance_with(words(&["stand", "--from", "1"], &back), "1\nq\n");
    assert!(said.answer.contains("It left with 15 g at front 333 deg."), "{said:?}");
    let made = std::fs::read_to_string(back.join("job.toml")).expect("the job is made");
    assert!(made.contains("[came_back]"), "{made}");
}

#[test]
fn inside_the_job_folder_the_shop_file_above_counts() {
    let (_folder, job) = depot();
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_balance-under-test"))
        .args(["verify", "--json"])
        .current_dir(&job)
        .output()
        .expect("the program starts");
    let inside = String::from_utf8_lossy(&said.stdout).into_owned();
    // Without the shop's reading noise it could not be told.
    assert_eq!(said.status.code(), Some(0), "{inside}");
    assert_eq!(inside, on(&["verify", "--json"], &job).answer);
}
