//! The shaft before it spins, from description to answer: margins, gate, overrides, two-piece shafts, runout, bad input.
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

use balance_core::caution::{Caution, Level};
use balance_core::quantity::{Angle, Length, Quantity, Speed, Stiffness, parse};
use balance_core::shaft::{
    GateOutcome, GateWord, InspectionItem, Limit, MassBasis, Material, Override, Part, PointMass, Restraint,
    RunoutReading, ScaleReadings, ShaftDescription, ShaftFault, ShaftSection, StandLimits, StatedMass,
    Support, Tube, check_shaft, critical_over_length,
};

fn of<Q: Quantity>(text: &str) -> Q {
    parse(text).unwrap()
}

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).unwrap()
}

/// The auger drive of the Hollin Pass depot's rotary snow blower (invented).
fn auger_drive() -> ShaftDescription {
    let tube = Tube { outer_diameter: of("88.9 mm"), wall: of("2.4 mm"), length: of("1385 mm") };
    ShaftDescription {
        mass: StatedMass::Weighed(of("14.2 kg")),
        service_speed: Some(of("2600 rpm")),
        stand_speed: Some(of("1800 rpm")),
        runout: round(&[(60.0, 0.02), (692.5, 0.08), (1325.0, 0.03)]),
        ..ShaftDescription::plain(tube, Material::named("steel"))
    }
}

/// Eight readings round each station, out by an eccentricity in mm towards 30°.
fn round(stations: &[(f64, f64)]) -> Vec<RunoutReading> {
    let reading = |station, eccentricity: f64, step: u8| {
        let angle = Angle::from_degrees(45.0 * f64::from(step)).unwrap();
        let towards = (angle.degrees() - 30.0).to_radians().cos();
        RunoutReading { station: mm(station), angle, indicator: 0.4 + eccentricity * towards }
    };
    stations.iter().flat_map(|&(at, e)| (0..8).map(move |step| reading(at, e, step))).collect()
}

fn codes(cautions: &[Caution]) -> Vec<&'static str> {
    cautions.iter().map(Caution::code).collect()
}

#[test]
fn a_sound_shaft_is_allowed_and_the_answer_is_worst_first() {
    let check = check_shaft(&auger_drive()).unwrap();
    assert_eq!(check.gate.word, GateWord::Allowed, "{:?}", check.gate);
    let critical = check.critical.unwrap();
    assert!(critical.model < critical.closed_form && critical.lowest == critical.model);
    let service = critical.service.unwrap();
    assert!(service.within && (service.ratio - 2600.0 / critical.model.rpm()).abs() < 1e-12);
    assert!((critical.highest_safe_speed.rpm() - 0.7 * critical.lowest.rpm()).abs() < 1e-9);
    assert!(check.cautions.windows(2).all(|pair| pair[0].level() <= pair[1].level()));
    assert_eq!(check.mass.unwrap().basis, MassBasis::Weighed);
    assert!(codes(&check.cautions).contains(&"not-inspected"));
}

#[test]
fn what_is_not_checked_is_said() {
    let check = check_shaft(&ShaftDescription::default()).unwrap();
    let codes = codes(&check.cautions);
    for code in ["speed-not-checked", "runout-not-checked", "service-speed-not-stated", "mass-unknown"] {
        assert!(codes.contains(&code), "{code}: {codes:?}");
    }
    assert!(check.critical.is_none() && check.gate.word == GateWord::Warn);
    let no_tube = ShaftDescription { tube: None, ..auger_drive() };
    let check = check_shaft(&no_tube).unwrap();
    assert!(check.critical.is_none() && check.gate.word == GateWord::Warn);
    let stated = check
        .cautions
        .iter()
        .find(|caution| matches!(caution, Caution::CriticalSpeedNotChecked { .. }))
        .unwrap();
    assert_eq!(stated.level(), Level::TakeCare);
    let unknown = ShaftDescription { material: None, mass: StatedMass::NotWeighed, ..auger_drive() };
    let check = check_shaft(&unknown).unwrap();
    let codes = self::codes(&check.cautions);
    assert!(codes.contains(&"material-unknown") && codes.contains(&"mass-estimated"), "{codes:?}");
    assert_eq!(check.mass.unwrap().basis, MassBasis::Estimated);
}

