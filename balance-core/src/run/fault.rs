//! What can be wrong with a set of runs.

use crate::shaft::{PlaneId, SensorId};

/// Which cell of a row a fault is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    /// The row as a whole.
    Row,
    /// Its label.
    Label,
    /// Its kind.
    Kind,
    /// Its speed.
    Speed,
    /// What it is on top of.
    OnTopOf,
    /// The first mass of a plane.
    Mass {
        /// Which correction plane.
        plane: PlaneId,
    },
    /// The amplitude of a sensor.
    Reading {
        /// Which sensor.
        sensor: SensorId,
    },
}

/// One fault of a set of runs.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{found}; allowed: {allowed}")]
pub struct RunFault {
    /// Index of the run; `None`: the set as a whole.
    pub row: Option<usize>,
    /// Which cell.
    pub cell: Cell,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do.
    pub hint: Option<String>,
}

impl RunFault {
    /// A fault of one row.
    #[must_use]
    pub fn new(row: usize, cell: Cell, found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { row: Some(row), cell, found: found.into(), allowed: allowed.into(), hint: None }
    }

    /// Whether the only fault is that the shaft was never read as found: the verdict is then open, not
    /// refused.
    #[must_use]
    pub fn is_no_initial(&self) -> bool {
        self.row.is_none() && self.found == super::speed_group::NO_INITIAL
    }

    /// A fault of the set as a whole.
    #[must_use]
    pub fn of_set(found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self { row: None, cell: Cell::Row, found: found.into(), allowed: allowed.into(), hint: None }
    }

    /// The same with advice.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}
