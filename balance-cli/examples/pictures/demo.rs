//! Invented: the auger drive shaft of rotary snow blower 3, Hollin Pass road depot, and shafts that are hard to draw.

use balance_cli::draw::*;
use balance_cli::paper::Paper;
use balance_core::quantity::Units;
use balance_core::run::{MassAngle, RunKind, Turns};

/// The demo job's pictures: name, scene.
pub fn good() -> Vec<(String, Scene)> {
    let strips =
        wrap_strips(&[front(), rear()], "WP-0417 rotary snow blower 3, auger drive (invented)", Paper::A4);
    let letter: Vec<TubePlane> =
        [front(), rear()].into_iter().map(|plane| TubePlane { units: Units::Both, ..plane }).collect();
    let letter = wrap_strips(&letter, "WP-0417 rotary snow blower 3, auger drive (invented)", Paper::Letter);
    let mut pictures = vec![
        ("readings-front".to_owned(), readings(&front_readings())),
        ("readings-rear".to_owned(), readings(&rear_readings())),
        ("left".to_owned(), left(&what_is_left())),
        ("tube-front".to_owned(), tube(&front())),
        ("tube-rear".to_owned(), tube(&rear())),
        ("side-80".to_owned(), side(&shaft(80.0))),
        ("side-170".to_owned(), side(&shaft(170.0))),
    ];
    pictures.extend(numbered("strip-a4", strips));
    pictures.extend(numbered("strip-letter", letter));
    pictures
}

/// Shafts that are hard to draw.
pub fn hard() -> Vec<(String, Scene)> {
    let mut pictures = vec![
        ("hard-readings-corner".to_owned(), readings(&corner())),
        ("hard-readings-eight".to_owned(), readings(&eight())),
        (
            "hard-readings-none".to_owned(),
            readings(&Readings { runs: Vec::new(), expected: None, ..eight() }),
        ),
        ("hard-readings-below".to_owned(), readings(&below())),
        ("hard-left-three".to_owned(), left(&three_left())),
        ("hard-tube-30".to_owned(), tube(&small_tube())),
        ("hard-tube-200".to_owned(), tube(&large_tube())),
        ("hard-tube-ideal".to_owned(), tube(&ideal_tube())),
        ("hard-tube-close".to_owned(), tube(&close_weights())),
        (
            "us-tube-front".to_owned(),
            tube(&TubePlane {
                place: Some("3 3/4 in from the front joint".to_owned()),
                ..in_inches(front())
            }),
        ),
        ("us-tube-close".to_owned(), tube(&in_inches(close_weights()))),
        ("us-left".to_owned(), left(&Left { units: Units::Us, ..what_is_left() })),
        ("us-readings-front".to_owned(), readings(&Readings { unit: "mil".to_owned(), ..front_readings() })),
        ("hard-side-three".to_owned(), side(&two_piece(80.0))),
        ("hard-side-three-170".to_owned(), side(&two_piece(170.0))),
    ];
    pictures.extend(numbered(
        "hard-strip-200",
        wrap_strips(&[large_tube(), ideal_tube()], "many pieces", Paper::A4),
    ));
    pictures.extend(numbered("hard-strip-30", wrap_strips(&[small_tube()], "small tube", Paper::A4)));
    pictures
}

fn numbered(name: &str, scenes: Vec<Scene>) -> Vec<(String, Scene)> {
    scenes.into_iter().enumerate().map(|(index, scene)| (format!("{name}-{}", index + 1), scene)).collect()
}

fn mark() -> Option<String> {
    Some("paint line on the front yoke ear".to_owned())
}

fn run(label: &str, kind: RunKind, amplitude: f64, degrees: f64) -> RunPoint {
    let base = (kind == RunKind::Trial).then_some(0);
    RunPoint {
        label: label.to_owned(),
        kind,
        shown: Shown::Vector(PolarReading { amplitude, degrees }),
        base,
    }
}

fn expected(amplitude: f64, degrees: f64, radius: f64) -> Option<Expected> {
    Some(Expected { reading: PolarReading { amplitude, degrees }, radius_95: Some(radius) })
}

pub fn front_readings() -> Readings {
    Readings {
        job: "WP-0417".to_owned(),
        good_enough: Some(1.23),
        sensor: "front".to_owned(),
        unit: "mm/s".to_owned(),
        speed_rpm: Some(1800.0),
        counting: PageSense::CounterClockwise,
        counting_words: "lag, against rotation".to_owned(),
        zero_mark: mark(),
        runs: vec![
            run("1", RunKind::Initial, 5.29, 230.0),
            run("2", RunKind::Trial, 8.68, 211.0),
            run("3", RunKind::Trial, 5.34, 241.0),
            run("4", RunKind::Check, 0.15, 59.0),
        ],
        expected: expected(0.1, 100.0, 0.3),
    }
}

pub fn rear_readings() -> Readings {
    Readings {
        sensor: "rear".to_owned(),
        runs: vec![
            run("1", RunKind::Initial, 3.24, 69.0),
            run("2", RunKind::Trial, 3.56, 49.0),
            run("3", RunKind::Trial, 4.38, 124.0),
        ],
        expected: expected(0.05, 20.0, 0.35),
        ..front_readings()
    }
}

