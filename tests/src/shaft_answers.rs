//! The library's answers to the cases about the shaft itself.
#![expect(clippy::panic, reason = "a case file that cannot be read stops the test run")]

use std::collections::BTreeMap;

use balance_core::quantity::{Angle, Length, Mass, Quantity, Speed, Stiffness, parse};
use balance_core::shaft::{
    Beam, BeamPiece, BeamProperties, BowBetweenSpeeds, JointTrain, Material, Mesh, PointMass, Restraint,
    RoundSection, RunoutReading, Support, TrainJoint, Tube, TubeCut, angle_for_irregularity, bending_modes,
    irregularity, output_turn, peak_acceleration_ratio, pinned_critical_speed, runout_map, speed_ratio,
    true_angle,
};
use serde_json::Value;

use crate::cases::Case;

/// Name of each answer and its value.
pub type Answers = BTreeMap<String, f64>;

/// The answers to a case of the room `shaft`.
///
/// # Errors
///
/// That there is no such check.
///
/// # Panics
///
/// If the inputs are not those of the check.
pub fn answer(case: &Case) -> Result<Answers, String> {
    let inputs = &case.inputs;
    let answers: Vec<(String, f64)> = match case.check.as_str() {
        "pinned closed form" => closed_form(inputs),
        "beam model" => beam_model(inputs),
        "shear lowers" => shear_lowers(inputs),
        "one joint" => one_joint(inputs),
        "joint train" => joint_train(inputs),
        "joint from fluctuation" => joint_from_fluctuation(inputs),
        "true angle" => {
            vec![(
                "angle_deg".into(),
                true_angle(quantity(inputs, "plan"), quantity(inputs, "side")).degrees(),
            )]
        }
        "angle for irregularity" => {
            let angle = angle_for_irregularity(number(inputs, "irregularity")).expect("not negative");
            vec![("angle_deg".into(), angle.degrees())]
        }
        "bow between speeds" => {
            let speed = |name| quantity::<Speed>(inputs, name);
            let bow = BowBetweenSpeeds::new(speed("balanced_at"), speed("used_at"), speed("critical"));
            vec![("returning_share".into(), bow.expect("below the critical speed").returning_share)]
        }
        "runout" => runout(inputs),
        "tube cut" => tube_cut(inputs),
        other => return Err(format!("{}: no check `{other}`", case.name)),
    };
    Ok(answers.into_iter().collect())
}

fn optional<Q: Quantity>(inputs: &Value, name: &str) -> Option<Q> {
    let text = inputs.get(name)?.as_str().unwrap_or_else(|| panic!("`{name}` is no text in {inputs}"));
    Some(parse(text).unwrap_or_else(|fault| panic!("`{name}`: {fault}")))
}

fn quantity<Q: Quantity>(inputs: &Value, name: &str) -> Q {
    optional(inputs, name).unwrap_or_else(|| panic!("no `{name}` in {inputs}"))
}

fn number(inputs: &Value, name: &str) -> f64 {
    inputs.get(name).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number `{name}` in {inputs}"))
}

fn list<'a>(inputs: &'a Value, name: &str) -> &'a [Value] {
    inputs.get(name).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn material(inputs: &Value) -> Material {
    let ratio = inputs.get("poisson_ratio").and_then(Value::as_f64).unwrap_or(0.29);
    let (modulus, density) = (quantity(inputs, "modulus"), quantity(inputs, "density"));
    Material::stated("of the case", modulus, density, ratio).expect("a possible material")
}

fn section(inputs: &Value) -> RoundSection {
    let outer: Length = quantity(inputs, "outer_diameter");
    let inner = optional(inputs, "inner_diameter").unwrap_or_else(|| {
        let wall: Length = quantity(inputs, "wall");
        Length::from_millimetres(outer.millimetres() - 2.0 * wall.millimetres()).expect("a bore")
    });
    RoundSection::new(outer, inner).expect("a possible section")
}

fn closed_form(inputs: &Value) -> Vec<(String, f64)> {
    let (section, material) = (section(inputs), material(inputs));
    let speed = pinned_critical_speed(section, &material, quantity(inputs, "length")).expect("a length");
    let mass = section.kilograms_per_metre(&material);
    vec![
        ("critical_rpm".into(), speed.rpm()),
        ("kilograms_per_metre".into(), mass),
        ("pounds_per_foot".into(), mass / 0.453_592_37 * 0.3048),
    ]
}

