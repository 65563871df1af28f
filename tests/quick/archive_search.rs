//! Finding, showing, superseding, types; and archives written by earlier versions.

use balance_cli::archive::{
    Added, Archive, ArchiveFault, NewRecord, Opening, Query, SqliteArchive, TubeSize, answers_text, csv_of,
    json_of, lines_of_record, lines_of_type, type_report,
};
use balance_core::Complex64;
use balance_core::correction::correct;
use balance_core::influence::{Options, estimate};
use balance_core::influence::{ShaftAnswers, TypeFault};
use balance_core::quantity::{Length, Units};
use balance_core::run::{Convention, MassAngle, Noise, RunKind};
use balance_tests::archive::{TYPES, millimetres, record, record_with_photo};
use balance_tests::random::Random;
use balance_tests::shaft::{LinearShaft, Needles, run, set};

fn archive() -> (tempfile::TempDir, SqliteArchive) {
    let folder = tempfile::tempdir().expect("a folder");
    let archive = SqliteArchive::open_or_create(&folder.path().join("a.sqlite"), Opening::default());
    (folder, archive.expect("it opens"))
}

fn ids(archive: &SqliteArchive, words: &[&str]) -> Vec<i64> {
    let found = archive.find(&Query::of(words), 20).expect("it can be searched");
    found.iter().map(|line| line.id).collect()
}

#[test]
fn words_in_any_order_beginnings_and_sizes_find_a_shaft() {
    let (_folder, mut archive) = archive();
    let blower = NewRecord {
        number: "WP-0417".into(),
        customer: "Hollin Pass road depot".into(),
        unit: "rotary snow blower 3, auger drive".into(),
        technician: "Zoë Ålder".into(),
        tube: TubeSize {
            outer_diameter: millimetres(88.9),
            wall: millimetres(2.4),
            length: millimetres(1385.0),
        },
        made_at: "2031-02-03T10:00:00+01:00".into(),
        ..NewRecord::default()
    };
    let sweeper = NewRecord {
        number: "WP-0418".into(),
        unit: "road sweeper 2".into(),
        tube: TubeSize { outer_diameter: millimetres(76.2), wall: None, length: millimetres(910.0) },
        made_at: "2032-02-03T10:00:00Z".into(),
        ..blower.clone()
    };
    archive.add(&blower).expect("it takes a record");
    archive.add(&sweeper).expect("it takes a record");
    for (words, wanted) in [
        (&["hollin", "blower", "2031"][..], &[1][..]),
        (&["2031", "HOLLIN", "blow"], &[1]),
        (&["hollin"], &[2, 1]),
        (&["zoe alder"], &[2, 1]),
        (&["wp-0418"], &[2]),
        (&["88.9mm"], &[1]),
        (&["3.5 in", "1384 mm"], &[1]),
        (&["910mm", "sweeper"], &[2]),
        (&["910mm", "blower"], &[]),
        (&["88.9"], &[1]),
        (&["\"", "*", "-"], &[]),
        (&["NEAR(", "hollin\" OR \"x"], &[]),
        (&[], &[2, 1]),
    ] {
        assert_eq!(ids(&archive, words), wanted, "{words:?}");
    }
}

#[test]
fn the_closest_match_comes_first() {
    let (_folder, mut archive) = archive();
    for (at, unit) in
        ["bus 14, rear drive", "bus 142", "14 seats, bus", "bus 141", "minibus 7"].iter().enumerate()
    {
        let number = format!("J{}", at + 1);
        let made_at = "2031-02-03T10:00:00Z".into();
        let record = NewRecord { number, unit: (*unit).into(), made_at, ..NewRecord::default() };
        archive.add(&record).expect("it takes a record");
    }
    assert_eq!(ids(&archive, &["bus 14"]), [1, 3, 4, 2], "the phrase, whole words, beginnings");
    assert_eq!(ids(&archive, &["bus", "14"]), [1, 3, 4, 2]);
    assert_eq!(ids(&archive, &["J1"]), [1]);
    let two = archive.find(&Query::of(&["bus 14"]), 2).expect("it can be searched");
    assert_eq!(two.iter().map(|line| line.id).collect::<Vec<i64>>(), [1, 3]);
}

