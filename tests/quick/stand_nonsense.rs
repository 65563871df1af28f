//! Nonsense at every question of the guided entry: a clear answer, nothing lost, and the job continues.
#![expect(clippy::unwrap_used, reason = "tests")]

use std::cell::RefCell;
use std::io::{BufRead, Read, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use balance_cli::streams::Streams;
use balance_tests::stand::{WHOLE, answer, empty_job, fresh_answer, taken};

/// The output so far, shared by both ends.
#[derive(Clone, Default)]
struct Log(Rc<RefCell<Vec<u8>>>);

impl Log {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.0.borrow()).into_owned()
    }
}

impl Write for Log {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Someone who types: a line for every question, until there is no more output.
struct Typist<F> {
    log: Log,
    line: Vec<u8>,
    at: usize,
    next: F,
}

impl<F: FnMut(&str) -> Option<Vec<u8>>> BufRead for Typist<F> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if self.at == self.line.len() {
            self.at = 0;
            self.line = (self.next)(&self.log.text()).unwrap_or_default();
        }
        Ok(&self.line[self.at..])
    }
    fn consume(&mut self, count: usize) {
        self.at += count;
    }
}

impl<F: FnMut(&str) -> Option<Vec<u8>>> Read for Typist<F> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let bytes = self.fill_buf()?;
        let count = bytes.len().min(buffer.len());
        buffer[..count].copy_from_slice(&bytes[..count]);
        self.consume(count);
        Ok(count)
    }
}

fn run(folder: &Path, next: impl FnMut(&str) -> Option<Vec<u8>>) -> (u8, String) {
    let log = Log::default();
    let mut typist = Typist { log: log.clone(), line: Vec::new(), at: 0, next };
    let (mut answer, mut talk) = (log.clone(), Vec::new());
    let mut streams = Streams::new(&mut typist, &mut answer, &mut talk);
    let none = folder.with_file_name("no-archive.sqlite");
    let words: [std::ffi::OsString; 6] =
        ["balance".into(), "stand".into(), folder.into(), "--plain".into(), "--archive".into(), none.into()];
    let code = balance_cli::run(words, &mut streams).code();
    assert!(talk.is_empty(), "{}", String::from_utf8_lossy(&talk));
    (code, log.text())
}

fn line(text: &str) -> Option<Vec<u8>> {
    Some(format!("{text}\n").into_bytes())
}

fn last_line(log: &str) -> &str {
    log.rsplit('\n').next().unwrap_or_default()
}

fn job() -> (tempfile::TempDir, PathBuf) {
    let above = tempfile::tempdir().unwrap();
    let folder = empty_job(above.path()).unwrap();
    (above, folder)
}

/// Lines that answer no question; the marked ones are an answer where Enter or words are allowed.
fn nonsense() -> Vec<(Vec<u8>, bool)> {
    let mut all: Vec<(Vec<u8>, bool)> = [
        "5.29 400 \u{b0}",
        "12,3,4 5",
        "99999999999999999999 99999999999999999999",
        "-7 -7 -7 -7 -7 -7 -7",
        "1,800.5 3",
        "1 2 3 4 5 6 7 8 9 10 11 12",
        "5.29 @ 230 @ 3.24 @ 400",
        "- - - - - -",
    ]
    .map(|text| (text.as_bytes().to_vec(), false))
    .to_vec();
    all.extend(["", "\u{1b}\u{7}\u{0}\t\r"].map(|text| (text.as_bytes().to_vec(), true)));
    all.extend(
        ["abc", "nan inf", "1e308 1e308", "\u{663}\u{664}", "; DROP", "\u{1b}[A\u{1b}[31mred"]
            .map(|t| (t.as_bytes().to_vec(), true)),
    );
    all.push((b"\xff\xfe\x80 5".to_vec(), true));
    all.push((vec![b'9'; 5000], false));
    all.push((vec![b'x'; 70_000], false));
    all
}

/// What kind of nonsense is an answer to which questions.
struct Taken {
    /// Enter alone.
    enter: &'static [&'static str],
    /// Words, and Enter.
    words: &'static [&'static str],
    /// Any text.
    text: &'static [&'static str],
}

