//! Whole jobs by guided entry alone, typed at a terminal of 80 × 24: in pounds, inches, ounces and mils from the empty folder
//! to the archived report; a worn shaft from the bench on; sister shafts; a shaft that comes back; a stand whose counting
//! nobody knows. The shaft is an invented linear one; its readings are added up here, not taken from the program.
#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use std::path::Path;

use balance_core::Complex64;
use balance_tests::program::balance;

use crate::typist::Typist;

/// A shaft that answers in proportion: what the dials show as found, and what an ounce at 0 degrees adds.
struct Shaft {
    found: [Complex64; 2],
    /// `answers[sensor][plane]`.
    answers: [[Complex64; 2]; 2],
    /// Whether the stand counts phase opposite to masses.
    opposite: bool,
}

fn polar(amplitude: f64, degrees: f64) -> Complex64 {
    Complex64::from_polar(amplitude, degrees.to_radians())
}

impl Shaft {
    fn new() -> Self {
        Self {
            found: [polar(4.16, 230.0), polar(2.55, 69.0)],
            answers: [[polar(5.0, 95.0), polar(1.2, 280.0)], [polar(1.4, 265.0), polar(4.2, 88.0)]],
            opposite: false,
        }
    }

    /// What is called out at the stand with these ounces on, such as "4.16 230 2.55 69".
    fn reads(&self, weights: &[Weight]) -> String {
        let reading = |sensor: usize| {
            let add = |own: &Weight| self.answers[sensor][own.plane] * polar(own.ounces, own.degrees);
            let shown = self.found[sensor] + weights.iter().map(add).sum::<Complex64>();
            let degrees = if self.opposite { -shown.arg().to_degrees() } else { shown.arg().to_degrees() };
            format!("{:.2} {:.0}", shown.norm(), degrees.rem_euclid(360.0))
        };
        format!("{} {}", reading(0), reading(1))
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Weight {
    plane: usize,
    ounces: f64,
    degrees: f64,
}

/// The weights of "FRONT 0.5 oz at 9 1/16 in (333 deg), 0.25 oz at … (277 deg); REAR 0.5 oz at …".
fn weights_in(text: &str) -> Vec<Weight> {
    let (mut plane, mut before, mut ounces, mut found) = (0, "", 0.0, Vec::new());
    for word in text.split_whitespace() {
        match word {
            "FRONT" => plane = 0,
            "REAR" => plane = 1,
            "oz" => ounces = before.parse().unwrap(),
            _ => {}
        }
        if let Some(degrees) = word.strip_prefix('(') {
            found.push(Weight { plane, ounces, degrees: degrees.parse().unwrap() });
        }
        before = word;
    }
    found
}

/// What is said between these words, the last time.
fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let text = text.rsplit_once(from).map_or("", |(_, after)| after);
    text.split_once(to).map_or(text, |(before, _)| before)
}

/// The ounces a weld bead adds.
const BEAD: f64 = 0.04;

/// What somebody reads and types while the shaft spins.
struct AtTheStand<'s> {
    shaft: &'s Shaft,
    trial: Vec<Weight>,
    tried: Vec<Weight>,
    checks: usize,
}

impl<'s> AtTheStand<'s> {
    fn new(shaft: &'s Shaft) -> Self {
        Self { shaft, trial: Vec::new(), tried: Vec::new(), checks: 0 }
    }

