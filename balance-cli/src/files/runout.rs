//! The dial indicator's readings: a table of station, angle and reading.

use std::io::Read;
use std::path::Path;

use balance_core::quantity::{Angle, Around, Length, Quantity, Unit, Units, shown as amounts};
use balance_core::shaft::{RunoutFault, RunoutReading, Tube, runout_map};
use csv::StringRecord;

use super::disk;
use super::limits;
use super::nearest::{did_you_mean, listed};
use super::problem::{Fault, Place, Problem, shown};
use super::runs::{Lines, NumberStyle};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Station,
    Angle,
    Reading,
    Note,
}

impl Column {
    const ALL: [Self; 4] = [Self::Station, Self::Angle, Self::Reading, Self::Note];

    fn word(self) -> &'static str {
        match self {
            Self::Station => "station",
            Self::Angle => "angle",
            Self::Reading => "reading",
            Self::Note => "note",
        }
    }

    /// The units allowed after it, and their factors to mm or degrees.
    fn units(self) -> &'static [Unit] {
        match self {
            Self::Station => Length::UNITS,
            Self::Angle => ANGLE_UNITS,
            Self::Reading => INDICATOR_UNITS,
            Self::Note => &[],
        }
    }
}

/// The units of dial indicators.
const INDICATOR_UNITS: &[Unit] = &[
    Unit { symbol: "mm", factor: 1.0 },
    Unit { symbol: "um", factor: 0.001 },
    Unit { symbol: "µm", factor: 0.001 },
    Unit { symbol: "in", factor: 25.4 },
];

/// Where round the tube: degrees, or a place on the tape.
const ANGLE_UNITS: &[Unit] =
    &[DEGREES, Unit { symbol: "mm", factor: 1.0 }, Unit { symbol: "in", factor: 25.4 }];

const DEGREES: Unit = Unit { symbol: "deg", factor: 1.0 };

/// A column of the file: what it holds, its header, and the unit of its numbers.
struct Titled {
    column: Column,
    title: String,
    unit: Unit,
}

/// Reads a runout table: columns `station [mm]`, `angle [deg]` and `reading [mm]` (each unit one of the usual), and
/// `note`. An angle may be a place on the tape, in mm or inches. The stations are held against the tube if it is known;
/// faults name lengths in `units`.
///
/// # Errors
///
/// Every fault of the file, each with line and column.
pub fn read_runout(
    path: &Path,
    tube: Option<&Tube>,
    units: Units,
) -> Result<Vec<RunoutReading>, Vec<Problem>> {
    runout_of(disk::open(path, limits::RUNS)?, &disk::shown_path(path), tube, units)
}

/// The same from any source; `name` is its name in messages.
///
/// # Errors
///
/// As [`read_runout`].
pub fn runout_of(
    source: impl Read,
    name: &str,
    tube: Option<&Tube>,
    units: Units,
) -> Result<Vec<RunoutReading>, Vec<Problem>> {
    let lines = Lines::new(source).map_err(|error| cannot_read(name, &error))?;
    let separator = lines.layout().separator;
    let mut csv =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(lines);
    let mut record = StringRecord::new();
    if !csv.read_record(&mut record).map_err(|error| cannot_read(name, &error))? {
        let hint = "the first line names the columns: station [mm],angle [deg],reading [mm]";
        return Err(Problem::of_file("empty-file", name, "the file has no header line")
            .hinting(hint.to_owned())
            .into());
    }
    let columns = read_header(name, csv.get_mut().next_start(), &record)?;
    let mut rows = Rows {
        file: name,
        columns,
        style: NumberStyle::new(separator),
        once_round: tube.map(Tube::circumference_millimetres),
        units,
        read: Vec::new(),
        problems: Vec::new(),
    };
    let mut count = 0;
    while csv.read_record(&mut record).map_err(|error| cannot_read(name, &error))? {
        let line = csv.get_mut().next_start();
        count += 1;
        if count <= limits::RUNOUT && rows.problems.len() < limits::FAULTS {
            rows.read_row(line, &record);
        }
    }
    if count > limits::RUNOUT {
        let found = format!("{count} readings");
        let fault =
            Fault::new("too-many", found, format!("at most {}", limits::RUNOUT), "is this a runout table?");
        rows.problems.push(fault.at(Place::cell(name, 1, None)));
    }
    if let Some(fault) = csv.get_ref().fault() {
        let place = Place::cell(name, fault.line, None);
        rows.problems.push(Problem::at(fault.code, place, &*fault.found).hinting(fault.hint.to_owned()));
    }
    rows.finish(tube)
}

