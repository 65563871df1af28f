//! From the ideal correction to weights out of the job's box.

use balance_core::Complex64;
use balance_core::correction::Correction;
use balance_core::correction::weights::{
    AccountFault, GivenWeight, PlacedWeight, PlanePlan, PlaneTask, WeightAccount, WeightFault, WeightPlan,
    WeightTask, Weldability, plan_weights, plan_with,
};
use balance_core::quantity::Mass;
use balance_core::run::RunSet;
use balance_core::shaft::{Weldability as Stated, WeldedBefore};

use super::limits::Limits;
use super::question::Question;
use crate::files::Job;

/// The weights to weld; `None` without a box of weights.
///
/// # Errors
///
/// Every [`WeightFault`] of the task.
pub fn plan(
    question: &Question<'_>,
    correction: &Correction,
    limits: Option<&Limits>,
) -> Option<Result<WeightPlan, Vec<WeightFault>>> {
    question.job.filter(|job| !job.weld_plan.weights.is_empty())?;
    Some(plan_weights(&task(question, correction, limits)))
}

/// What given weights would do instead.
///
/// # Errors
///
/// Every [`WeightFault`] of the task.
pub fn plan_given(
    question: &Question<'_>,
    correction: &Correction,
    limits: Option<&Limits>,
    given: &[GivenWeight],
) -> Result<WeightPlan, Vec<WeightFault>> {
    plan_with(&task(question, correction, limits), given)
}

fn task(question: &Question<'_>, correction: &Correction, limits: Option<&Limits>) -> WeightTask {
    let planes = &question.set.setup().planes;
    let tasks = planes
        .iter()
        .zip(&correction.planes)
        .enumerate()
        .map(|(at, (plane, ideal))| PlaneTask {
            plane: plane.clone(),
            target: ideal.add,
            permissible: limits.and_then(|limits| limits.at_correction.get(at)).map(|limit| limit.amount),
        })
        .collect();
    let Some(job) = question.job else { return WeightTask::new(tasks, Vec::new()) };
    let weld = &job.weld_plan;
    WeightTask {
        weld: weld.weld,
        no_weld: weld.no_weld.clone(),
        fixed_places: weld.fixed_places.clone(),
        welded_before: welded_before(question),
        tube: job.measures.tube.clone(),
        tube_mass: None::<Mass>,
        weldability: weldability(job),
        service_speed: job.measures.service_speed,
        place_error: job.stand.noise.place_error,
        ..WeightTask::new(tasks, weld.weights.clone())
    }
}

/// The account of every weight: what it came with, what was fitted and removed, and in which run.
///
/// # Errors
///
/// Check rows that take off what is not there.
pub fn account(question: &Question<'_>) -> Result<WeightAccount, AccountFault> {
    let came_with = question.job.map(|job| job.weld_plan.welded.as_slice()).unwrap_or_default();
    WeightAccount::after(came_with, &question.set.runs())
}

/// The weights on the shaft now: those it came with and those of the last check run.
#[must_use]
pub fn welded_before(question: &Question<'_>) -> Vec<WeldedBefore> {
    let Some(job) = question.job else { return Vec::new() };
    let weld = &job.weld_plan;
    account(question)
        .map_or_else(|_| weld.welded.clone(), |account| account.welded_now(&weld.welded, &weld.weights))
}

/// What the job says of the material; never assumed.
fn weldability(job: &Job) -> Weldability {
    match (job.shaft.material.known().map(|material| material.weldability), &job.measures.material) {
        (Some(Stated::Ready), _) => Weldability::Weldable,
        (Some(Stated::ByProcedure | Stated::No), _) => Weldability::NotWeldable,
        (None, Some(_)) => Weldability::NotWeldable,
        (Some(Stated::Unknown) | None, _) => Weldability::Unknown,
    }
}

/// Whether beads are on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beads {
    /// Under clamps: none yet.
    None,
    /// Welded.
    On,
}

/// The unbalance that the plan adds in each plane, g·mm (g without radii): new weights on, old ones off.
#[must_use]
pub fn added(plan: &WeightPlan, beads: Beads) -> Vec<Complex64> {
    let bead_share = |weight: &PlacedWeight| match beads {
        Beads::On => 1.0,
        Beads::None => weight.piece.mass.grams() / weight.piece.total_grams(),
    };
    let of_plane = |plane: &PlanePlan| {
        let welded = plane.target.vector() + plane.left_over.vector();
        let bead: Complex64 =
            plane.weights.iter().map(|weight| weight.unbalance.vector() * (1.0 - bead_share(weight))).sum();
        welded - bead
    };
    plan.planes.iter().map(of_plane).collect()
}

/// Complex variance of putting the plan's weights on, plane by plane.
#[must_use]
pub fn placing(set: &RunSet, plan: &WeightPlan) -> Vec<f64> {
    let of_plane = |(at, plane): (usize, &PlanePlan)| {
        plane.weights.iter().map(|w| set.setup().placing_variance(at, w.unbalance.gram_millimetres())).sum()
    };
    plan.planes.iter().enumerate().map(of_plane).collect()
}