    /// The answer to a question of the stand, and the words that have to be on the last screen with it.
    fn answer(&mut self, question: &str, log: &str) -> Option<(String, Vec<String>)> {
        let kinds = [", INITIAL:", ", TRIAL:", ", TRIED:", ", CHECK:"];
        let headline = kinds.iter().filter_map(|kind| log.rfind(kind)).max().map_or("", |at| &log[at..]);
        let begins = |words: &str| question.starts_with(words);
        let plain = log.split_whitespace().collect::<Vec<&str>>().join(" ");
        let said = |answer: &str, seen: &[&str]| {
            Some((answer.to_owned(), seen.iter().map(|own| (*own).to_owned()).collect()))
        };
        if begins("Go through this list") {
            return said("", &["Before the first spin", "Lock the drive out", "hand on the stop"]);
        }
        if begins("Mass in oz") {
            let plane = usize::from(headline.contains("a trial mass at the REAR"));
            self.trial = vec![Weight { plane, ounces: 0.75, degrees: 90.0 }];
            return said("0.75 90", &["TRIAL: a trial mass at the", "Advised"]);
        }
        if begins("Is it on there?") {
            self.trial[0].degrees = 180.0;
            return said("", &["the same mass a quarter turn further on", "180 deg"]);
        }
        if begins("Speed and reading") || begins("Reading (speed") {
            return self.reading(headline, begins("Speed and reading"));
        }
        if begins("All on as advised?") {
            self.tried = weights_in(between(&plain, "weld nothing yet: ", "Stop above"));
            assert!(!self.tried.is_empty(), "{plain}");
            return said("1", &["TRIED: hold these under clamps", "weld nothing yet", "Stop above"]);
        }
        let answers: [(&str, &str, &[&str]); 12] = [
            ("How is it held?", "", &["TRIAL"]),
            ("Right?", "", &["Run "]),
            ("1 = yes, it is right", "1", &["Really?"]),
            ("Is it off?", "off", &["Take the trial mass off"]),
            ("What is welded stays on.", "weld", &["To be welded:"]),
            ("Is it welded, exactly so?", "welded", &["To be welded:"]),
            ("Is the tube the same warmth", "1", &["same warmth all round"]),
            ("Enter = the short way", "", &["THE SHORT WAY"]),
            ("Put this into the job?", "", &["SETTLED"]),
            ("Enter = read the check run once more", "", &["CANNOT BE TOLD YET"]),
            ("Enter = leave, or", "q", &["MEETS"]),
            ("Is it a worn shaft", "", &[]),
        ];
        let (_, answer, seen) = answers.into_iter().find(|(words, ..)| begins(words))?;
        said(answer, seen)
    }

    fn reading(&mut self, headline: &str, with_speed: bool) -> Option<(String, Vec<String>)> {
        let welded =
            || self.tried.iter().map(|own| Weight { ounces: own.ounces + BEAD, ..*own }).collect::<Vec<_>>();
        let (on, seen) = match headline.split(&[' ', ':'][..]).nth(1) {
            Some("INITIAL") => (Vec::new(), "the shaft as found, nothing added"),
            Some("TRIAL") => (self.trial.clone(), "read."),
            Some("TRIED") => (self.tried.clone(), "Stop above"),
            _ => (welded(), "CHECK"),
        };
        let mut reads = self.shaft.reads(&on);
        if headline.contains("CHECK") {
            // The needles wander a little from reading to reading.
            self.checks += 1;
            let first: f64 = reads.split(' ').next()?.parse().ok()?;
            let rest = reads.split_once(' ')?.1.to_owned();
            reads = format!("{:.2} {rest}", first + [0.01, -0.01][self.checks % 2]);
        }
        Some((if with_speed { format!("1800 {reads}") } else { reads }, vec![seen.to_owned()]))
    }
}

/// What a shop that works in ounces is asked before the first run, and says.
const US_JOB: &[(&str, &str)] = &[
    ("Which units", "2"),
    ("Is it a worn shaft", ""),
    ("Whose shaft", "Hollin Pass road depot (invented)"),
    ("Vehicle or machine", "sweeper 2, broom drive"),
    ("Tag or stamp", "HP-12"),
    ("Shaft type", "sweeper broom drive"),
    ("Who balances it", "M. Holt"),
    ("Weight of the whole shaft in lb", "31.3"),
    ("Highest speed", "2600"),
    ("Balance grade", "16"),
    ("Tube in inches", "3.5 .095 54-1/2"),
    ("Is the tube of weldable", "1"),
    ("Where weights go", "3-3/4 50-3/4"),
    ("Where the sensors sit", "0 54-1/2"),
    ("What is the zero mark", "paint line on the front yoke ear"),
    ("Which way does the shaft turn?", "1"),
    ("How are degrees and tape counted", "1"),
    ("How does the dial count", "1"),
    ("What do the dials show?", "2"),
    ("How far do the readings wander", "2"),
    ("The box of weights", "0.2 0.3 0.4 0.5 0.6 0.7"),
    ("Their width", "1"),
    ("Their thickness", "1/8"),
    ("What does the weld bead", "0.04"),
    ("Do units, counting", "1"),
];

