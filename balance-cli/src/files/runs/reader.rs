//! The file as a stream of shafts.

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

use balance_core::caution::Caution;
use balance_core::run::Setup;
use csv::StringRecord;

use super::cells::{Decimal, NumberStyle};
use super::clock::Clock;
use super::columns::Columns;
use super::header::Plain;
use super::header_line::{HeaderLine, read_header};
use super::lines::{Layout, Lines};
use super::row::{Line, Phases, RowReader};
use super::seen::{Before, Seen};
use super::shaft_runs::ShaftRuns;
use crate::files::decode::Encoding;
use crate::files::disk;
use crate::files::job::JobFile;
use crate::files::limits;
use crate::files::problem::{Fault, Place, Problem, shown};

/// What is wrong with the rows of one shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftFaults {
    /// The shaft's label, if the file has a column for it.
    pub shaft: Option<String>,
    /// Every fault of its rows.
    pub problems: Vec<Problem>,
}

/// Reads a runs file shaft by shaft; only one shaft is in memory at a time.
pub struct RunsReader<R> {
    csv: csv::Reader<Lines<R>>,
    file: Arc<str>,
    columns: Arc<Columns>,
    setup: Arc<Setup>,
    style: NumberStyle,
    /// The record last read and its line; it belongs to the next shaft if `held`.
    record: StringRecord,
    line: u64,
    held: bool,
    /// The shafts seen.
    seen: Seen,
    /// Whether anything has been returned.
    begun: bool,
    ended: bool,
}

impl RunsReader<File> {
    /// Opens a runs file.
    ///
    /// # Errors
    ///
    /// The file cannot be read, or its header line has faults; then all faults of its rows are reported as
    /// well.
    pub fn open(path: &Path, job: Option<&JobFile>) -> Result<Self, Vec<Problem>> {
        let file = disk::open(path, limits::RUNS)?;
        Self::new(file, &disk::shown_path(path), job)
    }

    /// The same for a season's file, of which never more than a few shafts are kept.
    ///
    /// # Errors
    ///
    /// As [`open`](Self::open).
    pub fn open_season(path: &Path, job: Option<&JobFile>) -> Result<Self, Vec<Problem>> {
        let file = disk::open(path, limits::SEASON)?;
        Self::new(file, &disk::shown_path(path), job)
    }
}

impl<R: Read> RunsReader<R> {
    /// Reads from a source; `name` is its name in messages.
    ///
    /// # Errors
    ///
    /// The header line has faults; then all faults of the rows are reported as well.
    pub fn new(source: R, name: &str, job: Option<&JobFile>) -> Result<Self, Vec<Problem>> {
        let lines = Lines::new(source).map_err(|error| cannot_read(name, &error))?;
        let separator = lines.layout().separator;
        let mut csv = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .buffer_capacity(1 << 16)
            .from_reader(lines);
        let mut record = StringRecord::new();
        let some = csv.read_record(&mut record).map_err(|error| cannot_read(name, &error))?;
        if let Some(problem) = line_fault(name, csv.get_ref()).filter(|_| !some) {
            return Err(problem.into());
        }
        if !some {
            let hint = "the first line names the columns: run,kind,speed [rpm],front mass [g],…".to_owned();
            return Err(vec![
                Problem::of_file("empty-file", name, "the file has no header line").hinting(hint),
            ]);
        }
        let line = csv.get_mut().next_start();
        let cells: Vec<&str> = record.iter().collect();
        let HeaderLine { columns, setup, problems } = read_header(name, line, &cells, job);
        let reader = Self {
            csv,
            file: name.into(),
            columns: Arc::new(columns),
            setup: Arc::new(setup),
            style: NumberStyle::new(separator),
            record,
            line,
            held: false,
            seen: Seen::default(),
            begun: false,
            ended: false,
        };
        if problems.is_empty() { Ok(reader) } else { Err(reader.all_problems(problems)) }
    }

