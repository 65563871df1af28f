//! One row: cells to a run.

use balance_core::quantity::{Quantity, Speed, leading_number, parse};
use balance_core::run::{OnTopOf, PlacedMass, ReadingUncertainty, Run, RunKind, SensorReading};
use csv::StringRecord;

use super::cells::NumberStyle;
use super::clock::Clock;
use super::columns::{Columns, Scaled};
use super::header::Plain;
use crate::clean::is_hidden;
use crate::files::hidden::{hidden_in_name, hidden_letter};
use crate::files::nearest::did_you_mean;
use crate::files::problem::{Fault, Place, Problem, shown};

/// The texts of a row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowTexts {
    /// The time, as written.
    pub time: String,
    /// The technician.
    pub by: String,
    /// Anything else.
    pub note: String,
    /// Every cell as typed, for the record.
    pub cells: Vec<String>,
}

/// What the kinds mean.
const KINDS: &str = "initial: as found; trial: comes off again; tried: under clamps; check: stays on";

/// What the rows of one shaft share during reading.
pub(super) struct RowReader<'c> {
    pub(super) file: &'c str,
    pub(super) columns: &'c Columns,
    pub(super) style: &'c mut NumberStyle,
    pub(super) clock: &'c mut Clock,
    pub(super) phases: &'c mut Phases,
    pub(super) problems: &'c mut Vec<Problem>,
}

/// Whether the rows of a shaft have phases, and where one is missing.
#[derive(Debug, Default)]
pub(super) struct Phases {
    /// Whether any reading has a phase.
    pub(super) seen: bool,
    /// Line and column of each amplitude without a phase.
    pub(super) missing: Vec<(u64, usize)>,
}

impl Phases {
    /// All phases are there, or none is: a shaft that is balanced without phase.
    pub(super) fn faults(&self, file: &str, columns: &Columns) -> Vec<Problem> {
        let hint = "if it is below what the dial shows, write `<` and the smallest value it shows, for example <0.1; to \
                    balance without phase, leave every phase empty";
        let problem = |&(line, at): &(u64, usize)| {
            let fault =
                Fault::new("lonely-cell", "an amplitude without a phase", "both cells, or neither", hint);
            fault.at(Place::cell(file, line, Some(columns.title(at))))
        };
        self.missing.iter().filter(|_| self.seen).map(problem).collect()
    }
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
    pub(super) fn cell(&self, at: usize) -> &str {
        self.record.get(at).unwrap_or_default().trim()
    }
}

