//! What goes on paper, as a user asks for it: pictures as PDF, which paper, and the system's viewer.

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};

/// The demo's job before its check run: there are weights to put on, and so a strip.
fn job(place: &Path) -> PathBuf {
    let depot = place.join("depot");
    assert_eq!(balance(["demo".into(), depot.clone().into_os_string()]).code, 0);
    let runs = depot.join("WP-0417/runs.csv");
    let text = std::fs::read_to_string(&runs).expect("the demo has runs");
    let before: Vec<&str> = text.lines().filter(|line| !line.starts_with("4,check")).collect();
    std::fs::write(&runs, before.join("\n") + "\n").expect("the runs are written");
    depot.join("WP-0417")
}

fn plot(job: &Path, into: &Path, words: &[&str]) -> Said {
    let paths = [job.as_os_str().to_owned(), "--into".into(), into.as_os_str().to_owned()];
    balance(std::iter::once("plot".into()).chain(paths).chain(words.iter().map(|word| (*word).into())))
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let name = |entry: std::io::Result<std::fs::DirEntry>| entry.expect("an entry").file_name();
    let mut names: Vec<String> = entries.map(|entry| name(entry).to_string_lossy().into()).collect();
    names.sort();
    names
}

/// Width of the first page in points, from the file.
fn page_width(file: &Path) -> f64 {
    let text = String::from_utf8_lossy(&std::fs::read(file).expect("the PDF is there")).into_owned();
    let sides = text.split_once("/MediaBox [").expect("a page has a size").1.split(']').next();
    sides.and_then(|sides| sides.split(' ').nth(2)?.parse().ok()).expect("a page has a width")
}

#[test]
fn pictures_come_in_the_formats_that_were_asked_for() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let into = place.path().join("out");
    let said = plot(&job, &into, &["--format", "pdf"]);
    assert_eq!((said.code, said.talk.as_str()), (0, ""));
    let wanted = [
        "critical-speed.pdf",
        "readings-front.pdf",
        "readings-rear.pdf",
        "tube-front.pdf",
        "tube-rear.pdf",
        "wrap-strip-a4.pdf",
    ];
    assert_eq!(names(&into), wanted);
    let both = place.path().join("both");
    assert_eq!(plot(&job, &both, &["--only", "strip", "--format", "svg,pdf", "--paper", "letter"]).code, 0);
    let letter = ["wrap-strip-letter.svg", "wrap-strip-letter.pdf"];
    assert!(letter.iter().all(|name| names(&both).iter().any(|there| there == name)), "{:?}", names(&both));
}

/// `[show] paper` chooses, the option goes before it; where neither says anything the units do.
#[test]
fn the_paper_is_the_shop_s_and_an_option_goes_before_it() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let shop = place.path().join("depot/shop.toml");
    let text = std::fs::read_to_string(&shop).expect("the demo has a shop");
    let cases = [
        ("", vec![], "a4", 841.89),
        ("[show]\nunits = \"us\"\n", vec![], "letter", 792.0),
        ("[show]\nunits = \"us\"\npaper = \"A4\"\n", vec![], "a4", 841.89),
        ("[show]\npaper = \"Letter\"\n", vec![], "letter", 792.0),
        ("[show]\npaper = \"Letter\"\n", vec!["--paper", "A4"], "a4", 841.89),
    ];
    for (at, (show, words, paper, width)) in cases.into_iter().enumerate() {
        std::fs::write(&shop, format!("{text}\n{show}")).expect("the shop is written");
        let into = place.path().join(at.to_string());
        let said = plot(&job, &into, &[&["--only", "strip", "--format", "pdf"], &words[..]].concat());
        assert_eq!(said.code, 0, "{}", said.talk);
        let got = page_width(&into.join(format!("wrap-strip-{paper}.pdf")));
        assert!((got - width).abs() < 0.01, "{show}: {got}");
    }
    std::fs::write(&shop, format!("{text}\n[show]\npaper = \"A3\"\n")).expect("the shop is written");
    let said = plot(&job, place.path(), &[]);
    assert!(said.code == 2 && said.talk.contains("`A3` is not a choice"), "{}", said.talk);
}

