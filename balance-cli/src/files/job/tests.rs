use balance_core::grade::Criterion;
use balance_core::influence::Drift;
use balance_core::quantity::{Length, Mass, Quantity, Units, parse};
use balance_core::run::{MassAngle, Phase, PlaceError, ReadingNoise, Turns};
use balance_core::shaft::{HowHeld, PlaneId, Shows, WeldOn};

use super::JobFile;
use crate::files::problem::{Problem, Source, render_all};

/// A job with nearly everything stated, in metric units; invented.
const METRIC: &str = r#"
format = 1
[job]
number = "WP-0417"
customer = "Hollin Pass road depot"
unit = "rotary snow blower 3, auger drive"
[shaft]
mass = "14.2 kg"
service_speed = "2600 rpm"
grade = "G16"
mass_centre = "690 mm"
[tube]
outer_diameter = "88.9 mm"
wall = "2.4 mm"
length = "1385 mm"
material = "steel"
[[correction_plane]]
name = "front"
position = "95 mm"
radius = "45.95 mm"
trial_radius = "50 mm"
[[correction_plane]]
name = "rear"
position = "1290 mm"
[[tolerance_plane]]
name = "front joint"
position = "0 mm"
[[tolerance_plane]]
name = "rear joint"
position = "1385 mm"
[[sensor]]
name = "front"
position = "0 mm"
[[sensor]]
name = "rear"
position = "1385 mm"
shows = "unbalance"
plane = "rear"
weight = 0.5
[convention]
zero_mark = "paint line on the front yoke ear"
turns = "clockwise seen from the front"
mass_angle = "against rotation"
phase = "lag"
[stand]
reading_noise = "2 %"
reading_floor = 0.02
place_error = "2 mm"
scale_error = "0.2 g"
most_speed = "3500 rpm"
most_reading = 20
[[weight]]
mass = "10 g"
width = "25 mm"
thickness = "3 mm"
count = 20
[[weight]]
cut_from = "25 mm x 3 mm"
shortest = "10 mm"
longest = "60 mm"
[weld]
bead_mass = "1.0 g"
most_per_plane = 2
gap = "3 mm"
[[no_weld]]
plane = "front"
from = "350 deg"
to = "20 deg"
reason = "tube seam"
[[part]]
name = "front half"
mass = "7.9 kg"
from = "0 mm"
to = "610 mm"
"#;

fn read(text: &str) -> Result<JobFile, Vec<Problem>> {
    JobFile::read(&Source::new("job.toml", text), None)
}

fn good(text: &str) -> JobFile {
    read(text).unwrap_or_else(|problems| panic!("{}", render_all(&problems)))
}

/// The only fault of the text: its code, its line, and all of it rendered.
fn fault(text: &str) -> (&'static str, u64, String) {
    let problems = read(text).unwrap_err();
    assert_eq!(problems.len(), 1, "{}", render_all(&problems));
    (problems[0].code, problems[0].place.line().unwrap(), problems[0].render())
}

fn q<Q: Quantity>(text: &str) -> Q {
    parse(text).unwrap()
}

#[test]
fn the_full_example_gives_its_nouns() {
    let job = good(METRIC);
    assert_eq!(job.paperwork.heading.number.as_deref(), Some("WP-0417"));
    assert_eq!(job.job.measures.mass, Some(q("14.2 kg")));
    assert_eq!(job.job.measures.mass_centre, Some(q("690 mm")));
    assert_eq!(job.job.measures.limit, Some(Criterion::Grade("G16".parse().unwrap())));
    assert_eq!(job.job.measures.tube.as_ref().unwrap().wall, q("2.4 mm"));
    assert_eq!(job.job.shaft.material.name(), Some("steel"));
    assert_eq!(job.job.setup.planes[0].trial_radius, Some(q("50 mm")));
    // Default: the tube's radius and half the weights' thickness, 44.45 + 1.5.
    assert_eq!(job.job.setup.planes[1].radius, Some(q("45.95 mm")));
    assert_eq!(job.job.tolerance_planes[1].position, q("1385 mm"));
    assert_eq!(job.job.setup.sensors[0].shows, Shows::Vibration);
    assert_eq!(job.job.setup.sensors[1].shows, Shows::Unbalance { plane: PlaneId::new(1) });
    assert_eq!(job.job.setup.sensors[1].weight, Some(0.5));
    assert!(job.job.setup.convention.stated);
    assert_eq!(job.job.setup.convention.phase, Phase::Lag);
    assert_eq!(job.job.setup.convention.mass_angle, MassAngle::AgainstRotation);
    assert_eq!(job.job.setup.convention.turns, Some(Turns::Clockwise));
    assert_eq!(job.job.setup.noise.reading, ReadingNoise::Proportional { fraction: 0.02, floor: 0.02 });
    assert_eq!(job.job.setup.noise.place_error, Some(PlaceError::Tape(q("2 mm"))));
    assert_eq!(job.job.stand.most_reading, Some(20.0));
    assert!(matches!(&job.job.weld_plan.weights[0], WeldOn::Stamped(weight) if weight.count == Some(20)));
    assert!(
        matches!(&job.job.weld_plan.weights[1], WeldOn::Bar(bar) if bar.longest() == q::<Length>("60 mm"))
    );
    assert_eq!(job.job.weld_plan.weld.bead_mass, q::<Mass>("1 g"));
    assert_eq!(job.job.weld_plan.no_weld[0].sector.width_degrees(), 30.0);
    assert_eq!(job.job.parts[0].to, q("610 mm"));
    assert_eq!(job.job.units, Units::Metric);
}

