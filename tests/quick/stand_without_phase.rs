//! Guided entry on a stand whose dials show no angle: the mass goes round each plane, mirrored answers and a small first
//! reading get the runs that settle them, and the shaft ends in its verdict. The shaft is an invented linear one; its
//! readings are added up here, not taken from the program.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "tests")]

use std::path::{Path, PathBuf};

use balance_core::Complex64;
use balance_tests::program::balance;

use crate::typist::Typist;

/// Where trial masses and weights act on the depot's job, mm.
const RADII: [f64; 2] = [50.0, 45.95];

fn at(amount: f64, degrees: f64) -> Complex64 {
    Complex64::from_polar(amount, degrees.to_radians())
}

/// What a sensor shows of 1 g·mm in a plane.
fn answers(sensor: usize, plane: usize) -> Complex64 {
    [[at(0.004, 30.0), at(0.0014, 40.0)], [at(0.0012, 35.0), at(0.0036, 25.0)]][sensor][plane]
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Weight {
    plane: usize,
    grams: f64,
    degrees: f64,
}

/// The weights of "FRONT 20 g at 93 mm (120 deg); REAR …".
fn weights_in(text: &str) -> Vec<Weight> {
    let (mut plane, mut before, mut grams, mut found) = (0, "", 0.0, Vec::new());
    for word in text.split_whitespace() {
        match word {
            "FRONT" => plane = 0,
            "REAR" => plane = 1,
            "g" => grams = before.parse().unwrap(),
            _ => {}
        }
        if let Some(degrees) = word.strip_prefix('(') {
            found.push(Weight { plane, grams, degrees: degrees.parse().unwrap() });
        }
        before = word;
    }
    found
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let text = text.rsplit_once(from).map_or("", |(_, after)| after);
    text.split_once(to).map_or(text, |(before, _)| before)
}

/// Somebody with a meter without angle.
struct AtTheMeter {
    unbalance: [Complex64; 2],
    /// Places of a plane at which there is no room, by their number.
    no_room_at: Option<usize>,
    on: Vec<Weight>,
    radius: f64,
}

impl AtTheMeter {
    fn new(unbalance: [Complex64; 2]) -> Self {
        Self { unbalance, no_room_at: None, on: Vec::new(), radius: RADII[0] }
    }

    fn reads(&self) -> String {
        let amplitude = |sensor: usize| {
            let of = |plane: usize| {
                let load = |own: &Weight| at(own.grams * self.radius, own.degrees);
                let on: Complex64 = self.on.iter().filter(|own| own.plane == plane).map(load).sum();
                answers(sensor, plane) * (self.unbalance[plane] + on)
            };
            (of(0) + of(1)).norm()
        };
        format!("{:.3} {:.3}", amplitude(0), amplitude(1))
    }

    fn answer(&mut self, question: &str, log: &str) -> Option<String> {
        let kinds = [", INITIAL:", ", TRIAL", ", TRIED:", ", CHECK:"];
        let headline = kinds.iter().filter_map(|kind| log.rfind(kind)).max().map_or("", |at| &log[at..]);
        let plain = log.split_whitespace().collect::<Vec<&str>>().join(" ");
        let begins = |words: &str| question.starts_with(words);
        if begins("Number: ") && plain.contains("How does the dial count its angle?") {
            let list = plain.rsplit("How does the dial count its angle?").next()?;
            assert!(list.contains("5 = none"), "{list}");
            return Some("5".into());
        }
        if begins("Mass in g") {
            let plane = usize::from(headline.contains("at the REAR"));
            (self.on, self.radius) = (vec![Weight { plane, grams: 20.0, degrees: 0.0 }], RADII[0]);
            return Some("20 0".into());
        }
        if begins("Is it there?") {
            let number = between(&plain, "TRIAL, place ", " of ").parse().ok();
            if number == self.no_room_at {
                return Some("s".into());
            }
            self.on = weights_in(between(&plain, "move the same mass on, to ", ". Then spin"));
            return Some(String::new());
        }
        if begins("Is it on?") {
            (self.on, self.radius) =
                (weights_in(between(&plain, "TRIAL: put on ", ", nothing else")), RADII[0]);
            assert!(!self.on.is_empty(), "{plain}");
            return Some("1".into());
        }
        if begins("All on as advised?") {
            (self.on, self.radius) =
                (weights_in(between(&plain, "weld nothing yet: ", "Stop above")), RADII[1]);
            return Some("1".into());
        }
        if begins("Is it off?") {
            self.on = Vec::new();
            return Some("off".into());
        }
        if begins("Speed and reading") {
            assert!(!question.contains("230"), "no angle is asked: {question}");
            return Some(format!("1800 {}", self.reads()));
        }
        if begins("Reading (speed") {
            return Some(self.reads());
        }
        let answers = [
            ("Go through this list", ""),
            ("How is it held?", ""),
            ("Right?", ""),
            ("1 = yes, it is right", "1"),
            ("Is every clamp tight", "tight"),
            ("Is it a worn shaft", ""),
            ("Enter = read the check run once more", "q"),
            ("Enter = leave, or", "q"),
            ("Do units, counting", ""),
            ("What is the zero mark", ""),
            ("Tag or stamp", ""),
            ("Shaft type", ""),
            ("Who balances it", ""),
        ];
        if let Some((_, answer)) = answers.into_iter().find(|(words, _)| begins(words)) {
            return Some(answer.into());
        }
        // Questions about the job that do not matter here.
        (begins("Number") || question.ends_with("or words: ") || question.ends_with("such as 2: "))
            .then(String::new)
    }
}

const WITH_PHASES: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]\n";
const WITHOUT: &str = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
front amplitude [mm/s],rear amplitude [mm/s]\n";