#[test]
fn the_gate_refuses_beyond_the_margin_and_an_override_stops_at_nine_tenths() {
    let lowest = check_shaft(&auger_drive()).unwrap().critical.unwrap().lowest.rpm();
    let at = |share: f64, overruling: Option<Override>| {
        let speed = Speed::from_rpm(share * lowest).unwrap();
        let shaft = ShaftDescription { service_speed: Some(speed), overruling, ..auger_drive() };
        check_shaft(&shaft).unwrap().gate
    };
    let overruling = || Override::new("J. Stoker", "short trial run only").ok();
    assert_eq!(at(0.69, None).word, GateWord::Warn); // beyond 0.5: not rigid enough
    assert_eq!(at(0.71, None).word, GateWord::Refuse);
    let overridden = at(0.71, overruling());
    assert_eq!(overridden.word, GateWord::Warn);
    assert_eq!(overridden.overridden_by.as_ref().unwrap().name(), "J. Stoker");
    assert_eq!(overridden.cautions()[0].level(), Level::Stop);
    assert_eq!(at(0.9, overruling()).word, GateWord::Refuse);
    assert_eq!(at(1.6, overruling()).word, GateWord::Refuse);
    // An override that was not needed does not count.
    assert!(at(0.4, overruling()).overridden_by.is_none());
}

#[test]
fn an_override_needs_a_name_and_three_words() {
    assert!(Override::new("", "only for a test").is_err());
    assert!(Override::new("J. Stoker", "too short").is_err());
    assert!(Override::new("J. Stoker", "- - - -").is_err());
    assert_eq!(Override::new(" ", "x").unwrap_err().len(), 2);
}

#[test]
fn the_stands_own_limit_cannot_be_overridden() {
    let stand = StandLimits { most_speed: Some(of("1500 rpm")), most_reading: None };
    let overruling = Override::new("J. Stoker", "the stand is new").ok();
    let check = check_shaft(&ShaftDescription { stand, overruling, ..auger_drive() }).unwrap();
    assert_eq!(check.gate.word, GateWord::Refuse);
    assert!(check.gate.checks.iter().any(|check| check.outcome == GateOutcome::RefusedForGood));
}

#[test]
fn a_bent_tube_is_straightened_first() {
    let shaft = ShaftDescription {
        runout: round(&[(60.0, 0.02), (692.5, 0.5), (1325.0, 0.03)]),
        permissible_per_end: Some(of("417 g.mm")),
        ..auger_drive()
    };
    let check = check_shaft(&shaft).unwrap();
    assert_eq!(check.gate.word, GateWord::Refuse);
    let codes = codes(&check.cautions);
    assert!(codes.contains(&"straighten-first") && codes.contains(&"runout-over-limit"), "{codes:?}");
    let bow = check.runout.unwrap().bow.unwrap();
    assert!((bow.arg().to_degrees() - 30.0).abs() < 1e-6, "{bow}");
}

/// A shape made of two straight ends and a half-sine bow comes back exactly, whatever ovality is on top.
#[test]
fn a_manufactured_runout_map_comes_back() {
    let length = mm(1400.0);
    let (bow, front, rear) = (0.31, 0.04, -0.06);
    let mut readings = Vec::new();
    for station in [70.0, 300.0, 700.0, 1000.0, 1330.0] {
        let e = front * (1.0 - station / 1400.0)
            + rear * station / 1400.0
            + bow * (std::f64::consts::PI * station / 1400.0_f64).sin();
        for step in 0..12 {
            let angle = Angle::from_degrees(30.0 * f64::from(step)).unwrap();
            let oval = 0.05 * (2.0 * angle.radians()).cos();
            let indicator = 1.7 + e * (angle.radians() - 1.0).cos() + oval;
            readings.push(RunoutReading { station: mm(station), angle, indicator });
        }
    }
    let map = balance_core::shaft::runout_map(&readings, length).unwrap();
    let towards = balance_core::Complex64::from_polar(1.0, 1.0);
    assert!((map.bow.unwrap() - towards * bow).norm() < 1e-12);
    assert!((map.ends[0] - towards * front).norm() < 1e-12 && (map.ends[1] - towards * rear).norm() < 1e-12);
    assert!(map.stations.iter().all(|station| (station.out_of_round - 0.05 / 2.0_f64.sqrt()).abs() < 1e-12));
}

