//! Balancing without phase through the program: runs files without phases, on the depot's workshop (invented,
//! simulated stand) and on stands that only the test knows.

use std::path::{Path, PathBuf};

use balance_core::Complex64;
use balance_tests::program::{Said, balance};
use balance_tests::random::Random;
use serde_json::Value;

const RADIUS: f64 = 45.95;

/// The depot's job without phase, with these runs.
fn job(runs: &str) -> (tempfile::TempDir, PathBuf) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().join("WP-0561");
    std::fs::create_dir_all(&to).expect("a folder");
    std::fs::copy(from.join("WP-0561/job.toml"), to.join("job.toml")).expect("a copy");
    std::fs::copy(from.join("shop.toml"), folder.path().join("shop.toml")).expect("a copy");
    std::fs::write(to.join("runs.csv"), runs).expect("runs");
    (folder, to)
}

/// What the program says, its lines joined: where they break does not matter here.
fn say(words: &[&str], job: &Path) -> Said {
    let said = balance(words.iter().map(std::ffi::OsString::from).chain([job.as_os_str().to_owned()]));
    let joined = |text: &str| text.split_whitespace().collect::<Vec<&str>>().join(" ");
    Said { answer: joined(&said.answer), talk: joined(&said.talk), ..said }
}

/// A stand that only the test knows.
struct Stand {
    unbalance: [Complex64; 2],
    random: Random,
    noise: f64,
    text: String,
    run: u32,
}

impl Stand {
    fn new(unbalance: [Complex64; 2], noise: f64) -> Self {
        let text = "run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],\
                    front amplitude [mm/s],rear amplitude [mm/s]\n";
        Self { unbalance, random: Random::seeded(5), noise, text: text.into(), run: 0 }
    }

    fn response(sensor: usize, plane: usize) -> Complex64 {
        let rows = [[(1.0, 30.0), (0.35, 40.0)], [(0.3, 35.0), (0.9, 25.0)]];
        let (size, degrees): (f64, f64) = rows[sensor][plane];
        Complex64::from_polar(0.004 * size, degrees.to_radians())
    }

    /// Adds a row with these masses in grams at degrees, which act at this radius.
    fn read(&mut self, kind: &str, masses: [Option<(f64, f64)>; 2], radius: f64) {
        self.run += 1;
        let load = |plane: usize| {
            masses[plane].map_or(Complex64::ZERO, |(grams, degrees)| {
                Complex64::from_polar(grams * radius, degrees.to_radians())
            })
        };
        let cells =
            masses.map(|own| own.map_or(",".to_owned(), |(grams, degrees)| format!("{grams},{degrees}")));
        let shown = [0, 1].map(|sensor| {
            let truth: Complex64 = (0..2)
                .map(|plane| Self::response(sensor, plane) * (self.unbalance[plane] + load(plane)))
                .sum();
            (truth * (1.0 + self.noise * self.random.circular())).norm()
        });
        self.text.push_str(&format!(
            "{},{kind},1800,{},{},{:.3},{:.3}\n",
            self.run, cells[0], cells[1], shown[0], shown[1]
        ));
    }

    fn trials(&mut self, places: &[f64]) {
        self.read("initial", [None, None], 50.0);
        for &degrees in places {
            self.read("trial", [Some((20.0, degrees)), None], 50.0);
        }
        for &degrees in places {
            self.read("trial", [None, Some((20.0, degrees))], 50.0);
        }
    }
}

fn at(amount: f64, degrees: f64) -> Complex64 {
    Complex64::from_polar(amount, degrees.to_radians())
}

#[test]
fn correct_finds_the_masses_from_amplitudes_alone() {
    let mut stand = Stand::new([at(900.0, 205.0), at(700.0, 80.0)], 0.01);
    stand.trials(&[0.0, 120.0, 240.0]);
    let (_folder, job) = job(&stand.text);
    let said = say(&["correct", "--json"], &job);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("\"without-phase\""), "{}", said.answer);
    assert!(!said.answer.contains("convention-un"), "no phase was read: {}", said.answer);
    let text = say(&["correct"], &job);
    assert!(text.answer.contains("No phase was read"), "{}", text.answer);
    let planes: Value = serde_json::from_str(&said.answer).expect("JSON");
    for (plane, wanted) in
        planes["planes"].as_array().expect("planes").iter().zip([(900.0, 25.0), (700.0, 260.0)])
    {
        let mass = plane["mass_g"].as_f64().expect("a mass") * RADIUS;
        let found = at(mass, plane["angle_deg"].as_f64().expect("an angle"));
        assert!((found - at(wanted.0, wanted.1)).norm() < 0.1 * wanted.0, "{plane}");
    }
}

