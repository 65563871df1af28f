//! Adding a run to a runs file.

use std::collections::HashMap;
use std::io::Read;
use std::path::Path;

use balance_core::quantity::{Length, Mass, Quantity, Speed, Units};
use balance_core::run::{
    Change, OnTopOf, PlacedMass, ReadingUncertainty, Run, RunKind, SensorReading, Setup,
};
use balance_core::shaft::{Sensor, SensorId};

use super::cells::Decimal;
use super::columns::{Columns, MassColumns, Scaled, SensorColumns};
use super::header::Plain;
use super::lines::{Layout, ends_in_quote, is_skipped};
use super::reader::{RunsReader, ShaftFaults};
use super::row::RowTexts;
use crate::files::disk;
use crate::files::job::JobFile;
use crate::files::limits;
use crate::files::problem::{Problem, shown};
use crate::files::write::change_file;

/// A run to be added, and the texts of its row.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRun {
    /// The shaft's label, for files that have a column for it.
    pub shaft: Option<String>,
    /// The run; its masses are those to be listed in its row.
    pub run: Run,
    /// Time, by, note.
    pub texts: RowTexts,
}

/// Adds one row to a runs file, like [`append_runs`].
///
/// # Errors
///
/// As [`append_runs`].
pub fn append_run(path: &Path, job: Option<&JobFile>, new: &NewRun) -> Result<(), Vec<Problem>> {
    append_runs(path, job, std::slice::from_ref(new))
}

/// Adds rows to a runs file: with the file's separator, decimal sign, units and line ends, each below the
/// rows of its shaft. Columns that a row needs and the file does not have (a second mass, a bead, a note) are
/// added at the right. The file is written in one step, after its new text has been read back.
///
/// # Errors
///
/// The file has faults, has a run with this label, lacks a column that every row would need, or cannot be
/// written; it is then unchanged.
pub fn append_runs(path: &Path, job: Option<&JobFile>, new: &[NewRun]) -> Result<(), Vec<Problem>> {
    let name = disk::shown_path(path);
    change_file(path, limits::RUNS, |bytes| {
        Labels::of(&mut RunsReader::new(bytes, &name, job)?)?.refuse_known(&name, new)?;
        with_runs(bytes, &name, job, new)
    })
}

/// The bytes of a runs file with more rows.
///
/// # Errors
///
/// As [`append_runs`], except for the labels.
pub fn with_runs(
    bytes: &[u8],
    name: &str,
    job: Option<&JobFile>,
    new: &[NewRun],
) -> Result<Vec<u8>, Vec<Problem>> {
    let mut reader = RunsReader::new(bytes, name, job)?;
    let before = Labels::of(&mut reader)?;
    before.refuse_below_waiting(new)?;
    let layout = reader.layout();
    let decimal =
        reader.decimal().unwrap_or(if layout.separator == b';' { Decimal::Comma } else { Decimal::Point });
    let shop = job.map_or(Units::Metric, |file| file.job.units);
    let mut rows = Vec::new();
    for new in new {
        let mut cells = Cells::new(reader.columns(), decimal, shop);
        cells.fill(new, reader.setup());
        if let Some(column) = cells.lacking {
            let hint = "add the column in every row first".to_owned();
            let found = format!("no column `{column}`, which the new row needs");
            return Err(vec![Problem::of_file("column-missing", name, found).hinting(hint)]);
        }
        rows.push(cells);
    }
    let added = all_added(&rows);
    let line_end: &[u8] = if has_crlf(bytes) { b"\r\n" } else { b"\n" };
    let places = new.iter().map(|new| before.last_line(&new.shaft));
    let rows = places
        .zip(rows.iter().map(|row| [line(&row.texts_with(&added), layout), line_end.to_vec()].concat()));
    let wide = widened(bytes, layout, reader.columns().titles.len(), &added);
    let text = inserted(&wide, layout, line_end, &rows.collect::<Vec<_>>());
    read_back(&text, name, job, &before, new)?;
    Ok(text)
}

/// The labels of a file's runs, shaft by shaft, and the line of the last one.
struct Labels {
    of_shaft: HashMap<Option<String>, OfShaft>,
}

/// The labels of one shaft's runs, and the line of the last one; rows that wait for their readings count.
struct OfShaft {
    labels: Vec<String>,
    last_line: Option<u64>,
    waits: Option<Problem>,
}