#[test]
fn two_pieces_with_a_steady_bearing_are_checked_by_part_and_together() {
    let tube = Tube { outer_diameter: of("76 mm"), wall: of("2.5 mm"), length: of("2200 mm") };
    let part = |name: &str, mass: &str, from: &str, to: &str| Part {
        name: name.into(),
        mass: of(mass),
        from: of(from),
        to: of(to),
    };
    let build = |restraint| ShaftDescription {
        supports: vec![Support { position: of("960 mm"), restraint }],
        parts: vec![
            part("front half", "6 kg", "0 mm", "1000 mm"),
            part("rear half", "7 kg", "1000 mm", "2200 mm"),
        ],
        service_speed: Some(of("3000 rpm")),
        ..ShaftDescription::plain(tube.clone(), Material::named("steel"))
    };
    let stiff = check_shaft(&build(Restraint::Pinned)).unwrap().critical.unwrap();
    assert_eq!(stiff.parts.len(), 2);
    // The rear half is 1200 mm between joint centres, the front half 960 mm from joint centre to bearing.
    let ratio = stiff.parts[0].closed_form.rpm() / stiff.parts[1].closed_form.rpm();
    assert!((ratio - (1200.0_f64 / 960.0).powi(2)).abs() < 1e-9, "{ratio}");
    assert!((stiff.closed_form.rpm() - stiff.parts[1].closed_form.rpm()).abs() < 1e-9);
    // Together they are a little softer than the weaker alone, since the front half yields at the joint.
    assert!(
        stiff.model.rpm() <= stiff.parts[1].model.rpm()
            && stiff.model.rpm() > 0.8 * stiff.parts[1].model.rpm()
    );
    let rubber = Restraint::Elastic(Stiffness::from_newtons_per_millimetre(150.0).unwrap());
    let soft = check_shaft(&build(rubber)).unwrap();
    assert!(codes(&soft.cautions).contains(&"rides-on-bearing"), "{:?}", soft.cautions);
    assert!(soft.not_inspected.contains(&"steady bearing"));
    assert!(soft.critical.unwrap().model < stiff.model);
    // Without its bearing it folds.
    let fallen = ShaftDescription { supports: Vec::new(), ..build(Restraint::Pinned) };
    assert!(check_shaft(&fallen).is_err());
}

#[test]
fn the_longest_safe_length_just_keeps_the_margin() {
    let shaft = ShaftDescription {
        sections: vec![stub("front stub", 0.0, 110.0), stub("rear stub", 1285.0, 1385.0)],
        masses: vec![PointMass { position: of("110 mm"), mass: of("1.6 kg"), rotary_inertia: 0.0 }],
        ..auger_drive()
    };
    let critical = check_shaft(&shaft).unwrap().critical.unwrap();
    let longest = shaft.longest_safe_length().unwrap();
    let there = critical_over_length(&shaft, &[longest, mm(longest.millimetres() + 1.0)]);
    let needed = 2600.0 / 0.7;
    assert!(there[0].lowest().rpm() >= needed && there[1].lowest().rpm() < needed, "{there:?}");
    assert!((there[0].lowest().rpm() / needed - 1.0).abs() < 2e-4);
    // The bare tube by hand: L = sqrt(0.7·C·sqrt(D² + d²)/n), C = 1.20993344·10⁸ (recomputed).
    let by_hand = (0.7 * 1.209_933_44e8 * (88.9_f64.powi(2) + 84.1_f64.powi(2)).sqrt() / 2600.0).sqrt();
    assert!((critical.longest_safe_length_closed_form.unwrap().millimetres() / by_hand - 1.0).abs() < 1e-6);
    // Stubs lower it; the curve falls with length.
    let lengths: Vec<Length> = (9..20).map(|hundred| mm(f64::from(hundred) * 100.0)).collect();
    let curve = critical_over_length(&shaft, &lengths);
    assert_eq!(curve.len(), lengths.len());
    assert!(curve.windows(2).all(|pair| pair[1].lowest() < pair[0].lowest()));
}

