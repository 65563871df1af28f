//! What a shop in pounds, inches, ounces and mils types, each accepted with its value. Conversions are those of 1959 (one
//! ounce 28.349523125 g, one inch 25.4 mm, exact by definition), worked out here by hand.
#![expect(clippy::unwrap_used, reason = "tests")]

use std::path::{Path, PathBuf};

use balance_cli::files::JobFile;
use balance_cli::files::runs::RunsReader;
use balance_core::run::Run;
use balance_tests::program::{Said, balance};
use balance_tests::shaft_states::State;
use serde_json::Value;

const OUNCE: f64 = 28.349_523_125;

/// The demo's shaft (88.9 mm tube, 279.29 mm round) with its trials and no check run; `us`: read in ounces and inches.
fn job(us: bool) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let job = if us { State::UsUnits } else { State::NoBox }.lay_out(folder.path());
    if !us {
        let depot = State::Meets.lay_out(&folder.path().join("with the box"));
        std::fs::copy(depot.with_file_name("shop.toml"), folder.path().join("shop.toml")).unwrap();
    }
    (folder, job)
}

fn on(words: &[&str], job: &Path) -> Said {
    balance(words.iter().map(std::ffi::OsString::from).chain([job.as_os_str().to_owned()]))
}

/// Mass and angle of the first weight at the front, as read by the program.
fn taken(us: bool, with: &str) -> (f64, f64) {
    let (_folder, job) = job(us);
    let said = on(&["correct", "--json", "--with", with], &job);
    let object: Value =
        serde_json::from_str(&said.answer).unwrap_or_else(|error| unreachable!("{error}: {said:?}"));
    let weight = &object["planes"][0]["weights"][0];
    (weight["mass_g"].as_f64().unwrap(), weight["angle_deg"].as_f64().unwrap())
}

#[test]
fn weights_on_the_command_line_are_in_the_shops_unit_or_in_their_own() {
    let round = 88.9 * std::f64::consts::PI;
    let tape = |millimetres: f64| millimetres / round * 360.0;
    for (us, with, grams, degrees) in [
        (true, "front=0.5@297", 0.5 * OUNCE, 297.0),
        (false, "front=10@297", 10.0, 297.0),
        (false, "front=0.35oz@297", 0.35 * OUNCE, 297.0),
        (true, "front=10g@297", 10.0, 297.0),
        (true, "FRONT=0.5@297", 0.5 * OUNCE, 297.0),
        (true, "Front=0.5 oz @ 297 deg", 0.5 * OUNCE, 297.0),
        (false, "front=10g@258mm", 10.0, tape(258.0)),
        (true, "front=0.5oz@9 1/16in", 0.5 * OUNCE, tape(9.0625 * 25.4)),
        (true, "front=1/2@9-1/16\"", 0.5 * OUNCE, tape(9.0625 * 25.4)),
    ] {
        let (mass, angle) = taken(us, with);
        assert!((mass - grams).abs() < 1e-9, "{with}: {mass}, not {grams}");
        // A place on the tape is read to a tenth of a degree.
        assert!((angle - degrees).abs() <= 0.0501, "{with}: {angle}, not {degrees}");
    }
    let (_folder, job) = job(true);
    let said = on(&["correct", "--with", "front=ten@192"], &job);
    assert_eq!((said.code, said.answer.as_str()), (2, ""));
    assert!(
        said.talk.contains("\"ten@192\" is not a number") && said.talk.contains("masses in oz"),
        "{}",
        said.talk
    );
}

#[test]
fn every_file_takes_fractions_other_spellings_and_places_on_the_tape() {
    let (folder, job) = job(true);
    let text = std::fs::read_to_string(job.join("job.toml")).unwrap();
    let us = text
        .replace("mass = \"14.2 kg\"", "mass = \"24 lbs\"")
        .replace("\"88.9 mm\"", "\"3-1/2 in\"")
        .replace("wall = \"2.4 mm\"", "wall = \"1/8 in\"")
        .replace("length = \"1385 mm\"\nmaterial", "length = \"54 1/2 inches\"\nmaterial")
        .replace("position = \"1290 mm\"", "position = '48.5\"'")
        .replace("position = \"1385 mm\"", "position = \"52-1/4 in\"")
        .replacen("from = \"350 deg\"", "from = \"10 11/16 in\"", 1)
        + "\n[[welded]]\nplane = \"rear\"\nmass = \"1/2 ounce\"\nangle = \"5 1/2 in\"\n";
    std::fs::write(job.join("job.toml"), us).unwrap();
    let file = JobFile::load_folder(&job).unwrap_or_else(|problems| unreachable!("{problems:?}"));
    let tube = file.job.measures.tube.as_ref().unwrap();
    assert_eq!(file.job.measures.mass.unwrap().grams(), 24.0 * 16.0 * OUNCE);
    assert_eq!(tube.outer_diameter.inches(), 3.5);
    assert_eq!(tube.wall.inches(), 0.125);
    assert_eq!(tube.length.inches(), 54.5);
    assert_eq!(file.job.setup.sensors[1].position.unwrap().millimetres(), 52.25 * 25.4);
    assert_eq!(file.job.setup.planes[1].position.unwrap().inches(), 48.5);
    let round = 3.5 * std::f64::consts::PI;
    let zone = &file.job.weld_plan.no_weld[0].sector;
    assert!((zone.from_degrees() - 10.6875 / round * 360.0).abs() < 1e-9, "{zone:?}");
    let welded = &file.job.weld_plan.welded[0];
    assert_eq!(welded.mass.grams(), 0.5 * OUNCE);
    assert!((welded.angle.degrees() - 5.5 / round * 360.0).abs() < 1e-9, "{welded:?}");
    drop(folder);
}

