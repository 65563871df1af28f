//! The list of what may have gone wrong.

use super::accused::Origins;
use super::hypothesis::{Amount, Hypothesis, Suspects, Turned, Who};
use crate::run::{RunKind, RunSet};

const MARK_STEPS: [i32; 4] = [45, -45, 90, -90];

/// Everything on the list that can be about these runs.
pub(super) fn hypotheses(set: &RunSet, origins: &Origins, accused: Option<[usize; 2]>) -> Vec<Hypothesis> {
    let mut list = vec![Hypothesis::OtherWayRound(Suspects { who: Who::All, plane: None })];
    of_masses(set, origins, Who::Trials, &mut list);
    trials_left_on(set, origins, accused, &mut list);
    if let Some(rows) = accused {
        of_masses(set, origins, Who::CameOn { from: rows[0] }, &mut list);
        weights_forgotten(set, origins, rows[0], &mut list);
        of_readings(set, origins, rows, &mut list);
    }
    list
}

/// Planes in which such masses sit.
fn planes_of(set: &RunSet, origins: &Origins, who: Who) -> Vec<usize> {
    let holds = |plane: usize| {
        set.rows().iter().enumerate().any(|(row, own)| {
            own.masses.iter().enumerate().any(|(at, mass)| mass.plane == plane && origins.is(row, at, who))
        })
    };
    (0..set.setup().planes.len()).filter(|&plane| holds(plane)).collect()
}

fn of_masses(set: &RunSet, origins: &Origins, who: Who, list: &mut Vec<Hypothesis>) {
    let planes = planes_of(set, origins, who);
    if planes.is_empty() {
        return;
    }
    list.push(Hypothesis::OtherWayRound(Suspects { who, plane: None }));
    let mut scopes = vec![None];
    if planes.len() > 1 {
        scopes.extend(planes.iter().map(|&plane| Some(plane)));
    }
    for plane in scopes {
        let suspects = Suspects { who, plane };
        list.push(Hypothesis::OppositeSide(suspects));
        list.push(Hypothesis::WrongAmount(suspects, Amount::Double));
        list.push(Hypothesis::WrongAmount(suspects, Amount::Half));
    }
    for (at, &first) in planes.iter().enumerate() {
        for &second in &planes[at + 1..] {
            list.push(Hypothesis::PlanesSwapped { who, planes: [first, second] });
        }
    }
}

/// Each trial in the trial after it, and in the run that does not fit.
fn trials_left_on(set: &RunSet, origins: &Origins, accused: Option<[usize; 2]>, list: &mut Vec<Hypothesis>) {
    let rows = set.rows();
    let new_mass = |row: usize| (0..rows[row].masses.len()).any(|at| origins.of(row, at) == Some(row));
    let still_listed =
        |trial: usize, row: usize| (0..rows[row].masses.len()).any(|at| origins.of(row, at) == Some(trial));
    let trials: Vec<usize> =
        (0..rows.len()).filter(|&row| rows[row].run.kind == RunKind::Trial && new_mass(row)).collect();
    for pair in trials.windows(2).filter(|pair| !still_listed(pair[0], pair[1])) {
        list.push(Hypothesis::TrialLeftOn { trial: pair[0], from: pair[1], to: pair[1] });
    }
    if let Some([from, to]) = accused {
        for &trial in trials.iter().filter(|&&trial| trial < from && !still_listed(trial, from)) {
            list.push(Hypothesis::TrialLeftOn { trial, from, to });
        }
    }
}

fn weights_forgotten(set: &RunSet, origins: &Origins, from: usize, list: &mut Vec<Hypothesis>) {
    let masses = &set.rows()[from].masses;
    let new: Vec<_> = (0..masses.len()).filter(|&at| origins.of(from, at) == Some(from)).collect();
    for &at in &new {
        list.push(Hypothesis::WeightForgotten { from, mass: masses[at].clone() });
    }
    if new.len() > 1 {
        list.push(Hypothesis::NothingOn { from });
    }
}

/// What a moved mark, swapped cables or a wrong phase do to readings: from some run on, or in one run only.
fn of_readings(set: &RunSet, origins: &Origins, [accused, to]: [usize; 2], list: &mut Vec<Hypothesis>) {
    let masses_on = |row: usize| (0..set.rows()[row].masses.len()).any(|at| origins.of(row, at) == Some(row));
    let sensors = set.setup().sensors.len();
    for from in (1..=accused).filter(|&row| row == accused || set.rows()[row].run.kind == RunKind::Trial) {
        for turned in [Turned::Readings, Turned::Weights, Turned::Both] {
            let told = turned == Turned::Readings || masses_on(from);
            if told && (from == accused || turned != Turned::Weights) {
                list.extend(MARK_STEPS.map(|degrees| Hypothesis::MarkMoved { from, to, degrees, turned }));
            }
        }
        let mut spans = vec![[from, to]];
        if from != accused {
            spans.push([from, from]);
        }
        for rows in spans {
            for first in 0..sensors {
                for second in first + 1..sensors {
                    list.push(Hypothesis::SensorsSwapped { rows, sensors: [first, second] });
                }
                list.push(Hypothesis::PhaseOpposite { rows, sensor: first });
            }
        }
    }
}
