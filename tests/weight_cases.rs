//! Published cases of splitting and combining weights: every file under `tests/cases` whose inputs are of these kinds.

#![expect(clippy::unwrap_used, reason = "in a test what cannot be had is a failure")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use balance_core::correction::weights::{
    Criterion, GivenWeight, PlaneTask, WeightTask, plan_weights, plan_with,
};
use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
use balance_core::shaft::{CorrectionPlane, FixedPlace, StampedWeight, WeldOn};
use serde::Deserialize;
use serde_json::Value;

/// The source folders of these cases.
const SOURCES: [&str; 4] = ["fist-2-2", "machinerys-handbook", "recomputed", "sarkar"];
const LEAST_CASES: usize = 6;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    source: String,
    evidence: String,
    inputs: Inputs,
    printed: String,
    expected: BTreeMap<String, Value>,
    tolerance: BTreeMap<String, Value>,
    tolerance_reason: String,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
enum Inputs {
    /// What do these weights make together?
    Combine { weights: Vec<OneWeight> },
    /// Which mass at this radius balances them?
    Balance { radius: f64, weights: Vec<OneWeight> },
    /// Which masses at these places replace one at another?
    Split { target: OneWeight, places_degrees: Vec<f64>, mass_step: f64 },
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
        plane: 0,
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
    task.settings.criterion = Criterion::LeftOverAlone;
    let fixed = |degrees: &f64| FixedPlace { plane: 0, angle: angle(*degrees), name: "ear".into() };
    task.fixed_places = places.iter().map(fixed).collect();
    let plan = plan_weights(&task).unwrap();
    let at = |degrees: &f64| {
        let here = plan.planes[0].weights.iter().filter(|weight| weight.angle.degrees() == *degrees);
        here.map(|weight| weight.piece.mass.grams()).sum()
    };
    places.iter().map(at).collect()
}

/// The answer of a case, by name.
fn answer(inputs: &Inputs) -> BTreeMap<String, Value> {
    let polar = |mass: f64, degrees: f64| {
        [("mass".to_owned(), Value::from(mass)), ("degrees".to_owned(), Value::from(degrees))].into()
    };
    match inputs {
        Inputs::Combine { weights } => {
            let left = left_by(weights, None);
            polar(left.gram_millimetres(), left.angle().degrees_in_turn())
        }
        Inputs::Balance { radius, weights } => {
            let left = left_by(weights, Some(*radius));
            let add = Unbalance::from_vector(-left.vector());
            polar(add.gram_millimetres() / radius, add.angle().degrees_in_turn())
        }
        Inputs::Split { target, places_degrees, mass_step } => {
            let masses = split(target, places_degrees, *mass_step);
            [("masses".to_owned(), Value::from(masses))].into()
        }
    }
}

/// A number or a list of numbers as a list.
fn numbers(value: &Value) -> Vec<f64> {
    match value {
        Value::Array(list) => list.iter().filter_map(Value::as_f64).collect(),
        one => one.as_f64().into_iter().collect(),
    }
}

fn case_files() -> Vec<PathBuf> {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let read = |source: &str| std::fs::read_dir(cases.join(source)).unwrap();
    let mut files: Vec<PathBuf> = SOURCES
        .iter()
        .flat_map(|source| read(source))
        .map(|entry| entry.unwrap().path())
        .filter(|path| is_ours(path))
        .collect();
    files.sort();
    files
}

/// Whether the file's inputs are of a kind this runner knows: a source may have cases of other kinds.
fn is_ours(path: &Path) -> bool {
    let value: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    matches!(value["inputs"]["kind"].as_str(), Some("combine" | "balance" | "split"))
}

#[test]
fn published_splitting_and_combining_holds() {
    let files = case_files();
    assert!(files.len() >= LEAST_CASES, "only {} cases found", files.len());
    for path in &files {
        let case: Case = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
        let got = answer(&case.inputs);
        assert_eq!(case.expected.keys().collect::<Vec<_>>(), got.keys().collect::<Vec<_>>(), "{path:?}");
        let mut worst = 0.0_f64;
        for (name, expected) in &case.expected {
            let (expected, got) = (numbers(expected), numbers(&got[name]));
            let tolerance = numbers(&case.tolerance[name]);
            assert!(!expected.is_empty() && expected.len() == got.len(), "{path:?}: {name}");
            assert_eq!(expected.len(), tolerance.len(), "{path:?}: a tolerance for every figure of {name}");
            for ((expected, got), tolerance) in expected.iter().zip(&got).zip(&tolerance) {
                let off = (got - expected).abs();
                worst = worst.max(off / tolerance);
                assert!(
                    off <= *tolerance,
                    "{path:?} ({}, {}; printed {}): {name} wanted {expected}, got {got}, off {off}, \
                     tolerance {tolerance} ({})",
                    case.source,
                    case.evidence,
                    case.printed,
                    case.tolerance_reason
                );
            }
        }
        println!("{}: worst {worst:.2} of its tolerance ({})", path.display(), case.evidence);
    }
}