impl Labels {
    /// Reads the file to its end.
    fn of<R: Read>(reader: &mut RunsReader<R>) -> Result<Self, Vec<Problem>> {
        let (mut of_shaft, mut faults) = (HashMap::new(), Vec::new());
        for shaft in reader {
            match shaft {
                Ok(runs) => {
                    let waits = runs.waits();
                    let waiting = runs.waiting.iter().map(|row| row.label.clone());
                    let labels = runs.runs.iter().map(|run| run.label.clone()).chain(waiting).collect();
                    let last_line = runs.waiting.last().map(|row| row.line).or(runs.lines.last().copied());
                    of_shaft.insert(runs.shaft, OfShaft { labels, last_line, waits });
                }
                Err(ShaftFaults { problems, .. }) => faults.extend(problems),
            }
        }
        if faults.is_empty() { Ok(Self { of_shaft }) } else { Err(faults) }
    }

    fn labels(&self, shaft: &Option<String>) -> &[String] {
        self.of_shaft.get(shaft).map_or(&[], |own| &own.labels)
    }

    /// The line of the shaft's last run; `None`: it has none yet.
    fn last_line(&self, shaft: &Option<String>) -> Option<u64> {
        self.of_shaft.get(shaft)?.last_line
    }

    /// A row that waits for its readings: nothing can be added below it.
    fn refuse_below_waiting(&self, new: &[NewRun]) -> Result<(), Vec<Problem>> {
        let waits = new.iter().filter_map(|new| self.of_shaft.get(&new.shaft)?.waits.clone());
        let problems: Vec<Problem> = waits.collect();
        if problems.is_empty() { Ok(()) } else { Err(problems) }
    }

    /// A label that already exists: someone else wrote this run meanwhile.
    fn refuse_known(&self, name: &str, new: &[NewRun]) -> Result<(), Vec<Problem>> {
        let known = |new: &&NewRun| self.labels(&new.shaft).contains(&new.run.label);
        let problem = |new: &NewRun| {
            let of =
                new.shaft.as_ref().map_or_else(String::new, |shaft| format!(" of shaft `{}`", shown(shaft)));
            let found = format!("run `{}`{of} is already in the file", shown(&new.run.label));
            let hint = "someone else may have written it meanwhile: check the file, then start again";
            Problem::of_file("run-there-already", name, found).hinting(hint.to_owned())
        };
        let problems: Vec<Problem> = new.iter().filter(known).map(problem).collect();
        if problems.is_empty() { Ok(()) } else { Err(problems) }
    }

    /// The labels of all runs, each with its shaft, in order.
    fn all(&self) -> Vec<(&Option<String>, &String)> {
        let each =
            self.of_shaft.iter().flat_map(|(shaft, own)| own.labels.iter().map(move |label| (shaft, label)));
        let mut all: Vec<_> = each.collect();
        all.sort();
        all
    }
}

/// Reads the new text before it replaces the file: it must contain every earlier run, the new ones and no
/// others. Without a label column the runs are counted.
fn read_back(
    text: &[u8],
    name: &str,
    job: Option<&JobFile>,
    before: &Labels,
    new: &[NewRun],
) -> Result<(), Vec<Problem>> {
    let mut reader = RunsReader::new(text, name, job)?;
    let after = Labels::of(&mut reader)?;
    let mut wanted = before.all();
    wanted.extend(new.iter().map(|new| (&new.shaft, &new.run.label)));
    wanted.sort();
    let found = after.all();
    let labelled = reader.columns().plain(Plain::Run).is_some();
    if if labelled { found == wanted } else { found.len() == wanted.len() } {
        return Ok(());
    }
    let found = "with the new row it would not read back correctly";
    let hint = "it was not changed; add the row by hand and send us this file";
    Err(vec![Problem::of_file("not-read-back", name, found).hinting(hint.to_owned())])
}

