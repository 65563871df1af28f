//! `balance-limits/1`.

use crate::correction::TrialAdvice;
use crate::grade::centrifugal_newtons;
use crate::quantity::{Angle, Length, Mass, Speed};
use crate::shaft::MassBasis;
use serde::Serialize;

use super::{CautionJson, cautions, line};
use crate::answer::{LimitsAnswer, SureReading};

#[derive(Serialize)]
struct LimitsJson<'a> {
    format: &'static str,
    shaft: &'a str,
    grade: Option<String>,
    mass_kg: Option<f64>,
    mass_basis: Option<&'static str>,
    critical_speed_rpm: Option<f64>,
    gate: Option<&'static str>,
    service_speed_rpm: Option<f64>,
    planes: Vec<PlaneJson<'a>>,
    correction_planes: Vec<CorrectionPlaneJson<'a>>,
    sure_readings: Option<Vec<SureJson<'a>>>,
    trials: Vec<TrialJson<'a>>,
    cautions: Vec<CautionJson>,
}

#[derive(Serialize)]
struct PlaneJson<'a> {
    name: &'a str,
    position_mm: f64,
    permissible_g_mm: f64,
    permissible_oz_in: f64,
    force_n: Option<f64>,
}

#[derive(Serialize)]
struct CorrectionPlaneJson<'a> {
    name: &'a str,
    amount_g_mm: f64,
    mass_g: Option<f64>,
}

#[derive(Serialize)]
struct SureJson<'a> {
    sensor: &'a str,
    unit: &'a str,
    speed_rpm: Option<f64>,
    amplitude: f64,
}

/// The limits of one shaft on one line.
#[must_use]
pub fn limits(answer: &LimitsAnswer) -> String {
    let limits = &answer.limits;
    line(&LimitsJson {
        format: "balance-limits/1",
        shaft: &answer.shaft,
        grade: limits.grade.map(|grade| grade.to_string()),
        mass_kg: limits.mass.map(Mass::kilograms),
        mass_basis: limits.mass_basis.map(MassBasis::word),
        critical_speed_rpm: answer
            .before
            .as_ref()
            .and_then(|before| Some(before.check.critical.as_ref()?.lowest.rpm())),
        gate: answer.before.as_ref().map(|before| before.check.gate.word.word()),
        service_speed_rpm: limits.service_speed.map(Speed::rpm),
        planes: limits
            .planes
            .iter()
            .map(|plane| PlaneJson {
                name: &plane.name,
                position_mm: Length::millimetres(plane.position),
                permissible_g_mm: plane.amount.gram_millimetres(),
                permissible_oz_in: plane.amount.ounce_inches(),
                force_n: limits.service_speed.map(|speed| centrifugal_newtons(plane.amount, speed)),
            })
            .collect(),
        correction_planes: limits
            .at_correction
            .iter()
            .map(|plane| CorrectionPlaneJson {
                name: &plane.name,
                amount_g_mm: plane.amount.gram_millimetres(),
                mass_g: plane.mass.map(Mass::grams),
            })
            .collect(),
        sure_readings: answer.sure.as_ref().map(|sure| sure.iter().map(sure_json).collect()),
        trials: answer.trials.iter().map(|trial| trial_json(answer, trial)).collect(),
        cautions: cautions(answer.units, &answer.cautions),
    })
}

fn sure_json(reading: &SureReading) -> SureJson<'_> {
    SureJson {
        sensor: &reading.sensor,
        unit: &reading.unit,
        speed_rpm: reading.speed.map(Speed::rpm),
        amplitude: reading.amplitude,
    }
}

#[derive(Serialize)]
struct TrialJson<'a> {
    plane: &'a str,
    needed: bool,
    why: &'static str,
    amount_g_mm: Option<f64>,
    mass_g: Option<f64>,
    angle_deg: Option<f64>,
    quarter_turn_deg: Option<f64>,
    force_n: Option<f64>,
    force_at_rpm: Option<f64>,
}

fn trial_json<'a>(answer: &'a LimitsAnswer, advice: &TrialAdvice) -> TrialJson<'a> {
    let trial = advice.trial();
    TrialJson {
        plane: answer.setup.planes.get(advice.plane.index()).map_or("", |plane| plane.name.as_str()),
        needed: trial.is_some(),
        why: advice.code(),
        amount_g_mm: trial.map(|trial| trial.amount.gram_millimetres()),
        mass_g: trial.and_then(|trial| trial.mass).map(Mass::grams),
        angle_deg: trial.and_then(|trial| trial.angle).map(Angle::degrees_in_turn),
        quarter_turn_deg: trial.and_then(|trial| trial.quarter_turn).map(Angle::degrees_in_turn),
        force_n: trial.and_then(|trial| trial.pull).map(|pull| pull.newtons),
        force_at_rpm: trial.and_then(|trial| trial.pull).map(|pull| pull.speed.rpm()),
    }
}