#[test]
fn an_empty_job_has_only_defaults() {
    let job = good("");
    assert!(!job.job.setup.convention.stated);
    assert_eq!(job.job.setup.noise.reading, ReadingNoise::NotStated);
    assert_eq!(job.job.setup.noise.place_error, Some(PlaceError::Tape(q("2 mm"))));
    assert!(
        job.job.setup.planes.is_empty()
            && job.job.tolerance_planes.is_empty()
            && job.job.weld_plan.weights.is_empty()
    );
}

#[test]
fn the_same_shaft_in_other_units_gives_the_same_nouns() {
    // Exact by the yard and pound agreement of 1959: 1 in = 25.4 mm, 1 lb = 453.59237 g.
    let metric = good(
        "[shaft]\nmass = \"14.2 kg\"\nservice_speed = \"2600 rpm\"\nlimit = \"350 g.mm\"\n[tube]\n\
         outer_diameter = \"88.9 mm\"\nwall = \"2.4 mm\"\nlength = \"1385 mm\"\n",
    );
    let us = good(&format!(
        "[shaft]\nmass = \"{} lb\"\nservice_speed = \"{} Hz\"\nlimit = \"{} oz.in\"\n[tube]\n\
         outer_diameter = \"3.5 in\"\nwall = \"{} in\"\nlength = \"{} ft\"\n",
        14_200.0 / 453.592_37,
        2600.0 / 60.0,
        350.0 / (453.592_37 / 16.0 * 25.4),
        2.4 / 25.4,
        1385.0 / 304.8,
    ));
    let close = |one: f64, other: f64| assert!((one - other).abs() <= 1e-12 * one.abs(), "{one} {other}");
    close(metric.job.measures.mass.unwrap().base(), us.job.measures.mass.unwrap().base());
    close(metric.job.measures.service_speed.unwrap().base(), us.job.measures.service_speed.unwrap().base());
    let (one, other) = (metric.job.measures.tube.clone().unwrap(), us.job.measures.tube.clone().unwrap());
    close(one.outer_diameter.base(), other.outer_diameter.base());
    close(one.wall.base(), other.wall.base());
    close(one.length.base(), other.length.base());
    let (Some(Criterion::OwnLimit(one)), Some(Criterion::OwnLimit(other))) =
        (metric.job.measures.limit, us.job.measures.limit)
    else {
        panic!("both have a limit");
    };
    close(one.base(), other.base());
}

#[test]
fn two_scales_give_mass_and_mass_centre() {
    // Lever rule, recomputed by hand: 6 kg at 0 and 4 kg at 1000 mm balance at 400 mm.
    let job = good(
        "[shaft]\nscale_front = \"6 kg\"\nscale_rear = \"4 kg\"\n[tube]\nouter_diameter = \"80 mm\"\n\
         wall = \"3 mm\"\nlength = \"1000 mm\"\n",
    );
    assert_eq!(job.job.measures.mass, Some(q("10 kg")));
    assert_eq!(job.job.measures.mass_centre, Some(q("400 mm")));
}

