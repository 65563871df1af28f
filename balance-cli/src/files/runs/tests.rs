use balance_core::caution::Caution;
use balance_core::quantity::{Quantity, parse};
use balance_core::run::{Change, OnTopOf, RunKind, SensorReading};
use balance_core::shaft::{PlaneId, Shows};

use super::{RunsReader, ShaftRuns, read_all};
use crate::files::job::JobFile;
use crate::files::problem::{Problem, Source, render_all};

/// One linear shaft, computed; invented.
const RUNS: &str = "\
run,kind,speed [rpm],front mass [g],front angle [deg],rear mass [g],rear angle [deg],front amplitude [mm/s],front phase [deg],rear amplitude [mm/s],rear phase [deg]
1,initial,1800,,,,,5.29,230,3.24,69
2,trial,1800,20,90,,,8.68,211,3.56,49
3,trial,1800,,,20,90,5.34,241,4.38,124
4,check,1800,25.27,312,16,192,0.15,59,0.29,270
";

fn job(text: &str) -> JobFile {
    JobFile::read(&Source::new("job.toml", text), None)
        .unwrap_or_else(|problems| panic!("{}", render_all(&problems)))
}

fn read(text: &[u8]) -> Result<Vec<ShaftRuns>, Vec<Problem>> {
    read_all(text, "runs.csv", None)
}

fn one(text: &str) -> ShaftRuns {
    let mut shafts =
        read(text.as_bytes()).unwrap_or_else(|problems| panic!("{text}\n{}", render_all(&problems)));
    assert_eq!(shafts.len(), 1);
    shafts.remove(0)
}

/// All faults of a text with those of its set of runs.
fn faults(text: &str, job: Option<&JobFile>) -> Vec<Problem> {
    match read_all(text.as_bytes(), "runs.csv", job) {
        Ok(shafts) => shafts.iter().filter_map(|shaft| shaft.run_set().err()).flatten().collect(),
        Err(problems) => problems,
    }
}

/// The only fault: its code, its line and all of it rendered.
fn fault(text: &str, job: Option<&JobFile>) -> (&'static str, Option<u64>, String) {
    let problems = faults(text, job);
    assert_eq!(problems.len(), 1, "{text}\n{}", render_all(&problems));
    (problems[0].code, problems[0].place.line(), problems[0].render())
}

fn q<Q: Quantity>(text: &str) -> Q {
    parse(text).unwrap()
}

#[test]
fn the_example_gives_its_nouns_with_and_without_a_job() {
    let alone = one(RUNS);
    assert_eq!(alone.lines, [2, 3, 4, 5]);
    let names: Vec<_> = alone.setup.planes.iter().map(|plane| plane.name.as_str()).collect();
    assert_eq!(names, ["front", "rear"]);
    assert_eq!(alone.setup.sensors[1].unit, "mm/s");
    assert_eq!(alone.setup.planes[0].radius, None);
    assert_eq!(alone.setup.noise.place_error, None);
    let check = &alone.runs[3];
    assert_eq!((check.label.as_str(), check.kind, check.speed), ("4", RunKind::Check, Some(q("1800 rpm"))));
    assert_eq!(
        (check.masses[0].plane, check.masses[0].mass, check.masses[0].angle),
        (PlaneId::new(0), q("25.27 g"), q("312 deg"))
    );
    assert_eq!(check.readings[1], SensorReading::Shown { amplitude: 0.29, phase: q("270 deg") });
    assert_eq!(alone.runs[0].masses, []);
    alone.run_set().unwrap();
    let job = job(
        "[[correction_plane]]\nname = \"front\"\nradius = \"46 mm\"\n[[correction_plane]]\nname = \"rear\"\n\
         [[sensor]]\nname = \"rear\"\n[[sensor]]\nname = \"front\"\n",
    );
    let with = read_all(RUNS.as_bytes(), "runs.csv", Some(&job)).unwrap().remove(0);
    assert_eq!(with.setup.planes[0].radius, Some(q("46 mm")));
    // Readings come in the order of the job's sensors.
    assert_eq!(with.runs[3].readings[0], SensorReading::Shown { amplitude: 0.29, phase: q("270 deg") });
}