#[test]
fn a_picture_that_the_job_cannot_have_is_refused() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    let said = plot(&job, &place.path().join("out"), &["--only", "left"]);
    assert!(said.code == 2 && said.talk.contains("no such picture"), "{}", said.talk);
}

/// A stand-in for the system's viewer writes down what it is asked to show.
#[cfg(target_os = "linux")]
mod viewer {
    use std::os::unix::fs::PermissionsExt as _;
    use std::process::{Command, Output};

    use super::*;

    fn with_viewer(place: &Path, script: &str, job: &Path, words: &[&str]) -> Output {
        let viewer = place.join("xdg-open");
        std::fs::write(&viewer, script).expect("the stand-in is written");
        std::fs::set_permissions(&viewer, std::fs::Permissions::from_mode(0o755)).expect("it can be run");
        let program = env!("CARGO_BIN_EXE_balance-under-test");
        let run = Command::new(program)
            .env("PATH", format!("{}:/usr/bin:/bin", place.display()))
            .env("SHOWN", place.join("shown"))
            .arg("plot")
            .arg(job)
            .args(words)
            .output();
        run.expect("the program runs")
    }

    const WRITES_DOWN: &str = "#!/bin/sh\nprintf '%s|' \"$@\" >\"$SHOWN\"\n";

    #[test]
    fn one_file_is_shown_itself_and_several_as_their_folder() {
        let place = tempfile::tempdir().expect("a folder");
        let job = job(place.path());
        let cases = [
            (vec!["--only", "strip", "--format", "pdf", "--open"], Some(job.join("wrap-strip-a4.pdf"))),
            (vec!["--only", "tube", "--format", "svg", "--open"], Some(job.clone())),
            (vec!["--only", "tube", "--format", "svg"], None),
        ];
        for (words, wanted) in cases {
            let _ = std::fs::remove_file(place.path().join("shown"));
            let run = with_viewer(place.path(), WRITES_DOWN, &job, &words);
            assert_eq!(run.status.code(), Some(0), "{run:?}");
            let shown = std::fs::read_to_string(place.path().join("shown")).ok();
            assert_eq!(shown, wanted.map(|wanted| format!("{}|", wanted.display())), "{words:?}");
        }
    }

    #[test]
    fn a_viewer_that_cannot_is_told_and_the_file_stays() {
        let place = tempfile::tempdir().expect("a folder");
        let job = job(place.path());
        let words = ["--only", "strip", "--format", "pdf", "--open"];
        let run = with_viewer(place.path(), "#!/bin/sh\nexit 3\n", &job, &words);
        assert_eq!(run.status.code(), Some(2));
        assert!(String::from_utf8_lossy(&run.stderr).contains("xdg-open could not show it"), "{run:?}");
        assert!(job.join("wrap-strip-a4.pdf").is_file());
    }
}

/// A stand-in for a browser: what the program asks of it, and what becomes of its answers. Chromium itself prints in
/// `.ci/run`.
#[cfg(target_os = "linux")]
mod browser {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::process::{Command, Output};

    use super::*;