fn runs(job: &Path, text: &str) -> Vec<Run> {
    std::fs::write(job.join("runs.csv"), text).unwrap();
    let file = JobFile::load_folder(job).unwrap();
    let mut reader = RunsReader::open(&job.join("runs.csv"), Some(&file)).unwrap();
    reader.next().unwrap().unwrap_or_else(|faults| unreachable!("{faults:?}")).runs
}

#[test]
fn runs_take_places_on_the_tape_and_units_of_their_own() {
    let (_folder, job) = job(true);
    let head = "run,kind,speed [rpm],front mass [oz],front angle [deg],rear mass [lbs],rear tape [in],\
                front amplitude [mils],front phase [deg],rear amplitude [mils],rear phase [deg]\n1,initial,1800,,,,,5.29,230,3.24,69\n";
    let found = runs(
        &job,
        &format!(
            "{head}2,trial,1800,0.5,258 mm,1/32 lb,9 1/16,5,1,3,2\n3,trial,1800,20 g,9 1/16 in,,,5,1,3,2\n"
        ),
    );
    let round = 88.9 * std::f64::consts::PI;
    let near = |angle: f64, millimetres: f64| (angle - millimetres / round * 360.0).abs() < 1e-9;
    let (first, second) = (&found[1].masses, &found[2].masses);
    assert_eq!((first[0].mass.grams(), first[1].mass.grams()), (0.5 * OUNCE, 0.5 * OUNCE));
    assert!(
        near(first[0].angle.degrees(), 258.0) && near(first[1].angle.degrees(), 9.0625 * 25.4),
        "{first:?}"
    );
    assert!(second[0].mass.grams() == 20.0 && near(second[0].angle.degrees(), 9.0625 * 25.4), "{second:?}");
    for wrong in ["1/8", "300 mm", "12 in", "5 rpm"] {
        std::fs::write(job.join("runs.csv"), format!("{head}2,trial,1800,0.5,{wrong},,,5,1,3,2\n")).unwrap();
        assert_eq!(on(&["correct"], &job).code, 2, "{wrong}");
    }
}

#[test]
fn columns_that_append_adds_follow_the_shop() {
    let (_folder, job) = job(true);
    let text = std::fs::read_to_string(job.join("runs.csv")).unwrap();
    let head: Vec<&str> = text.lines().filter(|line| line.starts_with("run,")).collect();
    let bare = "run,kind,speed [rpm],front mass [oz],front angle [deg],rear mass [oz],rear angle [deg],\
                front amplitude [mils],front phase [deg],rear amplitude [mils],rear phase [deg]";
    assert_eq!(head.len(), 1);
    let rows = "1,initial,1800,,,,,5.29,230,3.24,69\n2,trial,1800,0.7,90,,,8.62,211,3.56,49\n3,trial,1800,,,0.7,90,5.34,241,4.37,124";
    std::fs::write(job.join("runs.csv"), format!("{bare}\n{rows}\n")).unwrap();
    let said = on(&["correct", "--append"], &job);
    assert_eq!(said.code, 0, "{said:?}");
    let text = std::fs::read_to_string(job.join("runs.csv")).unwrap();
    let header = text.lines().next().unwrap();
    assert!(header.contains("bead [oz]") && !header.contains("[g]"), "{text}");
    // The box is in grams: 15 g in ounces has too many digits, so the cell states its own unit.
    let row = text.lines().last().unwrap();
    assert!(row.split(',').any(|cell| cell == "15 g" || cell == "10 g"), "{text}");
    assert!(row.split(',').all(|cell| cell.len() <= 8), "{text}");
}

#[test]
fn the_dials_unit_must_be_the_one_the_shop_states() {
    let (folder, job) = job(true);
    let shop = folder.path().join("shop.toml");
    let text = std::fs::read_to_string(&shop).unwrap();
    std::fs::write(&shop, text.replacen("[stand]\n", "[stand]\nreading_unit = \"mils\"\n", 1)).unwrap();
    let said = on(&["correct"], &job);
    assert_eq!(said.code, 2);
    assert!(said.talk.contains("readings in `mm/s`, but `reading_unit` in `mils`"), "{}", said.talk);
    let new = folder.path().join("SH-3");
    assert_eq!(balance(["new".as_ref(), new.as_os_str()]).code, 0);
    let runs = std::fs::read_to_string(new.join("runs.csv")).unwrap();
    assert!(runs.contains("front mass [oz]") && runs.contains("front amplitude [mils]"), "{runs}");
}