/// Throws nonsense at every question and then answers; nothing may be written meanwhile. Returns what was said, how many lines
/// were thrown and at which questions.
fn thrown_at_all(
    folder: &Path,
    file: &Path,
    taken: &Taken,
    answer: impl Fn(&str) -> Option<String>,
) -> (String, usize, std::collections::BTreeSet<String>) {
    let lines = nonsense();
    let (mut at, mut asked, mut before) = (0, String::new(), String::new());
    let (mut thrown, mut questions) = (0, std::collections::BTreeSet::new());
    let mut length = 0;
    let (code, log) = run(folder, |log| {
        let question = last_line(log).to_owned();
        let now = std::fs::read_to_string(file).unwrap();
        if at > 0 && at <= lines.len() {
            assert_eq!(question, asked, "the same question again after {:?}\n{log}", lines[at - 1]);
            assert_eq!(now, before, "nothing is written");
            let said = log[length..].trim();
            assert!(said.len() > question.trim().len() + 10, "a clear answer: {said}");
        }
        // Where Enter, words or any text are an answer, they are not thrown.
        let begins = |words: &[&str]| words.iter().any(|own| question.starts_with(own));
        let (enter, words, text) = (begins(taken.enter), begins(taken.words), begins(taken.text));
        let is_answer = |(bytes, marked): &(Vec<u8>, bool)| {
            let nothing = bytes.iter().all(u8::is_ascii_control);
            text && bytes.len() < 1000 || *marked && (words || (enter || text) && nothing)
        };
        while at < lines.len() && is_answer(&lines[at]) {
            at += 1;
        }
        if let Some((bytes, _)) = lines.get(at) {
            (asked, before, length) = (question, now, log.len());
            (at, thrown) = (at + 1, thrown + 1);
            return Some([bytes.as_slice(), b"\n"].concat());
        }
        questions.insert(question);
        at = 0;
        line(&answer(log)?)
    });
    assert_eq!(code, 0);
    assert!(
        !log.contains('\u{1b}') && !log.contains('\u{7}'),
        "no control characters and no bells in a pipe"
    );
    (log, thrown, questions)
}

#[test]
fn nonsense_at_every_question_is_answered_and_changes_nothing() {
    let (_above, folder) = job();
    let runs = folder.join("runs.csv");
    let taken = Taken {
        enter: &["Enter = leave", "Reading (speed", "Go through this list"],
        words: &["Right?", "How is it held?"],
        text: &["Tag or stamp", "Shaft type", "Who balances it"],
    };
    let (log, thrown, questions) =
        thrown_at_all(&folder, &runs, &taken, |log| answer(log).map(str::to_owned));
    assert!(log.contains("Saved: 1 initial, 2 trial, 1 tried, 1 check."), "{log}");
    assert_eq!(rows(&folder), WHOLE);
    assert!(questions.len() >= 9 && thrown > 150, "{thrown} lines at {questions:?}");
}

#[test]
fn nonsense_at_every_question_of_the_job_and_the_bench_changes_nothing() {
    let above = tempfile::tempdir().unwrap();
    let folder = above.path().join("WP-9");
    assert_eq!(balance_tests::program::balance(["new".as_ref(), folder.as_os_str()]).code, 0);
    let job = folder.join("job.toml");
    let taken = Taken {
        enter: &[""],
        words: &[
            "What is wrong",
            "Number or unit",
            "Measured, with its unit",
            "Between which",
            "What does the mark",
        ],
        text: &[
            "Whose shaft",
            "Vehicle or machine",
            "Tag or stamp",
            "Shaft type",
            "Who balances it",
            "What is the zero mark",
            "The joints, such as",
            "Damage, such as",
            "The box of weights",
        ],
    };
    let (log, thrown, questions) = thrown_at_all(&folder, &job, &taken, fresh_answer);
    assert!(log.contains("Saved: no run yet"), "{log}");
    assert!(questions.len() >= 30 && thrown > 300, "{thrown} lines at {questions:?}");
    let file = balance_cli::files::JobFile::load_folder(&folder).unwrap();
    assert_eq!(file.job.shaft.inspection.len(), 10);
    assert_eq!(file.job.weld_plan.weights.len(), 2);
}

#[test]
fn the_input_may_end_at_every_question() {
    for end in 0..40 {
        let (_above, folder) = job();
        let mut asked = 0;
        let (code, log) = run(&folder, |log| {
            asked += 1;
            // Half a line without Enter, then nothing more.
            if asked == end + 1 {
                Some(b"1".to_vec())
            } else if asked > end {
                None
            } else {
                line(answer(log)?)
            }
        });
        assert_eq!(code, 0, "{log}");
        assert!(log.contains("Saved: "), "{log}");
        let file = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
        assert_eq!(file.lines().count() - 1, taken(&log).len(), "{log}");
        if asked <= end {
            assert_eq!(file, WHOLE);
            return;
        }
    }
    unreachable!("the job has fewer questions than that");
}