/// The text with the records inserted, each below the record that begins in its line (from 1), or at the end.
/// Records below the same line keep their order.
fn inserted(bytes: &[u8], layout: Layout, line_end: &[u8], rows: &[(Option<u64>, Vec<u8>)]) -> Vec<u8> {
    let mut below: HashMap<u64, Vec<&[u8]>> = HashMap::new();
    for (line, row) in rows {
        below.entry(line.unwrap_or(u64::MAX)).or_default().push(row);
    }
    let room = rows.iter().map(|(_, row)| row.len()).sum::<usize>();
    let mut text = Vec::with_capacity(bytes.len() + room + 2);
    let put = |text: &mut Vec<u8>, rows: Vec<&[u8]>| {
        if !text.is_empty() && !text.ends_with(b"\n") {
            text.extend_from_slice(line_end);
        }
        rows.into_iter().for_each(|row| text.extend_from_slice(row));
    };
    let (mut open, mut waiting) = (false, None);
    for (number, line) in (1..).zip(bytes.split_inclusive(|byte| *byte == b'\n')) {
        waiting = waiting.or_else(|| below.remove(&number));
        let content = line.trim_ascii_end_of_line();
        if open || !is_skipped(content, layout) {
            open = ends_in_quote(content, layout.separator, open);
        }
        text.extend_from_slice(line);
        if let Some(rows) = waiting.take_if(|_| !open) {
            put(&mut text, rows);
        }
    }
    if let Some(rows) = below.remove(&u64::MAX) {
        put(&mut text, rows);
    }
    text
}

/// The columns that any row needs and the file does not have, each once.
fn all_added(rows: &[Cells<'_>]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for (title, _) in rows.iter().flat_map(|row| &row.added) {
        if !all.contains(title) {
            all.push(title.clone());
        }
    }
    all
}

/// The cells of the new row.
struct Cells<'c> {
    columns: &'c Columns,
    decimal: Decimal,
    texts: Vec<String>,
    /// The shop's units, for columns that are added.
    weight_unit: &'static str,
    length_unit: &'static str,
    /// Columns that the file does not have, and their cells.
    added: Vec<(String, String)>,
    /// A column that the row needs and that cannot be added, because every row would have to fill it.
    lacking: Option<String>,
}

impl<'c> Cells<'c> {
    fn new(columns: &'c Columns, decimal: Decimal, shop: Units) -> Self {
        let texts = vec![String::new(); columns.titles.len()];
        let (weight_unit, length_unit) = match shop {
            Units::Metric | Units::Both => ("g", "mm"),
            Units::Us => ("oz", "in"),
        };
        Self { columns, decimal, texts, weight_unit, length_unit, added: Vec::new(), lacking: None }
    }

    fn fill(&mut self, new: &NewRun, setup: &Setup) {
        let run = &new.run;
        self.needed(Plain::Run, "run", &run.label);
        self.needed(Plain::Shaft, "shaft", new.shaft.as_deref().unwrap_or_default());
        let inferred = if run.masses.is_empty() { RunKind::Initial } else { RunKind::Trial };
        if self.columns.plain(Plain::Kind).is_some() || run.kind != inferred {
            self.optional(Plain::Kind, "kind", run.kind.word());
        }
        self.optional(Plain::Mounting, "mounting", &run.mounting);
        self.optional(Plain::OnTopOf, "on top of", run.on_top_of.as_ref().map_or("", OnTopOf::word));
        self.optional(Plain::Time, "time", &new.texts.time);
        self.optional(Plain::By, "by", &new.texts.by);
        self.optional(Plain::Note, "note", &new.texts.note);
        match (self.columns.speed, run.speed) {
            (Some(column), Some(speed)) => self.put::<Speed>(column, speed.rpm()),
            (None, Some(_)) => self.lacking = Some("speed [rpm]".into()),
            (_, None) => {}
        }
        for plane in setup.plane_ids() {
            let of_plane = run.masses.iter().filter(|mass| mass.plane == plane);
            for (place, mass) in of_plane.enumerate() {
                self.mass(place, mass, &setup.planes[plane].name);
            }
        }
        self.readings(run, setup);
    }

    fn readings(&mut self, run: &Run, setup: &Setup) {
        for (sensor, reading) in run.readings.iter().enumerate() {
            let Some(columns) = self.columns.sensors.get(sensor) else {
                self.lacking = setup.sensors.get(sensor).map(|sensor| format!("{} amplitude", sensor.name));
                continue;
            };
            let (columns, own) = (*columns, run.uncertainty(SensorId::new(sensor)));
            let shown = matches!(reading, SensorReading::Shown { .. });
            if let (Some(own), Some(sensor)) = (own.filter(|_| shown), setup.sensors.get(sensor)) {
                self.uncertainty(columns, own, sensor);
            }
            match reading {
                SensorReading::NotRead => {}
                SensorReading::Below(limit) => {
                    self.texts[columns.amplitude] = format!("<{}", self.number(*limit));
                }
                SensorReading::Amplitude(amplitude) => {
                    self.texts[columns.amplitude] = self.number(*amplitude);
                }
                SensorReading::Shown { amplitude, phase } => {
                    self.texts[columns.amplitude] = self.number(*amplitude);
                    match columns.phase {
                        Some(at) => self.texts[at] = self.number(phase.degrees()),
                        None => {
                            let name = setup.sensors.get(sensor).map_or("", |sensor| sensor.name.as_str());
                            self.added.push((format!("{name} phase [deg]"), self.number(phase.degrees())));
                        }
                    }
                }
            }
        }
    }

