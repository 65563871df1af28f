//! One row: cells to a run.

use balance_core::quantity::{Angle, Length, Mass, Speed};
use balance_core::run::{Change, PlacedMass, Run, RunKind, SensorReading};
use csv::StringRecord;

use super::cells::{CellFault, NumberStyle};
use super::clock::Clock;
use super::columns::{Columns, MassColumns, Scaled, SensorColumns};
use super::header::Plain;
use crate::files::nearest::did_you_mean;
use crate::files::problem::{Place, Problem, shown};

/// What a row says beside numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowTexts {
    /// When, as written.
    pub time: String,
    /// Who.
    pub by: String,
    /// Anything else.
    pub note: String,
}

/// What rows of one shaft share while they are read.
pub(super) struct RowReader<'c> {
    pub(super) file: &'c str,
    pub(super) columns: &'c Columns,
    pub(super) style: &'c mut NumberStyle,
    pub(super) clock: &'c mut Clock,
    pub(super) problems: &'c mut Vec<Problem>,
}

/// A record of the file and where it began.
#[derive(Clone, Copy)]
pub(super) struct Line<'r> {
    pub(super) record: &'r StringRecord,
    pub(super) line: u64,
    /// The row's place among the rows of its shaft, from 1.
    pub(super) number: usize,
}

impl Line<'_> {
    fn cell(&self, at: usize) -> &str {
        self.record.get(at).unwrap_or_default().trim()
    }
}