#[test]
fn job_values_win_over_the_shop_key_by_key_and_lists_as_a_whole() {
    let shop = Source::new(
        "../shop.toml",
        "[shop]\nname = \"Hollin Pass depot workshop\"\n[shaft]\ngrade = \"G16\"\nservice_speed = \"2000 rpm\"\n\
         [[weight]]\nmass = \"5 g\"\n[[weight]]\nmass = \"10 g\"\n[stand]\nreading_noise = \"2 %\"\n\
         most_speed = \"3500 rpm\"\n",
    );
    let job = Source::new(
        "job.toml",
        "[shaft]\nlimit = \"350 g.mm\"\n[[weight]]\nmass = \"7 g\"\n[stand]\namplitude_swing = \"0.1 mm/s\"\n\
         phase_swing = \"5 deg\"\n",
    );
    let job = JobFile::read(&job, Some(&shop)).unwrap();
    assert_eq!(
        job.job.measures.limit,
        Some(Criterion::OwnLimit(q("350 g.mm"))),
        "the job's limit beats the shop's grade"
    );
    assert_eq!(job.job.measures.service_speed, Some(q("2000 rpm")));
    assert_eq!(job.job.weld_plan.weights.len(), 1);
    assert_eq!(job.job.setup.noise.reading, ReadingNoise::Swing { amplitude: 0.1, phase: q("5 deg") });
    assert_eq!(job.paperwork.swing_unit.as_deref(), Some("mm/s"));
    assert_eq!(job.job.stand.most_speed, Some(q("3500 rpm")));
    assert!(job.merged_text.contains("Hollin Pass depot workshop"), "{}", job.merged_text);
    assert!(job.merged_text.contains("7 g") && !job.merged_text.contains("10 g"), "{}", job.merged_text);
    let again = good(&job.merged_text);
    assert_eq!(JobFile { file: job.file.clone(), merged_text: job.merged_text.clone(), ..again }, job);
}

#[test]
fn the_nearest_shop_file_of_the_job_is_found_and_a_missing_job_file_says_what_to_do() {
    let root = tempfile::tempdir().unwrap();
    let folder = root.path().join("2026").join("WP-0417");
    std::fs::create_dir_all(&folder).unwrap();
    let missing = JobFile::load_folder(&folder).unwrap_err();
    assert_eq!(
        (missing[0].code, missing[0].hint.as_deref()),
        ("no-file", Some("`balance new WP-0417` writes one"))
    );
    std::fs::write(folder.join("job.toml"), "[job]\nnumber = \"WP-0417\"\n").unwrap();
    assert_eq!(JobFile::load_folder(&folder).unwrap().paperwork.shop.name, None);
    std::fs::write(root.path().join("shop.toml"), "[shop]\nname = \"far\"\n").unwrap();
    assert_eq!(JobFile::load_folder(&folder).unwrap().paperwork.shop.name.as_deref(), Some("far"));
    std::fs::write(root.path().join("2026").join("shop.toml"), "[shop]\nname = \"near\"\n").unwrap();
    let dotted = folder.join("..").join("WP-0417");
    assert_eq!(JobFile::load_folder(&dotted).unwrap().paperwork.shop.name.as_deref(), Some("near"));
}

#[test]
fn places_that_take_weights_weights_that_are_there_and_the_proof_of_counting_are_read() {
    let job = good(
        "[[correction_plane]]\nname = \"front\"\n[[fixed_place]]\nplane = \"front\"\nangle = \"45 deg\"\n\
         [[welded]]\nplane = \"front\"\nmass = \"12 g\"\nangle = \"140 deg\"\nhold = \"stays\"\n\
         [stand]\nproved = \"quarter turn\"\nplace_error = \"1 deg\"\ndrift = true\n[show]\nunits = \"both\"\n",
    );
    assert_eq!(job.job.weld_plan.fixed_places[0].angle, q("45 deg"));
    assert_eq!(job.job.weld_plan.fixed_places[0].name, "place 1");
    assert_eq!(
        (job.job.weld_plan.welded[0].mass, job.job.weld_plan.welded[0].hold),
        (q("12 g"), HowHeld::Stays)
    );
    assert_eq!(job.job.setup.convention.proved.as_deref(), Some("quarter turn"));
    assert!(!job.job.setup.convention.stated);
    assert_eq!(job.job.setup.noise.place_error, Some(PlaceError::Angle(q("1 deg"))));
    assert_eq!((job.job.stand.drift, job.job.units), (Drift::Fitted, Units::Both));
}

