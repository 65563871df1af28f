//! The design matrix of one sensor at one speed: its columns and their entries.

use std::collections::HashMap;

use num_complex::Complex64;

use crate::linear::CMatrix;
use crate::run::{Row, RunKind, RunSet};
use crate::shaft::{PlaneId, Sensor, Shows};

/// Whether a row contributes to the influence coefficients.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// It enters the regression.
    Enters,
    /// It is kept apart with its own offset (number of its block): it only shows how far repeats scatter.
    Apart(usize),
}

/// Which columns the regression of a sensor has.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Layout {
    /// The mountings with a baseline of their own, in the order of the file.
    pub mountings: Vec<String>,
    /// Whether a drift column follows the baselines.
    pub drift: bool,
    /// Blocks (and mountings) that are kept apart, each with an offset.
    pub offsets: Vec<(usize, String)>,
    /// The planes with a coefficient to be found.
    pub planes: Vec<PlaneId>,
}

impl Layout {
    pub fn new(set: &RunSet, rows: &[usize], roles: &[Role], drift: bool, planes: Vec<PlaneId>) -> Self {
        let mut layout = Self { mountings: Vec::new(), drift, offsets: Vec::new(), planes };
        for (&row, role) in rows.iter().zip(roles) {
            let mounting = &set.rows()[row].run.mounting;
            match role {
                Role::Enters if !layout.mountings.contains(mounting) => {
                    layout.mountings.push(mounting.clone());
                }
                Role::Apart(block) if layout.offset(*block, mounting).is_none() => {
                    layout.offsets.push((*block, mounting.clone()));
                }
                _ => {}
            }
        }
        layout
    }

    pub fn columns(&self) -> usize {
        self.first_plane() + self.planes.len()
    }

    pub fn drift_column(&self) -> Option<usize> {
        self.drift.then_some(self.mountings.len())
    }

    pub fn first_plane(&self) -> usize {
        self.mountings.len() + usize::from(self.drift) + self.offsets.len()
    }

    /// The column of a plane's coefficient, if it is fitted.
    pub fn plane_column(&self, plane: PlaneId) -> Option<usize> {
        self.planes.iter().position(|own| *own == plane).map(|at| self.first_plane() + at)
    }

    pub fn baseline(&self, mounting: &str) -> Option<usize> {
        self.mountings.iter().position(|own| own == mounting)
    }

    fn offset(&self, block: usize, mounting: &str) -> Option<usize> {
        self.offsets.iter().position(|(own, of)| *own == block && of == mounting)
    }

    /// The design matrix, unweighted.
    pub(super) fn matrix(&self, set: &RunSet, rows: &[usize], roles: &[Role], clock: &[f64]) -> CMatrix {
        let mut matrix = CMatrix::zeros(rows.len(), self.columns());
        let one = Complex64::new(1.0, 0.0);
        for (at, (&index, role)) in rows.iter().zip(roles).enumerate() {
            let row = &set.rows()[index];
            match role {
                Role::Apart(block) => {
                    if let Some(offset) = self.offset(*block, &row.run.mounting) {
                        matrix[(at, self.mountings.len() + usize::from(self.drift) + offset)] = one;
                    }
                }
                Role::Enters => {
                    if let Some(baseline) = self.baseline(&row.run.mounting) {
                        matrix[(at, baseline)] = one;
                    }
                    if let Some(drift) = self.drift_column() {
                        matrix[(at, drift)] = clock[index].into();
                    }
                    for (column, &plane) in self.planes.iter().enumerate() {
                        matrix[(at, self.first_plane() + column)] = row.loads[plane];
                    }
                }
            }
        }
        matrix
    }
}

/// The coefficients of a sensor that shows unbalance itself: known, not fitted.
pub(super) fn known_coefficients(sensor: &Sensor, planes: usize) -> Option<Vec<Complex64>> {
    let (shown, sign) = match sensor.shows {
        Shows::Vibration => return None,
        Shows::Unbalance { plane } => (plane, 1.0),
        Shows::Correction { plane } => (plane, -1.0),
    };
    let of_plane = |plane: PlaneId| if plane == shown { sign / sensor.unbalance_per_unit } else { 0.0 };
    Some(PlaneId::all(planes).map(|plane| of_plane(plane).into()).collect())
}

/// The minutes of each row, otherwise its place within its mounting: drift is proportional to this.
///
/// Drift is not extrapolated beyond twice the span of the initial and trial rows of the group: a shaft that
/// warms up settles.
pub(super) fn clock(set: &RunSet) -> Vec<f64> {
    let rows = set.rows();
    let timed: Option<Vec<f64>> = rows.iter().map(|row| row.run.minutes).collect();
    let mut clock = timed.unwrap_or_else(|| places_within_mountings(rows));
    for group in 0..set.groups().len() {
        let of_group = |at: &usize| rows[*at].group == group;
        let tells = |at: &usize| matches!(rows[*at].run.kind, RunKind::Initial | RunKind::Trial);
        let told = (0..rows.len()).filter(of_group).filter(tells).map(|at| clock[at]).collect::<Vec<f64>>();
        let first = told.iter().copied().fold(f64::INFINITY, f64::min);
        let last = told.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if last > first {
            let furthest = last + (last - first);
            (0..rows.len()).filter(of_group).for_each(|at| clock[at] = clock[at].min(furthest));
        }
    }
    clock
}

