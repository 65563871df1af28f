//! `balance-correction/2`.

use crate::correction::Correction;
use crate::correction::weights::{AccountEntry, ComesOff, EntryKind, PlacedWeight, Source, When};
use crate::quantity::{Angle, Length, Speed};
use serde::Serialize;

use super::{CautionJson, WhyJson, cautions, held_back, line, next_run, refusal};
use crate::answer::{Answer, Unsolved};
use crate::shaft::PlaneId;

#[derive(Serialize)]
struct CorrectionJson<'a> {
    format: &'static str,
    shaft: &'a str,
    method: &'static str,
    /// What may be done now.
    advice: &'static str,
    held_back: Option<WhyJson>,
    refusal: Option<WhyJson>,
    next_run: Option<WhyJson>,
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
    /// Empty without a box, and where nothing goes on.
    weights: Vec<WeightJson>,
    take_off: Vec<TakeOffJson>,
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
pub fn correction(answer: &Answer) -> String {
    let condition = answer.advice().ideal().map(|ideal| ideal.correction.condition);
    line(&CorrectionJson {
        format: FORMAT,
        shaft: &answer.shaft,
        method: "least squares",
        advice: answer.advice().word(),
        held_back: held_back(answer.advice()),
        refusal: refusal(answer.job.units, answer.advice()),
        next_run: next_run(answer.advice()),
        planes: planes(answer),
        sensors: sensors(answer),
        influence: influence(answer),
        account: account(answer),
        condition: condition.filter(|condition| condition.is_finite()),
        chance_after: answer.advice().ahead().and_then(|ahead| ahead.chance),
        verdict: answer.judged.as_ref().map(|judged| judged.decision.word()),
        cautions: cautions(answer.job.units, &answer.cautions),
    })
}

/// The same where the runs are not sufficient, for a shaft that must not spin anyway; `None` for any other.
#[must_use]
pub fn refused(unsolved: &Unsolved) -> Option<String> {
    let refusal = unsolved.refusal.clone()?;
    Some(line(&CorrectionJson {
        format: FORMAT,
        shaft: &unsolved.shaft,
        method: "least squares",
        advice: "must not spin",
        held_back: None,
        refusal: Some(WhyJson { code: refusal.code(), text: refusal.text(unsolved.units) }),
        next_run: None,
        planes: Vec::new(),
        sensors: Vec::new(),
        influence: Vec::new(),
        account: Vec::new(),
        condition: None,
        chance_after: None,
        verdict: None,
        cautions: cautions(unsolved.units, &refusal.reasons),
    }))
}

const FORMAT: &str = "balance-correction/2";

/// Empty where the runs or the shaft are in doubt: no mass may be put on then.
fn planes(answer: &Answer) -> Vec<PlaneJson<'_>> {
    let Some(ideal) = answer.advice().ideal() else { return Vec::new() };
    PlaneId::all(ideal.correction.planes.len())
        .map(|plane| plane_json(answer, &ideal.correction, plane))
        .collect()
}

fn plane_json<'a>(answer: &'a Answer, correction: &Correction, plane: PlaneId) -> PlaneJson<'a> {
    let own = &answer.runs.setup().planes[plane];
    let ideal = &correction.planes[plane];
    let amount = ideal.add.gram_millimetres();
    let plan = answer.advice().plan().and_then(|plan| plan.planes.get(plane.index()));
    let take_off = |off: &ComesOff| {
        let weight = answer.welded_before.get(off.welded)?;
        Some(TakeOffJson {
            mass_g: weight.mass.grams(),
            angle_deg: weight.angle.degrees_in_turn(),
            turned: off.turned_to.is_some(),
        })
    };
    PlaneJson {
        name: &own.name,
        mass_g: amount / own.lever(),
        angle_deg: ideal.add.angle().degrees_in_turn(),
        unbalance_g_mm: own.radius.map(|_| amount),
        radius_mm: own.radius.map(Length::millimetres),
        mass_uncertainty_g: ideal.give_or_take.map(|circle| circle / own.lever()),
        angle_uncertainty_deg: ideal.angle_give_or_take().map(Angle::degrees),
        weights: plan.iter().flat_map(|plan| &plan.weights).map(weight_json).collect(),
        take_off: plan.iter().flat_map(|plan| &plan.come_off).filter_map(take_off).collect(),
        left_over_g_mm: plan.filter(|_| own.radius.is_some()).map(|plan| plan.left_over.gram_millimetres()),
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

fn sensors(answer: &Answer) -> Vec<SensorJson<'_>> {
    let turn = |vector| answer.runs.setup().convention.turn(vector);
    let one = |forecast: &crate::correction::Forecast| {
        let sensor = &answer.runs.setup().sensors[forecast.sensor];
        SensorJson {
            name: &sensor.name,
            unit: &sensor.unit,
            speed_rpm: answer.runs.groups()[forecast.group].speed.map(Speed::rpm),
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
    answer.advice().ahead().iter().flat_map(|ahead| &ahead.welded).map(one).collect()
}

fn influence(answer: &Answer) -> Vec<InfluenceJson<'_>> {
    let setup = answer.runs.setup();
    let mut found = Vec::new();
    for (group, own) in answer.influence.groups.iter().enumerate() {
        for (sensor, fit) in own.fits() {
            for (plane, coefficient) in setup.planes.iter().zip(fit.coefficients.iter()) {
                let size = coefficient.norm();
                found.push(InfluenceJson {
                    sensor: &setup.sensors[sensor].name,
                    plane: &plane.name,
                    speed_rpm: answer.runs.groups()[group].speed.map(Speed::rpm),
                    amplitude_per_g_mm: plane.radius.map(|_| size),
                    amplitude_per_g: plane.radius.is_none().then_some(size),
                    phase_deg: Angle::of(setup.convention.turn(*coefficient)).degrees_in_turn(),
                });
            }
        }
    }
    found
}

fn account<'a>(answer: &'a Answer) -> Vec<AccountJson<'a>> {
    let when = |when: &'a When| match when {
        When::BeforeTheJob => "before the job",
        When::Run(label) => label.as_str(),
    };
    let entry = |entry: &'a AccountEntry| AccountJson {
        what: match entry.kind {
            EntryKind::Weight => "weight",
            EntryKind::MetalTakenOff => "metal taken off",
        },
        plane: answer.runs.setup().planes.get(entry.plane.index()).map_or("", |plane| plane.name.as_str()),
        mass_g: entry.mass.grams(),
        bead_g: entry.bead.grams(),
        angle_deg: entry.angle.degrees_in_turn(),
        fitted: when(&entry.fitted),
        removed: entry.removed.as_ref().map(when),
    };
    answer.account.iter().flat_map(|account| &account.entries).map(entry).collect()
}