#[test]
fn the_same_runs_in_other_units_and_layouts_give_equal_nouns() {
    let wanted = one(RUNS);
    let crlf_semicolons = RUNS.replace(',', ";").replace('.', ",").replace('\n', "\r\n");
    assert_eq!(one(&crlf_semicolons).runs, wanted.runs);
    let marked =
        format!("\u{feff}# Hollin Pass depot\n\n{}\n\n", RUNS.replace("\n2", "\n,,,,,,,,,,\n# second\n2"));
    let shaft = one(&marked);
    assert_eq!((shaft.runs, shaft.lines), (wanted.runs.clone(), vec![4, 7, 8, 9]));
    // 1 oz = 28.349523125 g by the agreement of 1959; 1 Hz = 60 rpm.
    let ounces = format!(
        "front mass [oz],front angle [°],speed [Hz],front radius [in],front amplitude [in/s],front phase [deg]\n\
         {},90,30,2,1,0\n",
        20.0 / 28.349_523_125
    );
    let run = one(&ounces).runs.remove(0);
    assert!((run.masses[0].mass.grams() - 20.0).abs() < 20e-12);
    assert!((run.masses[0].radius.unwrap().millimetres() - 50.8).abs() < 50e-12);
    assert_eq!(run.speed, Some(q("1800 rpm")));
}

#[test]
fn windows_1252_is_read_with_a_caution() {
    let text = b"front amplitude [\xb5m],front phase [\xb0]\n5,90\n";
    let mut reader = RunsReader::new(&text[..], "runs.csv", None).unwrap();
    assert_eq!(reader.next().unwrap().unwrap().setup.sensors[0].unit, "µm");
    let cautions = reader.cautions();
    assert_eq!(cautions.iter().map(Caution::code).collect::<Vec<_>>(), ["windows-1252"]);
    assert!(reader.next().is_none());
}

#[test]
fn more_masses_beads_radii_and_masses_taken_off_are_read() {
    let head = "kind,front mass [g],front angle [deg],front mass 2 [g],front angle 2 [deg],front radius [mm],\
                front radius 2 [mm],front bead [g],a amplitude [g],a phase [deg]\n";
    let shaft =
        one(&format!("{head}check,10,30,-5,400,47,48,1.5,<0.1,\n,,,,,,,,1,0\nTried,0,0,9,10,47,,,1,0\n"));
    let masses = &shaft.runs[0].masses;
    assert_eq!(masses.len(), 2);
    assert_eq!((masses[0].radius, masses[0].bead), (Some(q("47 mm")), q("1.5 g")));
    assert_eq!(
        (masses[1].change, masses[1].mass, masses[1].radius),
        (Change::TakenOff, q("5 g"), Some(q("48 mm")))
    );
    assert_eq!(masses[1].bead, q("0 g"));
    assert_eq!(shaft.runs[0].readings, [SensorReading::Below(0.1)]);
    assert_eq!((shaft.runs[1].kind, shaft.runs[1].label.as_str()), (RunKind::Initial, "2"));
    assert_eq!(shaft.runs[2].masses.len(), 1, "a mass of zero is not a mass");
    assert_eq!(shaft.runs[2].masses[0].radius, Some(q("47 mm")), "the unnumbered radius holds for the plane");
}

#[test]
fn texts_times_mountings_and_on_top_of_are_read() {
    let head = "run,time,mounting,by,note,note:weather,on top of,a amplitude [mm/s],a phase [deg]\n";
    let shaft = one(&format!(
        "{head}1,09:00,A,Kim,\"said \"\"fine\"\"\nand left\",dry,,1,2\n2,09:12,B,,,,as found,1,2\n"
    ));
    assert_eq!(shaft.texts[0].note, "said \"fine\"\nand left");
    assert_eq!(shaft.texts[0].by, "Kim");
    assert_eq!(shaft.lines, [2, 4]);
    assert_eq!(shaft.runs[1].minutes, Some(12.0));
    assert_eq!(shaft.runs[1].mounting, "B");
    assert_eq!(shaft.runs[1].on_top_of, Some(OnTopOf::AsFound));
    let short = one("a amplitude [mm/s],a phase [deg],note\n1,2\n");
    assert_eq!(short.runs.len(), 1, "a missing note at the end of a row is not a fault");
}

#[test]
fn shafts_come_one_by_one_and_a_fault_in_one_does_not_hide_the_others() {
    let text =
        "shaft,run,a amplitude [mm/s],a phase [deg]\nA,1,1,0\nA,2,1,0\nB,1,x,0\nB,2,1,y\nC,1,1,0\nA,3,1,0\n";
    let shafts: Vec<_> = RunsReader::new(text.as_bytes(), "runs.csv", None).unwrap().collect();
    assert_eq!(shafts.len(), 4);
    assert_eq!(shafts[0].as_ref().unwrap().runs.len(), 2);
    let faults = shafts[1].as_ref().unwrap_err();
    let lines: Vec<_> = faults.problems.iter().map(|problem| problem.place.line()).collect();
    assert_eq!((faults.shaft.as_deref(), lines), (Some("B"), vec![Some(4), Some(5)]));
    assert_eq!(shafts[2].as_ref().unwrap().shaft.as_deref(), Some("C"));
    assert_eq!(shafts[3].as_ref().unwrap_err().problems[0].code, "shaft-apart");
}