/// How many rows of its mounting come before each row.
fn places_within_mountings(rows: &[Row]) -> Vec<f64> {
    let mut counted: HashMap<&str, f64> = HashMap::new();
    let mut place = |row| {
        let count = counted.entry(row).or_insert(0.0);
        std::mem::replace(count, *count + 1.0)
    };
    rows.iter().map(|row| place(&*row.run.mounting)).collect()
}

/// Whether some mounting of a group has an initial run before and after a trial run: then the runs show the
/// drift.
pub(super) fn initial_repeated(set: &RunSet, group: usize) -> bool {
    let rows: Vec<&Row> = set.rows().iter().filter(|row| row.group == group).collect();
    let initial =
        |row: &Row, of: &Row| row.run.kind == RunKind::Initial && row.run.mounting == of.run.mounting;
    rows.iter().enumerate().filter(|(_, row)| row.run.kind == RunKind::Trial).any(|(at, trial)| {
        rows[..at].iter().any(|row| initial(row, trial)) && rows[at..].iter().any(|row| initial(row, trial))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::Noise;
    use crate::run::by_hand::{ByHand, real};

    fn runs() -> ByHand {
        ByHand::new(1, 1, Noise::not_stated())
    }

    // The trial ends 20 min after the first run, so the check counts as 20 min later at most.
    #[test]
    fn drift_is_carried_on_for_the_span_of_the_trials_and_no_further() {
        let at = |minute: f64| {
            let set = runs()
                .run(RunKind::Initial, &[], &[real(1.0)])
                .at_minute(10.0)
                .run(RunKind::Trial, &[real(1.0)], &[real(2.0)])
                .at_minute(30.0)
                .run(RunKind::Check, &[real(-1.0)], &[real(0.5)])
                .at_minute(minute);
            clock(&set.set())
        };
        assert_eq!(at(45.0), [10.0, 30.0, 45.0]);
        assert_eq!(at(100.0), [10.0, 30.0, 50.0]);
    }

    #[test]
    fn without_times_rows_count_within_their_mounting() {
        let check = |runs: ByHand, mounting: &str| {
            runs.run(RunKind::Check, &[real(-1.0)], &[real(0.5)]).in_mounting(mounting)
        };
        let mut runs = runs()
            .run(RunKind::Initial, &[], &[real(1.0)])
            .in_mounting("a")
            .run(RunKind::Trial, &[real(1.0)], &[real(2.0)])
            .in_mounting("a");
        for mounting in ["b", "a", "b", "a"] {
            runs = check(runs, mounting);
        }
        // The fourth row of mounting a would be 3: twice the span of initial and trial run is 2.
        assert_eq!(clock(&runs.set()), [0.0, 1.0, 0.0, 2.0, 1.0, 2.0]);
    }

    #[test]
    fn drift_shows_where_an_initial_run_stands_on_either_side_of_a_trial() {
        let told = |runs: &[(RunKind, &str)]| {
            let all = runs.iter().fold(self::runs(), |all, &(kind, mounting)| {
                let load = if kind == RunKind::Initial { vec![] } else { vec![real(1.0)] };
                all.run(kind, &load, &[real(1.0)]).in_mounting(mounting)
            });
            initial_repeated(&all.set(), 0)
        };
        let (initial, trial) = (RunKind::Initial, RunKind::Trial);
        assert!(told(&[(initial, "a"), (trial, "a"), (initial, "a")]));
        assert!(!told(&[(initial, "a"), (initial, "a"), (trial, "a")]));
        assert!(!told(&[(initial, "a"), (trial, "a"), (initial, "b")]));
        assert!(!told(&[(initial, "a"), (trial, "b"), (initial, "a")]));
    }

    // Columns by hand: baselines of a and b, time, the offset of the row kept apart, the plane.
    #[test]
    fn every_row_has_a_one_in_its_baseline_and_its_load_in_its_plane() {
        let set = runs()
            .run(RunKind::Initial, &[], &[real(1.0)])
            .in_mounting("a")
            .run(RunKind::Trial, &[real(3.0)], &[real(2.0)])
            .in_mounting("b")
            .run(RunKind::Check, &[real(5.0)], &[real(4.0)])
            .in_mounting("b")
            .set();
        let (rows, roles) = ([0, 1, 2], [Role::Enters, Role::Enters, Role::Apart(7)]);
        let layout = Layout::new(&set, &rows, &roles, true, PlaneId::all(1).collect());
        let matrix = layout.matrix(&set, &rows, &roles, &[0.0, 6.0, 9.0]);
        let wanted = [[1.0, 0.0, 0.0, 0.0, 0.0], [0.0, 1.0, 6.0, 0.0, 3.0], [0.0, 0.0, 0.0, 1.0, 0.0]];
        assert_eq!(matrix, CMatrix::from_fn(3, 5, |row, column| real(wanted[row][column])));
        assert_eq!((layout.drift_column(), layout.first_plane(), layout.columns()), (Some(2), 4, 5));
    }

    // A correction is the opposite of the unbalance; 50 g·mm a unit.
    #[test]
    fn a_sensor_that_shows_unbalance_has_known_coefficients() {
        let sensor = |shows| Sensor { shows, unbalance_per_unit: 50.0, ..Sensor::vibration("front", "g") };
        let plane = PlaneId::new(1);
        let known = |shows| known_coefficients(&sensor(shows), 2);
        assert_eq!(known(Shows::Vibration), None);
        assert_eq!(known(Shows::Unbalance { plane }), Some(vec![real(0.0), real(0.02)]));
        assert_eq!(known(Shows::Correction { plane }), Some(vec![real(0.0), real(-0.02)]));
    }
}
