//! A table of numbers: a row for each moment, a column for each channel.
//!
//! The whole time goes into finding cells and reading numbers, so this is a scanner of its own over large blocks:
//! cells that nobody wants are passed over, and only whole lines are scanned.

use std::io::Read;

use super::fault::{RecordingFault, read_some};
use super::heading::{Block, ChannelHeading, Heading, Picks, Written};
use super::number::{number, plain};
use crate::files::decode::is_utf16;

/// Bytes read at once; a line is shorter.
const BYTES: usize = 1 << 20;
/// Frames of a block.
const FRAMES: usize = 8192;
/// The longest line.
const LINE: usize = 1 << 16;
/// As much of the beginning as shows how a table is written: a few lines, or so many bytes.
const FIRST_LINES: usize = 8;
const FIRST: usize = 1 << 16;
/// Columns of a table.
const COLUMNS: usize = 256;

/// What separates cells, and the decimal sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Signs {
    separator: u8,
    decimal: u8,
}

/// A table that is being read.
pub(super) struct Table<R> {
    input: R,
    heading: Heading,
    signs: Signs,
    /// Bytes read and not yet used: `buffer[at..filled]`.
    buffer: Vec<u8>,
    at: usize,
    filled: usize,
    ended: bool,
    /// The line that comes next, from 1.
    line: u64,
    truncated: bool,
}

impl<R: Read> Table<R> {
    /// Reads up to the first row of numbers. The first bytes were read already.
    pub(super) fn open(input: R, first: &[u8]) -> Result<Self, RecordingFault> {
        let mut buffer = vec![0; BYTES];
        buffer[..first.len()].copy_from_slice(first);
        let mut table = Self {
            input,
            heading: Heading { written: Written::Table { time: None }, rate: None, channels: Vec::new() },
            signs: Signs { separator: b',', decimal: b'.' },
            buffer,
            at: 0,
            filled: first.len(),
            ended: false,
            line: 1,
            truncated: false,
        };
        while !table.ended && table.filled < FIRST && lines(&table.buffer[..table.filled]) < FIRST_LINES {
            table.fill()?;
        }
        if is_utf16(&table.buffer[..table.filled]) {
            return Err(RecordingFault::Utf16);
        }
        if table.buffer[..table.filled].starts_with(b"\xef\xbb\xbf") {
            table.at = 3;
        }
        table.read_heading()?;
        Ok(table)
    }

    pub(super) fn heading(&self) -> &Heading {
        &self.heading
    }

    /// Whether its last line is not whole.
    pub(super) fn truncated(&self) -> bool {
        self.truncated
    }

    /// The header line, if there is one: a line with a cell that is no number.
    fn read_heading(&mut self) -> Result<(), RecordingFault> {
        let (start, end) = loop {
            let (start, end) = self.line_bytes()?.ok_or(RecordingFault::Empty)?;
            if !is_skipped(&self.buffer[start..end]) {
                break (start, end);
            }
            self.pass(end);
        };
        let line = &self.buffer[start..end];
        self.signs = self.signs_of(line, end);
        let cells: Vec<&[u8]> = cells_of(line, self.signs.separator).collect();
        if cells.len() > COLUMNS {
            return Err(RecordingFault::Columns { found: cells.len(), most: COLUMNS });
        }
        let is_number = |cell: &&[u8]| number(bare(cell), self.signs.decimal).is_some();
        if cells.iter().all(is_number) {
            self.heading.channels = vec![ChannelHeading::default(); cells.len()];
            return Ok(());
        }
        let channels: Vec<ChannelHeading> = cells.iter().map(|cell| heading_of(cell)).collect();
        let time = channels
            .iter()
            .position(|own| own.name.eq_ignore_ascii_case("time") || own.name.eq_ignore_ascii_case("t"));
        let time = time.map(|at| Ok::<_, RecordingFault>((at, seconds(&channels[at].unit)?))).transpose()?;
        self.heading = Heading { written: Written::Table { time }, rate: None, channels };
        self.pass(end);
        Ok(())
    }

