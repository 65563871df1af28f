//! The pictures: the same bytes every time, the strip's length in the file, and no panic for any input.
//!
//! Golden files are our own past result, inspected before they were accepted. To renew one: `cargo run -p
//! balance-cli --example pictures -- FOLDER`, look, and copy the SVG to `tests/quick/pictures/`.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops at the first surprise")]

#[path = "../../balance-cli/examples/pictures/demo.rs"]
mod demo;
#[path = "pictures/strip_pdf.rs"]
mod strip_pdf;

use balance_cli::draw::*;
use balance_cli::paper::Paper;
use balance_core::quantity::Units;
use balance_core::run::{MassAngle, RunKind, Turns};
use proptest::prelude::*;

fn picture(name: &str) -> Scene {
    let found = demo::good().into_iter().chain(demo::hard()).find(|(other, _)| other == name);
    found.unwrap_or_else(|| panic!("no demo picture {name}")).1
}

fn assert_golden(name: &str, wanted: &str) {
    let got = svg(&picture(name)).unwrap();
    let line = got.lines().zip(wanted.lines()).position(|(got, wanted)| got != wanted);
    assert!(got == wanted, "{name}.svg differs from its golden file at line {:?}", line.map(|line| line + 1));
}

#[test]
fn readings_as_looked_at() {
    assert_golden("readings-front", include_str!("pictures/readings-front.svg"));
    assert_golden("hard-readings-eight", include_str!("pictures/hard-readings-eight.svg"));
}

#[test]
fn what_is_left_as_looked_at() {
    assert_golden("left", include_str!("pictures/left.svg"));
    assert_golden("hard-left-three", include_str!("pictures/hard-left-three.svg"));
}

#[test]
fn tube_as_looked_at() {
    assert_golden("tube-front", include_str!("pictures/tube-front.svg"));
    assert_golden("tube-rear", include_str!("pictures/tube-rear.svg"));
    assert_golden("hard-tube-30", include_str!("pictures/hard-tube-30.svg"));
}

#[test]
fn strip_as_looked_at() {
    assert_golden("hard-strip-30-1", include_str!("pictures/hard-strip-30-1.svg"));
}

#[test]
fn side_view_as_looked_at() {
    assert_golden("side-80", include_str!("pictures/side-80.svg"));
    assert_golden("hard-side-three", include_str!("pictures/hard-side-three.svg"));
}

#[test]
fn the_same_scene_gives_the_same_bytes() {
    let scene = picture("tube-rear");
    assert_eq!(svg(&scene).unwrap(), svg(&picture("tube-rear")).unwrap());
    assert_eq!(png(&scene, 150.0).unwrap(), png(&picture("tube-rear"), 150.0).unwrap());
}

#[test]
fn the_words_stand_in_the_svg() {
    let tube = svg(&picture("tube-front")).unwrap();
    for words in ["10 g", "223 mm, 287°", "255 mm, 329°", "tube seam", "350° to 20°", "once round is 279 mm"]
    {
        assert!(tube.contains(words), "{words:?} is missing in the tube picture");
    }
    let left = svg(&picture("left")).unwrap();
    for words in ["what is left 71,", "give or take 22 g·mm", "allowed 417", "front joint"] {
        assert!(left.contains(words), "{words:?} is missing in the picture of what is left");
    }
    let readings = svg(&picture("readings-front")).unwrap();
    for words in
        ["<title>Readings at the front sensor</title>", "phase counts", "mm/s · 1800 rpm", "expected"]
    {
        assert!(readings.contains(words), "{words:?} is missing in the picture of readings");
    }
}

#[test]
fn every_letter_is_readable_at_80_millimetres() {
    for (name, scene) in demo::good().into_iter().chain(demo::hard()) {
        for mark in scene.marks() {
            if let Mark::Text(text) = mark {
                assert!(text.size >= 6.5, "{name}: {:?} is only {} pt", text.words, text.size);
            }
        }
    }
}