/// Answers as usual, but these lines at the questions that begin so, each once.
fn with(folder: &Path, special: &[(&str, &str, &str)]) -> String {
    let mut left: Vec<_> = special.to_vec();
    let mut count = 0;
    let (code, log) = run(folder, |log| {
        count += 1;
        let fits = |own: &(&str, &str, &str)| last_line(log).starts_with(own.1) && log.contains(own.0);
        if let Some(first) = left.first().filter(|own| fits(own)) {
            let typed = first.2;
            left.remove(0);
            return line(typed);
        }
        if count > 200 { None } else { line(answer(log)?) }
    });
    assert_eq!(code, 0, "{log}");
    assert!(left.is_empty(), "never asked: {left:?}\n{log}");
    log
}

fn rows(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("runs.csv")).unwrap()
}

#[test]
fn unlikely_readings_are_asked_about_with_the_likely_reason() {
    let (_above, folder) = job();
    let log = with(
        &folder,
        &[
            ("", "Speed and reading", "9000 5.29 230 3.24 69"),
            ("more than this stand's 3500 rpm", "Speed and reading", "1800 5.29 230 3.24 69"),
            ("Run 2, TRIAL", "Reading (speed", "2000 8.68 211 3.56 49"),
            ("This is out of range", "Reading (speed", "5.29 230 3.24 69"),
            ("typed twice", "1 = yes", "0"),
            ("typed twice", "Reading (speed", "5.3 231 3.2 69"),
            ("Was the trial mass on", "1 = yes", "0"),
            ("Was the trial mass on", "Reading (speed", "868 211 3.56 49"),
            ("more than this stand allows", "1 = yes", "0"),
            ("Run 3, TRIAL", "Reading (speed", "8.70 211 3.55 49"),
            ("is that trial mass still on", "1 = yes", "0"),
            ("Run 4, TRIED", "Reading (speed", "4.68 211 3.56 49"),
            ("expected about", "1 = yes", "0"),
        ],
    );
    assert!(log.contains("speed") && rows(&folder) == WHOLE, "{log}");
}

#[test]
fn undo_repeat_note_and_mistake_change_the_file_and_nothing_else() {
    let (_above, folder) = job();
    with(
        &folder,
        &[
            ("Run 2, TRIAL", "Mass in g", "0"),
            ("", "Take it out of the file?", ""),
            ("It stays", "Mass in g", "undo"),
            ("", "Take it out of the file?", "1"),
            ("Run 1 is out of the file", "Speed and reading", "1800 5.2 230 3.2 69"),
            ("Run 2, TRIAL", "Mass in g", "note cold shaft"),
            ("The note is with run 1", "Mass in g", "I made a mistake in run 1"),
            ("As entered", "Which number is wrong?", "2 5.29"),
            ("front 5.29", "Right?", ""),
            ("", "Mass in g", "mistake 1"),
            ("4 = rear amplitude", "Which number is wrong?", "4 3.24"),
            ("Taken: run 1 is changed", "Mass in g", "mistake 7"),
            ("Which run?", "Mass in g", "?"),
            ("Everywhere:", "Mass in g", "c"),
            ("", "Mass in g", "p"),
        ],
    );
    assert_eq!(rows(&folder), WHOLE.replacen("3.24,69,,", "3.24,69,cold shaft,", 1));
    let (_above, folder) = job();
    with(&folder, &[("Run 2, TRIAL", "Mass in g", "r"), ("Once more", "Reading (speed", "5.30 230 3.25 69")]);
    assert!(rows(&folder).contains("\n2,initial,1800,,,,,5.3,230,3.25,69,"), "{}", rows(&folder));
}

#[test]
fn a_try_that_reads_more_than_expected_is_not_welded() {
    let (_above, folder) = job();
    let log = with(
        &folder,
        &[
            ("Run 4, TRIED", "Reading (speed", "9.5 50 3.1 80"),
            ("expected about", "1 = yes", "1"),
            ("weld nothing", "Enter = read", "q"),
        ],
    );
    assert!(!log.contains("To be welded"), "{log}");
    assert!(log.contains("Next: find out why"), "{log}");
}

