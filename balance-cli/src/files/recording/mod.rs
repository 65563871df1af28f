//! Recordings of the stand: WAV or a table, read once from a file or a stream, with bounded memory.

mod entry;
mod fault;
mod feed;
mod heading;
mod number;
mod table;
mod trace;
mod wav;
mod wired;

#[cfg(test)]
mod tests;

use std::io::Read;

pub use entry::entry;
pub use fault::RecordingFault;
pub use feed::{Fed, Flow, feed};
pub use heading::{Block, ChannelHeading, Heading, Picks, Written};
pub use trace::{KeptSignal, KeptTurns, Trace};
pub use wired::{Known, Wired, wired};

use fault::read_fully;

/// A recording that is being read.
pub struct Recording<R> {
    form: Form<R>,
}

enum Form<R> {
    Wav(wav::Wav<R>),
    Table(table::Table<R>),
}

impl<R: Read> Recording<R> {
    /// Reads up to the first sample.
    ///
    /// # Errors
    ///
    /// [`RecordingFault`] if it is neither a WAV nor a table, or cannot be read.
    pub fn open(mut input: R) -> Result<Self, RecordingFault> {
        let mut first = [0; 4];
        let read = read_fully(&mut input, &mut first)?;
        let form = match &first[..read] {
            [] => return Err(RecordingFault::Empty),
            b"RIFF" | b"RF64" => Form::Wav(wav::Wav::open(input, first)?),
            b"RIFX" => return Err(RecordingFault::NotWav),
            begin => Form::Table(table::Table::open(input, begin)?),
        };
        Ok(Self { form })
    }

    /// What it says of itself.
    pub fn heading(&self) -> &Heading {
        match &self.form {
            Form::Wav(wav) => wav.heading(),
            Form::Table(table) => table.heading(),
        }
    }

    /// The next samples; `false`: there are no more.
    ///
    /// # Errors
    ///
    /// [`RecordingFault`] at a row that cannot be read, or a stream that breaks.
    pub fn next(&mut self, picks: &Picks, block: &mut Block) -> Result<bool, RecordingFault> {
        match &mut self.form {
            Form::Wav(wav) => wav.next(picks, block),
            Form::Table(table) => table.next(picks, block),
        }
    }

    /// Whether it ended in the middle: before the length it states, or in the middle of a row.
    pub fn truncated(&self) -> bool {
        match &self.form {
            Form::Wav(wav) => wav.truncated(),
            Form::Table(table) => table.truncated(),
        }
    }
}