/// The answer to a question of the job, whose words stand a little above the prompt where there is a list to choose from.
fn job_answer(table: &[(&str, &str)], question: &str, log: &str) -> Option<String> {
    let asked = if matches!(question, "Number: " | "Number or unit: " | "Number or words: ") {
        log.rsplit('\n').skip(1).find(|line| !line.starts_with("  "))?
    } else {
        question
    };
    table.iter().find(|(words, _)| asked.starts_with(words)).map(|(_, answer)| (*answer).to_owned())
}

/// A job of the table typed to its end with `after` typed when the verdict is there.
fn whole_job(typist: &mut Typist, shaft: &Shaft, table: &[(&str, &str)], after: &[&str]) {
    let mut left: Vec<&str> = after.to_vec();
    let mut stand = AtTheStand::new(shaft);
    typist.goes_on(|question, log, screen| {
        let flat = screen.split_whitespace().collect::<Vec<&str>>().join(" ");
        if question.starts_with("Enter = leave, or") && !left.is_empty() {
            return Some(left.remove(0).to_owned());
        }
        if let Some(answer) = job_answer(table, question, log) {
            return Some(answer);
        }
        let (answer, seen) = stand.answer(question, log)?;
        for words in seen.iter().filter(|words| after.is_empty() || *words != "MEETS") {
            assert!(flat.contains(words.as_str()), "`{words}` has scrolled off at `{question}`:\n{screen}");
        }
        Some(answer)
    });
}

fn file(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// No unit of the other system but in the question which units the shop works in.
fn only_us_units(log: &str) {
    let told = log.replace("1 = kg, mm and g", "");
    for unit in [" mm", " kg", " g ", " g,", "g.mm", "mm/s"] {
        let seen = told.lines().find(|line| line.contains(unit) && !line.contains("1 = mm/s"));
        assert!(seen.is_none(), "{unit:?} in {seen:?}");
    }
}

#[test]
fn a_whole_job_in_pounds_inches_ounces_and_mils_from_new_to_the_archived_report() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive.sqlite");
    let folder = place.path().join("WP-9");
    assert_eq!(balance(["new".as_ref(), folder.as_os_str()]).code, 0);
    let mut typist = Typist::start(&["stand", "WP-9"], place.path(), &archive);
    whole_job(&mut typist, &Shaft::new(), US_JOB, &["4", "3"]);
    let status = typist.ended();
    assert!(status.contains("Exited"), "{status}\n{}", typist.log);
    only_us_units(&typist.log);
    assert!(
        !typist.log.contains("balance verify") && !typist.log.contains("balance correct"),
        "{}",
        typist.log
    );
    assert!(!typist.log.contains("--all") && !typist.log.contains("NEXT"), "{}", typist.log);
    let report = file(&folder.join("report.html"));
    for words in [
        "Hollin Pass road depot (invented)",
        "Balanced by: M. Holt",
        "sweeper 2, broom drive",
        "HP-12",
        "MEETS",
    ] {
        assert!(report.contains(words), "{words} is not in the report");
    }
    let words = ["archive", "--archive", archive.to_str().unwrap(), "report", "1"];
    let archived = balance(words).answer;
    assert!(archived.contains("Balanced by: M. Holt") && archived.contains("Hollin Pass"), "{archived}");
    let runs = file(&folder.join("runs.csv"));
    assert!(runs.contains("front mass [oz]") && runs.contains("rear amplitude [mils]"), "{runs}");
    let job = file(&folder.join("job.toml"));
    for line in
        ["mass = \"31.3 lb\"", "length = \"54-1/2 in\"", "bead_mass = \"0.04 oz\"", "thickness = \"1/8 in\""]
    {
        assert!(job.contains(line), "{line} is not in\n{job}");
    }
    println!(
        "a whole job in US units: {} keystrokes, {} of them in the questions about the job",
        typist.keys,
        { US_JOB.iter().map(|(_, answer)| answer.len() + 1).sum::<usize>() }
    );
    comes_back(place.path(), &archive);
}