fn beam_model(inputs: &Value) -> Vec<(String, f64)> {
    let count = number(inputs, "modes") as usize;
    let modes = bending_modes(&beam(inputs), Mesh::default(), count).expect("a beam that is held");
    let mut answers = Vec::new();
    for (order, mode) in (1..).zip(&modes) {
        answers.push((format!("mode_{order}_rpm"), mode.speed.rpm()));
        answers.push((format!("mode_{order}_hz"), mode.speed.rpm() / 60.0));
    }
    if let Some(gravity) = inputs.get("gravity").and_then(Value::as_f64) {
        answers.push(("sag_mm".into(), gravity / modes[0].speed.radians_per_second().powi(2) * 1000.0));
    }
    answers
}

fn beam(inputs: &Value) -> Beam {
    let pieces = list(inputs, "pieces").iter().map(|piece| BeamPiece {
        from: quantity(piece, "from"),
        to: quantity(piece, "to"),
        properties: properties(inputs, piece),
    });
    let masses = list(inputs, "masses").iter().map(|mass| PointMass {
        position: quantity(mass, "at"),
        mass: quantity::<Mass>(mass, "mass"),
        rotary_inertia: 0.0,
    });
    let supports = list(inputs, "supports")
        .iter()
        .map(|support| Support { position: quantity(support, "at"), restraint: restraint(support) });
    let hinges =
        list(inputs, "hinges").iter().map(|at| quantity(&serde_json::json!({ "at": at }), "at")).collect();
    Beam { pieces: pieces.collect(), masses: masses.collect(), supports: supports.collect(), hinges }
}

fn restraint(support: &Value) -> Restraint {
    match support["restraint"].as_str() {
        Some("pinned") => Restraint::Pinned,
        Some("clamped") => Restraint::Clamped,
        Some("elastic") => Restraint::Elastic(quantity::<Stiffness>(support, "stiffness")),
        other => panic!("no such restraint: {other:?}"),
    }
}

fn properties(inputs: &Value, piece: &Value) -> BeamProperties {
    match inputs["theory"].as_str() {
        Some("given") => BeamProperties {
            bending_stiffness: number(piece, "bending_stiffness"),
            shear_flexibility: 0.0,
            kilograms_per_metre: 0.0,
            rotary_inertia: 0.0,
        },
        Some("euler-bernoulli") => BeamProperties::euler_bernoulli(section(piece), &material(inputs)),
        Some("timoshenko") if piece.get("width").is_some() => rectangle(inputs, piece),
        Some("timoshenko") => BeamProperties::timoshenko(section(piece), &material(inputs)),
        other => panic!("no such theory: {other:?}"),
    }
}

fn rectangle(inputs: &Value, piece: &Value) -> BeamProperties {
    let metres = |name| quantity::<Length>(piece, name).millimetres() / 1000.0;
    let (width, height, material) = (metres("width"), metres("height"), material(inputs));
    let (area, second_moment) = (width * height, width * height.powi(3) / 12.0);
    let density = material.density.kilograms_per_cubic_metre();
    BeamProperties {
        bending_stiffness: material.elastic_modulus_pascals() * second_moment,
        shear_flexibility: 1.0
            / (number(inputs, "shear_coefficient") * material.shear_modulus_pascals() * area),
        kilograms_per_metre: density * area,
        rotary_inertia: density * second_moment,
    }
}

fn shear_lowers(inputs: &Value) -> Vec<(String, f64)> {
    let steel = Material::named("steel").expect("the table has steel");
    let section = section(inputs);
    let mut answers = Vec::new();
    for (order, length) in (1..).zip(list(inputs, "lengths")) {
        let length: Length = quantity(&serde_json::json!({ "length": length }), "length");
        let plain = pinned_critical_speed(section, &steel, length).expect("a length").rpm();
        let beam = Beam::pinned(length, BeamProperties::timoshenko(section, &steel));
        let model = bending_modes(&beam, Mesh::default(), 1).expect("held")[0].speed.rpm();
        answers.push((format!("lowered_percent_{order}"), 100.0 * (1.0 - model / plain)));
    }
    answers
}