#[test]
fn a_job_begins_with_its_number_and_what_is_known() {
    let above = tempfile::tempdir().unwrap();
    let folder = above.path().join("WP-9");
    let answers = [
        ("There is no job", "1"),
        ("Mass of the whole", "14,2"),
        ("Highest speed", "2600 rpm"),
        ("Balance grade", "g1.6"),
        ("Tube in mm", "88.9 2.4 1385"),
        ("Is the tube of weldable", "1"),
        ("Is it a worn shaft", ""),
        ("Whose shaft", "Hollin Pass road depot (invented)"),
        ("Vehicle or machine", "gritter 4, \"spinner\""),
        ("Tag or stamp", "HP-12"),
        ("Shaft type", "gritter spinner drive"),
        ("Who balances it", "M. Holt"),
        ("1 = it is right, or the grade again", "16"),
        ("The box of weights", "5 10 15g"),
        ("Their width", "15 25 25"),
        ("Their thickness", "3"),
        ("What does the weld bead", "1"),
        ("Do units, counting", "1"),
        ("Go through this list", ""),
        ("Where weights go", "95 1290"),
        ("Where the sensors", "0 1385"),
        ("What is the zero mark", "paint line on the front yoke ear"),
        ("Number:", "1"),
        ("Number or unit:", "1"),
        ("How far do the readings", "2"),
        ("Speed and reading", "q"),
    ];
    let mut asked = 0;
    let (code, log) = run(&folder, |log| {
        asked += 1;
        assert!(asked < 50, "{log}");
        let question = last_line(log);
        line(answers.iter().find(|(words, _)| question.starts_with(words))?.1)
    });
    assert_eq!(code, 0);
    assert!(log.contains("no run yet"), "{log}");
    let job = balance_cli::files::JobFile::load_folder(&folder).unwrap();
    assert_eq!(job.job.measures.mass.unwrap().kilograms(), 14.2);
    assert_eq!(job.job.setup.planes[1].position.unwrap().millimetres(), 1290.0);
    assert!(job.job.setup.convention.stated);
    assert!(balance_core::answer::limits(&job.job, &job.job.setup.planes).is_ok(), "enough for a verdict");
    // The same job written by hand, on the same template.
    let template = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../balance-cli/src/files/templates/job.toml"),
    )
    .unwrap();
    let by_hand = template
        .replace("{NUMBER}", "\"WP-9\"")
        .replacen("number = \"WP-9\"\n", &format!("number = \"WP-9\"\n{HEADING}"), 1)
        .replacen(
            "name = \"front\"\n# position = \"95",
            "name = \"front\"\nposition = \"95 mm\"\n# position = \"95",
            1,
        )
        .replacen(
            "name = \"rear\"\n# position = \"1290",
            "name = \"rear\"\nposition = \"1290 mm\"\n# position = \"1290",
            1,
        )
        .replacen(
            "name = \"front\"\n# position = \"0",
            "name = \"front\"\nposition = \"0 mm\"\n# position = \"0",
            1,
        )
        .replacen(
            "name = \"rear\"\n# position = \"1385",
            "name = \"rear\"\nposition = \"1385 mm\"\n# position = \"1385",
            1,
        )
        + SECTIONS;
    assert_eq!(std::fs::read_to_string(folder.join("job.toml")).unwrap(), by_hand);
    // What holds for the shop is not asked again.
    let again = above.path().join("WP-10");
    let mut first = String::new();
    run(&again, |log| match last_line(log) {
        question if question.starts_with("There is no job") => line("1"),
        question if question.starts_with("Is it a worn shaft") => line(""),
        question if first.is_empty() => {
            first = question.to_owned();
            line("s s")
        }
        question if question.starts_with("Go through this list") => line(""),
        _ => line("q"),
    });
    assert!(first.starts_with("Whose shaft"), "the units are the shop's: {first}");
    let second = balance_cli::files::JobFile::load_folder(&again).unwrap();
    assert_eq!(second.job.weld_plan, job.job.weld_plan);
    assert_eq!(second.job.setup.convention.phase, job.job.setup.convention.phase);
}

const HEADING: &str = "customer = \"Hollin Pass road depot (invented)\"\nunit = 'gritter 4, \"spinner\"'\ntag = \"HP-12\"\n\
                       type = \"gritter spinner drive\"\n";

const SECTIONS: &str = r#"
[show]
units = "metric"

[people]
technician = "M. Holt"

[shaft]
mass = "14.2 kg"
service_speed = "2600 rpm"
grade = "G16"

[tube]
outer_diameter = "88.9 mm"
wall = "2.4 mm"
length = "1385 mm"
material = "steel"

[convention]
zero_mark = "paint line on the front yoke ear"
turns = "clockwise seen from the front"
mass_angle = "against rotation"
phase = "lag"

[stand]
reading_unit = "mm/s"
reading_noise = "2 %"

[[weight]]
mass = "5 g"
width = "15 mm"
thickness = "3 mm"

[[weight]]
mass = "10 g"
width = "25 mm"
thickness = "3 mm"

[[weight]]
mass = "15 g"
width = "25 mm"
thickness = "3 mm"

[weld]
bead_mass = "1 g"
"#;