/// The shaft of record 1 comes back: its new job knows what was welded.
fn comes_back(place: &Path, archive: &Path) {
    let mut typist = Typist::start(&["stand"], place, archive);
    typist.answers(&[
        ("Which one? Enter = 1", "WP-10"),
        ("There is no job WP-10", ""),
        ("Was this shaft here before?", "nothing like it"),
        ("Was this shaft here before?", "HP-12"),
        ("Start from which record?", ""),
        ("Is it a worn shaft", "q"),
    ]);
    typist.ended();
    let log = typist.log.split_whitespace().collect::<Vec<&str>>().join(" ");
    for words in ["1 = WP-9, sweeper 2, broom drive; ", "It left with", "It was here before (record 1"] {
        assert!(log.contains(words), "{words} is not in\n{}", typist.log);
    }
    let job = file(&place.join("WP-10/job.toml"));
    assert!(
        job.contains("[came_back]") && job.contains("[[welded]]") && job.contains("number = \"WP-10\""),
        "{job}"
    );
}

#[test]
fn a_worn_shaft_from_the_bench_to_the_report() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive.sqlite");
    let mut typist = Typist::start(&["stand"], place.path(), &archive);
    let list = "Which? A number, report";
    let wrong = "What is wrong?";
    let caps = "What is wrong, by number";
    let keep = "Keep it?";
    let size = ["The yoke on this shaft", "The yoke or flange on the other side"];
    typist.answers(&[
        ("Job number", "WP-12"),
        ("There is no job WP-12", ""),
        ("Number: ", "2"),
        ("Is it a worn shaft", "1"),
        (list, "99"),
        (list, "11"),
        (wrong, "steps at mid stroke"),
        ("Measured in in", ".009"),
        ("Keep or replace? Enter = replace", ""),
        (list, "1"),
        ("Length from joint centre", "51-9/16"),
        ("The joints, such as", "both dry, the rear one notched"),
        ("Damage, such as", "tube dented behind the middle"),
        (list, "2"),
        ("Between which two pieces", "front yoke and gearbox flange"),
        ("What does the mark look like", "two punch dots"),
        ("Between which two pieces", "slip yoke and stub"),
        ("What does the mark look like", "chisel line over both"),
        ("Between which two pieces", ""),
        (list, "3"),
        (wrong, "dented"),
        ("Measured in in", ""),
        ("Keep or replace? 1 = keep", "2"),
        (list, "4"),
        (wrong, ""),
        (keep, ""),
        (list, "5"),
        (wrong, ""),
        ("Measured, with its unit", "0.3 deg"),
        (keep, ""),
        (list, "6"),
        (wrong, "0"),
        (list, "6"),
        (wrong, ""),
        ("Measured, with its unit", ""),
        (keep, ""),
        (list, "7"),
        (caps, ""),
        ("Measured in in", ".001"),
        (keep, ""),
        (list, "8"),
        (caps, "2 needle marks, 3 rust"),
        ("Measured in in", ".003"),
        ("Keep or replace? Enter = replace", ""),
        (list, "9"),
        (caps, ""),
        (keep, ""),
        (list, "10"),
        (caps, "2 needles broken"),
        ("Keep or replace? 1 = keep", "2"),
        (list, "12"),
        (wrong, "rubber soaked in oil"),
        ("Keep or replace? 1 = keep", "s"),
        (list, "13"),
        ("Which joint?", "2"),
        (size[0], "1-1/16 3.22"),
        (size[1], "1-3/16 4.19"),
        ("1 = write it down as a finding", "1"),
        (list, "13"),
        ("Which joint?", "2"),
        (size[0], "1-3/16 4.19"),
        (size[1], "1-3/16 4.19"),
        (list, "14"),
        ("Joint centre to joint centre in inches", "54-1/2"),
        ("Joint centre to where the tube butts on", "2.44 2.91"),
        ("Joint centres with the slip", "53 56"),
        ("Joint centres with the axle", "55 54-1/4"),
        (list, "report"),
        (list, ""),
    ]);
    let folder = place.path().join("WP-12");
    // The program writes the report before it asks again.
    let before = file(&folder.join("report.html"));
    for words in [
        "NOT BALANCED YET",
        "two punch dots",
        "steps at mid stroke",
        "0.009 in",
        "2 needle marks, 3 rust",
        "yokes of two sizes",
        "51 9/16 in",
        "cut the tube",
        "both yokes take one joint",
    ] {
        assert!(before.replace(".009 in", "0.009 in").contains(words), "{words} is not in\n{before}");
    }
    let log = typist.log.clone();
    for words in [
        "MORE THAN ALLOWED: .009 in",
        "THEY DO NOT FIT ONE JOINT: the caps are",
        "49.19 in",
        "Nothing was taken",
    ] {
        assert!(log.contains(words), "{words} is not in\n{log}");
    }
    let screens: Vec<&str> = log.split(list).collect();
    assert!(screens.len() > 15, "the list is shown again after every part");
    whole_job(&mut typist, &Shaft::new(), US_JOB, &["4"]);
    typist.ended();
    only_us_units(&typist.log);
    let after = file(&folder.join("report.html"));
    for words in ["MEETS", "two punch dots", "steps at mid stroke", "replace", "Balanced by: M. Holt"] {
        assert!(after.contains(words), "{words} is not in the report after the rebuild");
    }
    assert!(!after.contains("NOT BALANCED YET"));
    let job = balance_cli::files::JobFile::load_folder(&folder).unwrap();
    assert_eq!(job.job.shaft.inspection.len(), 11, "ten parts and the yokes of two sizes");
    assert_eq!((job.paperwork.match_marks.len(), job.paperwork.joint_sizes.len()), (2, 1));
    println!("a worn shaft from the bench on: {} keystrokes", typist.keys);
}