#[test]
fn labels_do_not_lie_on_one_another() {
    for name in [
        "tube-front",
        "tube-rear",
        "hard-tube-200",
        "hard-tube-30",
        "hard-tube-close",
        "us-tube-front",
        "readings-front",
        "hard-readings-corner",
        "side-80",
        "hard-side-three",
    ] {
        let scene = picture(name);
        let frames: Vec<(String, [f64; 4])> = scene
            .marks()
            .filter_map(|mark| match mark {
                Mark::Text(text) => Some((text.words.clone(), frame(text))),
                Mark::Line { .. } | Mark::Area { .. } => None,
            })
            .collect();
        for (index, (words, one)) in frames.iter().enumerate() {
            for (others, other) in &frames[index + 1..] {
                let across = one[2].min(other[2]) - one[0].max(other[0]);
                let down = one[3].min(other[3]) - one[1].max(other[1]);
                assert!(
                    across < 0.5 || down < 0.5,
                    "{name}: {words:?} and {others:?} overlap by {across:.1} × {down:.1} pt"
                );
            }
        }
    }
}

/// Left, top, right, bottom, by widths read from DejaVu Sans with fontTools and rounded down.
fn frame(text: &Text) -> [f64; 4] {
    let letter = |letter: char| match letter {
        'i' | 'j' | 'l' => 0.27,
        't' | 'f' | 'r' | '.' | ',' | ':' | ' ' | '(' | ')' | '/' | '1' => 0.31,
        _ => 0.52,
    };
    let width = text.words.trim().chars().map(letter).sum::<f64>() * text.size;
    let left = match text.anchor {
        Anchor::Start => text.at.x,
        Anchor::Middle => text.at.x - width / 2.0,
        Anchor::End => text.at.x - width,
    };
    [left, text.at.y - text.size * 0.73, left + width, text.at.y]
}

/// Corners of every black area of a tube picture that lies outside the tube: the new weights.
fn black_areas(scene: &Scene) -> Vec<(f64, f64)> {
    let areas = scene.marks().filter_map(|mark| match mark {
        Mark::Area { points, ink: Ink::Black } if points.len() > 8 => Some(points),
        _ => None,
    });
    let middle = |points: &Vec<Point>| {
        let count = points.len() as f64;
        (
            points.iter().map(|point| point.x).sum::<f64>() / count,
            points.iter().map(|point| point.y).sum::<f64>() / count,
        )
    };
    areas.map(middle).collect()
}

/// A weight a quarter turn from the mark, counted against the rotation of a shaft that turns clockwise seen from the
/// front, lies where the clock says nine. Trade usage, no source; all four combinations follow from it.
#[test]
fn weights_lie_on_the_side_the_counting_says() {
    let nine = -1.0;
    let cases = [
        (Some(Turns::Clockwise), MassAngle::AgainstRotation, nine),
        (Some(Turns::Clockwise), MassAngle::WithRotation, -nine),
        (Some(Turns::CounterClockwise), MassAngle::AgainstRotation, -nine),
        (Some(Turns::CounterClockwise), MassAngle::WithRotation, nine),
    ];
    for (turns, mass_angle, side) in cases {
        let weight = TubeWeight {
            mass_g: 10.0,
            degrees: 90.0,
            width_mm: 25.0,
            thickness_mm: 3.0,
            state: WeightState::New,
        };
        let plane =
            TubePlane { turns, mass_angle, weights: vec![weight], zones: Vec::new(), ..demo::front() };
        let scene = tube(&plane);
        let (x, _) = black_areas(&scene)[0];
        assert!(
            (x - scene.width / 2.0) * side > 60.0,
            "{turns:?} {mass_angle:?}: weight at x = {x} of {}",
            scene.width
        );
        let strip = svg(&wrap_strips(&[plane], "", Paper::A4)[0]).unwrap();
        // Standing at the front with the strip on top of the tube, "numbers to the right" is clockwise seen from the
        // front, and the lower edge is the near one.
        let (upper, lower) = (
            strip.contains("↑ this edge towards the FRONT"),
            strip.contains("↓ this edge towards the FRONT"),
        );
        assert_eq!((upper, lower), (side == nine, side != nine), "{turns:?} {mass_angle:?}");
    }
}

