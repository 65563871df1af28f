//! The runs of one shaft as they are in the file.

use std::sync::Arc;

use balance_core::quantity::Angle;
use balance_core::run::{Cell, DialStep, Run, RunFault, RunSet, SensorReading, Setup};

use super::columns::Columns;
use super::row::RowTexts;
use crate::files::problem::{Place, Problem};

/// The runs of one shaft and their lines.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftRuns {
    /// The shaft's label, if the file has a column for it.
    pub shaft: Option<String>,
    /// The file's name.
    pub file: Arc<str>,
    /// Planes, sensors, convention and noise; the same for all shafts of a file.
    pub setup: Arc<Setup>,
    /// What each column of the file holds.
    pub columns: Arc<Columns>,
    /// One run for each row.
    pub runs: Vec<Run>,
    /// For each row its line, from 1.
    pub lines: Vec<u64>,
    /// For each row its texts.
    pub texts: Vec<RowTexts>,
    /// Rows at the end that are prepared and wait for their readings; not among the runs.
    pub waiting: Vec<WaitingRow>,
}

/// A row without any reading after rows that have some.
#[derive(Debug, Clone, PartialEq)]
pub struct WaitingRow {
    /// Its label.
    pub label: String,
    /// Its line, from 1.
    pub line: u64,
    /// What it says already: kind, speed and masses.
    pub run: Run,
    /// Its texts.
    pub texts: RowTexts,
}

impl ShaftRuns {
    /// The runs as a complete, consistent set.
    ///
    /// # Errors
    ///
    /// Every fault of the set with its line and column.
    pub fn run_set(&self) -> Result<RunSet, Vec<Problem>> {
        let mut setup = (*self.setup).clone();
        setup.noise.typed = self.typed();
        RunSet::new(setup, self.runs.clone())
            .map_err(|faults| faults.iter().map(|fault| self.problem(fault)).collect())
    }

    /// Sets prepared rows at the end aside. A row without readings before other rows stays: it was forgotten.
    pub(super) fn set_waiting_aside(&mut self) {
        let read = |run: &Run| run.readings.iter().any(|reading| *reading != SensorReading::NotRead);
        let Some(last) = self.runs.iter().rposition(read) else { return };
        let rows = self.runs.drain(last + 1..).zip(self.lines.drain(last + 1..));
        let rows = rows.zip(self.texts.drain(last + 1..));
        let waiting = |((run, line), texts): ((Run, u64), RowTexts)| WaitingRow {
            label: run.label.clone(),
            line,
            run,
            texts,
        };
        self.waiting = rows.map(waiting).collect();
    }

    /// A row that waits for its readings, so that no further row can be added after it.
    #[must_use]
    pub fn waits(&self) -> Option<Problem> {
        let row = self.waiting.first()?;
        let place = Place::cell(&self.file, row.line, None);
        let found = format!("row {} waits for its readings", row.label);
        let hint = "fill it in, or delete it".to_owned();
        Some(
            Problem::at("row-waits", place, found)
                .allowing("readings in every row before a new one")
                .hinting(hint),
        )
    }

    /// For each sensor the last digit its readings were typed with.
    fn typed(&self) -> Vec<DialStep> {
        let last_digit = |column: usize| {
            let cells = self.texts.iter().filter_map(|texts| texts.cells.get(column));
            cells.filter_map(|cell| decimals(cell.trim())).max().map(|decimals| 0.1_f64.powi(decimals))
        };
        let of_sensor = |columns: &super::columns::SensorColumns| DialStep {
            amplitude: last_digit(columns.amplitude),
            phase: columns.phase.and_then(last_digit).and_then(|step| Angle::from_degrees(step).ok()),
        };
        self.columns.sensors.iter().map(of_sensor).collect()
    }

    /// A fault of the set of runs as a fault of the file.
    #[must_use]
    pub fn problem(&self, fault: &RunFault) -> Problem {
        let line = fault.row.and_then(|row| self.lines.get(row)).or_else(|| self.lines.first());
        let line = line.copied().unwrap_or(self.columns.line);
        let place = Place::cell(&self.file, line, self.columns.title_of(fault.cell));
        Problem::at(code(fault), place, &*fault.found)
            .allowing(&*fault.allowed)
            .hinting(fault.hint.clone().or_else(|| usual_hint(fault.cell)))
    }
}

/// How many decimals a number was typed with; `None`: no plain number (empty, `<0.1`, an exponent).
fn decimals(cell: &str) -> Option<i32> {
    let digits = cell.strip_prefix(['+', '-']).unwrap_or(cell);
    let (whole, part) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let plain = !digits.is_empty() && whole.bytes().chain(part.bytes()).all(|byte| byte.is_ascii_digit());
    if plain { i32::try_from(part.len()).ok() } else { None }
}

/// Hints for faults that have none.
fn usual_hint(cell: Cell) -> Option<String> {
    let hint = match cell {
        Cell::Row => "fill in the row, or put # before it if it does not count",
        Cell::Label => "number the runs 1, 2, 3 and so on",
        Cell::Kind => "initial: as found; trial: comes off again; tried: under clamps; check: stays on",
        Cell::Speed => "enter the stand's speed in every row",
        Cell::OnTopOf => "use the label of the run in the column `run`",
        Cell::Mass { .. } => "list everything that is on and was not on in the initial run",
        Cell::Reading { .. } => "leave both cells empty if the sensor was not read",
    };
    Some(hint.into())
}

/// The code of the fault that the shaft was never read as found.
pub const NO_INITIAL: &str = "no-initial";

fn code(fault: &RunFault) -> &'static str {
    match (fault.row, fault.cell) {
        (None, _) if fault.is_no_initial() => NO_INITIAL,
        (None, _) => "runs",
        (Some(_), Cell::Row) => "run",
        (Some(_), Cell::Label) => "run-label",
        (Some(_), Cell::Kind) => "run-kind",
        (Some(_), Cell::Speed) => "run-speed",
        (Some(_), Cell::OnTopOf) => "run-on-top-of",
        (Some(_), Cell::Mass { .. }) => "run-mass",
        (Some(_), Cell::Reading { .. }) => "run-reading",
    }
}