fn read_header(file: &str, line: u64, record: &StringRecord) -> Result<Vec<Titled>, Vec<Problem>> {
    let (mut columns, mut problems): (Vec<Titled>, Vec<Problem>) = (Vec::new(), Vec::new());
    for title in record.iter().map(str::trim) {
        match titled(title) {
            Ok(titled) if columns.iter().any(|other| other.column == titled.column) => {
                let found = format!("a second column `{}`", titled.column.word());
                let fault = Fault::new("column-twice", found, "each column once", "remove one of them");
                problems.push(fault.at(Place::cell(file, line, Some(title))));
            }
            Ok(titled) => columns.push(titled),
            Err(fault) => problems.push(fault.at(Place::cell(file, line, Some(title)))),
        }
    }
    for needed in [Column::Station, Column::Angle, Column::Reading] {
        if problems.is_empty() && !columns.iter().any(|titled| titled.column == needed) {
            let found = format!("no column `{}`", needed.word());
            let fault =
                Fault::new("no-column", found, "station [mm],angle [deg],reading [mm]", "add the column");
            problems.push(fault.at(Place::cell(file, line, None)));
        }
    }
    if problems.is_empty() { Ok(columns) } else { Err(problems) }
}

fn titled(title: &str) -> Result<Titled, Fault> {
    let (word, unit) = match title.split_once('[') {
        Some((word, unit)) => (word.trim(), Some(unit.trim_end_matches(']').trim())),
        None => (title, None),
    };
    let words = || Column::ALL.iter().map(|column| column.word());
    let Some(column) = Column::ALL.into_iter().find(|column| column.word() == word) else {
        let hint = did_you_mean(word, words()).unwrap_or_else(|| "remove the column".into());
        return Err(Fault::new(
            "unknown-column",
            format!("a column `{}`", shown(word)),
            listed(words()),
            hint,
        ));
    };
    let units = column.units();
    let symbols = || listed(units.iter().map(|unit| unit.symbol));
    let unit = match (unit, units) {
        (_, []) => DEGREES,
        (Some(symbol), units) => match units.iter().find(|known| known.symbol == symbol) {
            Some(known) => *known,
            None => {
                let found = format!("`{}` is not a unit of {word}", shown(symbol));
                let hint = did_you_mean(symbol, units.iter().map(|unit| unit.symbol))
                    .unwrap_or_else(|| format!("write {word} [{}]", units[0].symbol));
                return Err(Fault::new("unknown-unit", found, symbols(), hint));
            }
        },
        (None, units) => {
            let hint = format!("write {word} [{}]", units[0].symbol);
            return Err(Fault::new("no-unit", format!("`{word}` without its unit"), symbols(), hint));
        }
    };
    Ok(Titled { column, title: title.to_owned(), unit })
}

/// The rows read so far, with the line of each.
struct Rows<'f> {
    file: &'f str,
    columns: Vec<Titled>,
    style: NumberStyle,
    /// Once round the tube, in mm.
    once_round: Option<f64>,
    units: Units,
    read: Vec<(u64, RunoutReading)>,
    problems: Vec<Problem>,
}

