//! Speed groups: everything within ±1 % of a first initial run.

use super::fault::{Cell, RunFault};
use super::run_set::SpeedGroup;
use super::{Run, RunKind, Setup};
use crate::shaft::Shows;

/// How far a run's speed may be from its group's first initial run.
const WIDTH: f64 = 0.01;

/// The groups, and for each run the index of its group.
pub(super) fn groups(
    setup: &Setup,
    runs: &[Run],
    faults: &mut Vec<RunFault>,
) -> (Vec<SpeedGroup>, Vec<usize>) {
    if runs.iter().all(|run| run.speed.is_none()) {
        check_initial(setup, runs, faults);
        return (vec![SpeedGroup { speed: None, range_rpm: None }], vec![0; runs.len()]);
    }
    for (row, run) in
        runs.iter().enumerate().filter(|(_, run)| run.speed.is_none_or(|speed| speed.rpm() <= 0.0))
    {
        let found = run.speed.map_or("no speed".to_string(), |speed| format!("{} rpm", speed.rpm()));
        faults.push(RunFault::new(
            row,
            Cell::Speed,
            found,
            "a speed above zero in every run, or no speed column at all",
        ));
    }
    check_initial(setup, runs, faults);
    let mut groups: Vec<SpeedGroup> = Vec::new();
    for run in runs.iter().filter(|run| run.kind == RunKind::Initial || needs_no_trial(setup)) {
        if nearest(&groups, run).is_none() && run.speed.is_some() {
            groups.push(SpeedGroup { speed: run.speed, range_rpm: None });
        }
    }
    let mut group_of_row = Vec::with_capacity(runs.len());
    for (row, run) in runs.iter().enumerate() {
        let group = nearest(&groups, run);
        if let (Some(at), Some(speed)) = (group, run.speed) {
            let (low, high) = groups[at].range_rpm.unwrap_or((speed.rpm(), speed.rpm()));
            groups[at].range_rpm = Some((low.min(speed.rpm()), high.max(speed.rpm())));
        } else if let Some(speed) = run.speed.filter(|speed| speed.rpm() > 0.0 && !groups.is_empty()) {
            faults.push(outside(row, speed.rpm(), &groups));
        }
        group_of_row.push(group.unwrap_or(0));
    }
    (groups, group_of_row)
}

fn nearest(groups: &[SpeedGroup], run: &Run) -> Option<usize> {
    let speed = run.speed?.rpm();
    let off = |group: &SpeedGroup| group.speed.map_or(f64::INFINITY, |own| (speed / own.rpm() - 1.0).abs());
    (0..groups.len())
        .filter(|&at| off(&groups[at]) <= WIDTH)
        .min_by(|&one, &other| off(&groups[one]).total_cmp(&off(&groups[other])))
}

fn outside(row: usize, rpm: f64, groups: &[SpeedGroup]) -> RunFault {
    let speeds: Vec<String> =
        groups.iter().filter_map(|group| group.speed).map(|speed| format!("{} rpm", speed.rpm())).collect();
    RunFault::new(
        row,
        Cell::Speed,
        format!("{rpm} rpm"),
        format!("within 1 % of an initial run's speed ({})", speeds.join(", ")),
    )
    .hint("read an initial run at this speed as well, or repeat the run at the speed of the others")
}

/// A stand that shows unbalance itself needs no initial run before its first check.
fn needs_no_trial(setup: &Setup) -> bool {
    !setup.sensors.is_empty() && setup.sensors.iter().all(|sensor| sensor.shows != Shows::Vibration)
}

/// The fault of a shaft that was never read as found.
pub(super) const NO_INITIAL: &str = "no initial run";

fn check_initial(setup: &Setup, runs: &[Run], faults: &mut Vec<RunFault>) {
    let initial = runs.iter().any(|run| run.kind == RunKind::Initial);
    if !initial && !needs_no_trial(setup) && !runs.is_empty() {
        faults.push(
            RunFault::of_set(NO_INITIAL, "a run with nothing added, of kind `initial`")
                .hint("read the shaft as found first; every other run is compared with it"),
        );
    }
}
