//! Every caution: its code, its level, what it bears on, and its units.

use std::collections::{BTreeMap, BTreeSet};

use super::{AssumedWidth, Bound, Caution, FixtureLeftIn, Level, LikelyCause, NoCriticalSpeed, WidthLike};
use crate::quantity::{Quantity, Units, parse};

fn of<Q: Quantity>(text: &str) -> Q {
    parse(text).unwrap()
}

fn assumed(like: WidthLike) -> AssumedWidth {
    AssumedWidth { plane: "front".into(), mass: of("16 g"), degrees: 255.0, width: of("30 mm"), like }
}

fn bound(value: f64) -> Bound {
    Bound { value, basis: "your setting".into() }
}

/// Names every variant: one that is forgotten here does not compile, one without an example fails.
macro_rules! variants {
    ($($name:ident),+ $(,)?) => {
        const VARIANTS: &[&str] = &[$(stringify!($name)),+];

        fn variant(caution: &Caution) -> &'static str {
            match caution {
                $(Caution::$name { .. } => stringify!($name)),+
            }
        }
    };
}

variants![
    Windows1252,
    MaterialUnknown,
    MaterialNotInTable,
    MassUnknown,
    MassEstimated,
    MassDisagrees,
    MassFarOff,
    PartsDoNotAddUp,
    MassCentreNotUsed,
    ServiceSpeedNotStated,
    ServiceSpeedBelowReach,
    SpeedNotChecked,
    CriticalSpeedNotChecked,
    NearCriticalSpeed,
    BeyondMargin,
    BeyondStandSpeed,
    NotRigidEnough,
    Elastic,
    RidesOnBearing,
    BearingTakenStiff,
    SteadyBearingAssumed,
    RunoutNotChecked,
    RunoutBeyondLimit,
    RunoutOverLimit,
    RunoutNeedsLength,
    StraightenFirst,
    Overridden,
    JointAngleSmall,
    JointAngleLarge,
    YokesOutOfPhase,
    JointAnglesDiffer,
    TorsionalAcceleration,
    InertiaAcceleration,
    NotInspected,
    NotChecked,
    TrialUnknownEffect,
    TrialLimited,
    TrialTooLargeForStand,
    WorstTrialReading,
    WorstTrialReadingUnknown,
    DriftNotDeterminable,
    PriorDropped,
    SensorLeftOut,
    CheckDisagrees,
    ScatterAboveStated,
    RunsContradict,
    NoiseUnknown,
    TrialWeak,
    TrialTooSmall,
    SpeedsDiffer,
    FewerSensorsThanPlanes,
    PlanesActAlike,
    ConventionUnstated,
    ConventionUnproved,
    ThirdCorrection,
    CorrectionManyTimesPermissible,
    CorrectionLikeBow,
    BoxNotUsable,
    WeldingMaterialUnknown,
    MaterialNotWeldable,
    HeatAndCurrent,
    ThinWall,
    TotalMassAboveUsual,
    WeightsFallShort,
    WeightWithoutWidth,
    WidthAssumed,
    PlaceErrorNotUsed,
    WeightInNoWeld,
    WeightsOverlap,
    BendingNotJudged,
    OneMounting,
    DriftNotMeasured,
    WithoutPhase,
    ProvedLongAgo,
    FixtureTakenOff,
    FixtureLeftIn,
    ReadingsUnexplained,
    CoupleNotJudged,
    CheckDisagreed,
    StandBelowService,
    SpeedWithoutCheck,
];

/// At least one of every variant; the figures are invented.
fn examples() -> Vec<Caution> {
    let mut all = of_the_shaft();
    all.extend(of_the_joints());
    all.extend(of_the_runs());
    all.extend(of_the_weights());
    all
}

