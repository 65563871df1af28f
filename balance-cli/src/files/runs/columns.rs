//! Which column of a runs file holds what.

use std::collections::HashMap;

use balance_core::quantity::Units;
use balance_core::run::Cell;
use balance_core::shaft::PlaneId;

use super::header::Plain;

/// A column of numbers: where it is, and base units in one of its units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scaled {
    /// Index of the column.
    pub at: usize,
    /// Base units in one of its units.
    pub factor: f64,
}

/// A column of places round the tube: degrees, or places on the tape. A cell may name another unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AroundColumn {
    /// Index of the column.
    pub at: usize,
    /// Millimetres in one of its units, for a column of places on the tape.
    pub tape: Option<f64>,
}

/// The columns of one mass of a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassColumns {
    /// Which correction plane.
    pub plane: PlaneId,
    /// 1 for the plane's first mass.
    pub number: u32,
    /// The mass.
    pub mass: Scaled,
    /// Where round the tube it is.
    pub angle: AroundColumn,
    /// Its radius in this run.
    pub radius: Option<Scaled>,
    /// The plane's unnumbered radius column, for masses whose own is missing or empty.
    pub plane_radius: Option<Scaled>,
    /// The weld bead's mass.
    pub bead: Option<Scaled>,
}

/// The columns of a sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SensorColumns {
    /// The amplitude, in the sensor's unit.
    pub amplitude: usize,
    /// The phase, in degrees; `None`: the file has no phases at all.
    pub phase: Option<usize>,
    /// How uncertain both are by themselves.
    pub uncertainty: Option<UncertaintyColumns>,
}

/// The columns of what a sensor's readings say of their own uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UncertaintyColumns {
    /// Of the amplitude, in the sensor's unit.
    pub amplitude: usize,
    /// Of the phase, in degrees.
    pub phase: usize,
}

/// Which column holds what.
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
    /// The header cells as written.
    pub titles: Vec<String>,
    /// Their line.
    pub line: u64,
    /// The masses, plane by plane.
    pub masses: Vec<MassColumns>,
    /// For each sensor its columns.
    pub sensors: Vec<SensorColumns>,
    /// The stand's speed.
    pub speed: Option<Scaled>,
    /// The columns without a name and a unit.
    pub(super) plain: HashMap<Plain, usize>,
    /// Once round the tube in mm, for places on the tape.
    pub once_round: Option<f64>,
    /// The units in which faults name what they found.
    pub units: Units,
    /// Whether a row may end before this column, because only optional texts follow.
    pub may_be_missing: Vec<bool>,
}

impl Columns {
    /// The column of a kind without name and unit.
    #[must_use]
    pub fn plain(&self, plain: Plain) -> Option<usize> {
        self.plain.get(&plain).copied()
    }

    /// Whether the file may hold several shafts.
    #[must_use]
    pub fn has_shafts(&self) -> bool {
        self.plain(Plain::Shaft).is_some()
    }

    /// The title of a column.
    #[must_use]
    pub fn title(&self, at: usize) -> &str {
        self.titles.get(at).map_or("", String::as_str)
    }

    /// The title of the column to which a fault of a set of runs belongs.
    #[must_use]
    pub fn title_of(&self, cell: Cell) -> Option<&str> {
        let at = match cell {
            Cell::Row => None,
            Cell::Label => self.plain(Plain::Run),
            Cell::Kind => self.plain(Plain::Kind),
            Cell::OnTopOf => self.plain(Plain::OnTopOf),
            Cell::Speed => self.speed.map(|speed| speed.at),
            Cell::Mass { plane } => {
                self.masses.iter().find(|masses| masses.plane == plane).map(|masses| masses.mass.at)
            }
            Cell::Reading { sensor } => self.sensors.get(sensor.index()).map(|columns| columns.amplitude),
        }?;
        Some(self.title(at))
    }
}