fn one_joint(inputs: &Value) -> Vec<(String, f64)> {
    let (angle, speed): (Angle, Speed) = (quantity(inputs, "angle"), quantity(inputs, "speed"));
    let peak = peak_acceleration_ratio(angle);
    // Second Fourier coefficient of the output angle against the input angle.
    let steps = 720;
    let harmonic: f64 = (0..steps)
        .map(|step| {
            let phi = std::f64::consts::TAU * f64::from(step) / f64::from(steps);
            (output_turn(angle, phi) - phi) * (2.0 * phi).sin() * 2.0 / f64::from(steps)
        })
        .sum();
    vec![
        ("peak_acceleration_ratio".into(), peak),
        ("peak_acceleration".into(), peak * speed.radians_per_second().powi(2)),
        ("second_harmonic_rad".into(), harmonic.abs()),
        ("irregularity".into(), irregularity(angle)),
    ]
}

fn joint_train(inputs: &Value) -> Vec<(String, f64)> {
    let angle = |joint: &Value, name| optional::<Angle>(joint, name).unwrap_or(Angle::ZERO);
    let joints = list(inputs, "joints").iter().map(|joint| TrainJoint {
        angle: quantity(joint, "angle"),
        plane: angle(joint, "plane"),
        yoke_twist: angle(joint, "yoke_twist"),
    });
    let train = JointTrain { joints: joints.collect() };
    let rpm = quantity::<Speed>(inputs, "speed").rpm();
    let (slowest, fastest) = train.speed_range();
    let mut answers =
        vec![("output_slowest_rpm".into(), slowest * rpm), ("output_fastest_rpm".into(), fastest * rpm)];
    for piece in 1..train.joints.len() {
        let (slowest, fastest) = train.front(piece).speed_range();
        answers.push((format!("piece_{piece}_slowest_rpm"), slowest * rpm));
        answers.push((format!("piece_{piece}_fastest_rpm"), fastest * rpm));
    }
    answers
}

fn joint_from_fluctuation(inputs: &Value) -> Vec<(String, f64)> {
    let rpm = quantity::<Speed>(inputs, "speed").rpm();
    let share = quantity::<Speed>(inputs, "fluctuation").rpm() / rpm;
    let angle = angle_for_irregularity(share).expect("not negative");
    vec![
        ("angle_deg".into(), angle.degrees()),
        ("fastest_rpm".into(), rpm * speed_ratio(angle, 0.0)),
        ("slowest_rpm".into(), rpm * speed_ratio(angle, std::f64::consts::FRAC_PI_2)),
    ]
}

fn runout(inputs: &Value) -> Vec<(String, f64)> {
    let tube = Tube {
        outer_diameter: quantity(inputs, "outer_diameter"),
        wall: quantity(inputs, "wall"),
        length: quantity(inputs, "length"),
    };
    let half = number(inputs, "total_indicator_mm") / 2.0;
    let readings: Vec<RunoutReading> = (0..8)
        .map(|step| {
            let angle = Angle::from_degrees(45.0 * f64::from(step)).expect("finite");
            RunoutReading {
                station: quantity(inputs, "station"),
                angle,
                indicator: half * angle.radians().cos(),
            }
        })
        .collect();
    let mass = tube.mass(&Material::named("steel").expect("the table has steel")).expect("a tube");
    let map = runout_map(&readings, tube.length).expect("readings round the tube");
    let explained = map.explained_unbalance(mass).expect("a station in the middle");
    vec![
        ("front_gram_millimetres".into(), explained.front.gram_millimetres()),
        ("rear_gram_millimetres".into(), explained.rear.gram_millimetres()),
        ("front_ounce_inches".into(), explained.front.gram_millimetres() / (28.349_523_125 * 25.4)),
    ]
}

fn tube_cut(inputs: &Value) -> Vec<(String, f64)> {
    let cut = TubeCut {
        joint_centres: quantity(inputs, "joint_centres"),
        front_shoulder: quantity(inputs, "front_shoulder"),
        rear_shoulder: quantity(inputs, "rear_shoulder"),
        shrink_allowance: quantity(inputs, "shrink_allowance"),
    };
    vec![("cut_mm".into(), cut.length().expect("longer than its yokes").millimetres())]
}