/// The depot's job that is balanced without phase, before its first run.
fn job(above: &Path, header: &str, counting: bool) -> PathBuf {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = above.join("WP-0561");
    std::fs::create_dir(&folder).unwrap();
    std::fs::copy(depot.join("WP-0561/job.toml"), folder.join("job.toml")).unwrap();
    let shop = std::fs::read_to_string(depot.join("shop.toml")).unwrap();
    let shop =
        shop.replacen("[stand]\n", "[show]\nunits = \"metric\"\n[stand]\nreading_unit = \"mm/s\"\n", 1);
    let shop = if counting { shop } else { shop.replacen("phase = \"lag\"\n", "", 1) };
    std::fs::write(above.join("shop.toml"), shop).unwrap();
    std::fs::write(folder.join("runs.csv"), header).unwrap();
    folder
}

fn guided(meter: &mut AtTheMeter, above: &Path, folder: &Path) -> String {
    let mut typist =
        Typist::start(&["stand", folder.to_str().unwrap()], above, &above.join("archive.sqlite"));
    typist.goes_on(|question, log, _| meter.answer(question, log));
    typist.ended();
    typist.log.split_whitespace().collect::<Vec<&str>>().join(" ")
}

#[test]
fn a_dial_without_an_angle_leads_round_each_plane_to_the_verdict() {
    let above = tempfile::tempdir().unwrap();
    let folder = job(above.path(), WITH_PHASES, false);
    let mut meter = AtTheMeter::new([at(900.0, 205.0), at(700.0, 80.0)]);
    let log = guided(&mut meter, above.path(), &folder);
    for words in [
        "The dial shows no angle.",
        "the same mass is read at three places of the plane",
        "TRIAL, place 2 of 3",
        "TRIAL, place 3 of 3",
        "TRIED: hold these under clamps",
        "MEETS",
        "Saved: 1 initial, 6 trial, 1 tried, 1 check.",
    ] {
        assert!(log.contains(words), "{words} is not in\n{log}");
    }
    assert_eq!(
        log.matches("It is off.").count(),
        2,
        "the mass is moved on, and comes off once a plane: {log}"
    );
    let runs = std::fs::read_to_string(folder.join("runs.csv")).unwrap();
    assert!(!runs.contains("phase"), "{runs}");
    let said = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    assert!(said.contains("phase = \"none\""), "{said}");
    let verdict = balance(["verify".as_ref(), folder.as_os_str()]);
    assert!(verdict.code == 0 && verdict.answer.contains("MEETS"), "{verdict:?}");
}

#[test]
fn two_places_a_plane_are_mirrored_and_the_run_that_settles_it_is_made() {
    let above = tempfile::tempdir().unwrap();
    let folder = job(above.path(), WITHOUT, true);
    let mut meter =
        AtTheMeter { no_room_at: Some(3), ..AtTheMeter::new([at(900.0, 205.0), at(700.0, 80.0)]) };
    let log = guided(&mut meter, above.path(), &folder);
    let mirrored = log.find("answers explain these runs equally well").unwrap_or_else(|| panic!("{log}"));
    let settled = log.find("TRIAL: put on ").unwrap_or_else(|| panic!("{log}"));
    let held = log.find("TRIED: hold these").unwrap_or_else(|| panic!("{log}"));
    assert!(mirrored < settled && settled < held, "no weights before the answer is one: {log}");
    assert!(log.contains("MEETS"), "{log}");
}

#[test]
fn a_small_first_reading_calls_for_both_planes_loaded() {
    let above = tempfile::tempdir().unwrap();
    let folder = job(above.path(), WITHOUT, true);
    let rear = at(900.0, 80.0);
    // At the front the two unbalances nearly cancel.
    let front = -answers(0, 1) * rear / answers(0, 0) + at(8.0, 10.0);
    let log = guided(&mut AtTheMeter::new([front, rear]), above.path(), &folder);
    assert!(log.contains("hardly show which way a mass acts"), "{log}");
    assert!(log.matches("TRIAL: put on FRONT").count() >= 2, "{log}");
    let held = log.find("TRIED: hold these").unwrap_or_else(|| panic!("{log}"));
    assert!(log.rfind("TRIAL: put on FRONT") < Some(held) && log.contains("MEETS"), "{log}");
}