    /// Semicolons or tabs beat commas; with either a comma may be the decimal sign, as the first row of numbers shows.
    fn signs_of(&self, line: &[u8], end: usize) -> Signs {
        let separator = [b'\t', b';'].into_iter().find(|sign| line.contains(sign)).unwrap_or(b',');
        if separator == b',' {
            return Signs { separator, decimal: b'.' };
        }
        let below = self.buffer[end..self.filled].split(|byte| *byte == b'\n');
        let rows = std::iter::once(line).chain(below.take(4));
        let has_comma = |row: &[u8]| row.contains(&b',') && !row.contains(&b'.') && !is_skipped(row);
        let decimal = if rows.skip(usize::from(line.iter().any(u8::is_ascii_alphabetic))).any(has_comma) {
            b','
        } else {
            b'.'
        };
        Signs { separator, decimal }
    }

    /// The next frames; `false`: there are no more.
    pub(super) fn next(&mut self, picks: &Picks, block: &mut Block) -> Result<bool, RecordingFault> {
        block.clear(picks.channels.len());
        let time = match self.heading.written {
            Written::Table { time } if picks.times => time,
            _ => None,
        };
        let wanted = Wanted::new(&picks.channels, time, self.heading.channels.len());
        let mut values = vec![0.0; self.heading.channels.len()];
        while block.frames() < FRAMES {
            if let Some(length) =
                plain_row(&self.buffer[self.at..self.filled], self.signs, &wanted, &mut values)
            {
                self.at += length;
                self.line += 1;
            } else if block.frames() > 0 && !self.ended && self.no_line_left() {
                // What there is now goes on before waiting for more.
                break;
            } else if !self.careful_row(&wanted, &mut values)? {
                break;
            }
            if let Some((at, factor)) = time {
                block.times.push(values[at] * factor);
            }
            for (&channel, samples) in picks.channels.iter().zip(&mut block.channels) {
                samples.push(values[channel]);
            }
        }
        Ok(block.frames() > 0)
    }

    /// The next row with numbers, whatever stands between: comments, blanks, quotes, the end of the buffer; `false`:
    /// there are no more.
    fn careful_row(&mut self, wanted: &Wanted, values: &mut [f64]) -> Result<bool, RecordingFault> {
        while let Some((start, end)) = self.line_bytes()? {
            let whole = self.buffer.get(end) == Some(&b'\n') && end < self.filled;
            let line = &self.buffer[start..end];
            let row = if is_skipped(line) { None } else { Some(scan(line, self.signs, wanted, values)) };
            match row {
                Some(Ok(())) => {
                    self.pass(end);
                    return Ok(true);
                }
                // A line without its end: the recorder was stopped in the middle of it.
                Some(Err(_)) if !whole => self.truncated = true,
                Some(Err(fault)) => return Err(self.placed(fault)),
                None => {}
            }
            self.pass(end);
        }
        Ok(false)
    }

    fn no_line_left(&self) -> bool {
        memchr(b'\n', &self.buffer[self.at..self.filled]).is_none()
    }

    fn placed(&self, fault: RowFault) -> RecordingFault {
        match fault {
            RowFault::Cells(found) => {
                RecordingFault::Cells { line: self.line, found, allowed: self.heading.channels.len() }
            }
            RowFault::NotANumber(at, found) => {
                let column = self.heading.channels.get(at).map(|own| own.name.clone()).unwrap_or_default();
                RecordingFault::NotANumber { line: self.line, column, found }
            }
        }
    }

    /// Where the next line is in the buffer, without its end; `None`: there are no more.
    fn line_bytes(&mut self) -> Result<Option<(usize, usize)>, RecordingFault> {
        loop {
            let rest = &self.buffer[self.at..self.filled];
            if let Some(length) = memchr(b'\n', rest) {
                if length > LINE {
                    return Err(RecordingFault::LineTooLong { line: self.line, most: LINE });
                }
                return Ok(Some((self.at, self.at + length)));
            }
            if rest.len() > LINE {
                return Err(RecordingFault::LineTooLong { line: self.line, most: LINE });
            }
            if self.ended {
                return Ok((!rest.is_empty()).then_some((self.at, self.filled)));
            }
            self.fill()?;
        }
    }

    /// Leaves a line behind.
    fn pass(&mut self, end: usize) {
        self.at = (end + 1).min(self.filled);
        self.line += 1;
    }

    /// Moves what is left to the beginning and reads on.
    fn fill(&mut self) -> Result<(), RecordingFault> {
        self.buffer.copy_within(self.at..self.filled, 0);
        self.filled -= self.at;
        self.at = 0;
        let read = read_some(&mut self.input, &mut self.buffer[self.filled..])?;
        self.ended = read == 0;
        self.filled += read;
        Ok(())
    }
}

