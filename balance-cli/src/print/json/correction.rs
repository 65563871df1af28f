//! `balance-correction/1`.

use balance_core::correction::weights::{AccountEntry, EntryKind, PlacedWeight, Source, When};
use balance_core::quantity::{Angle, Speed};
use serde::Serialize;

use super::{CautionJson, cautions, line};
use crate::outcome::Outcome;
use crate::print::text::heading::units_of;

#[derive(Serialize)]
struct CorrectionJson<'a> {
    format: &'static str,
    shaft: &'a str,
    method: &'static str,
    planes: Vec<PlaneJson<'a>>,
    sensors: Vec<SensorJson<'a>>,
    influence: Vec<InfluenceJson<'a>>,
    /// Null where there are fewer sensors than planes.
    condition: Option<f64>,
    /// Every weight fitted and removed, oldest first.
    account: Vec<AccountJson<'a>>,
    /// At least this chance of meeting every limit after the correction.
    chance_after: Option<f64>,
    verdict: Option<&'static str>,
    cautions: Vec<CautionJson>,
}

#[derive(Serialize)]
struct PlaneJson<'a> {
    name: &'a str,
    mass_g: f64,
    angle_deg: f64,
    unbalance_g_mm: Option<f64>,
    radius_mm: Option<f64>,
    mass_uncertainty_g: Option<f64>,
    angle_uncertainty_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    weights: Option<Vec<WeightJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    take_off: Option<Vec<TakeOffJson>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_over_g_mm: Option<f64>,
}

#[derive(Serialize)]
struct WeightJson {
    mass_g: f64,
    bead_g: f64,
    angle_deg: f64,
    tape_mm: Option<f64>,
    from_mm: Option<f64>,
    to_mm: Option<f64>,
    force_n: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cut_mm: Option<f64>,
}

#[derive(Serialize)]
struct TakeOffJson {
    mass_g: f64,
    angle_deg: f64,
    turned: bool,
}

#[derive(Serialize)]
struct SensorJson<'a> {
    name: &'a str,
    unit: &'a str,
    speed_rpm: Option<f64>,
    now: ReadingJson,
    predicted: PredictedJson,
}

#[derive(Serialize)]
struct ReadingJson {
    amplitude: f64,
    phase_deg: f64,
}

#[derive(Serialize)]
struct PredictedJson {
    amplitude: f64,
    phase_deg: f64,
    radius_95: Option<f64>,
}

#[derive(Serialize)]
struct InfluenceJson<'a> {
    sensor: &'a str,
    plane: &'a str,
    speed_rpm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    amplitude_per_g_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    amplitude_per_g: Option<f64>,
    phase_deg: f64,
}

#[derive(Serialize)]
struct AccountJson<'a> {
    what: &'static str,
    plane: &'a str,
    mass_g: f64,
    bead_g: f64,
    angle_deg: f64,
    fitted: &'a str,
    /// Null: it is on the shaft.
    removed: Option<&'a str>,
}

/// The correction of one shaft on one line.
#[must_use]
pub fn correction(outcome: &Outcome<'_>) -> String {
    line(&CorrectionJson {
        format: "balance-correction/1",
        shaft: &outcome.shaft,
        method: "least squares",
        planes: (0..outcome.correction.planes.len()).map(|plane| plane_json(outcome, plane)).collect(),
        sensors: sensors(outcome),
        influence: influence(outcome),
        account: account(outcome),
        condition: Some(outcome.correction.condition).filter(|condition| condition.is_finite()),
        chance_after: outcome.chance_after,
        verdict: outcome.judged.as_ref().map(|judged| judged.decision.word()),
        cautions: cautions(units_of(outcome), &outcome.cautions),
    })
}