#[test]
fn the_same_job_is_one_record_and_a_superseded_one_says_so() {
    let (_folder, mut archive) = archive();
    assert_eq!(archive.add(&record(1)).expect("it takes a record"), Added::Stored(1));
    let later = NewRecord { made_at: "2040-01-01T00:00:00Z".into(), program: "9.9.9".into(), ..record(1) };
    assert_eq!(archive.add(&later).expect("it knows the job"), Added::AlreadyThere(1));
    let corrected = NewRecord { supersedes: Some(1), ..record(1) };
    assert_eq!(archive.add(&corrected).expect("it takes the correction"), Added::Stored(2));
    assert_eq!(archive.add(&corrected).expect("it knows the correction"), Added::AlreadyThere(2));
    let again = NewRecord { technician: "Elm".into(), ..corrected };
    assert!(matches!(archive.add(&again), Err(ArchiveFault::AlreadySuperseded { id: 1, by: 2 })));
    let nothing = NewRecord { supersedes: Some(77), ..record(3) };
    assert!(matches!(archive.add(&nothing), Err(ArchiveFault::NoSuchRecord { id: 77, newest: 2 })));
    let timeless = NewRecord { made_at: "today".into(), ..record(4) };
    assert!(matches!(archive.add(&timeless), Err(ArchiveFault::Time { .. })));
    let shown = archive.show(1).expect("it is still there");
    assert_eq!(shown.line.superseded_by, Some(2));
    assert!(lines_of_record(&shown, Units::Metric).iter().any(|line| line.contains("record 2: see there")));
    assert!(matches!(archive.show(9), Err(ArchiveFault::NoSuchRecord { id: 9, newest: 2 })));
}

#[test]
fn show_begins_with_who_vehicle_marks_weights_verdict_speed() {
    let (_folder, mut archive) = archive();
    archive.add(&record_with_photo(5, 10)).expect("it takes a record");
    let lines = lines_of_record(&archive.show(1).expect("it is there"), Units::Metric);
    let begins = ["customer", "vehicle", "marks", "weights", "verdict", "speed"];
    for (line, word) in lines.iter().zip(begins) {
        assert!(line.starts_with(word), "{line}");
    }
    assert!(
        lines.iter().any(|line| line.starts_with("attachment") && line.contains("photo-5.jpg (10 bytes)"))
    );
}

/// Read back by the general-purpose readers of JSON and CSV.
#[test]
fn what_is_exported_can_be_read_back() {
    let (_folder, mut archive) = archive();
    let strange = NewRecord {
        unit: "gritter \"4\", left; drive\nsecond line".into(),
        inputs: vec![("runs.csv".into(), vec![0xE4, 0x80])],
        ..record(7)
    };
    archive.add(&strange).expect("it takes a record");
    let shown = archive.show(1).expect("it is there");
    let json: serde_json::Value = serde_json::from_str(&json_of(&shown)).expect("it is JSON");
    assert_eq!(json["unit"], serde_json::json!(strange.unit));
    assert_eq!(json["inputs"][0]["hex"], "e480");
    assert_eq!(json["length_mm"].as_f64(), strange.tube.length.map(Length::millimetres));
    let table = csv_of(&archive.list(5).expect("it can be listed"));
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let row = reader.records().next().expect("a row").expect("a whole row");
    let unit = header.iter().position(|name| name == "unit").expect("the column");
    assert_eq!(&row[unit], strange.unit.as_str());
}