/// Which columns are read.
struct Wanted {
    columns: Vec<bool>,
}

impl Wanted {
    fn new(channels: &[usize], time: Option<(usize, f64)>, count: usize) -> Self {
        let mut columns = vec![false; count];
        for at in channels.iter().copied().chain(time.map(|(at, _)| at)) {
            if let Some(own) = columns.get_mut(at) {
                *own = true;
            }
        }
        Self { columns }
    }
}

/// The wanted numbers of a row in its simplest form, and its length with its end; `None`: it takes a second look.
fn plain_row(bytes: &[u8], signs: Signs, wanted: &Wanted, values: &mut [f64]) -> Option<usize> {
    let mut at = 0;
    let last = wanted.columns.len().checked_sub(1)?;
    for (column, value) in values.iter_mut().enumerate() {
        let rest = bytes.get(at..)?;
        if wanted.columns[column] {
            let (number, length) = plain(rest, signs.decimal)?;
            *value = number;
            at += length;
        } else {
            at +=
                rest.iter().position(|byte| *byte == signs.separator || *byte == b'\n' || *byte == b'\r')?;
        }
        if column < last {
            if bytes.get(at) != Some(&signs.separator) {
                return None;
            }
            at += 1;
        }
    }
    at += usize::from(bytes.get(at) == Some(&b'\r'));
    (bytes.get(at) == Some(&b'\n')).then_some(at + 1)
}

/// What is wrong with a row.
enum RowFault {
    Cells(usize),
    NotANumber(usize, String),
}

/// The wanted numbers of a row.
fn scan(line: &[u8], signs: Signs, wanted: &Wanted, values: &mut [f64]) -> Result<(), RowFault> {
    let count = wanted.columns.len();
    let mut rest = line;
    for (at, value) in values.iter_mut().enumerate() {
        let cell = match (at + 1 < count, memchr(signs.separator, rest)) {
            (true, Some(length)) => {
                let cell = &rest[..length];
                rest = &rest[length + 1..];
                cell
            }
            (false, None) => rest,
            // Several separators at the end of a row stand for nothing.
            (false, Some(length))
                if rest[length..].iter().all(|byte| *byte == signs.separator || *byte == b'\r') =>
            {
                &rest[..length]
            }
            _ => return Err(RowFault::Cells(cells_of(line, signs.separator).count())),
        };
        if wanted.columns[at] {
            *value = match number(cell, signs.decimal) {
                Some(value) => value,
                // Blanks, quotes and line ends are rare: they get a second look.
                None => number(bare(cell), signs.decimal).ok_or_else(|| {
                    RowFault::NotANumber(at, String::from_utf8_lossy(bare(cell)).into_owned())
                })?,
            };
        }
    }
    Ok(())
}

fn lines(bytes: &[u8]) -> usize {
    bytes.iter().filter(|byte| **byte == b'\n').count()
}

/// The first place of a byte.
fn memchr(byte: u8, bytes: &[u8]) -> Option<usize> {
    bytes.iter().position(|own| *own == byte)
}

fn cells_of(line: &[u8], separator: u8) -> impl Iterator<Item = &[u8]> {
    line.split(move |byte| *byte == separator)
}

/// A cell without blanks, line end and quotes.
fn bare(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inside @ .., b'"'] => inside.trim_ascii(),
        other => other,
    }
}

/// Blank lines and comments.
fn is_skipped(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    line.is_empty() || line.starts_with(b"#")
}

/// `front [mV]`
fn heading_of(cell: &[u8]) -> ChannelHeading {
    let text = String::from_utf8_lossy(bare(cell)).into_owned();
    match text.strip_suffix(']').and_then(|text| text.rsplit_once('[')) {
        Some((name, unit)) => ChannelHeading { name: name.trim().into(), unit: unit.trim().into() },
        None => ChannelHeading { name: text.trim().into(), unit: String::new() },
    }
}

/// Seconds in one of these units.
fn seconds(unit: &str) -> Result<f64, RecordingFault> {
    match unit {
        "" | "s" | "sec" => Ok(1.0),
        "ms" => Ok(1e-3),
        "us" | "µs" | "μs" => Ok(1e-6),
        other => Err(RecordingFault::TimeUnit { found: other.to_owned() }),
    }
}
