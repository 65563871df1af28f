//! `balance-verdict/1`.

use balance_core::quantity::{Angle, Speed};
use balance_core::shaft::MassBasis;
use serde::Serialize;

use super::{CautionJson, cautions, line};
use crate::outcome::{Judged, Limits, Outcome};
use crate::print::text::heading::units_of;

#[derive(Serialize)]
struct VerdictJson<'a> {
    format: &'static str,
    shaft: &'a str,
    verdict: &'static str,
    state: &'static str,
    grade: Option<String>,
    mass_kg: Option<f64>,
    mass_basis: Option<&'static str>,
    service_speed_rpm: Option<f64>,
    stand_speed_rpm: Option<f64>,
    scope: &'static str,
    mountings: usize,
    check_runs: usize,
    more_check_runs: Option<usize>,
    probability: Option<f64>,
    planes: Vec<PlaneJson<'a>>,
    budget: Option<Vec<TermJson<'a>>>,
    cautions: Vec<CautionJson>,
}

#[derive(Serialize)]
struct PlaneJson<'a> {
    name: &'a str,
    residual_g_mm: f64,
    angle_deg: f64,
    permissible_g_mm: f64,
    standard_uncertainty_g_mm: Option<f64>,
    systematic_g_mm: Option<f64>,
    probability: Option<f64>,
    plain_rule: &'static str,
}

#[derive(Serialize)]
struct TermJson<'a> {
    term: &'a str,
    kind: &'static str,
    sizes_g_mm: &'a [f64],
}

/// The verdict on one shaft on one line.
#[must_use]
pub fn verdict(outcome: &Outcome<'_>, limits: &Limits, judged: &Judged) -> String {
    let deciding = judged.deciding();
    let residual = &deciding.residual;
    let one_mounting = residual.mountings < 2;
    line(&VerdictJson {
        format: "balance-verdict/1",
        shaft: &outcome.shaft,
        verdict: judged.decision.word(),
        state: judged.state_word(),
        grade: limits.grade.map(|grade| grade.to_string()),
        mass_kg: limits.mass.map(balance_core::quantity::Mass::kilograms),
        mass_basis: limits.mass_basis.map(MassBasis::word),
        service_speed_rpm: limits.service_speed.map(Speed::rpm),
        stand_speed_rpm: deciding.stand_speed.map(Speed::rpm),
        scope: if one_mounting && !judged.scatter_stated { "this mounting only" } else { "any mounting" },
        mountings: residual.mountings,
        check_runs: residual.runs,
        more_check_runs: deciding.verdict.more_check_runs,
        probability: deciding.verdict.probability,
        planes: deciding.verdict.planes.iter().map(plane).collect(),
        budget: deciding.budget.as_ref().map(|budget| {
            let random =
                budget.random.iter().map(|term| ("random", term.name.as_str(), term.sizes.as_slice()));
            let systematic = budget
                .systematic
                .iter()
                .map(|term| ("systematic", term.name.as_str(), term.sizes.as_slice()));
            random
                .chain(systematic)
                .map(|(kind, term, sizes_g_mm)| TermJson { term, kind, sizes_g_mm })
                .collect()
        }),
        cautions: cautions(units_of(outcome), &judged.cautions_with(&outcome.cautions)),
    })
}

fn plane(plane: &balance_core::grade::PlaneVerdict) -> PlaneJson<'_> {
    PlaneJson {
        name: &plane.name,
        residual_g_mm: plane.residual.gram_millimetres(),
        angle_deg: Angle::of(plane.residual.vector()).degrees_in_turn(),
        permissible_g_mm: plane.permissible.gram_millimetres(),
        standard_uncertainty_g_mm: plane.standard_uncertainty,
        systematic_g_mm: plane.systematic,
        probability: plane.probability,
        plain_rule: plane.plain_rule.word(),
    }
}