/// Millimetres per unit, from the file's own header.
fn millimetres_a_unit(svg: &str) -> f64 {
    let after = |key: &str| svg.split_once(key).unwrap().1.split(['"', 'm']).next().unwrap().to_owned();
    let units: f64 = after("viewBox=\"0 0 ").split(' ').next().unwrap().parse().unwrap();
    after(" width=\"").parse::<f64>().unwrap() / units
}

/// Least and largest x of the first outline of a group, in units.
fn cutting_line(svg: &str, id: &str) -> Option<(f64, f64)> {
    let group = svg.split_once(&format!("<g id=\"{id}\""))?.1;
    let points = group.split_once("points=\"")?.1.split('"').next()?;
    let across =
        points.split_whitespace().map(|point| point.split(',').next().unwrap().parse::<f64>().unwrap());
    Some(across.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x))))
}

/// Outer diameters of EN 10220 and ASME B36.10 tubes, and a round 200 (from memory); π × diameter by Python's
/// `math.pi`. The file is measured, not our own figures.
#[test]
fn the_strip_is_as_long_as_once_round() {
    let tubes = [
        (30.0, 94.247_779_607_693_79),
        (60.3, 189.438_037_011_464_5),
        (76.2, 239.389_360_203_542_2),
        (88.9, 279.287_586_904_132_6),
        (101.6, 319.185_813_604_723),
        (127.0, 398.982_267_005_903_7),
        (200.0, 628.318_530_717_958_6),
    ];
    for paper in [Paper::A4, Paper::Letter] {
        for units in [Units::Metric, Units::Us, Units::Both] {
            for (outer_diameter_mm, wanted) in tubes {
                let plane = TubePlane { outer_diameter_mm, units, ..demo::front() };
                let sheets = wrap_strips(&[plane], "strip", paper);
                let got: f64 = sheets.iter().map(|sheet| drawn_length(&svg(sheet).unwrap(), paper)).sum();
                assert!(
                    (got - wanted).abs() < 0.1,
                    "{outer_diameter_mm} mm on {paper:?}: wanted {wanted}, got {got}"
                );
            }
        }
    }
}

/// The length of all pieces of strip 1 on a sheet, each checked to lie on it.
fn drawn_length(svg: &str, paper: Paper) -> f64 {
    let scale = millimetres_a_unit(svg);
    let pieces = (1..40).filter_map(|piece| cutting_line(svg, &format!("strip-1-{piece}")));
    pieces
        .map(|(from, to)| {
            assert!(from * scale > 4.0 && to * scale < paper.landscape().0 - 4.0, "a piece leaves the sheet");
            (to - from) * scale
        })
        .sum()
}

/// ISO 216 A4 and ANSI/ASME Y14.1 A sheets.
#[test]
fn the_sheet_has_the_paper_s_size() {
    let sheet = |paper| svg(&wrap_strips(&[demo::front()], "", paper)[0]).unwrap();
    assert!(sheet(Paper::A4).contains("width=\"297.000mm\" height=\"210.000mm\""));
    assert!(sheet(Paper::Letter).contains("width=\"279.400mm\" height=\"215.900mm\""));
}