    /// What a reading says of its own uncertainty, in columns that are added if need be.
    fn uncertainty(&mut self, columns: SensorColumns, own: ReadingUncertainty, sensor: &Sensor) {
        let texts = [own.amplitude, own.phase.degrees()].map(|sigma| self.number(sigma));
        match columns.uncertainty {
            Some(at) => [at.amplitude, at.phase].into_iter().zip(texts).for_each(|(at, text)| {
                self.texts[at] = text;
            }),
            None => {
                let titles = [
                    format!("{} amplitude uncertainty [{}]", sensor.name, sensor.unit),
                    format!("{} phase uncertainty [deg]", sensor.name),
                ];
                self.added.extend(titles.into_iter().zip(texts));
            }
        }
    }

    /// A mass, in the columns of its place among the plane's masses, which are added if need be.
    fn mass(&mut self, place: usize, mass: &PlacedMass, plane: &str) {
        let grams = match mass.change {
            Change::Added => mass.mass.grams(),
            Change::TakenOff => -mass.mass.grams(),
        };
        let columns: Option<&MassColumns> =
            self.columns.masses.iter().filter(|columns| columns.plane == mass.plane).nth(place);
        let last = self
            .columns
            .masses
            .iter()
            .filter(|columns| columns.plane == mass.plane)
            .map(|columns| columns.number);
        let number = columns.map_or_else(
            || last.max().unwrap_or(0).max(u32::try_from(place).unwrap_or(u32::MAX)) + 1,
            |columns| columns.number,
        );
        let title = |quantity: &str, unit: &str| match number {
            1 => format!("{plane} {quantity} [{unit}]"),
            _ => format!("{plane} {quantity} {number} [{unit}]"),
        };
        match columns {
            Some(columns) => {
                self.put::<Mass>(columns.mass, grams);
                let degrees = self.number(mass.angle.degrees());
                self.texts[columns.angle.at] =
                    if columns.angle.tape.is_some() { format!("{degrees} deg") } else { degrees };
            }
            None => {
                self.add::<Mass>(|unit| title("mass", unit), self.weight_unit, grams);
                self.added.push((title("angle", "deg"), self.number(mass.angle.degrees())));
            }
        }
        if mass.bead.base() > 0.0 {
            let column = columns.and_then(|columns| columns.bead);
            let title = |unit: &str| title("bead", unit);
            self.put_or_add::<Mass>(column, title, self.weight_unit, mass.bead.grams());
        }
        if let Some(radius) = mass.radius {
            let column = columns.and_then(|columns| columns.radius);
            let title = |unit: &str| title("radius", unit);
            self.put_or_add::<Length>(column, title, self.length_unit, radius.millimetres());
        }
    }

    fn put_or_add<Q: Quantity>(
        &mut self,
        column: Option<Scaled>,
        title: impl Fn(&str) -> String,
        unit: &str,
        base: f64,
    ) {
        match column {
            Some(column) => self.put::<Q>(column, base),
            None => self.add::<Q>(title, unit, base),
        }
    }

    /// Writes a value in the column's unit, or in its own where that is shorter: 0.53 oz in a column of grams.
    fn put<Q: Quantity>(&mut self, column: Scaled, base: f64) {
        self.texts[column.at] = self.shortest::<Q>(column.factor, base);
    }

    fn add<Q: Quantity>(&mut self, title: impl Fn(&str) -> String, unit: &str, base: f64) {
        let factor = Q::unit(unit).map_or(1.0, |unit| unit.factor);
        let text = self.shortest::<Q>(factor, base);
        self.added.push((title(unit), text));
    }