fn weight(mass_g: f64, degrees: f64, state: WeightState) -> TubeWeight {
    TubeWeight { mass_g, degrees, width_mm: 25.0, thickness_mm: 3.0, state }
}

fn seam() -> Zone {
    Zone { from_degrees: 350.0, to_degrees: 20.0, reason: "tube seam".to_owned() }
}

pub fn front() -> TubePlane {
    TubePlane {
        job: "WP-0417".to_owned(),
        name: "front".to_owned(),
        place: Some("95 mm from the front joint".to_owned()),
        outer_diameter_mm: 88.9,
        wall_mm: Some(2.4),
        turns: Some(Turns::Clockwise),
        mass_angle: MassAngle::AgainstRotation,
        zero_mark: mark(),
        weights: vec![weight(10.0, 287.0, WeightState::New), weight(15.0, 329.0, WeightState::New)],
        zones: vec![seam()],
        ideal: None,
        units: Units::Metric,
    }
}

pub fn rear() -> TubePlane {
    TubePlane {
        name: "rear".to_owned(),
        place: Some("1290 mm from the front joint".to_owned()),
        weights: vec![
            weight(15.0, 192.0, WeightState::New),
            weight(10.0, 75.0, WeightState::There),
            weight(5.0, 255.0, WeightState::ComesOff),
        ],
        ..front()
    }
}

pub fn what_is_left() -> Left {
    Left {
        units: Units::Metric,
        heading: "WP-0417, check run 4".to_owned(),
        counting: PageSense::CounterClockwise,
        planes: vec![
            left_plane("front joint", (71.0, 201.0), "within what is allowed"),
            left_plane("rear joint", (62.0, 20.0), "within what is allowed"),
        ],
    }
}

fn left_plane(name: &str, (residual, degrees): (f64, f64), verdict: &str) -> LeftPlane {
    LeftPlane {
        name: name.to_owned(),
        residual,
        degrees,
        give_or_take: Some(22.0),
        radius_95: Some(54.0),
        permissible: Some(417.2),
        verdict: verdict.to_owned(),
    }
}

pub fn shaft(width_mm: f64) -> Side {
    let place = |name: &str, position_mm: f64| Place { name: name.to_owned(), position_mm };
    let joint = |name: &str, position_mm: f64| SideJoint {
        name: name.to_owned(),
        position_mm,
        kind: JointKind::Joint,
    };
    let weight = |position_mm: f64, words: &str| SideWeight { position_mm, words: words.to_owned() };
    Side {
        heading: "WP-0417 rotary snow blower 3, auger drive".to_owned(),
        width_mm,
        units: Units::Metric,
        parts: vec![SidePart { name: None, from_mm: 0.0, to_mm: 1385.0, outer_diameter_mm: Some(88.9) }],
        joints: vec![joint("front joint", 0.0), joint("rear joint", 1385.0)],
        tolerance_planes: vec![place("front joint", 0.0), place("rear joint", 1385.0)],
        correction_planes: vec![place("front", 95.0), place("rear", 1290.0)],
        sensors: vec![place("front", 0.0), place("rear", 1385.0)],
        match_marks: vec![place("A", 140.0)],
        weights: vec![
            weight(95.0, "10 g at 287°"),
            weight(95.0, "15 g at 329°"),
            weight(1290.0, "15 g at 192°"),
        ],
    }
}

fn corner() -> Readings {
    Readings {
        sensor: "gearbox flange nearside".to_owned(),
        counting: PageSense::Clockwise,
        counting_words: "lead, with rotation".to_owned(),
        runs: vec![
            run("as found", RunKind::Initial, 5.29, 44.0),
            run("as found again", RunKind::Initial, 5.31, 44.5),
            run("trial front", RunKind::Trial, 5.6, 47.0),
            run("trial rear", RunKind::Trial, 5.2, 42.0),
            run("tried", RunKind::Tried, 5.0, 45.0),
            run("5", RunKind::Check, 5.1, 43.0),
        ],
        expected: expected(5.15, 44.0, 0.2),
        ..front_readings()
    }
}

fn eight() -> Readings {
    Readings {
        sensor: "Prüfstand hinten Ω №2".to_owned(),
        unit: "µm".to_owned(),
        good_enough: Some(12.0),
        runs: vec![
            run("1", RunKind::Initial, 52.9, 230.0),
            run("2", RunKind::Trial, 86.8, 211.0),
            run("3", RunKind::Trial, 53.4, 241.0),
            run("4", RunKind::Trial, 31.0, 300.0),
            run("5", RunKind::Trial, 61.0, 170.0),
            run("6", RunKind::Tried, 6.0, 20.0),
            run("7", RunKind::Check, 7.0, 31.0),
            run("8", RunKind::Check, 3.0, 120.0),
        ],
        expected: expected(5.0, 25.0, 6.0),
        ..front_readings()
    }
}

