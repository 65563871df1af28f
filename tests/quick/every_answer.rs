//! One table: every verb that answers × every state a shaft can be in. Exit status, the JSON's advice, pictures,
//! headline of the report, the row appended, the verdict on record. No weight is advised, drawn as going on or
//! appended, and nothing is headed or stored as meets, where the shaft must not spin or the runs contradict each other.
//!
//! The jobs are the invented demo workshop's; the exit statuses are those of the project's formats.

use std::path::{Path, PathBuf};

use balance_tests::program::{Said, balance};
use balance_tests::shaft_states::{State, sister_archive};

/// What a state must lead to.
struct Wanted {
    state: State,
    correct: u8,
    verify: u8,
    advice: &'static str,
    /// The verdict in JSON of `verify`; `None`: no object, or null.
    verdict: Option<&'static str>,
    /// What `archive add` stores.
    stored: Option<&'static str>,
    /// In the report's headline.
    headline: &'static str,
    /// Whether `--append` writes a row.
    append: u8,
    /// Whether pictures show weights that go on.
    goes_on: bool,
}

fn wanted() -> Vec<Wanted> {
    let row = |state, (correct, verify): (u8, u8), advice, verdict, stored, headline, append, goes_on| {
        Wanted { state, correct, verify, advice, verdict, stored, headline, append, goes_on }
    };
    vec![
        row(
            State::MustNotSpin,
            (2, 2),
            "must not spin",
            None,
            Some("must not spin"),
            "MUST NOT SPIN",
            2,
            false,
        ),
        row(
            State::Contradicting,
            (3, 3),
            "held back",
            Some("undecided"),
            Some("undecided"),
            "HELD BACK",
            3,
            false,
        ),
        row(
            State::Undecided,
            (3, 3),
            "one more run",
            Some("undecided"),
            Some("undecided"),
            "CANNOT BE TOLD YET",
            3,
            false,
        ),
        row(State::Exceeds, (0, 1), "hold", Some("exceeds"), Some("exceeds"), "TOO MUCH IS LEFT", 0, true),
        row(State::Meets, (0, 0), "done", Some("meets"), Some("meets"), "MEETS", 2, false),
        row(State::NoBox, (0, 2), "ideal", None, None, "NO VERDICT YET", 0, false),
        row(State::SisterShafts, (0, 2), "hold", None, None, "NO VERDICT YET", 0, true),
        row(State::NoTrials, (2, 2), "", None, None, "", 2, false),
        row(State::UsUnits, (0, 2), "hold", None, None, "NO VERDICT YET", 0, true),
    ]
}

fn on(verb: &[&str], job: &Path, archive: &Path) -> Said {
    let words = verb.iter().map(|word| std::ffi::OsString::from(*word));
    let archive = ["--archive".into(), archive.as_os_str().to_owned()];
    balance(words.chain([job.as_os_str().to_owned()]).chain(archive))
}

fn object(text: &str) -> serde_json::Value {
    serde_json::from_str(text.trim()).unwrap_or(serde_json::Value::Null)
}

#[test]
fn every_verb_keeps_to_the_advice() {
    let archive = tempfile::tempdir().expect("a folder");
    let archive = sister_archive(archive.path());
    for row in wanted() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let job = row.state.lay_out(folder.path());
        let state = row.state;
        answers(&row, &job, &archive);
        appended(&row, &job, &archive);
        let job = state.lay_out(folder.path());
        written(&row, &job, &archive);
    }
}

/// `correct` and `verify`, as text and as JSON.
fn answers(row: &Wanted, job: &Path, archive: &Path) {
    let state = row.state;
    let text = on(&["correct"], job, archive);
    assert_eq!(text.code, row.correct, "correct on {state:?}: {text:?}");
    let json = on(&["correct", "--json"], job, archive);
    assert_eq!(json.code, row.correct, "correct --json on {state:?}: {json:?}");
    if row.advice.is_empty() {
        assert_eq!(json.answer, "", "{state:?}: nothing on standard output");
    } else {
        let found = object(&json.answer);
        assert_eq!(found["format"], "balance-correction/2", "{state:?}");
        assert_eq!(found["advice"], row.advice, "{state:?}: {}", json.answer);
        let planes = found["planes"].as_array().expect("planes are always there");
        let nothing = matches!(state, State::MustNotSpin | State::Contradicting);
        assert_eq!(planes.is_empty(), nothing, "{state:?}: {}", json.answer);
        let goes_on =
            planes.iter().any(|plane| plane["weights"].as_array().is_some_and(|weights| !weights.is_empty()));
        assert_eq!(goes_on, row.advice == "hold", "{state:?}: {}", json.answer);
        assert_eq!(found["refusal"].is_object(), state == State::MustNotSpin, "{state:?}");
        assert_eq!(found["held_back"].is_object(), state == State::Contradicting, "{state:?}");
    }
    assert_eq!(text.answer.contains("Hold these"), matches!(row.advice, "hold" | "ideal"), "{state:?}");
    for verb in [&["verify"][..], &["verify", "--json"]] {
        let said = on(verb, job, archive);
        assert_eq!(said.code, row.verify, "{verb:?} on {state:?}: {said:?}");
        assert_eq!(said.answer.contains("MEETS"), state == State::Meets && verb.len() == 1, "{state:?}");
        if verb.len() == 2 && !said.answer.is_empty() {
            let found = object(&said.answer);
            assert_eq!(found["verdict"].as_str(), row.verdict, "{state:?}: {}", said.answer);
            assert_eq!(found["advice"], row.advice, "{state:?}");
        }
    }
}

