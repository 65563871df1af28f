//! The row of the check run to come: everything that will be on the shaft.

use balance_core::correction::weights::PlacedWeight;
use balance_core::quantity::Mass;
use balance_core::run::{Change, PlacedMass, Run, RunKind, SensorReading};

use super::solve::Outcome;
use crate::files::runs::{NewRun, RowTexts};

/// The check run's row with the advised masses and beads, its readings still empty.
#[must_use]
pub fn check_row(outcome: &Outcome<'_>) -> NewRun {
    let now = outcome.set.last_check_block().last().map(|&row| &outcome.set.rows()[row]);
    let mut masses = now.map(|row| row.masses.clone()).unwrap_or_default();
    let removed = remove(outcome, &mut masses);
    masses.extend(added(outcome));
    let run = Run {
        label: next_label(outcome),
        kind: RunKind::Check,
        speed: outcome.set.rows().last().and_then(|row| outcome.set.groups()[row.group].speed),
        mounting: now.or(outcome.set.rows().last()).map(|row| row.run.mounting.clone()).unwrap_or_default(),
        minutes: None,
        on_top_of: removed.then(|| "as found".to_owned()),
        masses,
        readings: vec![SensorReading::NotRead; outcome.set.setup().sensors.len()],
    };
    let several = outcome.job.is_none_or(|job| job.heading.number.as_deref() != Some(outcome.shaft.as_str()));
    NewRun { shaft: several.then(|| outcome.shaft.clone()), run, texts: RowTexts::default() }
}

/// Takes the weights off that come off; true if a mass of an earlier check run went.
fn remove(outcome: &Outcome<'_>, masses: &mut Vec<PlacedMass>) -> bool {
    let plans = outcome.weights.iter().flat_map(|plan| &plan.planes);
    let off: Vec<usize> = plans.flat_map(|plan| plan.come_off.iter().map(|off| off.welded)).collect();
    let mut removed = false;
    for weight in off.iter().filter_map(|&index| outcome.welded_before.get(index)) {
        let same = |mass: &PlacedMass| {
            mass.plane == weight.plane
                && mass.change == Change::Added
                && mass.mass == weight.mass
                && mass.angle.degrees_in_turn() == weight.angle.degrees_in_turn()
        };
        match masses.iter().position(same) {
            Some(at) => {
                masses.remove(at);
                removed = true;
            }
            None => masses.push(PlacedMass {
                plane: weight.plane,
                change: Change::TakenOff,
                mass: weight.mass,
                angle: weight.angle,
                radius: weight.radius,
                bead: weight.bead,
            }),
        }
    }
    removed
}

/// The weights that go on; without a box the ideal masses.
fn added(outcome: &Outcome<'_>) -> Vec<PlacedMass> {
    let placed = |plane: usize, weight: &PlacedWeight| PlacedMass {
        plane,
        change: Change::Added,
        mass: weight.piece.mass,
        angle: weight.angle,
        radius: None,
        bead: weight.piece.bead,
    };
    if let Some(plan) = &outcome.weights {
        let of_plane = |(at, plane): (usize, &balance_core::correction::weights::PlanePlan)| {
            plane.weights.iter().map(|weight| placed(at, weight)).collect::<Vec<PlacedMass>>()
        };
        return plan.planes.iter().enumerate().flat_map(of_plane).collect();
    }
    let setup = outcome.set.setup();
    let ideal = outcome.correction.planes.iter().zip(&setup.planes).enumerate();
    ideal
        .filter_map(|(plane, (ideal, own))| {
            Some(PlacedMass {
                plane,
                change: Change::Added,
                mass: Mass::from_grams(ideal.add.gram_millimetres() / own.lever()).ok()?,
                angle: ideal.add.angle(),
                radius: None,
                bead: Mass::ZERO,
            })
        })
        .collect()
}

/// A number after the largest of the labels, else a word no run has.
fn next_label(outcome: &Outcome<'_>) -> String {
    let labels = outcome.set.rows().iter().map(|row| row.run.label.as_str());
    let largest = labels.filter_map(|label| label.parse::<u64>().ok()).max();
    largest.map_or_else(
        || format!("check-{}", outcome.set.rows().len() + 1),
        |largest| (largest + 1).to_string(),
    )
}
