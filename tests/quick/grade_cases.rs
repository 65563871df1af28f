//! Published and recomputed cases of grades, shares, statics, forces and accept limits.

use std::collections::BTreeMap;

use balance_core::Complex64;
use balance_core::chance::Rice;
use balance_core::grade::{Criterion, Grade, Rated, Transfer, centrifugal_newtons, shares};
use balance_core::quantity::{Length, Mass, Speed, Unbalance, UnbalanceAmount, parse};
use balance_core::shaft::TolerancePlane;
use balance_tests::cases::{Case, run_room};
use serde_json::Value;

type Answers = BTreeMap<String, f64>;

#[test]
fn every_case_of_grade_and_limit_holds() {
    let mut checks = std::collections::BTreeSet::new();
    let solve = |case: &Case| {
        checks.insert(case.check.clone());
        match case.check.as_str() {
            "permissible" => Ok(permissible(&case.inputs)),
            "shares" => Ok(shared(&case.inputs)),
            "statics" => Ok(statics(&case.inputs)),
            "force" => Ok(force(&case.inputs)),
            "accept limit" => Ok(accept_limit(&case.inputs)),
            other => Err(format!("{}: no check `{other}`", case.name)),
        }
    };
    if let Err(faults) = run_room("grade", solve) {
        panic!("{}", faults.join("\n"));
    }
    assert_eq!(checks.len(), 5, "a check without a case: {checks:?}");
}

fn numbers(inputs: &Value, name: &str) -> Vec<f64> {
    let list = inputs[name].as_array().expect("a case file has the inputs its check needs");
    list.iter().map(|value| value.as_f64().expect("a case file with sound figures")).collect()
}

fn number(inputs: &Value, name: &str) -> f64 {
    inputs[name].as_f64().expect("a case file has the inputs its check needs")
}

fn length(millimetres: f64) -> Length {
    Length::from_millimetres(millimetres).expect("a case file with sound figures")
}

fn planes(inputs: &Value, name: &str) -> Vec<TolerancePlane> {
    let plane = |at: f64| TolerancePlane { name: format!("at {at}"), position: length(at) };
    numbers(inputs, name).into_iter().map(plane).collect()
}

/// `1 name`, `2 name` … for the planes front to rear.
fn by_plane(name: &str, values: impl IntoIterator<Item = f64>) -> Vec<(String, f64)> {
    let key = |index: usize| format!("{} {name}", index + 1).trim_end().to_string();
    values.into_iter().enumerate().map(|(index, value)| (key(index), value)).collect()
}

fn permissible(inputs: &Value) -> Answers {
    let mass: Mass = parse(inputs["mass"].as_str().expect("a case file with sound figures"))
        .expect("a case file with sound figures");
    let speed: Speed = parse(inputs["service_speed"].as_str().expect("a case file with sound figures"))
        .expect("a case file with sound figures");
    let grade: Grade = inputs["grade"]
        .as_str()
        .expect("a case file with sound figures")
        .parse()
        .expect("a case file with sound figures");
    let planes = planes(inputs, "tolerance_planes_mm");
    let rated = Rated {
        criterion: Criterion::Grade(grade),
        mass: Some(mass),
        mass_centre: inputs.get("mass_centre_mm").and_then(Value::as_f64).map(length),
        service_speed: Some(speed),
        planes: &planes,
        parts: &[],
    };
    let limits: Vec<UnbalanceAmount> = rated
        .permissible()
        .expect("a case file with sound figures")
        .iter()
        .map(|limit| limit.amount)
        .collect();
    let total = grade.permissible(mass, speed).expect("a case file with sound figures");
    let mut answers = vec![
        (
            "eccentricity um".to_string(),
            grade.eccentricity_micrometres(speed).expect("a case file with sound figures"),
        ),
        ("total g.mm".to_string(), total.gram_millimetres()),
        ("total oz.in".to_string(), total.ounce_inches()),
    ];
    answers.extend(by_plane("g.mm", limits.iter().map(|limit| limit.gram_millimetres())));
    answers.extend(by_plane("oz.in", limits.iter().map(|limit| limit.ounce_inches())));
    answers.into_iter().collect()
}

fn shared(inputs: &Value) -> Answers {
    let planes: Vec<Length> =
        planes(inputs, "tolerance_planes_mm").iter().map(|plane| plane.position).collect();
    let share = shares(Some(length(number(inputs, "mass_centre_mm"))), &planes)
        .expect("a case file with sound figures");
    by_plane("g.mm", share.iter().map(|share| share * number(inputs, "total_g_mm"))).into_iter().collect()
}

/// Unbalances moved to the tolerance planes, as amounts at the balance radius; what balances them stands opposite.
fn statics(inputs: &Value) -> Answers {
    let from: Vec<Length> = numbers(inputs, "correction_planes").into_iter().map(length).collect();
    let angles = numbers(inputs, "angles_deg");
    let vector = |(amount, degrees): (f64, &f64)| Complex64::from_polar(amount, degrees.to_radians());
    let unbalances: Vec<Complex64> =
        numbers(inputs, "amounts").into_iter().zip(&angles).map(vector).collect();
    let moved = Transfer::new(&from, &planes(inputs, "tolerance_planes"), &[])
        .expect("a case file with sound figures")
        .moved(&unbalances);
    let angle = |vector: Complex64| Unbalance::from_vector(vector).angle().degrees_in_turn();
    let radius = number(inputs, "balance_radius");
    let mut answers = by_plane("", moved.iter().map(|vector| vector.norm() / radius));
    answers.extend(by_plane("angle", moved.iter().map(|vector| angle(*vector))));
    answers.extend(by_plane("balance angle", moved.iter().map(|vector| angle(-*vector))));
    answers.into_iter().collect()
}

fn force(inputs: &Value) -> Answers {
    let unbalance = UnbalanceAmount::from_gram_millimetres(number(inputs, "unbalance_g_mm"))
        .expect("a case file with sound figures");
    let newtons = centrifugal_newtons(
        unbalance,
        Speed::from_rpm(number(inputs, "speed_rpm")).expect("a case file with sound figures"),
    );
    Answers::from([("N".into(), newtons), ("lbf".into(), newtons / 4.448_221_615_260_5)])
}

fn accept_limit(inputs: &Value) -> Answers {
    let share = number(inputs, "uncertainty_by_limit");
    let most = |probability: f64| {
        Rice::largest_mean(1.0, share, probability).expect("a case file with sound figures")
    };
    Answers::from([("one plane".into(), most(0.95)), ("two planes".into(), most(0.975))])
}