/// A job of one type that says everything, so that only the stand's own questions are asked.
fn sister_job(place: &Path, number: &str) {
    let folder = place.join(number);
    std::fs::create_dir(&folder).unwrap();
    let text = format!(
        "[job]\nnumber = \"{number}\"\ncustomer = \"Hollin Pass road depot (invented)\"\nunit = \"sweeper 2\"\ntag = \"{number}\"\n\
         type = \"sweeper broom drive\"\nby = \"M. Holt\"\n[show]\nunits = \"us\"\n\
         [shaft]\nmass = \"31.3 lb\"\nservice_speed = \"2600 rpm\"\ngrade = \"G16\"\n\
         [tube]\nouter_diameter = \"3.5 in\"\nwall = \"0.095 in\"\nlength = \"54.5 in\"\nmaterial = \"steel\"\n\
         [[correction_plane]]\nname = \"front\"\nposition = \"3.75 in\"\n[[correction_plane]]\nname = \"rear\"\nposition = \"50.75 in\"\n\
         [[sensor]]\nname = \"front\"\nposition = \"0 in\"\n[[sensor]]\nname = \"rear\"\nposition = \"54.5 in\"\n\
         [convention]\nzero_mark = \"paint line\"\nturns = \"clockwise seen from the front\"\nmass_angle = \"against rotation\"\nphase = \"lag\"\n\
         [stand]\nreading_unit = \"mils\"\nreading_noise = \"2 %\"\n[weld]\nbead_mass = \"0.04 oz\"\n{}",
        [0.2, 0.3, 0.4, 0.5, 0.6, 0.7]
            .map(|mass| format!(
                "[[weight]]\nmass = \"{mass} oz\"\nwidth = \"1 in\"\nthickness = \"0.125 in\"\n"
            ))
            .concat()
    );
    std::fs::write(folder.join("job.toml"), text).unwrap();
}

/// The next shaft of the type: its answers differ by a few per cent from its sisters'.
fn sister(at: usize) -> Shaft {
    let mut shaft = Shaft::new();
    for (own, answer) in shaft.answers.iter_mut().flatten().enumerate() {
        *answer *=
            polar(1.0 + 0.012 * (((at + own) % 3) as f64 - 1.0), 0.8 * (((at + 2 * own) % 3) as f64 - 1.0));
    }
    shaft.found =
        [shaft.found[0] * polar(1.0, 37.0 * at as f64), shaft.found[1] * polar(1.0, 61.0 * at as f64)];
    shaft
}