impl Rows<'_> {
    fn read_row(&mut self, line: u64, record: &StringRecord) {
        if record.len() != self.columns.len() {
            let (found, wanted) = (record.len(), self.columns.len());
            let hint = "is there a separator too few or too many?";
            let fault = Fault::new("wrong-length", format!("{found} cells"), format!("{wanted} cells"), hint);
            self.problems.push(fault.at(Place::cell(self.file, line, None)));
            return;
        }
        let station = self.cell(line, record, Column::Station);
        let angle = self.cell(line, record, Column::Angle).and_then(|found| self.angle(line, found));
        let indicator = self.cell(line, record, Column::Reading);
        let (Some(station), Some(angle), Some(indicator)) = (station, angle, indicator) else { return };
        let Ok(station) = Length::from_millimetres(station) else {
            let hint = "stations are counted from the front joint centre";
            self.note(
                line,
                Column::Station,
                Fault::new("out-of-range", format!("found {station}"), "zero or more", hint),
            );
            return;
        };
        self.read.push((line, RunoutReading { station, angle, indicator }));
    }

    /// The angle of a number in the angle column's unit, be it degrees or a place on the tape.
    fn angle(&mut self, line: u64, found: f64) -> Option<Angle> {
        let tape =
            self.columns.iter().any(|own| own.column == Column::Angle && own.unit.symbol != DEGREES.symbol);
        if !tape {
            return Angle::from_degrees(found).ok();
        }
        let Ok(place) = Length::from_millimetres(found) else {
            let hint = "the tape is laid round the tube from the zero mark, in counting direction";
            let fault = Fault::new("out-of-range", "a place before the tape's zero", "zero or more", hint);
            self.note(line, Column::Angle, fault);
            return None;
        };
        match Around::Tape(place).angle(self.once_round) {
            Ok(angle) => Some(angle),
            Err(fault) => {
                let (words, allowed) = (fault.words(self.units), fault.allowed(self.units));
                self.note(line, Column::Angle, Fault::new("out-of-range", words, allowed, fault.hint()));
                None
            }
        }
    }

    fn cell(&mut self, line: u64, record: &StringRecord, column: Column) -> Option<f64> {
        let at = self.columns.iter().position(|titled| titled.column == column)?;
        let text = record.get(at).unwrap_or_default().trim();
        if text.is_empty() {
            let hint = "a row has station, angle and reading; remove the row if one was not read";
            self.note(line, column, Fault::new("empty-cell", "an empty cell", "a number", hint));
            return None;
        }
        match self.style.number(text) {
            Ok(number) => Some(number * self.columns[at].unit.factor),
            Err(fault) => {
                self.note(line, column, fault);
                None
            }
        }
    }

    fn note(&mut self, line: u64, column: Column, fault: Fault) {
        let title =
            self.columns.iter().find(|titled| titled.column == column).map(|titled| titled.title.as_str());
        self.problems.push(fault.at(Place::cell(self.file, line, title)));
    }

    /// The readings, if they give a runout map.
    fn finish(mut self, tube: Option<&Tube>) -> Result<Vec<RunoutReading>, Vec<Problem>> {
        let readings: Vec<RunoutReading> = self.read.iter().map(|(_, reading)| *reading).collect();
        if let Some(tube) = tube.filter(|_| self.problems.is_empty())
            && let Err(faults) = runout_map(&readings, tube.length)
        {
            for fault in faults {
                self.note_map_fault(&fault);
            }
            // A station beyond the tube is reported once, not for each of its readings.
            self.problems.dedup();
        }
        if self.problems.is_empty() { Ok(readings) } else { Err(self.problems) }
    }

    fn note_map_fault(&mut self, fault: &RunoutFault) {
        let (station, allowed, hint) = match fault {
            RunoutFault::Nothing => {
                (None, "readings round the tube".to_owned(), "add a row for each reading")
            }
            RunoutFault::NotANumber { station, .. } => {
                (Some(*station), "a number".into(), "correct the reading")
            }
            RunoutFault::Beyond { station, length } => (
                Some(*station),
                format!("0 to {}", amounts::entered_length(self.units, *length)),
                "stations are counted from the front joint centre",
            ),
            RunoutFault::NotRound { station, .. } => {
                (Some(*station), "three readings or more".into(), "read it every 45 degrees, for example")
            }
            _ => (None, "other readings".to_owned(), "correct the readings"),
        };
        let at = |wanted: f64| {
            self.read.iter().find(|(_, reading)| (reading.station.millimetres() - wanted).abs() < 0.5)
        };
        let line = station.and_then(at).map_or(1, |(line, _)| *line);
        let fault = Fault::new("no-runout-map", fault.words(self.units), allowed, hint);
        if station.is_some() {
            self.note(line, Column::Station, fault);
        } else {
            self.problems.push(fault.at(Place::cell(self.file, line, None)));
        }
    }
}

fn cannot_read(name: &str, error: &dyn std::error::Error) -> Vec<Problem> {
    Problem::of_file("cannot-read", name, format!("cannot be read: {error}"))
        .hinting("is it a file, and may you read it?".to_owned())
        .into()
}