fn plane_json<'a>(outcome: &'a Outcome<'_>, plane: usize) -> PlaneJson<'a> {
    let own = &outcome.set.setup().planes[plane];
    let ideal = &outcome.correction.planes[plane];
    let amount = ideal.add.gram_millimetres();
    let weights = outcome.weights.as_ref().and_then(|plan| plan.planes.get(plane));
    PlaneJson {
        name: &own.name,
        mass_g: amount / own.lever(),
        angle_deg: ideal.add.angle().degrees_in_turn(),
        unbalance_g_mm: own.radius.map(|_| amount),
        radius_mm: own.radius.map(balance_core::quantity::Length::millimetres),
        mass_uncertainty_g: ideal.give_or_take.map(|circle| circle / own.lever()),
        angle_uncertainty_deg: ideal.angle_give_or_take().map(Angle::degrees),
        weights: weights.map(|plan| plan.weights.iter().map(weight_json).collect()),
        take_off: weights.map(|plan| {
            let one = |off: &balance_core::correction::weights::ComesOff| {
                let weight = outcome.welded_before.get(off.welded)?;
                Some(TakeOffJson {
                    mass_g: weight.mass.grams(),
                    angle_deg: weight.angle.degrees_in_turn(),
                    turned: off.turned_to.is_some(),
                })
            };
            plan.come_off.iter().filter_map(one).collect()
        }),
        left_over_g_mm: weights
            .filter(|_| own.radius.is_some())
            .map(|plan| plan.left_over.gram_millimetres()),
    }
}

fn weight_json(weight: &PlacedWeight) -> WeightJson {
    WeightJson {
        mass_g: weight.piece.mass.grams(),
        bead_g: weight.piece.bead.grams(),
        angle_deg: weight.angle.degrees_in_turn(),
        tape_mm: weight.tape.map(|tape| tape.middle.millimetres()),
        from_mm: weight.tape.map(|tape| tape.from.millimetres()),
        to_mm: weight.tape.map(|tape| tape.to.millimetres()),
        force_n: weight.pull_newtons,
        cut_mm: match weight.source {
            Source::Bar { cut, .. } => Some(cut.millimetres()),
            _ => None,
        },
    }
}

fn sensors<'a>(outcome: &'a Outcome<'_>) -> Vec<SensorJson<'a>> {
    let turn = |vector| outcome.set.setup().convention.turn(vector);
    let one = |forecast: &balance_core::correction::Forecast| {
        let sensor = &outcome.set.setup().sensors[forecast.sensor];
        SensorJson {
            name: &sensor.name,
            unit: &sensor.unit,
            speed_rpm: outcome.set.groups()[forecast.group].speed.map(Speed::rpm),
            now: ReadingJson {
                amplitude: forecast.now.amplitude(),
                phase_deg: Angle::of(turn(forecast.now.vector())).degrees_in_turn(),
            },
            predicted: PredictedJson {
                amplitude: forecast.expected.amplitude(),
                phase_deg: Angle::of(turn(forecast.expected.vector())).degrees_in_turn(),
                radius_95: forecast.needle_circle,
            },
        }
    };
    outcome.forecasts.iter().map(one).collect()
}

fn influence<'a>(outcome: &'a Outcome<'_>) -> Vec<InfluenceJson<'a>> {
    let setup = outcome.set.setup();
    let mut found = Vec::new();
    for (group, own) in outcome.influence.groups.iter().enumerate() {
        for (sensor, fit) in own.fits() {
            for (plane, coefficient) in setup.planes.iter().zip(fit.coefficients.iter()) {
                let size = coefficient.norm();
                found.push(InfluenceJson {
                    sensor: &setup.sensors[sensor].name,
                    plane: &plane.name,
                    speed_rpm: outcome.set.groups()[group].speed.map(Speed::rpm),
                    amplitude_per_g_mm: plane.radius.map(|_| size),
                    amplitude_per_g: plane.radius.is_none().then_some(size),
                    phase_deg: Angle::of(setup.convention.turn(*coefficient)).degrees_in_turn(),
                });
            }
        }
    }
    found
}

fn account<'a>(outcome: &'a Outcome<'_>) -> Vec<AccountJson<'a>> {
    let when = |when: &'a When| match when {
        When::BeforeTheJob => "before the job",
        When::Run(label) => label.as_str(),
    };
    let entry = |entry: &'a AccountEntry| AccountJson {
        what: match entry.kind {
            EntryKind::Weight => "weight",
            EntryKind::MetalTakenOff => "metal taken off",
        },
        plane: outcome.set.setup().planes.get(entry.plane).map_or("", |plane| plane.name.as_str()),
        mass_g: entry.mass.grams(),
        bead_g: entry.bead.grams(),
        angle_deg: entry.angle.degrees_in_turn(),
        fitted: when(&entry.fitted),
        removed: entry.removed.as_ref().map(when),
    };
    outcome.account.iter().flat_map(|account| &account.entries).map(entry).collect()
}