/// 88.9 mm tube, 287° = 222.65 mm of tape (287 / 360 × 279.288, by hand).
#[test]
fn the_strip_marks_a_weight_s_middle_at_its_tape() {
    let sheet = svg(&wrap_strips(&[demo::front()], "", Paper::A4)[0]).unwrap();
    let scale = millimetres_a_unit(&sheet);
    let (from, _) = cutting_line(&sheet, "strip-1-1").unwrap();
    let middles = sheet.lines().filter(|line| line.contains("stroke-width=\"20\"")).filter_map(|line| {
        let points = line.split_once("points=\"")?.1;
        points.split(',').next()?.parse::<f64>().ok()
    });
    let nearest = middles.map(|x| ((x - from) * scale - 222.65).abs()).fold(f64::INFINITY, f64::min);
    assert!(nearest < 0.1, "nearest middle mark is {nearest} mm off");
}

#[test]
fn the_scale_bar_is_100_millimetres() {
    let sheet = svg(&wrap_strips(&[demo::front()], "", Paper::A4)[0]).unwrap();
    let (from, to) = cutting_line(&sheet, "scale-bar").unwrap();
    let length = (to - from) * millimetres_a_unit(&sheet);
    assert!((length - 100.0).abs() < 0.05, "got {length} mm");
}

#[test]
fn a_png_decodes_and_is_neither_blank_nor_black() {
    for (name, scene) in demo::good() {
        let bytes = png(&scene, 100.0).unwrap();
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
        let mut dots = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut dots).unwrap();
        assert_eq!(f64::from(info.width), (scene.width * 100.0 / 72.0).round(), "{name}");
        let dark = dots.iter().filter(|&&dot| dot < 100).count() as f64 / dots.len() as f64;
        assert!((0.002..0.3).contains(&dark), "{name}: {dark} of the dots are dark");
    }
}

#[test]
fn a_sheet_without_size_is_refused() {
    let empty = Scene::new(0.0, 10.0, "nothing");
    assert!(matches!(svg(&empty), Err(RenderError::Size { .. })));
    assert!(matches!(png(&picture("left"), 1e6), Err(RenderError::Size { .. })));
    assert!(matches!(png(&picture("left"), f64::NAN), Err(RenderError::Size { .. })));
}

#[test]
fn unprintable_letters_do_not_spoil_the_svg() {
    let plane = TubePlane { name: "fr\u{0}o<n>t & \"x\"\u{FFFF}".to_owned(), ..demo::front() };
    let text = svg(&tube(&plane)).unwrap();
    assert!(text.contains("FR O&lt;N&gt;T &amp; &quot;X&quot;"));
    assert!(!text.contains(['\u{0}', '\u{FFFF}']));
}

fn number() -> impl Strategy<Value = f64> {
    use proptest::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    prop_oneof![NORMAL | SUBNORMAL | ZERO | POSITIVE | NEGATIVE, -500.0..500.0, Just(0.0)]
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![".{0,40}", "[a-z ]{0,12}"]
}

prop_compose! {
    fn any_weight()(mass_g in number(), degrees in number(), width_mm in number(), thickness_mm in number(), state in 0..3) -> TubeWeight {
        let state = [WeightState::New, WeightState::There, WeightState::ComesOff][state as usize];
        TubeWeight { mass_g, degrees, width_mm, thickness_mm, state }
    }
}

prop_compose! {
    fn any_plane()(
        (name, place, zero_mark) in (words(), proptest::option::of(words()), proptest::option::of(words())),
        outer_diameter_mm in prop_oneof![number(), 20.0..300.0],
        wall_mm in proptest::option::of(number()),
        turns in prop_oneof![Just(None), Just(Some(Turns::Clockwise)), Just(Some(Turns::CounterClockwise))],
        weights in proptest::collection::vec(any_weight(), 0..9),
        zones in proptest::collection::vec((number(), number(), words()), 0..4),
        ideal in proptest::option::of((number(), number())),
        units in prop_oneof![Just(Units::Metric), Just(Units::Us), Just(Units::Both)],
    ) -> TubePlane {
        let zone = |(from_degrees, to_degrees, reason)| Zone { from_degrees, to_degrees, reason };
        TubePlane {
            job: String::new(), name, place, outer_diameter_mm, wall_mm, turns, mass_angle: MassAngle::WithRotation, zero_mark, weights,
            zones: zones.into_iter().map(zone).collect(),
            ideal: ideal.map(|(mass_g, degrees)| IdealMass { mass_g, degrees }),
            units,
        }
    }
}

