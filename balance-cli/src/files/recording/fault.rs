//! Why a recording cannot be read.

use std::io::{ErrorKind, Read};
use std::ops::RangeInclusive;

use crate::files::problem::{Fault, Place, Problem, shown};

/// Why a recording cannot be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RecordingFault {
    /// The stream has nothing in it.
    #[error("is empty")]
    Empty,
    /// It begins like a WAV and is none.
    #[error("begins like a WAV, but its parts are not in order")]
    NotWav,
    /// It ends before its first sample.
    #[error("ends before its first sample")]
    NoSamples,
    /// Other numbers of channels.
    #[error("has {found} channels")]
    Channels {
        /// How many.
        found: u16,
        /// How many there may be.
        allowed: RangeInclusive<u16>,
    },
    /// Samples written in another way.
    #[error("has samples of {bits} bits in format {code}")]
    Sample {
        /// The format's number.
        code: u16,
        /// Bits of a sample.
        bits: u16,
    },
    /// A line of a table that is far too long.
    #[error("has a line of more than {most} bytes")]
    LineTooLong {
        /// The line.
        line: u64,
        /// The longest allowed.
        most: usize,
    },
    /// A table in UTF-16.
    #[error("is a text in UTF-16")]
    Utf16,
    /// A line of a table with too few or too many cells.
    #[error("has {found} cells in a line")]
    Cells {
        /// The line.
        line: u64,
        /// Cells in it.
        found: usize,
        /// Cells in the others.
        allowed: usize,
    },
    /// A cell that is no number.
    #[error("has a cell that is no number")]
    NotANumber {
        /// The line.
        line: u64,
        /// The column's name.
        column: String,
        /// What the cell holds.
        found: String,
    },
    /// Too many columns.
    #[error("has {found} columns")]
    Columns {
        /// How many.
        found: usize,
        /// At most.
        most: usize,
    },
    /// The time column has a unit that is none of time.
    #[error("has a time column in `{found}`")]
    TimeUnit {
        /// The unit.
        found: String,
    },
    /// It cannot be read any further.
    #[error("cannot be read: {0}")]
    Read(#[from] std::io::Error),
}

impl RecordingFault {
    /// The fault with its place in a file of this name.
    #[must_use]
    pub fn of(&self, file: &str) -> Problem {
        let whole = Place::WholeFile { file: file.to_owned() };
        let at = |line: u64, column: Option<&str>| Place::cell(file, line, column);
        let (code, place, found, allowed, hint): (_, _, String, String, &str) = match self {
            Self::Empty | Self::NoSamples => {
                let hint = "did the recorder run? Record again";
                ("recording-empty", whole, self.to_string(), "a WAV or a table of numbers".into(), hint)
            }
            Self::NotWav => {
                let hint = "record again, or save it as a plain WAV (PCM)";
                ("not-a-wav", whole, self.to_string(), "a WAV or a table of numbers".into(), hint)
            }
            Self::Channels { allowed, .. } => {
                let allowed = format!("{} to {} channels", allowed.start(), allowed.end());
                let hint = "one channel for the pulse and one for each sensor";
                ("wav-channels", whole, self.to_string(), allowed, hint)
            }
            Self::Sample { .. } => {
                let allowed = "16, 24 or 32 bit PCM (format 1), 32 or 64 bit float (format 3)";
                let hint = "set the recorder to 16 or 24 bit, without compression";
                ("wav-sample", whole, self.to_string(), allowed.into(), hint)
            }
            Self::LineTooLong { line, most } => {
                let hint = "is this a recording? Save it as a WAV, or as a table with a row for each time";
                ("line-too-long", at(*line, None), self.to_string(), format!("{most} bytes"), hint)
            }
            Self::Utf16 => {
                let hint = "save the table as UTF-8";
                ("not-utf8", whole, self.to_string(), "UTF-8".into(), hint)
            }
            Self::Cells { line, found, allowed } => {
                let hint =
                    "every row has a cell for each column; decimal commas need semicolons between cells";
                ("row-length", at(*line, None), format!("{found} cells"), allowed.to_string(), hint)
            }
            Self::NotANumber { line, column, found } => {
                let place = at(*line, Some(column.as_str()).filter(|name| !name.is_empty()));
                let hint = "cut the damaged part off, or record again";
                ("not-a-number", place, format!("found `{}`", shown(found)), "a number".into(), hint)
            }
            Self::Columns { most, .. } => {
                let hint = "is this a recording? A row is one moment, a column one channel";
                ("too-many", at(1, None), self.to_string(), format!("at most {most}"), hint)
            }
            Self::TimeUnit { .. } => {
                let hint = "for example `time [s]`";
                ("unknown-unit", whole, self.to_string(), "s, ms or us".into(), hint)
            }
            Self::Read(_) => {
                let hint = "is the disk or the cable still there?";
                ("cannot-read", whole, self.to_string(), "a stream that can be read to its end".into(), hint)
            }
        };
        Fault::new(code, found, allowed, hint).at(place)
    }
}

/// Fills the bytes as far as the stream goes; returns how many.
pub(super) fn read_fully<R: Read>(input: &mut R, into: &mut [u8]) -> Result<usize, RecordingFault> {
    let mut filled = 0;
    while filled < into.len() {
        match input.read(&mut into[filled..]) {
            Ok(0) => break,
            Ok(read) => filled += read,
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(filled)
}

/// Some bytes, as many as there are now; none: the stream ends.
pub(super) fn read_some<R: Read>(input: &mut R, into: &mut [u8]) -> Result<usize, RecordingFault> {
    loop {
        match input.read(into) {
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            other => return Ok(other?),
        }
    }
}