#[test]
fn known_sisters_are_offered_the_short_way_which_saves_both_trials() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive.sqlite");
    let balanced = |number: &str, at: usize, trials: bool| {
        sister_job(place.path(), number);
        let mut typist = Typist::start(&["stand", number], place.path(), &archive);
        let table: &[(&str, &str)] = if trials { &[("Enter = the short way", "t")] } else { &[] };
        whole_job(&mut typist, &sister(at), table, &["3"]);
        typist.ended();
        assert!(typist.log.contains("stored"), "{}", typist.log);
        typist
    };
    let first: Vec<Typist> = (0..SISTERS).map(|at| balanced(&format!("SB-{at}"), at, false)).collect();
    assert!(first.iter().all(|own| !own.log.contains("THE SHORT WAY")), "too few sisters yet");
    let next = SISTERS;
    let with_trials = balanced("SB-t", next, true);
    let short = balanced("SB-s", next, false);
    assert!(short.log.contains("THE SHORT WAY") && !short.log.contains(", TRIAL:"), "{}", short.log);
    assert!(with_trials.log.contains(", TRIAL: a trial mass at the REAR"), "{}", with_trials.log);
    let runs = |number: &str| file(&place.path().join(number).join("runs.csv"));
    assert_eq!(runs("SB-s").matches(",trial,").count(), 0);
    assert_eq!(runs("SB-t").matches(",trial,").count(), 2);
    println!(
        "shaft number {} of its type: {} keystrokes the short way, {} with trial runs",
        next + 1,
        short.keys,
        with_trials.keys
    );
    assert!(short.keys + 50 < with_trials.keys, "{} and {}", short.keys, with_trials.keys);
}

/// So many shafts make a type.
const SISTERS: usize = balance_core::influence::FEWEST_SHAFTS;

#[test]
fn a_stand_whose_counting_nobody_knows_is_settled_by_a_quarter_turn() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive.sqlite");
    let mut table: Vec<(&str, &str)> = US_JOB.to_vec();
    for (words, answer) in &mut table {
        if words.starts_with("How does the dial count") {
            *answer = "I don't know";
        }
    }
    assert_eq!(balance(["new".as_ref(), place.path().join("WP-13").as_os_str()]).code, 0);
    let mut typist = Typist::start(&["stand", "WP-13"], place.path(), &archive);
    whole_job(&mut typist, &Shaft { opposite: true, ..Shaft::new() }, &table, &[]);
    typist.ended();
    let log = &typist.log;
    assert!(log.contains("TAKE CARE: how the stand counts its angles is not stated"), "{log}");
    assert!(log.contains("opposite to masses") && log.contains("MEETS"), "{log}");
    let job = file(&place.path().join("WP-13/job.toml"));
    assert!(job.contains("phase = \"opposite to masses\"") && job.contains("quarter-turn trial\""), "{job}");
}

#[test]
fn a_folder_of_many_jobs_asks_which_and_goes_on_where_it_was_left() {
    let place = tempfile::tempdir().unwrap();
    let archive = place.path().join("archive.sqlite");
    for number in ["SB-1", "SB-2"] {
        sister_job(place.path(), number);
    }
    let mut typist = Typist::start(&["stand"], place.path(), &archive);
    typist.answers(&[
        ("Which one? Enter = 1", "SB-1"),
        ("Is it a worn shaft", ""),
        ("Go through this list", ""),
        ("Speed and reading", "1800 4.16 230 2.55 69"),
        ("Right?", ""),
        ("Mass in oz", "q"),
    ]);
    typist.ended();
    assert!(typist.log.contains("There was no runs file yet. Made: SB-1/runs.csv"), "{}", typist.log);
    let mut again = Typist::start(&["stand"], place.path(), &archive);
    again.answers(&[
        ("Which one? Enter = 1", ""),
        ("Mass in oz", "mistake 1"),
        ("Which number is wrong?", "2 4.61"),
    ]);
    again.answers(&[("Right?", ""), ("Mass in oz", "q")]);
    again.ended();
    assert!(again.log.contains("1 = SB-1, sweeper 2; 1 run; "), "the newest first: {}", again.log);
    assert!(
        again.log.contains("SB-1, sweeper 2. Next: a trial at the front. So far: 1 initial."),
        "{}",
        again.log
    );
    let runs = file(&place.path().join("SB-1/runs.csv"));
    assert!(runs.contains("1,initial,1800,,,,,4.61,230,2.55,69,"), "{runs}");
}
