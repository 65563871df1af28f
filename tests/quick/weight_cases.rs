//! Published cases of splitting and combining weights: the cases of the room `weights`.
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

use std::collections::BTreeMap;

use balance_core::correction::weights::{
    GivenWeight, PlaneTask, WeightCriterion, WeightTask, plan_weights, plan_with,
};
use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
use balance_core::shaft::{Aim, CorrectionPlane, FixedPlace, PlaneId, StampedWeight, WeldOn};
use balance_tests::cases::{Case, run_room};
use serde::Deserialize;
use serde_json::Value;

/// What do these weights make together?
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Combine {
    weights: Vec<OneWeight>,
}

/// Which mass at this radius balances them?
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Balance {
    radius: f64,
    weights: Vec<OneWeight>,
}

/// Which masses at these places replace one at another?
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Split {
    target: OneWeight,
    places_degrees: Vec<f64>,
    mass_step: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OneWeight {
    mass: f64,
    degrees: f64,
    radius: Option<f64>,
}

fn angle(degrees: f64) -> Angle {
    Angle::from_degrees(degrees).unwrap()
}

/// What the weights leave on a plane that was in balance, in mass times radius (mass alone without a radius).
fn left_by(weights: &[OneWeight], radius: Option<f64>) -> Unbalance {
    let radius = radius.map(|radius| Length::from_millimetres(radius).unwrap());
    let plane = CorrectionPlane { radius, ..CorrectionPlane::named("middle") };
    let task =
        WeightTask::new(vec![PlaneTask { plane, target: Unbalance::ZERO, permissible: None }], Vec::new());
    let given = |weight: &OneWeight| GivenWeight {
        plane: PlaneId::new(0),
        mass: Mass::from_grams(weight.mass).unwrap(),
        angle: angle(weight.degrees),
        radius: weight.radius.map(|radius| Length::from_millimetres(radius).unwrap()),
    };
    let given: Vec<GivenWeight> = weights.iter().map(given).collect();
    plan_with(&task, &given).unwrap().planes[0].left_over
}

/// The masses at the places, in the places' order, that best replace the target.
fn split(target: &OneWeight, places: &[f64], step: f64) -> Vec<f64> {
    let amount = UnbalanceAmount::from_gram_millimetres(target.mass).unwrap();
    let target = Unbalance::at(amount, angle(target.degrees));
    let plane = PlaneTask { plane: CorrectionPlane::named("middle"), target, permissible: None };
    let steps = (amount.gram_millimetres() / step).round() as u32;
    let weight = |at: u32| {
        WeldOn::Stamped(StampedWeight::new(Mass::from_grams(f64::from(at) * step).unwrap()).unwrap())
    };
    let mut task = WeightTask::new(vec![plane], (1..=steps).map(weight).collect());
    task.settings.criterion = WeightCriterion::LeftOverAlone;
    task.weld.aim = Aim::LeastLeft;
    let fixed =
        |degrees: &f64| FixedPlace { plane: PlaneId::new(0), angle: angle(*degrees), name: "ear".into() };
    task.fixed_places = places.iter().map(fixed).collect();
    let plan = plan_weights(&task).unwrap();
    let at = |degrees: &f64| {
        let here = plan.planes[0].weights.iter().filter(|weight| weight.angle.degrees() == *degrees);
        here.map(|weight| weight.piece.mass.grams()).sum()
    };
    places.iter().map(at).collect()
}

/// The answers to a case, by name.
fn answer(case: &Case) -> Result<BTreeMap<String, f64>, String> {
    let polar = |mass: f64, degrees: f64| BTreeMap::from([("mass".into(), mass), ("angle".into(), degrees)]);
    match case.check.as_str() {
        "combine" => {
            let inputs: Combine = inputs(&case.inputs)?;
            let left = left_by(&inputs.weights, None);
            Ok(polar(left.gram_millimetres(), left.angle().degrees_in_turn()))
        }
        "balance" => {
            let inputs: Balance = inputs(&case.inputs)?;
            let add = Unbalance::from_vector(-left_by(&inputs.weights, Some(inputs.radius)).vector());
            Ok(polar(add.gram_millimetres() / inputs.radius, add.angle().degrees_in_turn()))
        }
        "split" => {
            let inputs: Split = inputs(&case.inputs)?;
            let masses = split(&inputs.target, &inputs.places_degrees, inputs.mass_step);
            Ok((1..).zip(masses).map(|(number, mass)| (format!("mass_{number}"), mass)).collect())
        }
        other => Err(format!("{}: no check `{other}`", case.name)),
    }
}

fn inputs<T: serde::de::DeserializeOwned>(value: &Value) -> Result<T, String> {
    serde_json::from_value(value.clone()).map_err(|fault| fault.to_string())
}

#[test]
fn published_splitting_and_combining_holds() {
    let counts = run_room("weights", answer).unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    assert!(counts.values().sum::<usize>() >= 6, "{counts:?}");
}