#[test]
fn a_stand_that_shows_unbalance_has_its_units_turned_into_gram_millimetres() {
    let job = |radius: &str| {
        job(&format!(
            "[[correction_plane]]\nname = \"front\"\n{radius}[[sensor]]\nname = \"a\"\nshows = \"correction\"\nplane = \"front\"\n"
        ))
    };
    let text = |unit: &str| format!("a amplitude [{unit}],a phase [deg]\n20,90\n");
    let unit = |unit: &str, radius: &str| {
        let shaft = read_all(text(unit).as_bytes(), "runs.csv", Some(&job(radius))).unwrap().remove(0);
        assert_eq!(shaft.setup.sensors[0].shows, Shows::Correction { plane: PlaneId::new(0) });
        shaft.setup.sensors[0].unbalance_per_unit
    };
    let radius = "radius = \"46 mm\"\n";
    assert_eq!(unit("g.mm", radius), 1.0);
    assert_eq!(unit("g", radius), 46.0);
    assert_eq!(unit("g", ""), 1.0);
    // 1 oz·in = 28.349523125 g × 25.4 mm = 720.0778… g·mm, recomputed from the agreement of 1959.
    assert!((unit("oz.in", radius) - 720.077_887_375).abs() < 1e-9);
    assert_eq!(fault(&text("g.mm"), Some(&job(""))).0, "radius-unknown");
    assert_eq!(fault(&text("mm/s"), Some(&job(radius))).0, "unknown-unit");
}

