//! What a test of the stand showed, for programs: `balance-proof/1`. Amounts in g·mm, angles in degrees, shares 0 to 1.

use balance_core::Complex64;
use balance_core::stand::{IndexTest, LIMIT_LINES, LeastUnbalanceTest, MovedMass, ReductionTest, Repeats};
use serde_json::{Map, Value, json};

use super::text::prove::{Crosstalk, Once};

/// A test of the stand and what came of it.
#[derive(Debug, Clone)]
pub struct Proof<'a> {
    /// Which test: "index".
    pub test: &'a str,
    /// The job.
    pub shaft: &'a str,
    /// The day of the test.
    pub day: &'a str,
    /// Whether the stand passed it.
    pub passed: bool,
    /// What goes into the shop file: key and text.
    pub proved: &'a [(&'static str, String)],
    /// What was found.
    pub found: &'a Value,
}

/// The whole answer, on one line.
#[must_use]
pub fn whole(proof: &Proof<'_>) -> String {
    let proved: Map<String, Value> =
        proof.proved.iter().map(|(key, text)| ((*key).to_owned(), Value::String(text.clone()))).collect();
    json!({
        "format": "balance-proof/1", "test": proof.test, "shaft": proof.shaft, "day": proof.day,
        "passed": proof.passed, "found": proof.found, "proved": proved,
    })
    .to_string()
}

fn vector(own: Complex64) -> Value {
    json!({ "amount_g_mm": own.norm(), "angle_deg": own.arg().to_degrees().rem_euclid(360.0) })
}

/// The test of the least unbalance.
#[must_use]
pub fn least_unbalance(planes: &[(String, LeastUnbalanceTest)]) -> Value {
    let plane = |(name, test): &(String, LeastUnbalanceTest)| {
        let points: Vec<Value> = test
            .points
            .iter()
            .map(
                |point| json!({ "angle_deg": point.degrees, "share": point.share, "within": point.within() }),
            )
            .collect();
        json!({
            "plane": name, "passed": test.passed(), "test_mass_g_mm": test.test_mass.gram_millimetres(),
            "claimed_g_mm": test.claimed.gram_millimetres(), "reached_g_mm": test.reached.gram_millimetres(),
            "left_g_mm": test.left, "points": points,
        })
    };
    json!({ "limits": LIMIT_LINES, "planes": planes.iter().map(plane).collect::<Vec<Value>>() })
}

/// The test of the reduction ratio.
#[must_use]
pub fn reduction(ratio: f64, planes: &[(String, ReductionTest)]) -> Value {
    let plane = |(name, test): &(String, ReductionTest)| {
        let points: Vec<Value> = test
            .points
            .iter()
            .map(|own| json!({ "on": vector(own.resultant), "shown": vector(own.shown), "left": own.left() }))
            .collect();
        json!({
            "plane": name, "passed": test.passed(ratio), "reached": test.reached,
            "scale_from_test": test.own_scale, "points": points,
        })
    };
    json!({ "ratio": ratio, "planes": planes.iter().map(plane).collect::<Vec<Value>>() })
}

/// What the corrections of a job took away.
#[must_use]
pub fn reduction_once(planes: &[Once]) -> Value {
    let plane = |own: &Once| json!({ "plane": own.plane, "before_g_mm": own.before, "after_g_mm": own.after, "ratio": own.ratio });
    json!({ "planes": planes.iter().map(plane).collect::<Vec<Value>>() })
}

/// The index test.
#[must_use]
pub fn index(planes: &[(String, IndexTest)]) -> Value {
    let plane = |(name, test): &(String, IndexTest)| {
        json!({
            "plane": name, "positions": test.positions, "fixture": vector(test.fixture),
            "shaft": vector(test.shaft), "give_or_take_g_mm": test.give_or_take,
            "mounting_scatter_g_mm": test.mounting_scatter(),
        })
    };
    json!({ "planes": planes.iter().map(plane).collect::<Vec<Value>>() })
}

/// What is left by moving one known mass round.
#[must_use]
pub fn moved_mass(planes: &[(String, MovedMass)]) -> Value {
    let plane = |(name, test): &(String, MovedMass)| {
        let possible: Vec<Value> = test
            .possible
            .iter()
            .map(|own| json!({ "left": vector(own.left), "give_or_take_g_mm": own.give_or_take }))
            .collect();
        json!({ "plane": name, "possible": possible, "shortcut_g_mm": test.shortcut })
    };
    json!({ "planes": planes.iter().map(plane).collect::<Vec<Value>>() })
}

/// Noise, drift and steps from repeats.
#[must_use]
pub fn repeats(sensors: &[(String, Repeats)], planes: &[(String, Repeats)], steps: &[String]) -> Value {
    let sensor = |(name, own): &(String, Repeats)| json!({ "sensor": name, "readings": own.count, "noise": own.noise() });
    let plane = |(name, own): &(String, Repeats)| {
        json!({
            "plane": name, "drift_g_mm_per_hour": own.drift_per_hour.norm(),
            "give_or_take_g_mm_per_hour": own.drift_give_or_take, "drifts": own.drifts(),
        })
    };
    json!({
        "sensors": sensors.iter().map(sensor).collect::<Vec<Value>>(),
        "planes": planes.iter().map(plane).collect::<Vec<Value>>(), "steps": steps,
    })
}

/// How much of one end shows at the other.
#[must_use]
pub fn crosstalk(pairs: &[Crosstalk]) -> Value {
    let pair = |own: &Crosstalk| json!({ "plane": own.plane, "sensor": own.sensor, "share": own.share, "trials": own.trials });
    json!({ "pairs": pairs.iter().map(pair).collect::<Vec<Value>>() })
}