/// `correct --append`: a row only where masses are to go on.
fn appended(row: &Wanted, job: &Path, archive: &Path) {
    let runs = job.join("runs.csv");
    let before = std::fs::read_to_string(&runs).expect("runs");
    let said = on(&["correct", "--append"], job, archive);
    assert_eq!(said.code, row.append, "append on {:?}: {said:?}", row.state);
    let after = std::fs::read_to_string(&runs).expect("runs");
    assert_eq!(after.lines().count() > before.lines().count(), row.append == 0, "{:?}", row.state);
}

/// `plot`, `report` and `archive add` write in every case that can be solved, under the headline of the advice.
fn written(row: &Wanted, job: &Path, archive: &Path) {
    let state = row.state;
    let solvable = !row.advice.is_empty();
    let plot = on(&["plot", "--format", "svg"], job, archive);
    assert_eq!(plot.code == 0, solvable, "plot on {state:?}: {plot:?}");
    let goes_on =
        |name: &String| std::fs::read_to_string(job.join(name)).expect("a picture").contains("goes on");
    assert_eq!(pictures(job).iter().any(goes_on), row.goes_on, "pictures on {state:?}: {:?}", pictures(job));
    let report = on(&["report"], job, archive);
    assert_eq!(report.code == 0, solvable, "report on {state:?}: {report:?}");
    let own = job.join("kept.sqlite");
    if state == State::SisterShafts {
        std::fs::copy(archive, &own).expect("an archive with sisters");
    }
    let kept = on(&["archive", "add"], job, &own);
    if !solvable {
        assert_eq!(kept.code, 2, "{state:?}");
        return;
    }
    let page = std::fs::read_to_string(job.join("report.html")).expect("a report");
    let headline = page.split("class=\"big\">").nth(1).and_then(|rest| rest.split('<').next()).unwrap_or("");
    assert!(headline.contains(row.headline), "{state:?}: the report is headed {headline}");
    let headed = page.contains("class=\"big\">MEETS");
    assert_eq!(headed, state == State::Meets, "{state:?}: MEETS in the report");
    assert_eq!(kept.code, 0, "archive add on {state:?}: {kept:?}");
    let stored = balance(["archive", "list", "--most", "1", "--json", "--archive", &own.to_string_lossy()]);
    let found = object(&stored.answer);
    assert_eq!(found["verdict"].as_str(), row.stored, "{state:?}: {}", stored.answer);
}

fn pictures(job: &Path) -> Vec<String> {
    let all = std::fs::read_dir(job).expect("the job's folder");
    let mut names: Vec<String> =
        all.filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned())).collect();
    names.retain(|name| name.ends_with(".svg"));
    names.sort();
    names
}

/// The library alone prints the same lines as the program, on every job of the depot and in every state.
#[test]
fn the_library_alone_gives_the_same_lines() {
    use balance_core::answer::{Case, json, solve};
    let archive = tempfile::tempdir().expect("a folder");
    let archive = sister_archive(archive.path());
    let mut jobs: Vec<PathBuf> = ["WP-0417", "WP-0502", "WP-0533"]
        .map(|job| Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot").join(job))
        .to_vec();
    let folders: Vec<tempfile::TempDir> = State::ALL.map(|_| tempfile::tempdir().expect("a folder")).into();
    jobs.extend(State::ALL.iter().zip(&folders).map(|(state, folder)| state.lay_out(folder.path())));
    let mut compared = 0;
    for job in &jobs {
        let input = on(&["job"], job, &archive);
        assert_eq!(input.code, 0, "{input:?}");
        let case: Case = serde_json::from_str(&input.answer).expect("what `balance job` prints reads back");
        assert_eq!(
            json::case(&case),
            input.answer.trim_end(),
            "{}: what was read prints the same",
            job.display()
        );
        let Ok(answer) = solve(&case) else { continue };
        let own = json::correction(&answer) + "\n";
        assert_eq!(own, on(&["correct", "--json"], job, &archive).answer, "{}", job.display());
        let verdict = json::verdict(&answer, balance_core::influence::Which::Now);
        let own = verdict.map_or_else(|_| String::new(), |line| line + "\n");
        assert_eq!(own, on(&["verify", "--json"], job, &archive).answer, "{}", job.display());
        compared += 1;
    }
    assert!(compared >= 10, "only {compared} jobs were compared");
}