#[test]
fn a_fault_in_the_shop_file_points_into_the_shop_file() {
    let shop = Source::new("../shop.toml", "[stand]\nmost_speed = 3500\n");
    let problems =
        JobFile::read(&Source::new("job.toml", "[shaft]\nmas = \"1 kg\"\n"), Some(&shop)).unwrap_err();
    let places: Vec<_> =
        problems.iter().map(|problem| (problem.place.file(), problem.place.line(), problem.code)).collect();
    assert_eq!(places, [("job.toml", Some(2), "unknown-key"), ("../shop.toml", Some(2), "no-unit")]);
}

#[test]
fn every_syntax_fault_is_told_with_its_line() {
    let problems = read("[shaft]\nmass = 14.2 kg\n[tube]\nwall = \"2.4 mm\n").unwrap_err();
    let lines: Vec<_> = problems.iter().map(|problem| problem.place.line()).collect();
    assert_eq!(lines, [Some(2), Some(4)], "{}", render_all(&problems));
    assert!(render_all(&problems).contains("hint: write mass = \"14.2 kg\""));
}

/// Every rule: a bad text, the code and line of its only fault, and words of its message or hint.
#[test]
fn every_rule_of_the_job_file_has_its_fault() {
    let tube = "[tube]\nouter_diameter = \"80 mm\"\nwall = \"3 mm\"\nlength = \"1000 mm\"\n";
    let plane = "[[correction_plane]]\nname = \"front\"\n";
    let cases: &[(&str, &str, u64, &str)] = &[
        ("format = 2\n[unknown]\n", "newer-format", 1, "format 2 is newer"),
        ("format = 0\n", "unknown-format", 1, "there is no format 0"),
        ("format = \"1\"\n", "wrong-type", 1, "`format` is a text"),
        (
            "[shaft]\nmass = 14.2\n",
            "no-unit",
            2,
            "hint: write the number with its unit in quotes: \"14.2 g\" or \"14.2 kg\"",
        ),
        (
            "[shaft]\nmass = \"14.2\"\n",
            "no-unit",
            2,
            "allowed: a number with its unit in quotes (g, kg, oz, lb)",
        ),
        ("[shaft]\nmass = \"14.2 mm\"\n", "unknown-unit", 2, "`mm` is not a unit of mass"),
        ("[shaft]\nmass = \"14,2 kg\"\n", "decimal-comma", 2, "hint: use a decimal point"),
        ("[shaft]\nmass = \"heavy\"\n", "not-a-number", 2, "`heavy`"),
        ("[shaft]\nmass = \"-3 kg\"\n", "out-of-range", 2, "`-3 kg` is not a possible mass"),
        ("[shaft]\nmass = \"0 kg\"\n", "out-of-range", 2, "above zero"),
        ("[shaft]\nmass = true\n", "wrong-type", 2, "`mass` is true or false"),
        ("[shaft]\nservise_speed = \"2600 rpm\"\n", "unknown-key", 2, "hint: did you mean `service_speed`?"),
        ("[shaf]\nmass = \"1 kg\"\n", "unknown-section", 1, "hint: did you mean `shaft`?"),
        ("shaft = 3\n", "wrong-shape", 1, "`[shaft]`"),
        ("[sensor]\nname = \"front\"\n", "wrong-shape", 1, "`[[sensor]]`"),
        ("[[shaft]]\n", "wrong-shape", 1, "`[shaft]`"),
        ("[shaft]\ngrade = \"fine\"\n", "not-readable", 2, "G16"),
        ("[shaft]\ngrade = -16\n", "not-readable", 2, "G16"),
        ("[shaft]\ngrade = 16\nlimit = \"350 g.mm\"\n", "both-given", 3, "one of the two"),
        (
            "[shaft]\nmass = \"9 kg\"\nscale_front = \"5 kg\"\nscale_rear = \"4 kg\"\n",
            "both-given",
            3,
            "`mass` and `scale_front`",
        ),
        ("[shaft]\nscale_front = \"5 kg\"\n", "missing-key", 1, "`scale_rear` is missing"),
        ("[shaft]\nscale_front = \"0 kg\"\nscale_rear = \"0 kg\"\n", "out-of-range", 3, "both scales"),
        ("[job]\ncustomer = \"depot\"\n", "missing-key", 1, "`number` is missing"),
        ("[job]\nnumber = \" \"\n", "empty-text", 2, "`number` is empty"),
        ("[tube]\nouter_diameter = \"80 mm\"\nwall = \"3 mm\"\n", "missing-key", 1, "`length` is missing"),
        (
            "[tube]\nouter_diameter = \"80 mm\"\nwall = \"40 mm\"\nlength = \"1 m\"\n",
            "wall-too-thick",
            3,
            "less than half",
        ),
        ("[[correction_plane]]\nposition = \"95 mm\"\n", "missing-key", 1, "`name` is missing"),
        (
            "[[correction_plane]]\nname = \"front\"\n[[correction_plane]]\nname = \"front\"\n",
            "duplicate-name",
            4,
            "`front` already exists",
        ),
        (
            "[[sensor]]\nname = \"front\"\n[[sensor]]\nname = \"front\"\n",
            "duplicate-name",
            4,
            "a different name for each sensor",
        ),
        ("[[tolerance_plane]]\nname = \"front joint\"\n", "missing-key", 1, "`position` is missing"),
        ("[[sensor]]\nname = \"front\"\nshows = \"unbalance\"\n", "missing-key", 1, "`plane` is missing"),
        ("[[sensor]]\nname = \"front\"\nshows = \"heavy\"\n", "unknown-choice", 3, "unbalance"),
        ("[[sensor]]\nname = \"front\"\nweight = 0\n", "out-of-range", 3, "above zero"),
        ("[convention]\nphase = \"lag\"\n", "missing-key", 1, "`mass_angle` is missing"),
        ("[convention]\nphase = \"lagg\"\n", "unknown-choice", 2, "hint: did you mean `lag`?"),
        ("[stand]\nreading_noise = \"2\"\n", "no-unit", 2, "%"),
        ("[stand]\nreading_noise = \"2 %\"\nphase_swing = \"5 deg\"\n", "both-given", 3, "one of the two"),
        ("[stand]\nphase_swing = \"5 deg\"\n", "missing-key", 1, "`amplitude_swing` is missing"),
        ("[stand]\nreading_floor = -1\n", "out-of-range", 2, "zero or more"),
        ("[stand]\nreading_floor = nan\n", "out-of-range", 2, "zero or more"),
        ("[stand]\nplace_error = \"2 g\"\n", "not-readable", 2, "\"1 deg\""),
        ("[stand]\nplace_error = 2\n", "not-readable", 2, "\"2 mm\""),
        ("[stand]\ndrift = \"yes\"\n", "wrong-type", 2, "true or false"),
        ("[[weight]]\nmass = \"0 g\"\n", "out-of-range", 2, "above zero"),
        ("[[weight]]\nwidth = \"25 mm\"\n", "missing-key", 1, "`mass` is missing"),
        ("[[weight]]\nmass = \"5 g\"\ncount = -1\n", "wrong-type", 3, "a whole number"),
        (
            "[[weight]]\nmass = \"5 g\"\ncut_from = \"25 mm x 3 mm\"\nshortest = \"5 mm\"\nlongest = \"9 mm\"\n",
            "both-given",
            3,
            "one of the two",
        ),
        (
            "[[weight]]\ncut_from = \"25 x 3\"\nshortest = \"5 mm\"\nlongest = \"9 mm\"\n",
            "not-readable",
            2,
            "\"25 mm x 3 mm\"",
        ),
        (
            "[[weight]]\ncut_from = \"25 mm x 3 mm\"\nshortest = \"9 mm\"\nlongest = \"5 mm\"\n",
            "not-possible",
            4,
            "a longest of 5 mm",
        ),
        ("[weld]\nmost_per_plane = 13\n", "not-possible", 2, "1 to 12"),
        ("[weld]\naim = \"most weights\"\n", "unknown-choice", 2, "fewest weights"),
        ("[show]\nunits = \"imperial\"\n", "unknown-choice", 2, "us"),
    ];
    for (text, code, line, words) in cases {
        let found = fault(text);
        assert_eq!((found.0, found.1), (*code, *line), "{text}\n{}", found.2);
        assert!(found.2.contains(words), "{words}\n{}", found.2);
    }
    let with = |head: &str, text: &str| fault(&format!("{head}{text}"));
    let beyond = with(tube, "[[correction_plane]]\nname = \"rear\"\nposition = \"1290 mm\"\n");
    assert_eq!((beyond.0, beyond.1), ("beyond-tube", 7), "{}", beyond.2);
    let swapped = "[[correction_plane]]\nname = \"rear\"\nposition = \"900 mm\"\n[[correction_plane]]\nname = \"front\"\nposition = \"95 mm\"\n";
    let swapped = with(tube, swapped);
    assert_eq!((swapped.0, swapped.1), ("not-in-order", 10), "{}", swapped.2);
    let part = |from: &str, to: &str, name: &str| {
        format!("[[part]]\nname = \"{name}\"\nmass = \"3 kg\"\nfrom = \"{from} mm\"\nto = \"{to} mm\"\n")
    };
    let backwards = fault(&part("600", "500", "front half"));
    assert_eq!((backwards.0, backwards.1), ("from-after-to", 5), "{}", backwards.2);
    let overlapping = fault(&(part("0", "500", "front half") + &part("400", "900", "rear half")));
    assert_eq!((overlapping.0, overlapping.1), ("parts-overlap", 9), "{}", overlapping.2);
    let unknown_plane = with(plane, "[[no_weld]]\nplane = \"frnt\"\nfrom = \"0 deg\"\nto = \"20 deg\"\n");
    assert_eq!((unknown_plane.0, unknown_plane.1), ("unknown-name", 4), "{}", unknown_plane.2);
    assert!(unknown_plane.2.contains("did you mean `front`?"), "{}", unknown_plane.2);
    let empty_sector = with(plane, "[[no_weld]]\nplane = \"front\"\nfrom = \"20 deg\"\nto = \"20 deg\"\n");
    assert_eq!((empty_sector.0, empty_sector.1), ("not-possible", 6), "{}", empty_sector.2);
    let idle = with(plane, "[[sensor]]\nname = \"front\"\nplane = \"front\"\n");
    assert_eq!((idle.0, idle.1), ("plane-without-shows", 5), "{}", idle.2);
}

