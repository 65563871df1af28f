//! The row for the next check run: everything that will be on the shaft.

use super::advice::Advice;
use super::solve::Answer;
use crate::correction::Correction;
use crate::correction::weights::{PlacedWeight, PlanePlan, WeightPlan};
use crate::quantity::Mass;
use crate::run::{Change, OnTopOf, PlacedMass, Run, RunKind, SensorReading};
use crate::shaft::PlaneId;

impl Answer {
    /// The check run's row with everything that will be on the shaft if the advice is followed, its readings
    /// still empty. If the advice changes nothing, this is what is on now.
    #[must_use]
    pub fn check_row(&self) -> Run {
        let now = self.runs.last_check_block().last().map(|&row| &self.runs.rows()[row]);
        let mut masses = now.map(|row| row.masses.clone()).unwrap_or_default();
        let mut removed = false;
        match self.advice() {
            Advice::Hold(hold) => {
                removed = self.remove(&hold.plan, &mut masses);
                masses.extend(from_the_box(&hold.plan));
            }
            Advice::Ideal(ideal) => masses.extend(self.ideal_masses(&ideal.correction)),
            Advice::MustNotSpin(_)
            | Advice::HeldBack(_)
            | Advice::OneMoreRun(_)
            | Advice::Done(_)
            | Advice::NothingBetter(_) => {}
        }
        let last = self.runs.rows().last();
        Run {
            label: self.next_label(),
            kind: RunKind::Check,
            speed: last.and_then(|row| self.runs.groups()[row.group].speed),
            mounting: now.or(last).map(|row| row.run.mounting.clone()).unwrap_or_default(),
            minutes: None,
            on_top_of: removed.then_some(OnTopOf::AsFound),
            masses,
            readings: vec![SensorReading::NotRead; self.runs.setup().sensors.len()],
            uncertainties: Vec::new(),
        }
    }

    /// Removes the weights that come off; true if a mass of an earlier check run was removed.
    fn remove(&self, plan: &WeightPlan, masses: &mut Vec<PlacedMass>) -> bool {
        let off = plan.planes.iter().flat_map(|plan| plan.come_off.iter().map(|off| off.welded));
        let mut removed = false;
        for weight in off.filter_map(|index| self.welded_before.get(index)) {
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

    fn ideal_masses(&self, correction: &Correction) -> Vec<PlacedMass> {
        let planes = PlaneId::numbered(correction.planes.iter().zip(&self.runs.setup().planes));
        planes
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

    /// The number after the largest label, otherwise a word that no run uses.
    fn next_label(&self) -> String {
        let labels = self.runs.rows().iter().map(|row| row.run.label.as_str());
        let largest = labels.filter_map(|label| label.parse::<u64>().ok()).max();
        largest.map_or_else(
            || format!("check-{}", self.runs.rows().len() + 1),
            |largest| largest.saturating_add(1).to_string(),
        )
    }
}

/// The weights that go on.
fn from_the_box(plan: &WeightPlan) -> Vec<PlacedMass> {
    let placed = |plane: PlaneId, weight: &PlacedWeight| PlacedMass {
        plane,
        change: Change::Added,
        mass: weight.piece.mass,
        angle: weight.angle,
        radius: None,
        bead: weight.piece.bead,
    };
    let of_plane = |(at, plane): (PlaneId, &PlanePlan)| {
        plane.weights.iter().map(|weight| placed(at, weight)).collect::<Vec<PlacedMass>>()
    };
    PlaneId::numbered(&plan.planes).flat_map(of_plane).collect()
}