/// Every rule of header and cells: a bad text, the code and line of its only fault, words of its message or hint.
#[test]
fn every_rule_of_the_runs_file_has_its_fault() {
    let row = |cells: &str| {
        format!(
            "run,kind,speed [rpm],front mass [g],front angle [deg],front bead [g],front radius [mm],time,a amplitude [mm/s],a phase [deg]\n{cells}\n"
        )
    };
    let cases: &[(String, &str, u64, &str)] = &[
        (
            // With a phase elsewhere: without any the file is one of amplitudes alone.
            row("1,initial,1800,,,,,,1,\n2,initial,1800,,,,,,1,5"),
            "lonely-cell",
            2,
            "column \"a phase [deg]\": an amplitude without a phase",
        ),
        (
            row("1,initial,1800,,,,,,0,\n2,initial,1800,,,,,,1,5"),
            "lonely-cell",
            2,
            "hint: if it is below what the dial shows, \
                                                          write `<`",
        ),
        (row("1,initial,1800,,,,,,,5"), "lonely-cell", 2, "a phase without an amplitude"),
        (
            row("1,check,1800,5,,,,,1,5"),
            "lonely-cell",
            2,
            "column \"front angle [deg]\": a mass without an angle",
        ),
        (row("1,check,1800,,5,,,,1,5"), "lonely-cell", 2, "an angle without a mass"),
        (row("1,initial,1800,,,1,,,1,5"), "lonely-cell", 2, "a bead without a mass"),
        (row("1,initial,1800,,,,,,-1,5"), "negative-amplitude", 2, "hint: an amplitude has no sign"),
        (row("1,initial,1800,,,,,,<0.1,5"), "phase-of-nothing", 2, "an empty cell"),
        (row("1,initial,1800,,,,,,<0,"), "out-of-range", 2, "found `<0`"),
        (row("1,initial,1800,,,,,,<x,"), "not-a-number", 2, "found `x`"),
        (
            row("1,initial,1800,,,,,,2-Jan,5"),
            "not-a-number",
            2,
            "hint: a spreadsheet may have turned it into a date",
        ),
        (row("1,initial,1800,,,,,,#REF!,5"), "not-a-number", 2, "hint: this is a spreadsheet's error mark"),
        (row("1,initial,1800,,,,,,=A1*2,5"), "not-a-number", 2, "hint: this is a formula"),
        (row("1,initial,1800,,,,,,NaN,5"), "not-a-number", 2, "found `NaN`"),
        (row("1,initial,1800,,,,,,inf,5"), "not-a-number", 2, "found `inf`"),
        (row("1,initial,1800,,,,,,1e999,5"), "out-of-range", 2, "found `1e999`"),
        (row("1,initial,1800,,,,,,5 mm/s,5"), "not-a-number", 2, "hint: the unit is in the header"),
        (row("1,initial,1800,,,,,,5@5,5"), "not-a-number", 2, "two columns"),
        (row("1,initial,\"1,800\",,,,,,1,5"), "not-a-number", 2, "hint: write thousands without a separator"),
        (row("1,initial,1.800,,,,,,1,5"), "thousands", 2, "1800, not 1.800"),
        (row("1,initial,1,800,,,,,,1,5"), "row-length", 2, "hint: a comma inside a number"),
        (row("1,initial,-1800,,,,,,1,5"), "out-of-range", 2, "found `-1800`"),
        (row("1,initial,0,,,,,,1,5"), "run-speed", 2, "column \"speed [rpm]\""),
        (row("1,initial,1800,,,,,,1"), "row-length", 2, "hint: empty cells keep their separators"),
        (row("1,initial,1800,,,,,\"\",1,5,9"), "row-length", 2, "11 cells"),
        (row("1,initial,1800,,,,,noon,1,5"), "not-a-time", 2, "09:30"),
        (
            row("1,initial,1800,,,,,9:00,1,5\n2,initial,1800,,,,,2026-03-14T09:30:00Z,1,5"),
            "mixed-times",
            3,
            "hint",
        ),
        (row(",initial,1800,,,,,,1,5"), "no-label", 2, "column \"run\""),
        (row("1,inital,1800,,,,,,1,5"), "unknown-kind", 2, "hint: did you mean `initial`?"),
        (row("1,check,1800,5,5,-1,,,1,5"), "out-of-range", 2, "column \"front bead [g]\""),
        (row("1,check,1800,5,5,,0,,1,5"), "out-of-range", 2, "column \"front radius [mm]\""),
        (row("1,initial,1800,,,,,,\"1,5"), "open-quote", 2, "hint: close the quote"),
        (
            row("1,initial,1800,,,,,,1,5\n2,trial,1800,-5,10,,,,1,5"),
            "run-mass",
            3,
            "column \"front mass [g]\": a negative mass",
        ),
        (row("1,initial,1800,,,,,,1,5\n1,trial,1800,5,10,,,,1,5"), "run-label", 3, "column \"run\""),
        (row("1,initial,1800,,,,,,1,5\n2,trial,1900,5,10,,,,1,5"), "run-speed", 3, "within 1 %"),
        (row("1,initial,1800,5,5,,,,1,5"), "run-mass", 2, "a mass in an initial run"),
        (row("1,initial,1800,,,,,,1,5\n2,trial,1800,,,,,,1,5"), "run", 3, "a trial run without a mass"),
        (row("1,initial,1800,,,,,,,"), "run", 2, "no reading"),
        (
            row("1,initial,1800,,,,,,1,5\n2,check,1800,5,5,,,,1,5\n3,check,1800,6,6,,,,1,5"),
            "run-on-top-of",
            4,
            "`as found`",
        ),
        ("run,run,a amplitude [g],a phase [deg]\n1,1,1,1\n".into(), "duplicate-column", 1, "a second column"),
        (
            "a mass [g],a mass [kg],a angle [deg]\n".into(),
            "duplicate-column",
            1,
            "hint: a second mass on a plane has numbered columns",
        ),
        (
            "note:x,note:x,a amplitude [g],a phase [deg]\n1,1,1,1\n".into(),
            "duplicate-column",
            1,
            "\"note:x\"",
        ),
        (
            "weather,a amplitude [g],a phase [deg]\n".into(),
            "unknown-column",
            1,
            "hint: your own columns begin with `note:`",
        ),
        ("a amplitude [g],a phas [deg]\n".into(), "unknown-column", 1, "did you mean `phase`"),
        ("a amplitude,a phase [deg]\n".into(), "no-unit", 1, "any unit in square brackets"),
        ("a mass [grain],a angle [deg]\n".into(), "unknown-unit", 1, "g, kg, oz, lb"),
        ("a phase 2 [deg]\n".into(), "numbered-reading", 1, "numbers only after mass"),
        ("mass [g]\n".into(), "no-name", 1, "a plane's or a sensor's name first"),
        (
            "a amplitude [g],b amplitude [g],b phase [deg]\n".into(),
            "lonely-column",
            1,
            "amplitude without its phase column",
        ),
        ("a phase [deg]\n".into(), "lonely-column", 1, "phase without its amplitude column"),
        ("a mass [g]\n".into(), "lonely-column", 1, "mass without its angle column"),
        ("a angle 2 [deg]\n".into(), "lonely-column", 1, "angle without its mass column"),
        ("a radius [mm]\n".into(), "lonely-column", 1, "column of a mass without its mass column"),
        (
            "shaft,a mass [g],a angle [deg],a amplitude [g],a phase [deg]\n,,,1,1\n".into(),
            "no-shaft",
            2,
            "a label in every row",
        ),
        (
            "a mass [g],a angle [deg],a amplitude [g],a phase [deg],\n,,1,1,x\n".into(),
            "no-header",
            2,
            "cell 5 without a header",
        ),
        ("a amplitude [g];a phase [deg]\n1,5;1.5\n".into(), "mixed-decimals", 2, "decimal commas"),
    ];
    for (text, code, line, words) in cases {
        let found = fault(text, None);
        assert_eq!((found.0, found.1), (*code, Some(*line)), "{text}\n{}", found.2);
        assert!(found.2.contains(words), "{words}\n{}", found.2);
    }
    assert_eq!(fault("", None).0, "empty-file");
    assert_eq!(fault("# nothing\n\n", None).0, "empty-file");
    assert_eq!(
        fault("a mass [g],a angle [deg],a amplitude [g],a phase [deg]\n", None).2.lines().next(),
        Some("runs.csv:1: no run; allowed: at least an initial run")
    );
    assert_eq!(read(b"\xff\xfea\0").unwrap_err()[0].code, "not-utf8");
    assert_eq!(read(b"a,b\r1,2\r").unwrap_err()[0].code, "line-end");
}

