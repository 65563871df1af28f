//! The runs of one shaft as its file has them.

use std::sync::Arc;

use balance_core::run::{Cell, Run, RunFault, RunSet, Setup};

use super::columns::Columns;
use super::row::RowTexts;
use crate::files::problem::{Place, Problem};

/// The runs of one shaft and where they stand.
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
    /// One for each row.
    pub runs: Vec<Run>,
    /// For each row the line where it stands, from 1.
    pub lines: Vec<u64>,
    /// For each row what it says beside numbers.
    pub texts: Vec<RowTexts>,
}

impl ShaftRuns {
    /// The runs as a complete, consistent set.
    ///
    /// # Errors
    ///
    /// Every fault of the set with its line and column.
    pub fn run_set(&self) -> Result<RunSet, Vec<Problem>> {
        RunSet::new((*self.setup).clone(), self.runs.clone())
            .map_err(|faults| faults.iter().map(|fault| self.problem(fault)).collect())
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

/// Advice for faults that bring none.
fn usual_hint(cell: Cell) -> Option<String> {
    let hint = match cell {
        Cell::Row => "fill the row in, or put # before it if it does not count",
        Cell::Label => "number the runs 1, 2, 3 and so on",
        Cell::Kind => "initial: as found; trial: comes off again; tried: under clamps; check: stays on",
        Cell::Speed => "write the stand's speed into every row",
        Cell::OnTopOf => "runs are called by their label in the column `run`",
        Cell::Mass { .. } => "a row lists everything that is on and was not on in the initial run",
        Cell::Reading { .. } => "leave both cells empty if the sensor was not read",
    };
    Some(hint.into())
}

fn code(fault: &RunFault) -> &'static str {
    match (fault.row, fault.cell) {
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