#[test]
fn phase_columns_that_are_all_empty_are_the_same_runs() {
    let mut stand = Stand::new([at(900.0, 205.0), at(700.0, 80.0)], 0.01);
    stand.trials(&[0.0, 120.0, 240.0]);
    let (_folder, without) = job(&stand.text);
    let wider: String = stand
        .text
        .lines()
        .enumerate()
        .map(|(line, text)| {
            format!("{text},{}\n", if line == 0 { "front phase [deg],rear phase [deg]" } else { "," })
        })
        .collect();
    let (_other, empty) = job(&wider);
    let [one, other] = [say(&["correct", "--json"], &without), say(&["correct", "--json"], &empty)];
    assert_eq!(one.answer, other.answer);
}

#[test]
fn mirrored_answers_are_not_given_as_one_and_a_run_is_proposed() {
    let mut stand = Stand::new([at(900.0, 205.0), at(700.0, 80.0)], 0.01);
    stand.trials(&[0.0, 90.0]);
    let (_folder, job) = job(&stand.text);
    let said = say(&["correct"], &job);
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.answer.contains("answers explain these runs equally well"), "{}", said.answer);
    assert!(said.answer.contains("One more trial run tells"), "{}", said.answer);
    let json = say(&["correct", "--json"], &job);
    assert!(json.answer.contains("settle-mirrored"), "{}", json.answer);
}

#[test]
fn one_place_a_plane_is_refused_with_what_is_missing() {
    let mut stand = Stand::new([at(900.0, 205.0), at(700.0, 80.0)], 0.01);
    stand.trials(&[0.0]);
    let (_folder, job) = job(&stand.text);
    let said = say(&["correct"], &job);
    assert!(said.code == 2 && said.talk.contains("front was tried at 1 place(s)"), "{said:?}");
    assert!(said.talk.contains("120 and 240 deg"), "{}", said.talk);
}

/// What is left after the check is a bound: small amplitudes meet, large ones are open, and never "exceeds".
#[test]
fn a_check_run_without_phase_meets_or_stays_open() {
    for (share, code) in [(0.97, 0), (0.55, 3)] {
        let mut stand = Stand::new([at(900.0, 205.0), at(700.0, 80.0)], 0.005);
        stand.trials(&[0.0, 120.0, 240.0]);
        let grams = |amount: f64| (share * amount / RADIUS * 100.0).round() / 100.0;
        stand.read("check", [Some((grams(900.0), 25.0)), Some((grams(700.0), 260.0))], RADIUS);
        let (_folder, job) = job(&stand.text);
        let said = say(&["verify"], &job);
        assert_eq!(said.code, code, "{share}: {said:?}");
        let budget = say(&["verify", "--budget"], &job);
        assert!(budget.answer.contains("amplitudes without phase"), "{}", budget.answer);
        if code == 3 {
            let next = say(&["correct", "--json"], &job);
            assert_eq!(next.code, 0, "{next:?}");
            let left = (1.0 - share) * 900.0;
            let answer: Value = serde_json::from_str(&next.answer).expect("JSON");
            let mass = answer["planes"][0]["mass_g"].as_f64().expect("a mass") * RADIUS;
            assert!((mass - left).abs() < 0.35 * left, "{mass} {left}");
        }
    }
}

#[test]
fn a_missing_phase_among_others_is_still_a_fault() {
    let text = "run,kind,front mass [g],front angle [deg],front amplitude [mm/s],front phase [deg]\n\
                1,initial,,,5,230\n2,trial,20,90,8,\n";
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("runs.csv");
    std::fs::write(&file, text).expect("runs");
    let said = say(&["correct"], &file);
    assert!(said.code == 2 && said.talk.contains("an amplitude without a phase"), "{said:?}");
}

#[test]
fn the_depots_own_job_without_phase_is_answered() {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot/WP-0561");
    let said = say(&["correct"], &depot);
    assert_eq!(said.code, 0, "{said:?}");
    assert!(said.answer.contains("two clamps, screws at"), "{}", said.answer);
}