fn of_the_shaft() -> Vec<Caution> {
    let purpose = || "stand speed".to_owned();
    let speed = || of("1500 rpm");
    let unchecked = [
        NoCriticalSpeed::AtSpeed { speed: speed(), purpose: purpose() },
        NoCriticalSpeed::NoJob,
        NoCriticalSpeed::TubeUnknown,
        NoCriticalSpeed::NotABeam { faults: vec!["the tube has no wall".into()] },
    ];
    let mut all: Vec<Caution> =
        unchecked.into_iter().map(|why| Caution::CriticalSpeedNotChecked { why }).collect();
    all.extend([
        Caution::Windows1252 { file: "runs.csv".into() },
        Caution::MaterialUnknown,
        Caution::MaterialNotInTable { name: "bronze".into() },
        Caution::MassUnknown,
        Caution::MassEstimated { mass: of("12.5 kg"), ends_counted: false },
        Caution::MassEstimated { mass: of("12.5 kg"), ends_counted: true },
        Caution::MassDisagrees { weighed: of("15 kg"), estimated: of("12 kg"), let_pass: bound(0.15) },
        Caution::MassFarOff { stated: of("30 kg"), usual: of("12 kg"), beyond_doubt: false },
        Caution::MassFarOff { stated: of("120 kg"), usual: of("12 kg"), beyond_doubt: true },
        Caution::PartsDoNotAddUp { whole: of("15 kg"), parts: of("16 kg"), let_pass: of("450 g") },
        Caution::MassCentreNotUsed,
        Caution::ServiceSpeedNotStated,
        Caution::ServiceSpeedBelowReach { reached: of("2500 rpm"), stated: of("2000 rpm") },
        Caution::SpeedNotChecked,
        Caution::NearCriticalSpeed { speed: speed(), purpose: purpose(), critical: of("1600 rpm") },
        Caution::BeyondMargin {
            speed: speed(),
            purpose: purpose(),
            critical: of("2000 rpm"),
            limit: bound(0.7),
        },
        Caution::BeyondStandSpeed { speed: speed(), limit: of("1200 rpm") },
        Caution::NotRigidEnough { ratio: 0.6, limit: bound(0.5) },
        Caution::Elastic { returning_share: 0.29 },
        Caution::RidesOnBearing { critical: of("2100 rpm") },
        Caution::BearingTakenStiff,
        Caution::SteadyBearingAssumed,
        Caution::RunoutNotChecked,
        Caution::RunoutBeyondLimit,
        Caution::RunoutOverLimit {
            position_millimetres: 650.0,
            reading_millimetres: 0.4,
            limit_millimetres: 0.25,
        },
        Caution::RunoutNeedsLength,
        Caution::StraightenFirst { explained_gram_millimetres: 900.0, permissible: of("400 g.mm") },
        Caution::Overridden { by: "J. Stoker".into(), reason: "short trial run only".into() },
        Caution::NotInspected { points: vec!["welds".into(), "slip joint".into()] },
        Caution::NotChecked { runout: true, points: vec!["welds".into()] },
    ]);
    all
}

fn of_the_joints() -> Vec<Caution> {
    vec![
        Caution::JointAngleSmall { joint: 1, degrees: 0.2, limit: bound(0.5) },
        Caution::JointAngleLarge { joint: 2, degrees: 6.0, limit: bound(3.0) },
        Caution::YokesOutOfPhase { joint: 2, degrees: 12.0, limit: bound(1.0) },
        Caution::JointAnglesDiffer { degrees: 1.5, limit: bound(1.0) },
        Caution::TorsionalAcceleration { radians_per_second_squared: 420.0, limit: bound(300.0) },
        Caution::InertiaAcceleration {
            driving: true,
            radians_per_second_squared: 1200.0,
            limit: bound(1000.0),
        },
        Caution::InertiaAcceleration {
            driving: false,
            radians_per_second_squared: 1100.0,
            limit: bound(1000.0),
        },
    ]
}

