//! Weights that the user wants to put on: what they are, and what is in their way.

use super::effect::Piece;
use super::problem::{Fitted, PlaneProblem, Source, piece_of_mass, sector_obstacle};
use super::row::Obstacle;
use super::task::GivenWeight;
use crate::caution::Caution;

/// The given weights of one plane as pieces, and cautions about those that are in the way of something.
pub(super) fn fitted_from(problem: &PlaneProblem<'_>, given: &[GivenWeight]) -> (Vec<Fitted>, Vec<Caution>) {
    let mine = given.iter().filter(|weight| weight.plane == problem.plane);
    let fitted: Vec<Fitted> = mine
        .map(|weight| Fitted {
            source: Source::Given,
            piece: piece_of(problem, weight),
            degrees: weight.angle.degrees_in_turn(),
        })
        .collect();
    let mut notes = in_sectors(problem, &fitted);
    notes.extend(on_others(problem, &fitted));
    (fitted, notes)
}

/// The piece of the box with this mass, or a point, with the usual bead.
fn piece_of(problem: &PlaneProblem<'_>, given: &GivenWeight) -> Piece {
    let piece = piece_of_mass(&problem.task.stock, given.mass, problem.task.weld.bead_mass);
    Piece { radius: given.radius.or(piece.radius), ..piece }
}

fn in_sectors(problem: &PlaneProblem<'_>, fitted: &[Fitted]) -> Vec<Caution> {
    let task = problem.task;
    let mine = task.no_weld.iter().filter(|no_weld| no_weld.plane == problem.plane);
    let mut notes = Vec::new();
    for no_weld in mine {
        let obstacle = sector_obstacle(&no_weld.sector);
        for weight in fitted.iter().filter(|weight| meets(problem, weight, &obstacle)) {
            notes.push(Caution::WeightInNoWeld {
                plane: name(problem),
                mass: weight.piece.mass,
                degrees: weight.degrees,
                reason: no_weld.reason.clone(),
            });
        }
    }
    notes
}

fn on_others(problem: &PlaneProblem<'_>, fitted: &[Fitted]) -> Vec<Caution> {
    let old = problem.task.staying(problem.plane, &[]).map(|index| problem.old_obstacle(index));
    let mut there: Vec<Obstacle> = old.collect();
    let mut notes = Vec::new();
    for weight in fitted {
        if there.iter().any(|obstacle| meets(problem, weight, obstacle)) {
            notes.push(Caution::WeightsOverlap {
                plane: name(problem),
                mass: weight.piece.mass,
                degrees: weight.degrees,
            });
        }
        let half_width = problem.geometry().half_width_degrees(weight.piece.width) + problem.gap_degrees();
        there.push(Obstacle { middle: weight.degrees, half_width });
    }
    notes
}

fn meets(problem: &PlaneProblem<'_>, weight: &Fitted, obstacle: &Obstacle) -> bool {
    !obstacle.leaves(weight.degrees, problem.geometry().half_width_degrees(weight.piece.width))
}

fn name(problem: &PlaneProblem<'_>) -> String {
    problem.task.planes[problem.plane].plane.name.clone()
}
