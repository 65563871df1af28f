//! `balance-verdict/2`.

use crate::grade::Budget;
use crate::influence::Which;
use crate::quantity::{Angle, Mass, Speed};
use crate::shaft::MassBasis;
use serde::Serialize;

use super::{CautionJson, WhyJson, cautions, held_back, line, next_run, refusal};
use crate::answer::{Answer, Judged, NextRun, NoVerdict, Unsolved};

#[derive(Serialize)]
struct VerdictJson<'a> {
    format: &'static str,
    shaft: &'a str,
    /// Null: the shaft must not spin, so there is none.
    verdict: Option<&'static str>,
    /// What may be done now.
    advice: &'static str,
    held_back: Option<WhyJson>,
    refusal: Option<WhyJson>,
    next_run: Option<WhyJson>,
    state: Option<&'static str>,
    grade: Option<String>,
    mass_kg: Option<f64>,
    mass_basis: Option<&'static str>,
    service_speed_rpm: Option<f64>,
    stand_speed_rpm: Option<f64>,
    scope: Option<&'static str>,
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
    degrees_of_freedom: Option<f64>,
    widened_uncertainty_g_mm: Option<f64>,
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

/// A verdict on one shaft on one line.
///
/// # Errors
///
/// [`NoVerdict`] where there is none to give; a shaft that must not spin has an answer without a verdict.
pub fn verdict(answer: &Answer, which: Which) -> Result<String, NoVerdict> {
    match answer.verdict_on(which) {
        Ok(judged) => Ok(told(answer, &judged)),
        Err(NoVerdict::MustNotSpin) => {
            let cautions = cautions(answer.job.units, &answer.cautions);
            Ok(line(&VerdictJson {
                refusal: refusal(answer.job.units, answer.advice()),
                cautions,
                ..blank(&answer.shaft)
            }))
        }
        Err(fault) => Err(fault),
    }
}

/// The same where the runs are not sufficient, for a shaft that must not spin anyway; `None` for any other.
#[must_use]
pub fn refused_verdict(unsolved: &Unsolved) -> Option<String> {
    let refusal = unsolved.refusal.as_ref()?;
    let why = WhyJson { code: refusal.code(), text: refusal.text(unsolved.units) };
    Some(line(&VerdictJson {
        refusal: Some(why),
        cautions: cautions(unsolved.units, &refusal.reasons),
        ..blank(&unsolved.shaft)
    }))
}

/// A verdict on one line where a check run was read but the shaft was never read as found: the verdict is
/// open.
#[must_use]
pub fn verdict_without_initial(shaft: &str) -> String {
    let next = NextRun::InitialRun;
    line(&VerdictJson {
        verdict: Some("undecided"),
        advice: "one more run",
        next_run: Some(WhyJson { code: next.code(), text: next.sentence() }),
        ..blank(shaft)
    })
}

/// No verdict, because the shaft must not spin.
fn blank(shaft: &str) -> VerdictJson<'_> {
    VerdictJson {
        format: "balance-verdict/2",
        shaft,
        verdict: None,
        advice: "must not spin",
        held_back: None,
        refusal: None,
        next_run: None,
        state: None,
        grade: None,
        mass_kg: None,
        mass_basis: None,
        service_speed_rpm: None,
        stand_speed_rpm: None,
        scope: None,
        mountings: 0,
        check_runs: 0,
        more_check_runs: None,
        probability: None,
        planes: Vec::new(),
        budget: None,
        cautions: Vec::new(),
    }
}

fn told(answer: &Answer, judged: &Judged) -> String {
    let deciding = judged.deciding();
    let residual = &deciding.residual;
    let one_mounting = residual.mountings < 2;
    let limits = answer.limits.as_ref().ok();
    line(&VerdictJson {
        verdict: Some(judged.decision.word()),
        advice: answer.advice().word(),
        held_back: held_back(answer.advice()),
        next_run: next_run(answer.advice()),
        state: Some(judged.state_word()),
        grade: limits.and_then(|limits| limits.grade).map(|grade| grade.to_string()),
        mass_kg: limits.and_then(|limits| limits.mass).map(Mass::kilograms),
        mass_basis: limits.and_then(|limits| limits.mass_basis).map(MassBasis::word),
        service_speed_rpm: limits.and_then(|limits| limits.service_speed).map(Speed::rpm),
        stand_speed_rpm: deciding.stand_speed.map(Speed::rpm),
        scope: Some(if one_mounting && !judged.scatter_stated {
            "this mounting only"
        } else {
            "any mounting"
        }),
        mountings: residual.mountings,
        check_runs: residual.runs,
        more_check_runs: deciding.verdict.more_check_runs,
        probability: deciding.verdict.probability,
        planes: deciding.verdict.planes.iter().map(plane).collect(),
        budget: deciding.budget.as_ref().map(terms),
        cautions: cautions(answer.job.units, &judged.cautions_with(&answer.cautions)),
        ..blank(&answer.shaft)
    })
}

fn terms(budget: &Budget) -> Vec<TermJson<'_>> {
    let random = budget.random.iter().map(|term| ("random", term.name.as_str(), term.sizes.as_slice()));
    let systematic =
        budget.systematic.iter().map(|term| ("systematic", term.name.as_str(), term.sizes.as_slice()));
    random.chain(systematic).map(|(kind, term, sizes_g_mm)| TermJson { term, kind, sizes_g_mm }).collect()
}

fn plane(plane: &crate::grade::PlaneVerdict) -> PlaneJson<'_> {
    PlaneJson {
        name: &plane.name,
        residual_g_mm: plane.residual.gram_millimetres(),
        angle_deg: Angle::of(plane.residual.vector()).degrees_in_turn(),
        permissible_g_mm: plane.permissible.gram_millimetres(),
        standard_uncertainty_g_mm: plane.standard_uncertainty,
        // Exactly known noise has no number of degrees of freedom: null, as for unknown noise (then the
        // uncertainty is null too).
        degrees_of_freedom: plane.degrees_of_freedom.filter(|degrees| degrees.is_finite()),
        widened_uncertainty_g_mm: plane.widened_uncertainty,
        systematic_g_mm: plane.systematic,
        probability: plane.probability,
        plain_rule: plane.plain_rule.word(),
    }
}