fn of_the_runs() -> Vec<Caution> {
    let sensor = || "front".to_owned();
    let story = || "the trial mass of run 3 was still on in run 4".to_owned();
    let or = Some("none of the new weights was on in run 4".into());
    let (worst, unit) = (7.25, || "mm/s".to_owned());
    vec![
        Caution::TrialUnknownEffect,
        Caution::TrialLimited,
        Caution::TrialTooLargeForStand { sensor: sensor(), unit: unit(), worst, limit: 7.0 },
        Caution::WorstTrialReading { sensor: sensor(), unit: unit(), worst, limit: Some(8.0) },
        Caution::WorstTrialReading { sensor: sensor(), unit: unit(), worst, limit: None },
        Caution::WorstTrialReadingUnknown { sensor: sensor() },
        Caution::DriftNotDeterminable,
        Caution::PriorDropped,
        Caution::SensorLeftOut { sensor: sensor() },
        Caution::CheckDisagrees { run: "4".into(), cause: None },
        Caution::CheckDisagrees {
            run: "4".into(),
            cause: Some(LikelyCause::FitsBest { story: story(), or }),
        },
        Caution::ScatterAboveStated { sensor: sensor() },
        Caution::RunsContradict { cause: LikelyCause::FitsBest { story: story(), or: None } },
        Caution::RunsContradict { cause: LikelyCause::NoneOfTheUsual },
        Caution::NoiseUnknown,
        Caution::TrialWeak,
        Caution::TrialTooSmall { run: "2".into() },
        Caution::SpeedsDiffer { slowest_rpm: 1480.0, fastest_rpm: 1510.0 },
        Caution::FewerSensorsThanPlanes { readings: 1, planes: 2 },
        Caution::PlanesActAlike { planes: vec!["front".into(), "rear".into()], factor: 8.0 },
        Caution::ConventionUnstated,
        Caution::ConventionUnproved { share_left: 1.2 },
        Caution::BendingNotJudged,
        Caution::OneMounting,
        Caution::DriftNotMeasured,
        Caution::WithoutPhase { runs: 7 },
        Caution::FixtureTakenOff { amount: 120.0, source: "proved 2026-11-27, 12 readings".into() },
        Caution::FixtureLeftIn {
            amount: 128.0,
            why: FixtureLeftIn::WithoutPhase,
            source: "proved 2026-11-27, 12 readings".into(),
        },
        Caution::FixtureLeftIn {
            amount: 128.0,
            why: FixtureLeftIn::OtherPlanes {
                proved: vec!["front".into(), "rear".into()],
                here: vec!["left".into(), "right".into()],
            },
            source: "proved 2026-11-27, 12 readings".into(),
        },
        Caution::ProvedLongAgo { figure: "least unbalance".into(), day: "2025-03-01".into(), months: 12.0 },
        Caution::ReadingsUnexplained,
        Caution::CoupleNotJudged,
        Caution::CheckDisagreed { run: "4".into() },
        Caution::StandBelowService { stand_rpm: 1500.0, service_rpm: 3000.0, bow_counted: true },
        Caution::StandBelowService { stand_rpm: 1500.0, service_rpm: 3000.0, bow_counted: false },
        Caution::SpeedWithoutCheck,
    ]
}

fn of_the_weights() -> Vec<Caution> {
    let plane = || "rear".to_owned();
    let heavy = |total| Caution::TotalMassAboveUsual {
        plane: plane(),
        total: of(total),
        usual: of("80 g"),
        most: of("120 g"),
    };
    vec![
        Caution::ThirdCorrection,
        Caution::CorrectionManyTimesPermissible { times: 14.0 },
        Caution::CorrectionLikeBow { reading_millimetres: 1.3, limit: of("0.5 mm") },
        Caution::BoxNotUsable { fault: "the box is empty".into() },
        Caution::WeldingMaterialUnknown,
        Caution::MaterialNotWeldable,
        Caution::HeatAndCurrent,
        Caution::ThinWall { wall: of("1.5 mm"), limit: of("2 mm") },
        heavy("100 g"),
        heavy("150 g"),
        Caution::WeightsFallShort { plane: plane(), left: of("500 g.mm"), limit: of("400 g.mm") },
        Caution::WeightWithoutWidth,
        Caution::WidthAssumed {
            weights: [WidthLike::Piece(of("15 g")), WidthLike::Bar, WidthLike::Mass].map(assumed).into(),
        },
        Caution::PlaceErrorNotUsed,
        Caution::WeightInNoWeld { plane: plane(), mass: of("14.5 g"), degrees: 210.0, reason: "seam".into() },
        Caution::WeightsOverlap { plane: plane(), mass: of("14.5 g"), degrees: 210.0 },
    ]
}