    /// Planes, sensors, convention and noise of all shafts.
    #[must_use]
    pub fn setup(&self) -> &Arc<Setup> {
        &self.setup
    }

    /// Which column holds what.
    #[must_use]
    pub fn columns(&self) -> &Arc<Columns> {
        &self.columns
    }

    /// How the file is laid out.
    #[must_use]
    pub fn layout(&self) -> Layout {
        self.csv.get_ref().layout()
    }

    /// The decimal sign, as far as the file has been read.
    #[must_use]
    pub fn decimal(&self) -> Option<Decimal> {
        self.style.decimal()
    }

    /// The cautions about the file as far as it has been read.
    #[must_use]
    pub fn cautions(&self) -> Vec<Caution> {
        let mut cautions = Vec::new();
        if self.csv.get_ref().encoding() == Encoding::Windows1252 {
            cautions.push(Caution::Windows1252 { file: self.file.to_string() });
        }
        cautions
    }

    /// The header's faults and all faults of the rows.
    fn all_problems(self, mut problems: Vec<Problem>) -> Vec<Problem> {
        for shaft in self {
            if let Err(faults) = shaft {
                problems.extend(faults.problems);
            }
            if problems.len() > limits::FAULTS {
                break;
            }
        }
        problems
    }

    /// Moves to the next record; `false` at the end.
    fn advance(&mut self, problems: &mut Vec<Problem>) -> bool {
        if std::mem::take(&mut self.held) {
            return true;
        }
        match self.csv.read_record(&mut self.record) {
            Ok(true) => {
                self.line = self.csv.get_mut().next_start();
                if self.csv.get_ref().fault().is_none_or(|fault| fault.line > self.line) {
                    return true;
                }
            }
            Ok(false) => {}
            Err(error) => problems.push(cannot_read(&self.file, &error)),
        }
        problems.extend(line_fault(&self.file, self.csv.get_ref()));
        self.ended = true;
        false
    }

    /// The label of the record's shaft; empty if the file has no such column.
    fn label(&self) -> &str {
        self.columns.plain(Plain::Shaft).and_then(|at| self.record.get(at)).unwrap_or_default().trim()
    }

    /// Notes where a shaft begins; a shaft without a label, or one that already began before, is a fault.
    fn begin(&mut self, label: &str, problems: &mut Vec<Problem>) {
        let Some(at) = self.columns.plain(Plain::Shaft) else { return };
        let place = || Place::cell(&self.file, self.line, Some(self.columns.title(at)));
        if label.is_empty() {
            let hint = "repeat the shaft's label in each of its rows";
            problems.push(Fault::new("no-shaft", "no shaft", "a label in every row", hint).at(place()));
        } else if let Some(before) = self.seen.note(label, self.line) {
            let began = match before {
                Before::InLine(first) => format!("in line {first}"),
                Before::Earlier => "in an earlier line".to_owned(),
            };
            let found = format!("`{}` again, which began {began}", shown(label));
            let hint = "sort the file by shaft, or give the second one another label";
            problems.push(Fault::new("shaft-apart", found, "rows of one shaft together", hint).at(place()));
        }
    }

    fn read_shaft(&mut self) -> Option<Result<ShaftRuns, ShaftFaults>> {
        let mut problems = Vec::new();
        if !self.advance(&mut problems) {
            return self.nothing_more(problems);
        }
        self.begun = true;
        let label = self.label().to_owned();
        self.begin(&label, &mut problems);
        let mut shaft = self.empty_shaft(&label);
        let (mut clock, mut phases) = (Clock::default(), Phases::default());
        let mut number = 0;
        loop {
            number += 1;
            if number <= limits::ROWS && problems.len() < limits::FAULTS {
                self.read_row(number, (&mut clock, &mut phases), &mut shaft, &mut problems);
            }
            if !self.advance(&mut problems) {
                break;
            }
            if self.label() != label {
                self.held = true;
                break;
            }
        }
        shaft.set_waiting_aside();
        let lonely = phases.faults(&self.file, &self.columns);
        if !lonely.is_empty() {
            problems.extend(lonely);
            problems.sort_by_key(|problem| problem.place.line());
        }
        problems.truncate(limits::FAULTS);
        if number > limits::ROWS {
            problems.push(self.too_many_rows(&label, number));
        }
        Some(if problems.is_empty() { Ok(shaft) } else { Err(ShaftFaults { shaft: shaft.shaft, problems }) })
    }