impl RowReader<'_> {
    /// The run of a row; `None` if its faults leave nothing usable. Faults are always noted.
    pub(super) fn run(&mut self, line: Line<'_>) -> Option<(Run, RowTexts)> {
        if !self.check_length(line) {
            return None;
        }
        let before = self.problems.len();
        let label = self.label(line);
        let masses: Vec<PlacedMass> =
            self.columns.masses.iter().filter_map(|columns| self.mass(line, columns)).collect();
        let readings: Vec<SensorReading> =
            self.columns.sensors.iter().map(|columns| self.reading(line, columns)).collect();
        let uncertainties = self.uncertainties(line, &readings);
        let kind = self.kind(line, &masses);
        let speed = self.speed(line);
        let minutes = self.minutes(line);
        let plain = |plain| self.columns.plain(plain).map_or("", |at| line.cell(at));
        let on_top_of = Some(plain(Plain::OnTopOf))
            .filter(|text| !text.is_empty())
            .map(|text| OnTopOf::from(text.to_owned()));
        let texts = RowTexts {
            time: plain(Plain::Time).into(),
            by: plain(Plain::By).into(),
            note: plain(Plain::Note).into(),
            cells: line.record.iter().map(str::to_owned).collect(),
        };
        let mounting = plain(Plain::Mounting).to_owned();
        self.refuse_hidden(line);
        let run =
            Run { label, kind: kind?, speed, mounting, minutes, on_top_of, masses, readings, uncertainties };
        (self.problems.len() == before).then_some((run, texts))
    }

    /// What the readings say of their own uncertainty; empty if none does.
    fn uncertainties(
        &mut self,
        line: Line<'_>,
        readings: &[SensorReading],
    ) -> Vec<Option<ReadingUncertainty>> {
        let columns = self.columns.sensors.iter().zip(readings);
        let all: Vec<Option<ReadingUncertainty>> =
            columns.map(|(columns, reading)| self.uncertainty(line, columns, *reading)).collect();
        if all.iter().all(Option::is_none) { Vec::new() } else { all }
    }

    /// Names have one line; notes may have several, but no invisible letters.
    fn refuse_hidden(&mut self, line: Line<'_>) {
        if !line.record.as_slice().contains(is_hidden) {
            return;
        }
        for at in 0..line.record.len() {
            let is_text =
                [Plain::Note, Plain::By, Plain::Time].iter().any(|own| self.columns.plain(*own) == Some(at));
            let fault = if is_text { hidden_letter(line.cell(at)) } else { hidden_in_name(line.cell(at)) };
            if let Some(fault) = fault {
                self.note(line.line, Some(at), fault);
            }
        }
    }

    /// A row has as many cells as the header; texts at its end may be missing.
    fn check_length(&mut self, line: Line<'_>) -> bool {
        let (found, wanted) = (line.record.len(), self.columns.titles.len());
        let surplus = (wanted..found).any(|at| !line.cell(at).is_empty());
        let short = (found..wanted).any(|at| !self.columns.may_be_missing[at]);
        if surplus || short {
            let text = format!("{found} cells");
            let hint = if surplus {
                "a comma inside a number (1,800 or 5,29) splits it into two cells"
            } else {
                "empty cells keep their separators"
            };
            let fault = Fault::new("row-length", text, format!("{wanted}, as in the header line"), hint);
            self.note(line.line, None, fault);
        }
        let unnamed = (0..wanted).find(|&at| self.columns.title(at).is_empty() && !line.cell(at).is_empty());
        if let Some(at) = unnamed {
            let text = format!("found `{}` in cell {} without a header", shown(line.cell(at)), at + 1);
            let hint = "give the column a header, for example note:weather";
            self.note(
                line.line,
                None,
                Fault::new("no-header", text, "a header cell above every value", hint),
            );
        }
        !(surplus || short)
    }

    fn label(&mut self, line: Line<'_>) -> String {
        let Some(at) = self.columns.plain(Plain::Run) else { return line.number.to_string() };
        let label = line.cell(at);
        if label.is_empty() {
            let hint = "number the runs 1, 2, 3 and so on";
            self.note(line.line, Some(at), Fault::new("no-label", "no label", "a label for every run", hint));
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
            let hint =
                did_you_mean(text, kinds.into_iter().map(RunKind::word)).unwrap_or_else(|| KINDS.into());
            let found = format!("found `{}`", shown(text));
            let fault = Fault::new("unknown-kind", found, "initial, trial, tried, check", hint);
            self.note(line.line, at, fault);
        }
        kind
    }

    fn speed(&mut self, line: Line<'_>) -> Option<Speed> {
        let Scaled { at, factor } = self.columns.speed?;
        let text = line.cell(at);
        let rpm = self.number(line, at)? * factor;
        // No one balances below 100 rpm: 1.800 was 1800 in the spreadsheet.
        if rpm.abs() < 100.0 && super::accidents::is_thousands(text) {
            let found = format!("found `{}`", shown(text));
            let hint = "write thousands without a separator: 1800, not 1.800 or 1,800";
            let fault = Fault::new("thousands", found, "a speed such as 1800", hint);
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

    /// A number in the column's unit, or one with its own unit, in base units.
    pub(super) fn scaled<Q: Quantity>(&mut self, line: Line<'_>, column: Scaled) -> Option<f64> {
        let text = self.with_unit(line.cell(column.at));
        match text.and_then(|text| parse::<Q>(&text).ok()) {
            Some(value) => Some(value.base()),
            None => Some(self.number(line, column.at)? * column.factor),
        }
    }

    /// A cell that ends in a unit, with a decimal point.
    pub(super) fn with_unit(&self, text: &str) -> Option<String> {
        let unit = |last: char| last.is_alphabetic() || matches!(last, '"' | '°' | '\u{2033}');
        (text.starts_with(|first: char| first.is_ascii_digit()) && text.ends_with(unit))
            .then(|| if self.style.allows_comma() { text.replace(',', ".") } else { text.to_owned() })
    }

    /// A whole number and a fraction, as read off a tape in inches: `9 1/16`.
    pub(super) fn mixed(&self, text: &str) -> Option<f64> {
        let (number, rest) = leading_number(text)?;
        (rest.is_empty() && text.contains('/') && text.contains([' ', '-'])).then_some(number)
    }

    /// The number in a cell; `None` if the cell is empty or holds something else, which is noted.
    pub(super) fn number(&mut self, line: Line<'_>, at: usize) -> Option<f64> {
        let text = line.cell(at);
        if text.is_empty() {
            return None;
        }
        self.style.number(text).map_err(|fault| self.note(line.line, Some(at), fault)).ok()
    }

    pub(super) fn possible<T>(&mut self, line: Line<'_>, at: usize, value: Option<T>) -> Option<T> {
        if value.is_none() {
            let found = format!("found `{}`", shown(line.cell(at)));
            let hint = "leave the cell empty if it is not known";
            self.note(line.line, Some(at), Fault::new("out-of-range", found, "a number above zero", hint));
        }
        value
    }

    pub(super) fn note(&mut self, line: u64, at: Option<usize>, fault: Fault) {
        let place = Place::cell(self.file, line, at.map(|at| self.columns.title(at)));
        self.problems
            .push(Problem::at(fault.code, place, fault.found).allowing(fault.allowed).hinting(fault.hint));
    }
}
