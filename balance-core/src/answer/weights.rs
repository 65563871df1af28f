//! From the ideal correction to weights out of the job's box.

use crate::correction::Correction;
use crate::correction::weights::{
    AccountFault, Forecasting, MayWeld, PlacedWeight, PlanePlan, PlaneTask, WeightAccount, WeightFault,
    WeightPlan, WeightTask, plan_weights, plan_with,
};
use crate::run::RunSet;
use crate::shaft::{PlaneId, Weldability, WeldedBefore};
use num_complex::Complex64;

use super::before_spin::BeforeSpin;
use super::case::Case;
use super::limits::Limits;
use crate::job::{Job, TubeMaterial};

/// The weights to weld: those given to try out, else a choice from the box; `None` without either.
///
/// # Errors
///
/// Every [`WeightFault`] of the task.
pub(super) fn plan(
    case: &Case,
    correction: &Correction,
    limits: Option<&Limits>,
    before: Option<&BeforeSpin>,
) -> Option<Result<WeightPlan, Vec<WeightFault>>> {
    let task = || task(case, correction, limits, before);
    if !case.given.is_empty() {
        return Some(plan_with(&task(), &case.given));
    }
    let by_box = case.job.weld_plan.clamp.is_none() && !case.job.weld_plan.weights.is_empty();
    by_box.then(|| plan_weights(&task()))
}

fn task(
    case: &Case,
    correction: &Correction,
    limits: Option<&Limits>,
    before: Option<&BeforeSpin>,
) -> WeightTask {
    let planes = &case.runs.setup().planes;
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
    let weld = &case.job.weld_plan;
    WeightTask {
        weld: weld.weld,
        no_weld: weld.no_weld.clone(),
        fixed_places: weld.fixed_places.clone(),
        welded_before: welded_before(case),
        tube: case.job.measures.tube.clone(),
        tube_mass: before.and_then(|before| before.check.mass?.tube_alone),
        weldability: weldability(&case.job),
        service_speed: case.job.measures.service_speed,
        place_error: case.runs.setup().noise.place_error,
        forecasting: limits.and_then(|limits| {
            Forecasting::of(&limits.planes, &limits.transfer, correction, case.runs.setup())
        }),
        ..WeightTask::new(tasks, weld.weights.clone())
    }
}

/// The account of every weight: what the shaft came with, what was fitted and removed, and in which run.
///
/// # Errors
///
/// Check rows that remove a weight that is not there.
pub(super) fn account(case: &Case) -> Result<WeightAccount, AccountFault> {
    WeightAccount::after(&case.job.weld_plan.welded, &case.runs.runs())
}

/// The weights on the shaft now: those it came with and those of the last check run.
pub(super) fn welded_before(case: &Case) -> Vec<WeldedBefore> {
    let weld = &case.job.weld_plan;
    account(case)
        .map_or_else(|_| weld.welded.clone(), |account| account.welded_now(&weld.welded, &weld.weights))
}

/// What the job says of the material; never assumed.
fn weldability(job: &Job) -> MayWeld {
    match &job.shaft.material {
        TubeMaterial::NotInTable(_) => MayWeld::NotWeldable,
        TubeMaterial::NotStated => MayWeld::Unknown,
        TubeMaterial::Known(material) => match material.weldability {
            Weldability::Ready => MayWeld::Weldable,
            Weldability::ByProcedure | Weldability::No => MayWeld::NotWeldable,
            Weldability::Unknown => MayWeld::Unknown,
        },
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
    let of_plane = |(at, plane): (PlaneId, &PlanePlan)| {
        plane.weights.iter().map(|w| set.setup().placing_variance(at, w.unbalance.gram_millimetres())).sum()
    };
    PlaneId::numbered(&plan.planes).map(of_plane).collect()
}