impl RowReader<'_> {
    /// The run of a row; `None` if its faults leave nothing sensible. Faults are noted in any case.
    pub(super) fn run(&mut self, line: Line<'_>) -> Option<(Run, RowTexts)> {
        if !self.check_length(line) {
            return None;
        }
        let before = self.problems.len();
        let label = self.label(line);
        let masses: Vec<PlacedMass> =
            self.columns.masses.iter().filter_map(|columns| self.mass(line, columns)).collect();
        let readings = self.columns.sensors.iter().map(|columns| self.reading(line, columns)).collect();
        let kind = self.kind(line, &masses);
        let speed = self.speed(line);
        let minutes = self.minutes(line);
        let plain = |plain| self.columns.plain(plain).map_or("", |at| line.cell(at));
        let on_top_of = Some(plain(Plain::OnTopOf)).filter(|text| !text.is_empty()).map(str::to_owned);
        let texts = RowTexts {
            time: plain(Plain::Time).into(),
            by: plain(Plain::By).into(),
            note: plain(Plain::Note).into(),
        };
        let mounting = plain(Plain::Mounting).to_owned();
        let run = Run { label, kind: kind?, speed, mounting, minutes, on_top_of, masses, readings };
        (self.problems.len() == before).then_some((run, texts))
    }

    /// A row has as many cells as the header; texts at its end may be missing.
    fn check_length(&mut self, line: Line<'_>) -> bool {
        let (found, wanted) = (line.record.len(), self.columns.titles.len());
        let surplus = (wanted..found).any(|at| !line.cell(at).is_empty());
        let short = (found..wanted).any(|at| !self.columns.may_be_missing[at]);
        if surplus || short {
            let text = format!("{found} cells");
            let hint = if surplus {
                "a comma inside a number (1,800 or 5,29) makes two cells of it".to_owned()
            } else {
                "empty cells keep their separators".to_owned()
            };
            let fault = CellFault::new("row-length", text, "as many as the header has").hint(hint);
            self.note(line.line, None, fault);
        }
        let unnamed = (0..wanted).find(|&at| self.columns.title(at).is_empty() && !line.cell(at).is_empty());
        if let Some(at) = unnamed {
            let text = format!("found `{}` in cell {} without a header", shown(line.cell(at)), at + 1);
            self.note(line.line, None, CellFault::new("no-header", text, "a header cell above every value"));
        }
        !(surplus || short)
    }

    fn label(&mut self, line: Line<'_>) -> String {
        let Some(at) = self.columns.plain(Plain::Run) else { return line.number.to_string() };
        let label = line.cell(at);
        if label.is_empty() {
            self.note(line.line, Some(at), CellFault::new("no-label", "no label", "a label for every run"));
        }
        label.to_owned()
    }

    fn kind(&mut self, line: Line<'_>, masses: &[PlacedMass]) -> Option<RunKind> {
        let at = self.columns.plain(Plain::Kind);
        let text = at.map_or("", |at| line.cell(at));
        if text.is_empty() {
            return Some(if masses.is_empty() { RunKind::Initial } else { RunKind::Trial });
        }
        let kinds = [RunKind::Initial, RunKind::Trial, RunKind::Tried, RunKind::Check];
        let kind = kinds.into_iter().find(|kind| kind.word().eq_ignore_ascii_case(text));
        if kind.is_none() {
            let mut fault = CellFault::new(
                "unknown-kind",
                format!("found `{}`", shown(text)),
                "initial, trial, tried, check",
            );
            fault.hint = did_you_mean(text, kinds.into_iter().map(RunKind::word));
            self.note(line.line, at, fault);
        }
        kind
    }

    fn speed(&mut self, line: Line<'_>) -> Option<Speed> {
        let Scaled { at, factor } = self.columns.speed?;
        let text = line.cell(at);
        let rpm = self.number(line, at)? * factor;
        // Below 100 rpm nobody balances: 1.800 was 1800 in the spreadsheet.
        if rpm.abs() < 100.0 && super::accidents::is_thousands(text) {
            let fault =
                CellFault::new("thousands", format!("found `{}`", shown(text)), "a speed such as 1800")
                    .hint("write thousands without a separator: 1800, not 1.800 or 1,800");
            self.note(line.line, Some(at), fault);
            return None;
        }
        self.possible(line, at, Speed::from_rpm(rpm).ok())
    }

    fn minutes(&mut self, line: Line<'_>) -> Option<f64> {
        let at = self.columns.plain(Plain::Time)?;
        let text = line.cell(at);
        if text.is_empty() {
            return None;
        }
        let minutes = self.clock.minutes(text);
        minutes.map_err(|fault| self.note(line.line, Some(at), fault)).ok()
    }

    /// A mass and its angle; both empty: nothing there.
    fn mass(&mut self, line: Line<'_>, columns: &MassColumns) -> Option<PlacedMass> {
        let bead = columns.bead.filter(|bead| !line.cell(bead.at).is_empty());
        match (line.cell(columns.mass.at).is_empty(), line.cell(columns.angle).is_empty()) {
            (true, true) => {
                if let Some(bead) = bead {
                    let fault =
                        CellFault::new("lonely-cell", "a bead without a mass", "a bead where a mass is");
                    self.note(line.line, Some(bead.at), fault);
                }
                return None;
            }
            (true, false) => return self.lonely(line, columns.mass.at, "an angle without a mass"),
            (false, true) => return self.lonely(line, columns.angle, "a mass without an angle"),
            (false, false) => {}
        }
        let grams = self.scaled(line, columns.mass);
        let angle = self.number(line, columns.angle).and_then(|degrees| Angle::from_degrees(degrees).ok());
        let radius = self.radius(line, columns);
        let bead = match bead {
            Some(bead) => self
                .scaled(line, bead)
                .and_then(|grams| self.possible(line, bead.at, Mass::from_grams(grams).ok())),
            None => Some(Mass::ZERO),
        };
        let (grams, angle, bead) = (grams?, angle?, bead?);
        // Nothing weighs nothing: a mass of zero is an empty pair.
        if grams == 0.0 && bead == Mass::ZERO {
            return None;
        }
        let change = if grams < 0.0 { Change::TakenOff } else { Change::Added };
        let mass = self.possible(line, columns.mass.at, Mass::from_grams(grams.abs()).ok())?;
        Some(PlacedMass { plane: columns.plane, change, mass, angle, radius, bead })
    }

    fn radius(&mut self, line: Line<'_>, columns: &MassColumns) -> Option<Length> {
        let filled = |column: &Scaled| !line.cell(column.at).is_empty();
        let column = columns.radius.filter(filled).or(columns.plane_radius.filter(filled))?;
        let millimetres = self.scaled(line, column)?;
        self.possible(
            line,
            column.at,
            Length::from_millimetres(millimetres).ok().filter(|_| millimetres > 0.0),
        )
    }

    /// An amplitude and its phase; both empty: not read.
    fn reading(&mut self, line: Line<'_>, columns: &SensorColumns) -> SensorReading {
        let (amplitude, phase) = (line.cell(columns.amplitude), line.cell(columns.phase));
        if let Some(limit) = amplitude.strip_prefix('<') {
            return self
                .below(line, columns, limit.trim())
                .map_or(SensorReading::NotRead, SensorReading::Below);
        }
        match (amplitude.is_empty(), phase.is_empty()) {
            (true, true) => return SensorReading::NotRead,
            (true, false) => {
                self.lonely::<()>(line, columns.amplitude, "a phase without an amplitude");
            }
            (false, true) => {
                let hint = "below what the dial shows: write `<` and the smallest it shows, such as <0.1";
                let fault =
                    CellFault::new("lonely-cell", "an amplitude without a phase", "both cells, or neither");
                self.note(line.line, Some(columns.phase), fault.hint(hint));
            }
            (false, false) => {
                if let Some(reading) = self.shown(line, columns) {
                    return reading;
                }
            }
        }
        SensorReading::NotRead
    }

    fn shown(&mut self, line: Line<'_>, columns: &SensorColumns) -> Option<SensorReading> {
        let amplitude = self.number(line, columns.amplitude);
        let phase = self.number(line, columns.phase).and_then(|degrees| Angle::from_degrees(degrees).ok());
        let amplitude = amplitude?;
        if amplitude < 0.0 {
            let found = format!("found `{}`", shown(line.cell(columns.amplitude)));
            let fault = CellFault::new("negative-amplitude", found, "zero or more")
                .hint("an amplitude has no sign; half a turn belongs into the phase");
            self.note(line.line, Some(columns.amplitude), fault);
            return None;
        }
        Some(SensorReading::Shown { amplitude, phase: phase? })
    }

    fn below(&mut self, line: Line<'_>, columns: &SensorColumns, limit: &str) -> Option<f64> {
        if !line.cell(columns.phase).is_empty() {
            let fault = CellFault::new(
                "phase-of-nothing",
                "a phase of a reading below what the dial shows",
                "an empty cell",
            );
            self.note(line.line, Some(columns.phase), fault);
        }
        match self.style.number(limit) {
            Ok(limit) if limit > 0.0 => Some(limit),
            Ok(_) => {
                let found = format!("found `<{}`", shown(limit));
                self.note(
                    line.line,
                    Some(columns.amplitude),
                    CellFault::new("out-of-range", found, "`<` and a number above zero"),
                );
                None
            }
            Err(fault) => {
                self.note(line.line, Some(columns.amplitude), fault);
                None
            }
        }
    }

    fn scaled(&mut self, line: Line<'_>, column: Scaled) -> Option<f64> {
        Some(self.number(line, column.at)? * column.factor)
    }

    /// The number in a cell; `None` if the cell is empty or holds something else, which is noted.
    fn number(&mut self, line: Line<'_>, at: usize) -> Option<f64> {
        let text = line.cell(at);
        if text.is_empty() {
            return None;
        }
        self.style.number(text).map_err(|fault| self.note(line.line, Some(at), fault)).ok()
    }

    fn possible<T>(&mut self, line: Line<'_>, at: usize, value: Option<T>) -> Option<T> {
        if value.is_none() {
            let found = format!("found `{}`", shown(line.cell(at)));
            self.note(line.line, Some(at), CellFault::new("out-of-range", found, "a number above zero"));
        }
        value
    }

    fn lonely<T>(&mut self, line: Line<'_>, at: usize, found: &str) -> Option<T> {
        self.note(line.line, Some(at), CellFault::new("lonely-cell", found, "both cells, or neither"));
        None
    }

    fn note(&mut self, line: u64, at: Option<usize>, fault: CellFault) {
        let column = at.map(|at| self.columns.title(at).to_owned());
        let place = Place::Cell { file: self.file.into(), line, column };
        self.problems
            .push(Problem::at(fault.code, place, fault.found).allowing(fault.allowed).hinting(fault.hint));
    }
}
