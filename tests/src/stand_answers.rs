//! Our answers to the cases of the room `stand`.

use std::collections::BTreeMap;

use balance_core::Complex64;
use balance_core::stand::without_phase::{AmplitudeRun, StatedNoise, WithoutPhaseQuestion, without_phase};
use balance_core::stand::{
    IndexReading, MovedReading, Shown, TEST_MASS, index_test, moved_mass, test_mass_grams,
};
use serde::Deserialize;

use crate::cases::Case;

#[derive(Deserialize)]
struct Mass {
    shaft_g: f64,
    eccentricity_in: f64,
    radius_in: f64,
}

/// Answers by name.
///
/// # Errors
///
/// What the case asks and we cannot do.
pub fn answer(case: &Case) -> Result<BTreeMap<String, f64>, String> {
    match case.check.as_str() {
        "index test" => index(&rows(case, "readings")?),
        "test mass" => mass(case),
        "without phase" => amplitudes(&rows(case, "runs")?),
        "moved mass" => moved(&rows(case, "runs")?),
        other => Err(format!("{}: no check `{other}`", case.name)),
    }
}

fn rows(case: &Case, name: &str) -> Result<Vec<[f64; 3]>, String> {
    let value = case.inputs.get(name).cloned().ok_or_else(|| format!("{}: no `{name}`", case.name))?;
    serde_json::from_value(value).map_err(|fault| format!("{}: {fault}", case.name))
}

fn at(amount: f64, degrees: f64) -> Complex64 {
    Complex64::from_polar(amount, degrees.to_radians())
}

fn named(name: &str, vector: Complex64) -> [(String, f64); 2] {
    [(name.into(), vector.norm()), (format!("{name} angle"), vector.arg().to_degrees())]
}

fn index(readings: &[[f64; 3]]) -> Result<BTreeMap<String, f64>, String> {
    let read = |&[turned, amount, degrees]: &[f64; 3]| IndexReading { turned, reading: at(amount, degrees) };
    let readings: Vec<IndexReading> = readings.iter().map(read).collect();
    let found = index_test(&readings).map_err(|fault| fault.to_string())?;
    Ok(named("fixture", found.fixture).into_iter().chain(named("shaft", found.shaft)).collect())
}

fn mass(case: &Case) -> Result<BTreeMap<String, f64>, String> {
    let own: Mass = serde_json::from_value(case.inputs.clone()).map_err(|fault| fault.to_string())?;
    let mass = test_mass_grams(own.shaft_g, own.eccentricity_in, own.radius_in)
        .map_err(|fault| fault.to_string())?;
    let ten = mass * own.radius_in;
    Ok([("test mass", mass), ("ten times", ten), ("least unbalance of a plane", ten / TEST_MASS)]
        .map(|(name, value)| (name.to_owned(), value))
        .into())
}

fn amplitudes(runs: &[[f64; 3]]) -> Result<BTreeMap<String, f64>, String> {
    let run = |&[mass, degrees, read]: &[f64; 3]| AmplitudeRun::exact(vec![at(mass, degrees)], read, None);
    let question = WithoutPhaseQuestion {
        sensors: vec![runs.iter().map(run).collect()],
        weights: vec![1.0],
        stated: StatedNoise { degrees_of_freedom: f64::INFINITY },
    };
    let told = without_phase(&question).map_err(|faults| format!("{faults:?}"))?;
    let only = told.only().ok_or_else(|| format!("not one answer: {:?}", told.answers))?;
    Ok(named("add", only.planes[0].add).into())
}

fn moved(runs: &[[f64; 3]]) -> Result<BTreeMap<String, f64>, String> {
    let read = |&[mass, degrees, read]: &[f64; 3]| MovedReading {
        mass: at(mass, degrees),
        shown: Shown::Amplitude(read),
    };
    let readings: Vec<MovedReading> = runs.iter().map(read).collect();
    let found = moved_mass(&readings).map_err(|fault| fault.to_string())?;
    let [only] = found.possible[..] else { return Err(format!("not one answer: {:?}", found.possible)) };
    let shortcut = found.shortcut.ok_or("no shortcut")?;
    // The form's own figure: the trial is 1.5 times what is allowed.
    let allowed = runs.last().map_or(0.0, |run| run[0] / 1.5);
    let others = [("shortcut".to_owned(), shortcut), ("allowed".to_owned(), allowed)];
    Ok(named("left", only.left).into_iter().chain(others).collect())
}