#[test]
fn a_type_pools_its_shafts_and_leaves_superseded_ones_out() {
    let (_folder, mut archive) = archive();
    // Records of one type are TYPES apart.
    for at in 0..40 {
        archive.add(&record(3 + at * TYPES)).expect("it takes a record");
    }
    let key = record(3).shaft_type;
    let same_type = |record: NewRecord| NewRecord { shaft_type: key.clone(), ..record };
    let other_planes = record(4).answers.map(|text| text.replace("\"rear\"],", "\"middle\"],"));
    archive.add(&same_type(NewRecord { answers: other_planes, ..record(1000) })).expect("it takes a record");
    archive.add(&same_type(NewRecord { supersedes: Some(1), ..record(3) })).expect("it takes a record");
    let histories = archive.types(key.as_deref()).expect("types can be read");
    let report = type_report(&histories[0]);
    let all = (0..40).filter(|at| record(3 + at * TYPES).shaft_type == key).count();
    assert_eq!(report.shafts as usize, all + 1, "superseded once, other planes once");
    assert_eq!(report.left_out, [(41, "other planes")]);
    let scatter = report.largest_scatter();
    println!("{:?}", lines_of_type(&report));
    assert!(all >= 4 && scatter.is_some_and(|share| (0.01..0.15).contains(&share)), "{scatter:?}");
    assert_eq!(archive.types(Some("no such type")).expect("types can be read"), []);
}

/// Shafts measured with three runs go into the archive; with what the archive then knows, the correction of
/// the next shaft is found from the initial run alone, whichever way the job counts its masses.
#[test]
fn what_the_archive_knows_of_a_type_corrects_the_next_shaft() {
    let (_folder, mut archive) = archive();
    let needles = Needles { fraction: 0.005, floor: 0.0 };
    let mut random = Random::seeded(12);
    let counting = |shaft: &LinearShaft, way: MassAngle| {
        let mut setup = shaft.setup(Noise::known(0.005, 1e-9));
        setup.convention = Convention { mass_angle: way, stated: true, ..Convention::unstated() };
        setup
    };
    let zero = [Complex64::ZERO; 2];
    for index in 0..6 {
        let shaft = LinearShaft::two_planes(&mut random);
        let mut read = |kind, label: &str, loads: &[Complex64]| {
            run(label, kind, loads, &needles.read(&shaft.readings(loads), &mut random))
        };
        let runs = vec![
            read(RunKind::Initial, "1", &zero),
            read(RunKind::Trial, "2", &[Complex64::ONE, Complex64::ZERO]),
            read(RunKind::Trial, "3", &[Complex64::ZERO, Complex64::I]),
        ];
        let set = set(counting(&shaft, MassAngle::AgainstRotation), runs);
        let influence = estimate(&set, &Options::default()).expect("three runs tell both planes");
        let answers = ShaftAnswers::of(&set, &influence, None).expect("noise is stated");
        let shaft_type = Some("auger drive".into());
        let made = NewRecord { answers: Some(answers_text(&answers)), shaft_type, ..record(index) };
        archive.add(&made).expect("it takes a record");
    }
    let report = type_report(&archive.types(Some("auger drive")).expect("types can be read")[0]);
    let next = LinearShaft::two_planes(&mut random);
    let readings = next.readings(&zero);
    for way in [MassAngle::AgainstRotation, MassAngle::WithRotation] {
        // Counted the other way round every vector of the same shaft is mirrored.
        let counted =
            |vector: &Complex64| if way == MassAngle::WithRotation { vector.conj() } else { *vector };
        let shown: Vec<Complex64> = readings.iter().map(counted).collect();
        let set = set(counting(&next, way), vec![run("1", RunKind::Initial, &zero, &shown)]);
        let prior = report.prior_for(&set).expect("the type is known");
        let influence = estimate(&set, &Options { prior: Some(&prior), ..Options::default() });
        let correction = correct(&set, &influence.expect("the type tells both planes"));
        for (plane, unbalance) in correction.planes.iter().zip(&next.unbalance) {
            let left = (plane.add.vector() + counted(unbalance)).norm();
            assert!(left < 0.05, "{way:?}: {left} left");
        }
    }
    let mut other = counting(&next, MassAngle::AgainstRotation);
    other.planes[1].name = "middle".into();
    let set = set(other, vec![run("1", RunKind::Initial, &zero, &readings)]);
    assert!(matches!(report.prior_for(&set), Err(TypeFault::OtherPlanes { .. })));
}