fn below() -> Readings {
    let shown = Shown::Below(0.1);
    Readings {
        runs: vec![
            run("1", RunKind::Initial, 2.0, 90.0),
            RunPoint { label: "2".to_owned(), kind: RunKind::Check, shown, base: None },
            run("3", RunKind::Check, 0.0, 0.0),
        ],
        expected: None,
        ..front_readings()
    }
}

fn three_left() -> Left {
    let unknown = |plane: LeftPlane| LeftPlane { give_or_take: None, radius_95: None, ..plane };
    Left {
        planes: vec![
            left_plane("front joint", (1042.0, 130.0), "too much is left"),
            LeftPlane {
                radius_95: Some(180.0),
                give_or_take: Some(73.0),
                ..left_plane(
                    "steady bearing at the frame",
                    (390.0, 310.0),
                    "cannot be told yet: two more check runs would decide",
                )
            },
            unknown(left_plane("rear joint", (0.0, 0.0), "cannot be told: no figure for the noise")),
        ],
        ..what_is_left()
    }
}

fn small_tube() -> TubePlane {
    TubePlane {
        name: "steering column rear".to_owned(),
        outer_diameter_mm: 30.0,
        wall_mm: Some(1.5),
        turns: Some(Turns::CounterClockwise),
        weights: vec![
            TubeWeight { width_mm: 12.0, ..weight(2.5, 2.0, WeightState::New) },
            TubeWeight { width_mm: 10.0, ..weight(1.2, 140.0, WeightState::There) },
        ],
        zones: vec![Zone { from_degrees: 200.0, to_degrees: 300.0, reason: "keyway".to_owned() }],
        ..front()
    }
}

fn large_tube() -> TubePlane {
    TubePlane {
        name: "middle".to_owned(),
        place: Some("middle of the tube".to_owned()),
        outer_diameter_mm: 200.0,
        wall_mm: Some(6.0),
        turns: Some(Turns::Clockwise),
        mass_angle: MassAngle::WithRotation,
        weights: vec![
            weight(32.0, 0.0, WeightState::New),
            weight(20.0, 18.0, WeightState::New),
            weight(20.0, 122.0, WeightState::There),
            weight(20.0, 140.0, WeightState::There),
            weight(15.0, 200.0, WeightState::ComesOff),
            weight(15.0, 240.0, WeightState::ComesOff),
        ],
        zones: vec![
            Zone { from_degrees: 80.0, to_degrees: 100.0, reason: "front yoke ear, upper side".to_owned() },
            Zone { from_degrees: 260.0, to_degrees: 280.0, reason: "front yoke ear, lower side".to_owned() },
        ],
        units: Units::Both,
        ..front()
    }
}

/// Weights so close that their labels collide.
fn close_weights() -> TubePlane {
    TubePlane {
        weights: vec![
            TubeWeight { width_mm: 9.0, ..weight(10.0, 300.0, WeightState::New) },
            TubeWeight { width_mm: 9.0, ..weight(5.0, 313.0, WeightState::New) },
            TubeWeight { width_mm: 9.0, ..weight(15.0, 326.0, WeightState::There) },
        ],
        ..front()
    }
}

fn in_inches(plane: TubePlane) -> TubePlane {
    TubePlane { units: Units::Us, ..plane }
}

fn ideal_tube() -> TubePlane {
    TubePlane {
        turns: None,
        weights: Vec::new(),
        ideal: Some(IdealMass { mass_g: 24.87, degrees: 312.0 }),
        ..front()
    }
}

pub fn two_piece(width_mm: f64) -> Side {
    let place = |name: &str, position_mm: f64| Place { name: name.to_owned(), position_mm };
    let joint = |name: &str, position_mm: f64, kind| SideJoint { name: name.to_owned(), position_mm, kind };
    let part = |name: &str, from_mm: f64, to_mm: f64, diameter: f64| SidePart {
        name: Some(name.to_owned()),
        from_mm,
        to_mm,
        outer_diameter_mm: Some(diameter),
    };
    let weight = |position_mm: f64, words: &str| SideWeight { position_mm, words: words.to_owned() };
    Side {
        weights: vec![weight(80.0, "8 g at 40°"), weight(690.0, "12 g at 310°"), weight(1420.0, "5 g at 7°")],
        heading: "WP-0423 sweeper 2, two-piece drive".to_owned(),
        units: Units::Both,
        parts: vec![part("front half", 0.0, 610.0, 76.2), part("rear half", 610.0, 1500.0, 63.5)],
        joints: vec![
            joint("front joint", 0.0, JointKind::Joint),
            joint("steady bearing", 610.0, JointKind::SteadyBearing),
            joint("rear joint", 1500.0, JointKind::Joint),
        ],
        tolerance_planes: vec![
            place("front joint", 0.0),
            place("steady bearing", 610.0),
            place("rear joint", 1500.0),
        ],
        correction_planes: vec![place("front", 80.0), place("middle", 690.0), place("rear", 1420.0)],
        sensors: vec![place("front", 0.0), place("middle", 610.0), place("rear", 1500.0)],
        ..shaft(width_mm)
    }
}