#[test]
fn all_faults_of_a_file_are_told_at_once_in_order() {
    let problems = read("[tube]\nwall = 3\n[shaft]\nmass = 14.2\ngrad = 16\n[colour]\n").unwrap_err();
    let lines: Vec<_> = problems.iter().filter_map(|problem| problem.place.line()).collect();
    assert_eq!(lines, [1, 1, 2, 4, 5, 6], "{}", render_all(&problems));
}

#[test]
fn without_tolerance_planes_and_tube_the_outermost_sensors_hold_the_limit() {
    let sensor = |name: &str, at: &str| format!("[[sensor]]\nname = \"{name}\"\nposition = \"{at} mm\"\n");
    let job = good(&(sensor("rear", "900") + &sensor("middle", "500") + &sensor("front", "10")));
    let names: Vec<_> = job.job.tolerance_planes.iter().map(|plane| plane.name.as_str()).collect();
    assert_eq!(names, ["front", "rear"]);
}

proptest::proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC*", bytes in proptest::collection::vec(0u8.., 0..300)) {
        let _ = read(&text).map_err(|problems| render_all(&problems));
        let _ = read(&String::from_utf8_lossy(&bytes)).map_err(|problems| render_all(&problems));
    }

    #[test]
    fn no_change_of_a_good_file_makes_the_reader_panic(at in 0..METRIC.len(), letter in "[\\PC\\n\"=\\[\\]]", cut in 0usize..40) {
        let end = (at + cut).min(METRIC.len());
        let text = format!("{}{letter}{}", &METRIC[..at], &METRIC[end..]);
        let _ = read(&text).map_err(|problems| render_all(&problems));
    }
}

#[test]
fn people_and_photographs_are_read_and_the_technician_is_who_balanced_it() {
    let read = |text: &str| {
        let source = Source::new("job.toml", text);
        JobFile::read(&source, None).unwrap_or_else(|problems| panic!("{}", render_all(&problems)))
    };
    let job =
        read("[job]\nnumber = \"1\"\nby = \"A\"\n[people]\nchecker = \"B\"\n[[photo]]\nfile = \"m.jpg\"\n");
    assert_eq!(
        (job.paperwork.people.technician.as_deref(), job.paperwork.people.checker.as_deref()),
        (Some("A"), Some("B"))
    );
    assert_eq!(
        (job.paperwork.photos[0].file.as_str(), job.paperwork.photos[0].shows.as_str()),
        ("m.jpg", "")
    );
    let job = read("[job]\nnumber = \"1\"\nby = \"A\"\n[people]\ntechnician = \"C\"\n");
    assert_eq!(job.paperwork.people.technician.as_deref(), Some("C"));
    let nameless = Source::new("job.toml", "[job]\nnumber = \"1\"\n[[photo]]\nshows = \"marks\"\n");
    assert_eq!(JobFile::read(&nameless, None).unwrap_err()[0].code, "missing-key");
}