    /// Writes down its words, whether its profile is there, and prints a PDF of a few bytes.
    const PRINTS: &str = "#!/bin/sh
        for word in \"$@\"; do
            echo \"$word\" >>\"$SAID\"
            case $word in
                --print-to-pdf=*) printf '%%PDF-1.4\\n%%%%EOF\\n' >\"${word#*=}\" ;;
                --user-data-dir=*) test -d \"${word#*=}\" && echo 'profile is there' >>\"$SAID\" ;;
            esac
        done
        ";

    fn report(place: &Path, script: Option<&str>, job: &Path, words: &[&str]) -> Output {
        let folder = place.join("programs");
        std::fs::create_dir_all(&folder).expect("a folder");
        if let Some(script) = script {
            let browser = folder.join("chromium");
            std::fs::write(&browser, script).expect("the stand-in is written");
            std::fs::set_permissions(&browser, std::fs::Permissions::from_mode(0o755))
                .expect("it can be run");
        }
        // /bin/sh is found by its own path; nothing else is on PATH.
        Command::new(env!("CARGO_BIN_EXE_balance-under-test"))
            .env("PATH", &folder)
            .env("SAID", place.join("said"))
            .arg("report")
            .arg(job)
            .args(words)
            .output()
            .expect("the program runs")
    }

    #[test]
    fn the_browser_gets_a_profile_of_its_own_and_no_network() {
        let place = tempfile::tempdir().expect("a folder");
        let job = job(place.path());
        let run = report(place.path(), Some(PRINTS), &job, &["--pdf"]);
        assert_eq!(run.status.code(), Some(0), "{run:?}");
        assert!(std::fs::read(job.join("report.pdf")).expect("a PDF").starts_with(b"%PDF-"));
        let said = std::fs::read_to_string(place.path().join("said")).expect("it was called");
        let said: Vec<&str> = said.lines().collect();
        let page = format!("file://{}", job.join("report.html").display());
        for word in ["--headless", "--host-resolver-rules=MAP * ~NOTFOUND", "profile is there", &page] {
            assert!(said.contains(&word), "no `{word}` in {said:?}");
        }
        let profile = said.iter().find_map(|word| word.strip_prefix("--user-data-dir=")).expect("a profile");
        assert!(!Path::new(profile).exists(), "the profile is left behind");
        let root = std::fs::metadata("/proc/self").expect("a process").uid() == 0;
        assert_eq!(said.contains(&"--no-sandbox"), root);
        assert_eq!(String::from_utf8_lossy(&run.stderr).contains("without its sandbox"), root);
        let left: Vec<String> = names(&job).into_iter().filter(|name| name.starts_with(".balance")).collect();
        assert!(left.is_empty(), "{left:?}");
    }

    #[test]
    fn without_a_browser_the_page_is_written_and_what_to_do_is_said() {
        let place = tempfile::tempdir().expect("a folder");
        let job = job(place.path());
        for words in [&["--pdf"][..], &["--pdf", "--browser", "/nowhere/browser"]] {
            let _ = std::fs::remove_file(job.join("report.html"));
            let run = report(place.path(), None, &job, words);
            let told = String::from_utf8_lossy(&run.stderr).into_owned();
            assert_eq!(run.status.code(), Some(2), "{told}");
            assert!(told.contains("hint:") && told.contains("--browser PATH"), "{told}");
            assert!(job.join("report.html").is_file() && !job.join("report.pdf").exists());
        }
        let run = report(place.path(), None, &job, &["--browser", "x"]);
        assert_eq!(run.status.code(), Some(2), "--browser without --pdf: {run:?}");
    }

    #[test]
    fn a_browser_that_prints_nothing_is_told_with_its_last_words() {
        let place = tempfile::tempdir().expect("a folder");
        let job = job(place.path());
        let half = "#!/bin/sh\nfor word in \"$@\"; do case $word in --print-to-pdf=*) echo '%PDF-1.4' >\"${word#*=}\";; esac; done\n";
        for (script, words) in [
            ("#!/bin/sh\necho cannot open display >&2\nexit 7\n", "cannot open display"),
            (half, "left no PDF"),
        ] {
            let run = report(place.path(), Some(script), &job, &["--pdf"]);
            let told = String::from_utf8_lossy(&run.stderr).into_owned();
            assert!(run.status.code() == Some(2) && told.contains(words), "{told}");
            assert!(job.join("report.html").is_file() && !job.join("report.pdf").exists());
        }
    }
}

/// The paper stands in the page's own style sheet, where every browser that prints reads it.
#[test]
fn the_report_asks_for_the_paper() {
    let place = tempfile::tempdir().expect("a folder");
    let job = job(place.path());
    for (words, wanted) in
        [(vec![], "size: A4 portrait"), (vec!["--paper", "letter"], "size: Letter portrait")]
    {
        let all = ["report".into(), job.clone().into_os_string()];
        assert_eq!(balance(all.into_iter().chain(words.iter().map(|word| (*word).into()))).code, 0);
        let page = std::fs::read_to_string(job.join("report.html")).expect("a report");
        assert!(page.contains(wanted), "{words:?}");
    }
}