fn stub(name: &str, from: f64, to: f64) -> ShaftSection {
    let (outer_diameter, inner_diameter) = (of("50 mm"), of("0 mm"));
    ShaftSection {
        name: name.into(),
        from: mm(from),
        to: mm(to),
        outer_diameter,
        inner_diameter,
        material: None,
    }
}

#[test]
fn two_scales_give_mass_and_mass_centre_and_a_wrong_one_is_noticed() {
    let scales = ScaleReadings {
        front: of("7.6 kg"),
        rear: of("6.6 kg"),
        front_position: of("0 mm"),
        rear_position: of("1385 mm"),
    };
    let shaft = ShaftDescription { mass: StatedMass::Scales(scales), ..auger_drive() };
    let mass = check_shaft(&shaft).unwrap().mass.unwrap();
    assert!((mass.used.kilograms() - 14.2).abs() < 1e-12);
    assert!((mass.mass_centre.unwrap().millimetres() - 643.732).abs() < 1e-3); // 6.6/14.2·1385, by hand
    // The tube alone weighs 5.12 kg/m·1.385 m = 7.09 kg: 3 kg is impossible.
    let light = ShaftDescription { mass: StatedMass::Weighed(of("3 kg")), ..auger_drive() };
    assert!(codes(&check_shaft(&light).unwrap().cautions).contains(&"mass-disagrees"));
}

#[test]
fn inspection_names_what_is_missing() {
    let item = |part: &str, decision| InspectionItem {
        part: part.into(),
        finding: "good".into(),
        measured: None,
        limit: None,
        decision,
    };
    let keep = Some(balance_core::shaft::PartDecision::Keep);
    let shaft =
        ShaftDescription { inspection: vec![item("Tube", keep), item("welds", None)], ..auger_drive() };
    let missing = check_shaft(&shaft).unwrap().not_inspected;
    assert!(!missing.contains(&"tube") && missing.contains(&"welds") && !missing.contains(&"steady bearing"));
}

#[test]
fn every_fault_is_named_at_once() {
    let mut shaft = auger_drive();
    shaft.tube = Some(Tube { outer_diameter: of("60 mm"), wall: of("31 mm"), length: of("0 mm") });
    shaft.limits.margin_ratio = Limit::stated(1.2);
    shaft.sections = vec![ShaftSection { inner_diameter: of("50 mm"), ..stub("odd", 10.0, 5.0) }];
    let faults = check_shaft(&shaft).unwrap_err();
    let has = |wanted: fn(&ShaftFault) -> bool| faults.iter().any(wanted);
    assert!(has(|fault| matches!(fault, ShaftFault::Wall { .. })), "{faults:?}");
    assert!(has(|fault| matches!(fault, ShaftFault::NoLength)), "{faults:?}");
    assert!(has(|fault| matches!(fault, ShaftFault::Limit { key: "margin_ratio", .. })), "{faults:?}");
    assert!(has(|fault| matches!(fault, ShaftFault::Bore { .. })), "{faults:?}");
    assert!(has(|fault| matches!(fault, ShaftFault::SectionPlace { .. })), "{faults:?}");
    assert!(has(|fault| matches!(fault, ShaftFault::Runout(_))), "{faults:?}");
}
