//! What to take care of with a plan of weights.

use num_complex::Complex64;

use super::plan::PlanePlan;
use super::room::WidthFrom;
use super::task::{MayWeld, WeightCriterion, WeightTask};
use crate::caution::{AssumedWidth, Caution, WidthLike};
use crate::run::PlaceError;
use crate::shaft::{PlaneId, WeldOn};

/// Every caution of a plan.
pub(super) fn cautions(task: &WeightTask, planes: &[PlanePlan]) -> Vec<Caution> {
    let welds = planes.iter().any(|plane| !plane.weights.is_empty());
    let cuts = planes.iter().any(|plane| !plane.come_off.is_empty());
    let mut found = Vec::new();
    if welds || cuts {
        found.push(material(task));
        found.extend(thin_wall(task));
    }
    found.extend(planes.iter().filter_map(|plane| heavy(task, plane)));
    found.extend(straighten(task));
    found.extend(planes.iter().filter_map(falls_short));
    if welds {
        found.extend(assumed_widths(task, planes));
        found.extend(not_worked_out(task));
    }
    found
}

/// Weights of unstated width next to which something is welded.
fn assumed_widths(task: &WeightTask, planes: &[PlanePlan]) -> Option<Caution> {
    let beside = |(plane, plan): (PlaneId, &PlanePlan)| {
        let off: Vec<usize> =
            plan.come_off.iter().filter(|gone| gone.turned_to.is_none()).map(|gone| gone.welded).collect();
        let welds = !plan.weights.is_empty();
        let on: Vec<usize> = task.staying(plane, &off).filter(|_| welds).collect();
        on.into_iter().filter_map(|index| assumed_width(task, index))
    };
    let weights: Vec<AssumedWidth> = PlaneId::numbered(planes).flat_map(beside).collect();
    (!weights.is_empty()).then_some(Caution::WidthAssumed { weights })
}

fn assumed_width(task: &WeightTask, index: usize) -> Option<AssumedWidth> {
    let old = &task.welded_before[index];
    let room = task.old_room(index);
    let like = match room.from {
        WidthFrom::Stated => return None,
        WidthFrom::Box { stock } => match &task.stock[stock] {
            WeldOn::Stamped(weight) => WidthLike::Piece(weight.mass()),
            WeldOn::Bar(_) => WidthLike::Bar,
        },
        WidthFrom::Mass => WidthLike::Mass,
    };
    let plane = task.planes[old.plane].plane.name.clone();
    Some(AssumedWidth {
        plane,
        mass: old.mass,
        degrees: old.angle.degrees_in_turn(),
        width: room.width,
        like,
    })
}

fn material(task: &WeightTask) -> Caution {
    match task.weldability {
        MayWeld::Unknown => Caution::WeldingMaterialUnknown,
        MayWeld::NotWeldable => Caution::MaterialNotWeldable,
        MayWeld::Weldable => Caution::HeatAndCurrent,
    }
}

fn thin_wall(task: &WeightTask) -> Option<Caution> {
    let (wall, limit) = (task.tube.as_ref()?.wall, task.settings.thin_wall);
    (wall < limit).then_some(Caution::ThinWall { wall, limit })
}

fn heavy(task: &WeightTask, plane: &PlanePlan) -> Option<Caution> {
    let (total, (usual, most)) = (plane.total_mass, task.settings.usual_most);
    let plane = plane.name.clone();
    (total > usual || total > most).then_some(Caution::TotalMassAboveUsual { plane, total, usual, most })
}

/// The total indicator reading at mid-length, in mm, of the bow that would call for the part of the correction that
/// both ends share.
///
/// A half-sine bow with reading `t` on a tube of mass `W` makes `W·(t/2)·(2/π)/2 = W·t/(2π)` at each end (recomputed:
/// 4.0 × 0.134 × 60 in with 0.010 in makes 0.70 oz·in).
fn bow_like(task: &WeightTask) -> Option<f64> {
    let grams = task.tube_mass?.grams();
    let sum: Complex64 = task.planes.iter().map(|plane| plane.target.vector()).sum();
    let each_end = sum.norm() / 2.0;
    (grams > 0.0).then(|| each_end * std::f64::consts::TAU / grams)
}

fn straighten(task: &WeightTask) -> Option<Caution> {
    let (reading, limit) = (bow_like(task)?, task.settings.straighten_above);
    (reading > limit.millimetres())
        .then_some(Caution::CorrectionLikeBow { reading_millimetres: reading, limit })
}

fn falls_short(plane: &PlanePlan) -> Option<Caution> {
    let short = plane.shortfall.as_ref()?;
    Some(Caution::WeightsFallShort { plane: plane.name.clone(), left: short.left, limit: short.limit })
}

/// What could not be worked out because it is not stated.
fn not_worked_out(task: &WeightTask) -> Vec<Caution> {
    let mut found = Vec::new();
    let sizeless = |item: &WeldOn| matches!(item, WeldOn::Stamped(weight) if weight.width.is_none());
    if task.stock.iter().any(sizeless) {
        found.push(Caution::WeightWithoutWidth);
    }
    let robust = task.settings.criterion == WeightCriterion::Robust;
    let no_radius =
        PlaneId::all(task.planes.len()).any(|plane| task.geometry(plane).surface_radius().is_none());
    if robust && no_radius && matches!(task.place_error, Some(PlaceError::Tape(_))) {
        found.push(Caution::PlaceErrorNotUsed);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::task::PlaneTask;
    use super::*;
    use crate::quantity::{Angle, Unbalance, parse};
    use crate::shaft::CorrectionPlane;

    /// Tube mass 5.53 lb/ft × 5 ft and unbalance 0.70 oz·in at each end ↔ 0.010 in (tables and formula recomputed).
    #[test]
    fn a_bow_is_seen_in_what_both_ends_share() {
        let plane = |degrees| PlaneTask {
            plane: CorrectionPlane::named("front"),
            target: Unbalance::at(parse("0.704 oz.in").unwrap(), Angle::from_degrees(degrees).unwrap()),
            permissible: None,
        };
        let mut task = WeightTask::new(vec![plane(30.0), plane(30.0)], Vec::new());
        task.tube_mass = Some(parse("27.65 lb").unwrap());
        let reading = bow_like(&task).unwrap();
        assert!((reading - 0.254).abs() < 0.002, "{reading}");
        task.planes[1] = plane(210.0);
        assert!(bow_like(&task).unwrap() < 1e-9);
    }
}