#[test]
fn every_variant_has_an_example() {
    let shown: BTreeSet<&str> = examples().iter().map(variant).collect();
    let missing: Vec<&&str> = VARIANTS.iter().filter(|name| !shown.contains(**name)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn codes_are_shared_on_purpose_only() {
    let mut by_code: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for caution in examples() {
        by_code.entry(caution.code()).or_default().insert(variant(&caution));
    }
    let shared: Vec<&str> =
        by_code.iter().filter(|(_, names)| names.len() > 1).map(|(code, _)| *code).collect();
    assert_eq!(shared, ["material-unknown", "scatter-above-stated", "straighten-first"]);
    assert_eq!(by_code.len(), VARIANTS.len() - shared.len());
}

/// The codes with an example for which something holds.
fn codes_where(holds: fn(&Caution) -> bool) -> BTreeSet<&'static str> {
    examples().iter().filter(|caution| holds(caution)).map(Caution::code).collect()
}

// Which cautions are a stop, bear on a verdict or put the runs in doubt is this project's decision.
#[test]
fn stops_are_these() {
    let stops = [
        "beyond-margin",
        "beyond-stand-speed",
        "check-disagrees",
        "correction-many-times-permissible",
        "critical-speed-not-checked",
        "mass-far-off",
        "material-not-weldable",
        "near-critical-speed",
        "overridden",
        "runout-beyond-limit",
        "scatter-above-stated",
        "third-correction",
        "trial-too-large-for-stand",
    ];
    assert_eq!(codes_where(|own| own.level() == Level::Stop), stops.into());
    let general = [
        "bearing-taken-stiff",
        "convention-unproved",
        "couple-not-judged",
        "drift-not-measured",
        "joint-angle-small",
        "noise-unknown",
        "not-checked",
        "not-inspected",
        "one-mounting",
        "place-error-not-used",
        "stand-below-service",
        "total-mass-above-usual",
        "weight-without-width",
        "windows-1252",
        "without-phase",
        "worst-trial-reading",
    ];
    assert_eq!(codes_where(|own| own.level() == Level::General), general.into());
}

#[test]
fn a_code_has_two_levels_only_where_its_figures_decide() {
    let mut levels: BTreeMap<&str, BTreeSet<Level>> = BTreeMap::new();
    for caution in examples() {
        levels.entry(caution.code()).or_default().insert(caution.level());
    }
    let two: Vec<&str> = levels.iter().filter(|(_, own)| own.len() > 1).map(|(code, _)| *code).collect();
    assert_eq!(two, ["critical-speed-not-checked", "mass-far-off", "total-mass-above-usual"]);
}

#[test]
fn what_bears_on_a_verdict_and_what_doubts_it() {
    let bears = [
        "beyond-margin",
        "beyond-stand-speed",
        "check-disagreed",
        "check-disagrees",
        "convention-unproved",
        "convention-unstated",
        "critical-speed-not-checked",
        "elastic",
        "fixture-left-in",
        "fixture-taken-off",
        "mass-centre-not-used",
        "mass-estimated",
        "mass-far-off",
        "near-critical-speed",
        "noise-unknown",
        "not-checked",
        "not-rigid-enough",
        "overridden",
        "parts-do-not-add-up",
        "planes-act-alike",
        "proved-long-ago",
        "runout-beyond-limit",
        "scatter-above-stated",
        "sensor-left-out",
        "speeds-differ",
        "steady-bearing-assumed",
        "straighten-first",
        "third-correction",
        "without-phase",
    ];
    assert_eq!(codes_where(Caution::bears_on_verdict), bears.into());
    let doubts = ["check-disagrees", "mass-far-off", "planes-act-alike", "scatter-above-stated"];
    assert_eq!(codes_where(Caution::doubts_evidence), doubts.into());
    let own = [
        "inertia-acceleration",
        "joint-angle-large",
        "joint-angles-differ",
        "mass-disagrees",
        "mass-unknown",
        "rides-on-bearing",
        "runout-not-checked",
        "runout-over-limit",
        "service-speed-not-stated",
        "speed-not-checked",
        "torsional-acceleration",
        "yokes-out-of-phase",
    ];
    assert_eq!(codes_where(Caution::own_to_shaft_answer), own.into());
}

/// The units that follow a number in a sentence.
fn units_in(words: &str) -> BTreeSet<&str> {
    let bare: Vec<&str> =
        words.split(' ').map(|word| word.trim_matches(|c: char| "(),;:.".contains(c))).collect();
    let number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    bare.windows(2).filter(|pair| number(pair[0])).map(|pair| pair[1]).collect()
}

const METRIC: [&str; 6] = ["mm", "g", "kg", "N", "g.mm", "g·mm"];
#[test]
fn more_weight_than_the_most_is_worse_than_more_than_usual() {
    let level = |total| {
        let (usual, most) = (of("80 g"), of("120 g"));
        Caution::TotalMassAboveUsual { plane: "front".into(), total: of(total), usual, most }.level()
    };
    assert_eq!([level("100 g"), level("121 g")], [Level::General, Level::TakeCare]);
}

const US: [&str; 6] = ["in", "oz", "lb", "lbf", "oz.in", "oz·in"];

#[test]
fn sentences_speak_the_readers_units() {
    let mut converted = 0;
    for caution in examples() {
        let [metric, us, both] = [Units::Metric, Units::Us, Units::Both].map(|units| caution.words(units));
        assert!(metric.len() > 10, "{metric}");
        assert!(units_in(&metric).iter().all(|unit| !US.contains(unit)), "{metric}");
        assert!(units_in(&us).iter().all(|unit| !METRIC.contains(unit)), "{us}");
        if metric == us {
            assert_eq!(both, metric);
            continue;
        }
        converted += 1;
        assert!(units_in(&metric).iter().any(|unit| METRIC.contains(unit)), "{metric}");
        assert!(units_in(&us).iter().any(|unit| US.contains(unit)), "{us}");
        let shown = units_in(&both);
        assert!(METRIC.iter().any(|unit| shown.contains(unit)), "{both}");
        assert!(US.iter().any(|unit| shown.contains(unit)), "{both}");
    }
    assert_eq!(converted, 18);
}

// 14.5 g / 28.3495 = 0.51 oz; 500 and 400 g·mm / 720.08 = 0.69 and 0.56 oz·in; 15 and 12 kg × 2.2046 = 33.1 and 26.5 lb;
// 650 mm / 25.4 = 25.59 in, 25 9/16 to the nearest sixteenth (international yard and pound, 1959; by hand).
#[test]
fn figures_are_converted() {
    let find = |code: &str, units| {
        examples().iter().find(|own| own.code() == code).map(|own| own.words(units)).unwrap()
    };
    assert!(find("weights-overlap", Units::Us).starts_with("rear: 0.51 oz at 210 deg"));
    assert!(find("weights-overlap", Units::Both).starts_with("rear: 14.5 g (0.51 oz) at 210 deg"));
    assert!(find("weights-fall-short", Units::Us).contains("leave 0.69 where 0.56 oz.in is"));
    assert!(
        find("mass-disagrees", Units::Us).starts_with("Weighed 33.1 lb, but tube and ends come to 26.5 lb")
    );
    assert!(find("runout-over-limit", Units::Us).starts_with("Runout at 25 9/16 in is 0.016 in total"));
}
