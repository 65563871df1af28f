//! What a recording says of itself before its first sample.

/// How a recording is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Written {
    /// A WAV; samples are parts of full scale.
    Wav {
        /// The largest magnitude that it can write on both sides, as part of full scale; `None` for floats.
        limit: Option<f64>,
    },
    /// A table of numbers.
    Table {
        /// The column with the time of each row, and the seconds in one of its units.
        time: Option<(usize, f64)>,
    },
}

/// One channel.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ChannelHeading {
    /// Its name; empty where it has none.
    pub name: String,
    /// Its unit; empty where it has none.
    pub unit: String,
}

/// What a recording says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Heading {
    /// How it is written.
    pub written: Written,
    /// Samples a second in Hz, if it states them.
    pub rate: Option<f64>,
    /// Its channels, or columns.
    pub channels: Vec<ChannelHeading>,
}

impl Heading {
    /// How its channels are named in messages.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let named = |(at, channel): (usize, &ChannelHeading)| {
            if channel.name.is_empty() { (at + 1).to_string() } else { channel.name.clone() }
        };
        self.channels.iter().enumerate().map(named).collect()
    }
}

/// Samples of the channels that were asked for, one after the other in time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// For each frame its time in seconds; empty if none was asked for.
    pub times: Vec<f64>,
    /// For each channel that was asked for its samples.
    pub channels: Vec<Vec<f64>>,
}

impl Block {
    /// Empties it, for this many channels.
    pub(super) fn clear(&mut self, channels: usize) {
        self.times.clear();
        self.channels.resize_with(channels, Vec::new);
        self.channels.iter_mut().for_each(Vec::clear);
    }

    /// How many frames it has.
    #[must_use]
    pub fn frames(&self) -> usize {
        self.channels.first().map_or(self.times.len(), Vec::len)
    }
}

/// Which channels are wanted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Picks {
    /// Indices of channels, in the order in which their samples are wanted.
    pub channels: Vec<usize>,
    /// Whether the time of each frame is wanted.
    pub times: bool,
}