    /// Digits that read back as the same number: in the column's unit if they are few, otherwise in the unit
    /// in which they are.
    fn shortest<Q: Quantity>(&self, factor: f64, base: f64) -> String {
        const FEW: usize = 8;
        let own = digits(base, factor);
        if own.len() <= FEW || base < 0.0 {
            return self.with_sign(own);
        }
        let others = Q::UNITS.iter().map(|unit| (digits(base, unit.factor), unit.symbol));
        match others.min_by_key(|(digits, _)| digits.len()).filter(|(digits, _)| digits.len() <= FEW) {
            Some((digits, symbol)) => format!("{} {symbol}", self.with_sign(digits)),
            None => self.with_sign(own),
        }
    }

    /// All cells, with those under the added columns.
    fn texts_with(&self, added: &[String]) -> Vec<String> {
        let own =
            |title: &String| self.added.iter().find(|(own, _)| own == title).map(|(_, text)| text.clone());
        let added = added.iter().map(|title| own(title).unwrap_or_default());
        self.texts.iter().cloned().chain(added).collect()
    }

    /// A text whose column may be added: it may be empty in other rows.
    fn optional(&mut self, plain: Plain, title: &str, text: &str) {
        match self.columns.plain(plain) {
            Some(at) => self.texts[at] = text.into(),
            None if text.is_empty() => {}
            None => {
                self.added.push((title.into(), text.into()));
            }
        }
    }

    /// A text whose column cannot be added.
    fn needed(&mut self, plain: Plain, title: &str, text: &str) {
        match self.columns.plain(plain) {
            Some(at) => self.texts[at] = text.into(),
            None if text.is_empty() || plain == Plain::Run => {}
            None => self.lacking = Some(title.into()),
        }
    }

    /// The shortest digits that read back as the same number.
    fn number(&self, value: f64) -> String {
        self.with_sign(value.to_string())
    }

    /// A number's text with the file's decimal sign.
    fn with_sign(&self, text: String) -> String {
        if self.decimal == Decimal::Comma { text.replace('.', ",") } else { text }
    }
}

/// The fewest digits in units of `factor` that read back as the same number of base units.
fn digits(base: f64, factor: f64) -> String {
    const MOST: usize = 12;
    let value = base / factor;
    let reads_back = |text: &String| text.parse::<f64>().is_ok_and(|value| value * factor == base);
    (0..=MOST)
        .map(|decimals| format!("{value:.decimals$}"))
        .find(reads_back)
        .unwrap_or_else(|| value.to_string())
}

fn has_crlf(bytes: &[u8]) -> bool {
    bytes.iter().position(|byte| *byte == b'\n').is_some_and(|at| at > 0 && bytes[at - 1] == b'\r')
}

/// One record as a line without its end.
fn line(cells: &[String], layout: Layout) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(layout.separator)
        .comment(Some(b'#'))
        .flexible(true)
        .from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(cells);
    let mut bytes = writer.into_inner().unwrap_or_default();
    while bytes.last() == Some(&b'\n') {
        bytes.pop();
    }
    bytes
}

/// The file with columns added at the right: titles in the header line, empty cells in every other row.
fn widened(bytes: &[u8], layout: Layout, width: usize, added: &[String]) -> Vec<u8> {
    if added.is_empty() {
        return bytes.to_vec();
    }
    let mut text = Vec::with_capacity(bytes.len() + 256);
    let mut open = false;
    let mut header = true;
    let mut record: Vec<u8> = Vec::new();
    for line_with_end in bytes.split_inclusive(|byte| *byte == b'\n') {
        let content = line_with_end.trim_ascii_end_of_line();
        if !open && is_skipped(content, layout) {
            text.extend_from_slice(line_with_end);
            continue;
        }
        open = ends_in_quote(content, layout.separator, open);
        record.extend_from_slice(line_with_end);
        if open {
            continue;
        }
        let body = record.trim_ascii_end_of_line();
        text.extend_from_slice(body);
        let separators = (width + added.len()).saturating_sub(cells_in(body, layout));
        if header {
            text.push(layout.separator);
            text.extend_from_slice(&line(added, layout));
        } else {
            text.extend(std::iter::repeat_n(layout.separator, separators));
        }
        header = false;
        text.extend_from_slice(&record[body.len()..]);
        record.clear();
    }
    text.extend_from_slice(&record);
    text
}

/// How many cells a record has.
fn cells_in(record: &[u8], layout: Layout) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(layout.separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(record);
    let mut cells = csv::ByteRecord::new();
    match reader.read_byte_record(&mut cells) {
        Ok(true) => cells.len(),
        _ => 0,
    }
}

