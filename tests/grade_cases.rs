//! Published and recomputed cases of grades, shares, statics, forces and accept limits.

use std::collections::BTreeMap;

use balance_core::Complex64;
use balance_core::chance::Rice;
use balance_core::grade::{Criterion, Grade, Rated, Transfer, centrifugal_newtons, shares};
use balance_core::quantity::{Length, Mass, Speed, Unbalance, UnbalanceAmount, parse};
use balance_core::shaft::TolerancePlane;
use balance_tests::cases::{Case, Found, load};
use serde_json::Value;

type Check = fn(&Value) -> Found;

const CHECKS: [(&str, Check); 5] = [
    ("permissible", permissible),
    ("shares", shared),
    ("statics", statics),
    ("forces", forces),
    ("accept-limits", accept_limits),
];

#[test]
fn every_case_of_grade_and_limit_holds() {
    let names = CHECKS.map(|(name, _)| name);
    let cases = load(&names).unwrap();
    let mut ran: BTreeMap<&str, usize> = BTreeMap::new();
    let mut off = Vec::new();
    for case in &cases {
        let (name, check) = CHECKS.iter().find(|(name, _)| *name == case.check).unwrap();
        *ran.entry(*name).or_default() += 1;
        match case.compare(&check(&case.inputs)) {
            Ok(worst) => println!("{:<52} {:>6.1} % of its tolerance", short(case), 100.0 * worst),
            Err(text) => off.push(text),
        }
    }
    assert!(off.is_empty(), "{}", off.join("\n"));
    assert!(names.iter().all(|name| ran.contains_key(name)), "a check without a case: {ran:?}");
}

fn short(case: &Case) -> String {
    let parts: Vec<_> = case.path.iter().rev().take(2).map(|part| part.to_string_lossy()).collect();
    format!("{}/{} ({:?})", parts[1], parts[0].trim_end_matches(".json"), case.evidence)
}

fn numbers(inputs: &Value, name: &str) -> Vec<f64> {
    inputs[name]
        .as_array()
        .unwrap_or_else(|| panic!("`{name}` in {inputs}"))
        .iter()
        .map(|v| v.as_f64().unwrap())
        .collect()
}

fn number(inputs: &Value, name: &str) -> f64 {
    inputs[name].as_f64().unwrap_or_else(|| panic!("`{name}` in {inputs}"))
}

fn length(millimetres: f64) -> Length {
    Length::from_millimetres(millimetres).unwrap()
}

fn planes(inputs: &Value) -> Vec<TolerancePlane> {
    let plane = |mm: f64| TolerancePlane { name: format!("at {mm}"), position: length(mm) };
    numbers(inputs, "tolerance_planes_mm").into_iter().map(plane).collect()
}

fn permissible(inputs: &Value) -> Found {
    let mass: Mass = match inputs.get("mass_lb") {
        Some(pounds) => parse(&format!("{pounds} lb")).unwrap(),
        None => Mass::from_grams(1000.0 * number(inputs, "mass_kg")).unwrap(),
    };
    let grade: Grade = inputs["grade"].as_str().unwrap().parse().unwrap();
    let speed = Speed::from_rpm(number(inputs, "service_speed_rpm")).unwrap();
    let planes = planes(inputs);
    let rated = Rated {
        criterion: Criterion::Grade(grade),
        mass: Some(mass),
        mass_centre: inputs.get("mass_centre_mm").and_then(Value::as_f64).map(length),
        service_speed: Some(speed),
        planes: &planes,
        parts: &[],
    };
    let limits: Vec<UnbalanceAmount> =
        rated.permissible().unwrap().iter().map(|limit| limit.amount).collect();
    let total = grade.permissible(mass, speed).unwrap();
    Found::from([
        ("eccentricity_um", vec![grade.eccentricity_micrometres(speed).unwrap()]),
        ("total_g_mm", vec![total.gram_millimetres()]),
        ("total_oz_in", vec![total.ounce_inches()]),
        ("planes_g_mm", limits.iter().map(|limit| limit.gram_millimetres()).collect()),
        ("planes_oz_in", limits.iter().map(|limit| limit.ounce_inches()).collect()),
    ])
}

fn shared(inputs: &Value) -> Found {
    let planes: Vec<Length> = planes(inputs).iter().map(|plane| plane.position).collect();
    let total = number(inputs, "total_g_mm");
    let centres = numbers(inputs, "mass_centres_mm");
    let share = |centre: &f64, end: usize| total * shares(Some(length(*centre)), &planes).unwrap()[end];
    Found::from([
        ("front_g_mm", centres.iter().map(|centre| share(centre, 0)).collect()),
        ("rear_g_mm", centres.iter().map(|centre| share(centre, 1)).collect()),
    ])
}

/// Unbalances moved to the tolerance planes, as amounts at the balance radius; what balances them stands opposite.
fn statics(inputs: &Value) -> Found {
    let from: Vec<Length> = numbers(inputs, "correction_planes_mm").into_iter().map(length).collect();
    let angles = numbers(inputs, "angles_deg");
    let vector = |(amount, degrees): (f64, &f64)| Complex64::from_polar(amount, degrees.to_radians());
    let unbalances: Vec<Complex64> =
        numbers(inputs, "amounts").into_iter().zip(&angles).map(vector).collect();
    let moved = Transfer::new(&from, &planes(inputs), &[]).unwrap().moved(&unbalances);
    let angle = |vector: Complex64| Unbalance::from_vector(vector).angle().degrees_in_turn();
    Found::from([
        ("amounts", moved.iter().map(|vector| vector.norm() / number(inputs, "balance_radius")).collect()),
        ("angles_deg", moved.iter().map(|vector| angle(*vector)).collect()),
        ("balance_angles_deg", moved.iter().map(|vector| angle(-*vector)).collect()),
    ])
}

fn forces(inputs: &Value) -> Found {
    let speeds = numbers(inputs, "speeds_rpm");
    let force = |(unbalance, rpm): (f64, &f64)| {
        let unbalance = UnbalanceAmount::from_gram_millimetres(unbalance).unwrap();
        centrifugal_newtons(unbalance, Speed::from_rpm(*rpm).unwrap())
    };
    let newtons: Vec<f64> = numbers(inputs, "unbalances_g_mm").into_iter().zip(&speeds).map(force).collect();
    Found::from([
        ("pounds_force", newtons.iter().map(|force| force / 4.448_221_615_260_5).collect()),
        ("newtons", newtons),
    ])
}

fn accept_limits(inputs: &Value) -> Found {
    let limits = |probability: f64| {
        let most = |share: f64| Rice::largest_mean(1.0, share, probability).unwrap();
        numbers(inputs, "uncertainty_by_limit").into_iter().map(most).collect()
    };
    Found::from([("one_plane", limits(0.95)), ("two_planes", limits(0.975))])
}