prop_compose! {
    fn any_run()(label in words(), kind in 0..4, amplitude in number(), degrees in number(), below in any::<bool>(), base in proptest::option::of(0_usize..9)) -> RunPoint {
        let kind = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check][kind as usize];
        let shown = if below { Shown::Below(amplitude) } else { Shown::Vector(PolarReading { amplitude, degrees }) };
        RunPoint { label, kind, shown, base }
    }
}

prop_compose! {
    fn any_readings()(
        (sensor, unit, counting_words) in (words(), words(), words()),
        runs in proptest::collection::vec(any_run(), 0..12),
        expected in proptest::option::of((number(), number(), proptest::option::of(number()))),
        (speed_rpm, good_enough) in (proptest::option::of(number()), proptest::option::of(number())),
    ) -> Readings {
        let expected = expected.map(|(amplitude, degrees, radius_95)| Expected { reading: PolarReading { amplitude, degrees }, radius_95 });
        Readings { job: String::new(), good_enough, sensor, unit, speed_rpm, counting: PageSense::Clockwise, counting_words, zero_mark: None, runs, expected }
    }
}

fn any_places() -> impl Strategy<Value = Vec<Place>> {
    proptest::collection::vec(
        (words(), number()).prop_map(|(name, position_mm)| Place { name, position_mm }),
        0..6,
    )
}

prop_compose! {
    fn any_side()(
        heading in words(),
        width_mm in number(),
        parts in proptest::collection::vec((number(), number(), proptest::option::of(number())), 0..4),
        joints in any_places(),
        (tolerance_planes, correction_planes, sensors, match_marks) in (any_places(), any_places(), any_places(), any_places()),
    ) -> Side {
        let part = |(from_mm, to_mm, outer_diameter_mm)| SidePart { name: None, from_mm, to_mm, outer_diameter_mm };
        let joint = |place: Place| SideJoint { name: place.name, position_mm: place.position_mm, kind: JointKind::SteadyBearing };
        Side {
            heading, width_mm, units: Units::Both, tolerance_planes, correction_planes, sensors, match_marks,
            parts: parts.into_iter().map(part).collect(),
            joints: joints.into_iter().map(joint).collect(),
            weights: Vec::new(),
        }
    }
}

/// Both renderings succeed, and the SVG has no character that XML forbids.
fn assert_renders(scene: &Scene) {
    let text = svg(scene).unwrap();
    assert!(!text.chars().any(|letter| letter.is_control() && letter != '\n'));
    assert!(!text.contains("NaN") && !text.contains("inf\""));
    png(scene, 20.0).unwrap();
    pdf(std::slice::from_ref(scene), Paper::Letter).unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_tube_renders(plane in any_plane()) {
        assert_renders(&tube(&plane));
    }

    #[test]
    fn any_strip_renders(plane in any_plane()) {
        let sheets = wrap_strips(&[plane], "any", Paper::A4);
        sheets.iter().take(2).for_each(assert_renders);
    }

    #[test]
    fn any_readings_render(input in any_readings()) {
        assert_renders(&readings(&input));
    }

    #[test]
    fn any_side_renders(input in any_side()) {
        assert_renders(&side(&input));
    }

    #[test]
    fn anything_left_renders(figures in proptest::collection::vec((words(), number(), number(), proptest::option::of(number())), 0..5)) {
        let planes = figures.into_iter().map(|(name, residual, degrees, limit)| LeftPlane {
            verdict: name.clone(), name, residual, degrees, give_or_take: limit, radius_95: limit, permissible: limit,
        });
        assert_renders(&left(&Left { heading: String::new(), units: Units::Both, counting: PageSense::Clockwise, planes: planes.collect() }));
    }
}