trait EndOfLine {
    fn trim_ascii_end_of_line(&self) -> &[u8];
}

impl EndOfLine for [u8] {
    fn trim_ascii_end_of_line(&self) -> &[u8] {
        let line = self.strip_suffix(b"\n").unwrap_or(self);
        line.strip_suffix(b"\r").unwrap_or(line)
    }
}

#[cfg(test)]
mod tests {
    use balance_core::quantity::{Length, Mass, parse};

    use super::*;
    use crate::files::runs::read_all;

    const FILE: &str = "\u{feff}# depot\r\nrun;speed [rpm];front mass [kg];front angle [deg];front amplitude [mm/s];front phase [deg];note\r\n\
                        1;1800;;;5,29;230;\"two\r\nlines\"\r\n2;1800;0,02;90;8,68;211\r\n\r\n";

    fn check() -> NewRun {
        let mass = |grams: f64, degrees: &str, bead: f64, change| PlacedMass {
            plane: balance_core::shaft::PlaneId::new(0),
            change,
            mass: Mass::from_grams(grams).unwrap(),
            angle: parse(degrees).unwrap(),
            radius: None,
            bead: Mass::from_grams(bead).unwrap(),
        };
        let mut second = mass(7.5, "329 deg", 0.0, Change::TakenOff);
        second.radius = Some(Length::from_millimetres(47.25).unwrap());
        let run = Run {
            label: "#3".into(),
            kind: RunKind::Check,
            speed: Some(parse("1795.5 rpm").unwrap()),
            mounting: "B".into(),
            minutes: None,
            on_top_of: None,
            masses: vec![mass(25.27, "312 deg", 1.0, Change::Added), second],
            readings: vec![SensorReading::Below(0.05)],
            uncertainties: Vec::new(),
        };
        NewRun { shaft: None, run, texts: RowTexts { note: "a; b".into(), ..RowTexts::default() } }
    }

    #[test]
    fn a_row_is_added_in_the_files_own_way_and_reads_back_the_same() {
        let bytes = with_runs(FILE.as_bytes(), "runs.csv", None, &[check()]).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(
            text.ends_with("\r\n\"#3\";1795,5;0,02527;312;<0,05;;\"a; b\";check;B;1;-7,5;329;47,25\r\n\r\n"),
            "{text}"
        );
        let shaft = read_all(&bytes[..], "runs.csv", None).unwrap().remove(0);
        assert_eq!(shaft.runs.len(), 3);
        assert_eq!(shaft.runs[..2], read_all(FILE.as_bytes(), "runs.csv", None).unwrap()[0].runs);
        let wanted = check();
        assert_eq!(shaft.runs[2].masses[0].mass.grams(), 25.27);
        let back = Run { masses: wanted.run.masses.clone(), ..shaft.runs[2].clone() };
        let texts = RowTexts { cells: Vec::new(), ..shaft.texts[2].clone() };
        assert_eq!((back, texts), (wanted.run.clone(), wanted.texts.clone()));
        assert_eq!(shaft.texts[2].cells[2], "0,02527", "as typed");
        assert_eq!(shaft.runs[2].masses, wanted.run.masses);
        let twice = with_runs(
            &bytes,
            "runs.csv",
            None,
            &[NewRun { run: Run { label: "4".into(), ..wanted.run }, ..wanted }],
        );
        assert_eq!(read_all(&twice.unwrap()[..], "runs.csv", None).unwrap()[0].runs.len(), 4);
    }

    #[test]
    fn a_faulty_file_or_a_missing_column_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("runs.csv");
        std::fs::write(&path, "run,a amplitude [g],a phase [deg]\n1,x,2\n").unwrap();
        assert_eq!(append_run(&path, None, &check()).unwrap_err()[0].code, "not-a-number");
        std::fs::write(&path, "run,front mass [g],front angle [deg],a amplitude [g],a phase [deg]\n1,,,1,2")
            .unwrap();
        assert_eq!(append_run(&path, None, &check()).unwrap_err()[0].code, "column-missing");
        let mut new = check();
        new.run.speed = None;
        append_run(&path, None, &new).unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.starts_with("run,front mass [g],front angle [deg],a amplitude [g],a phase [deg],kind,mounting,note,front bead [g],front mass 2 [g],"), "{text}");
        assert_eq!(text.lines().count(), 3);
    }
}
