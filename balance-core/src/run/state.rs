//! What is on the shaft in each run.

use num_complex::Complex64;

use super::fault::{Cell, RunFault};
use super::{Change, OnTopOf, PlaceError, PlacedMass, Run, RunKind, Setup};
use crate::shaft::PlaneId;

/// For every run all masses that are on and were not on in the initial run.
pub(super) fn resolve_masses(
    setup: &Setup,
    runs: &[Run],
    faults: &mut Vec<RunFault>,
) -> Vec<Vec<PlacedMass>> {
    let mut resolved: Vec<Vec<PlacedMass>> = Vec::with_capacity(runs.len());
    let mut last_check: Option<usize> = None;
    for (row, run) in runs.iter().enumerate() {
        let masses = match &run.on_top_of {
            Some(OnTopOf::AsFound) => run.masses.clone(),
            Some(OnTopOf::Run(label)) => match runs[..row].iter().position(|earlier| earlier.label == *label)
            {
                Some(base) => resolved[base].iter().chain(&run.masses).cloned().collect(),
                None => {
                    faults.push(unknown_base(row, label));
                    run.masses.clone()
                }
            },
            None => {
                if let Some(check) = last_check
                    && !repeats(&resolved[check], &run.masses)
                {
                    faults.push(forgotten_masses(setup, row, &runs[check]));
                }
                run.masses.clone()
            }
        };
        if run.kind == RunKind::Check {
            last_check = Some(row);
        }
        resolved.push(masses);
    }
    resolved
}

/// Whether every mass of the check run is listed again.
fn repeats(check: &[PlacedMass], listed: &[PlacedMass]) -> bool {
    let mut left: Vec<&PlacedMass> = listed.iter().collect();
    check.iter().all(|mass| match left.iter().position(|other| mass.same_as(other)) {
        Some(at) => {
            left.swap_remove(at);
            true
        }
        None => false,
    })
}

fn unknown_base(row: usize, label: &str) -> RunFault {
    RunFault::new(
        row,
        Cell::OnTopOf,
        format!("`{label}`"),
        format!("the label of an earlier run, or `{}`", OnTopOf::AS_FOUND),
    )
}

fn forgotten_masses(setup: &Setup, row: usize, check: &Run) -> RunFault {
    let plane = check.masses.first().map_or(PlaneId::new(0), |mass| mass.plane);
    let name = setup.planes.get(plane.index()).map_or("", |plane| plane.name.as_str());
    RunFault::new(
        row,
        Cell::OnTopOf,
        format!(
            "a run after check run `{}` that does not list that run's masses (such as the one at {name})",
            check.label
        ),
        "every mass that is on, or the column `on top of`",
    )
    .hint(format!(
        "if they are still on, write `{}` under `on top of`; if they came off, write `{}`",
        check.label,
        OnTopOf::AS_FOUND
    ))
}

/// The unbalance that the masses make in a plane: g·mm, or g where masses are compared at one radius.
pub(super) fn unbalance_of(setup: &Setup, kind: RunKind, masses: &[PlacedMass], plane: PlaneId) -> Complex64 {
    masses.iter().filter(|mass| mass.plane == plane).map(|mass| vector(setup, kind, mass)).sum()
}

/// The complex variance of that unbalance from placing and weighing each mass by hand.
pub(super) fn spread(setup: &Setup, kind: RunKind, masses: &[PlacedMass], plane: PlaneId) -> f64 {
    let of_one = |mass: &PlacedMass| {
        let amount = vector(setup, kind, mass).norm();
        let lever = lever(setup, kind, mass);
        let turned = amount * place_radians(setup, lever);
        let weighed = setup.noise.scale_error.grams() * lever;
        turned * turned + weighed * weighed
    };
    masses.iter().filter(|mass| mass.plane == plane).map(of_one).sum()
}

fn vector(setup: &Setup, kind: RunKind, mass: &PlacedMass) -> Complex64 {
    let grams = mass.mass.grams() + mass.bead.grams();
    let signed = match mass.change {
        Change::Added => grams,
        Change::TakenOff => -grams,
    };
    mass.angle.unit_vector() * (signed * lever(setup, kind, mass))
}

/// Radius in mm at which a mass sits: the run's own, the trial radius for trials, the plane's, or 1.
fn lever(setup: &Setup, kind: RunKind, mass: &PlacedMass) -> f64 {
    let Some(plane) = setup.planes.get(mass.plane.index()) else { return 1.0 };
    if plane.radius.is_none() {
        return 1.0;
    }
    let usual = if kind == RunKind::Trial { plane.trial_radius.or(plane.radius) } else { plane.radius };
    mass.radius.or(usual).map_or(1.0, crate::quantity::Length::millimetres)
}

/// One sigma of a mass's angle, in radians.
pub(super) fn place_radians(setup: &Setup, lever: f64) -> f64 {
    match setup.noise.place_error {
        None => 0.0,
        Some(PlaceError::Angle(angle)) => angle.radians(),
        Some(PlaceError::Tape(length)) if lever > 1.0 => length.millimetres() / lever,
        Some(PlaceError::Tape(_)) => 0.0,
    }
}