    fn too_many_rows(&self, label: &str, found: usize) -> Problem {
        let of = if label.is_empty() { String::new() } else { format!(" of shaft `{}`", shown(label)) };
        Problem::of_file("too-many", self.file.to_string(), format!("{found} rows{of}"))
            .allowing(format!("at most {} of one shaft", limits::ROWS))
            .hinting("start a new job for a shaft that is balanced again".to_owned())
    }

    fn read_row(
        &mut self,
        number: usize,
        (clock, phases): (&mut Clock, &mut Phases),
        shaft: &mut ShaftRuns,
        problems: &mut Vec<Problem>,
    ) {
        let line = Line { record: &self.record, line: self.line, number };
        let mut rows = RowReader {
            file: &self.file,
            columns: &self.columns,
            style: &mut self.style,
            clock,
            phases,
            problems,
        };
        if let Some((run, texts)) = rows.run(line) {
            shaft.runs.push(run);
            shaft.lines.push(self.line);
            shaft.texts.push(texts);
        }
    }

    fn empty_shaft(&self, label: &str) -> ShaftRuns {
        ShaftRuns {
            shaft: self.columns.plain(Plain::Shaft).map(|_| label.to_owned()),
            file: Arc::clone(&self.file),
            setup: Arc::clone(&self.setup),
            columns: Arc::clone(&self.columns),
            runs: Vec::new(),
            lines: Vec::new(),
            texts: Vec::new(),
            waiting: Vec::new(),
        }
    }

    /// The end of the file: a fault that stopped reading, or one shaft without runs if there was no row at all.
    fn nothing_more(&mut self, problems: Vec<Problem>) -> Option<Result<ShaftRuns, ShaftFaults>> {
        let begun = std::mem::replace(&mut self.begun, true);
        if !problems.is_empty() {
            return Some(Err(ShaftFaults { shaft: None, problems }));
        }
        if begun {
            return None;
        }
        Some(Ok(ShaftRuns { shaft: None, ..self.empty_shaft("") }))
    }
}

impl<R: Read> Iterator for RunsReader<R> {
    type Item = Result<ShaftRuns, ShaftFaults>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ended && self.begun && !self.held {
            return None;
        }
        self.read_shaft()
    }
}

/// All shafts of a source, or all its faults: for files of one shaft and for tests.
///
/// # Errors
///
/// Every fault of the file.
pub fn read_all<R: Read>(
    source: R,
    name: &str,
    job: Option<&JobFile>,
) -> Result<Vec<ShaftRuns>, Vec<Problem>> {
    let mut shafts = Vec::new();
    let mut problems = Vec::new();
    for shaft in RunsReader::new(source, name, job)? {
        match shaft {
            Ok(shaft) => shafts.push(shaft),
            Err(faults) => problems.extend(faults.problems),
        }
    }
    if problems.is_empty() { Ok(shafts) } else { Err(problems) }
}

fn cannot_read(name: &str, error: &dyn std::error::Error) -> Problem {
    Problem::of_file("cannot-read", name, format!("cannot be read: {error}"))
        .hinting("is it a file, and may you read it?".to_owned())
}

fn line_fault<R: Read>(name: &str, lines: &Lines<R>) -> Option<Problem> {
    let fault = lines.fault()?;
    let place = Place::cell(name, fault.line, None);
    Some(Problem::at(fault.code, place, &*fault.found).hinting(fault.hint.to_owned()))
}