#[test]
fn names_are_the_jobs_and_its_sensors_are_all_in_the_file() {
    let job = job(
        "[[correction_plane]]\nname = \"front\"\n[[sensor]]\nname = \"front\"\n[stand]\namplitude_swing = \"0.1 mm/s\"\nphase_swing = \"5 deg\"\n",
    );
    let found =
        fault("fornt mass [g],front angle [deg],front amplitude [mm/s],front phase [deg]\n", Some(&job));
    assert_eq!((found.0, found.1), ("unknown-name", Some(1)));
    assert!(found.2.contains("hint: did you mean `front`?"), "{}", found.2);
    let found =
        fault("front mass [g],front angle [deg],frnt amplitude [mm/s],front phase [deg]\n", Some(&job));
    assert_eq!(found.0, "unknown-name");
    let found = fault("front mass [g],front angle [deg]\n", Some(&job));
    assert_eq!(found.0, "sensor-without-column", "{}", found.2);
    let found = fault("front amplitude [mil],front phase [deg]\n1,1\n", Some(&job));
    assert_eq!(found.0, "swing-unit", "{}", found.2);
}

#[test]
fn faults_of_header_and_rows_are_told_together_in_order() {
    let problems = faults("kinf,a amplitude [mm/s],a phase [deg]\ninitial,x,1\ncheck,1,y\n", None);
    let lines: Vec<_> = problems.iter().filter_map(|problem| problem.place.line()).collect();
    assert_eq!(lines, [1, 2, 3], "{}", render_all(&problems));
}

proptest::proptest! {
    #[test]
    fn no_bytes_make_the_reader_panic_or_run_for_ever(bytes in proptest::collection::vec(0u8.., 0..400), text in "[\\PC\\r\\n,;\"#]{0,200}") {
        let _ = read(&bytes).map_err(|problems| render_all(&problems));
        let _ = read(text.as_bytes()).map_err(|problems| render_all(&problems));
    }

    #[test]
    fn no_change_of_a_good_file_makes_the_reader_panic(at in 0..RUNS.len(), letter in "[\\PC\\r\\n,;\"#<]", cut in 0usize..40) {
        let end = (at + cut).min(RUNS.len());
        let _ = faults(&format!("{}{letter}{}", &RUNS[..at], &RUNS[end..]), None);
    }

    #[test]
    fn lines_told_are_lines_of_the_file(blanks in proptest::collection::vec(0usize..3, 4), crlf in proptest::bool::ANY) {
        let mut text = String::new();
        let mut wanted = Vec::new();
        for (row, blanks) in RUNS.lines().zip(std::iter::once(&0).chain(&blanks)) {
            text.push_str(["", "\n", "# x\n,,,,\n"][*blanks]);
            if !text.is_empty() {
                wanted.push(text.matches('\n').count() as u64 + 1);
            }
            text.push_str(row);
            text.push('\n');
        }
        let text = if crlf { text.replace('\n', "\r\n") } else { text };
        proptest::prop_assert_eq!(one(&text).lines, wanted);
    }
}
