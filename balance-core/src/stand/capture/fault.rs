//! Why a recording gives no reading.

use std::fmt;

/// Which channel a fault is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Channel {
    /// The one with a pulse for each turn.
    Pulse,
    /// The one with the time of each frame.
    Time,
    /// A sensor, by its name.
    Sensor(String),
}

impl fmt::Display for Channel {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pulse => out.write_str("the pulse channel"),
            Self::Time => out.write_str("the time column"),
            Self::Sensor(name) => write!(out, "sensor `{name}`"),
        }
    }
}

/// Why a recording gives no reading: what was found, and what is allowed. [`CaptureFault::hint`] says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CaptureFault {
    /// The sample rate makes no sense.
    #[error("{found} Hz is not a sample rate; allowed: 1 Hz to 1e9 Hz")]
    Rate {
        /// In Hz.
        found: f64,
    },
    /// The level of the pulse makes no sense.
    #[error("{found} is not a level of the pulse; allowed: a number")]
    PulseLevel {
        /// In the recording's values.
        found: f64,
    },
    /// The stretch ends before it begins.
    #[error("the stretch from {from} s to {to} s has no length; allowed: an end after its beginning")]
    StretchReversed {
        /// In seconds.
        from: f64,
        /// In seconds.
        to: f64,
    },
    /// Nothing to read.
    #[error("no sensor is named; allowed: one or more")]
    NoSensor,
    /// The scale of a sensor makes no sense.
    #[error("sensor `{sensor}` has the scale {found}; allowed: a number other than 0")]
    Scale {
        /// Its name.
        sensor: String,
        /// The scale found.
        found: f64,
    },
    /// A reading is wanted in a unit that has nothing to do with what the sensor picks up.
    #[error(
        "sensor `{sensor}` picks up {picks_up} and cannot be read in {reads}; allowed: units of vibration, or the same label twice"
    )]
    UnitsUnrelated {
        /// Its name.
        sensor: String,
        /// What it picks up.
        picks_up: String,
        /// What is wanted.
        reads: String,
    },
    /// Blocks of one push are of different lengths, or channels are missing.
    #[error(
        "a block has {found} samples in {channel} and {expected} in the pulse channel; allowed: as many in each"
    )]
    Lengths {
        /// Where.
        channel: Channel,
        /// Samples found.
        found: usize,
        /// Samples of the pulse channel.
        expected: usize,
    },
    /// A block has other channels than the setup.
    #[error("a block has {found} sensors; allowed: {expected}, as many as the setup names")]
    SensorCount {
        /// Sensors found.
        found: usize,
        /// Sensors of the setup.
        expected: usize,
    },
    /// Frames carry no time and no rate is stated, or both.
    #[error("{}", if *.given { "frames carry a time although a sample rate is stated" } else { "frames carry no time and no sample rate is stated" })]
    Times {
        /// Whether times were pushed.
        given: bool,
    },
    /// A value is infinite, not a number, or larger than any recording.
    #[error("{channel} has a value near {seconds:.4} s that is no number; allowed: numbers up to 1e100")]
    NotFinite {
        /// Where.
        channel: Channel,
        /// When, to a block of samples, in seconds.
        seconds: f64,
    },
    /// Times do not grow.
    #[error(
        "the time column goes from {before} s to {after} s; allowed: times that grow from frame to frame"
    )]
    TimeNotGrowing {
        /// In seconds.
        before: f64,
        /// In seconds.
        after: f64,
    },
    /// No pulse was found.
    #[error(
        "no pulse was found in {seconds:.3} s: the pulse channel stays between {low} and {high}; allowed: one pulse a turn that stands out of the noise"
    )]
    NoPulse {
        /// Length of the recording in seconds.
        seconds: f64,
        /// Lowest value of the pulse channel.
        low: f64,
        /// Highest value of the pulse channel.
        high: f64,
    },
    /// Too few turns.
    #[error("{turns} whole turns in {seconds:.3} s; allowed: {needed} or more")]
    TooShort {
        /// Whole turns found.
        turns: usize,
        /// Length of the recording or of the stretch in seconds.
        seconds: f64,
        /// Turns needed.
        needed: usize,
    },
    /// The pulses cannot be counted.
    #[error(
        "of {pulses} pulses {astray} come where none belongs; allowed: one a turn, with a few missing or doubled"
    )]
    PulsesAstray {
        /// Pulses found.
        pulses: usize,
        /// Those that fit no turn.
        astray: usize,
    },
    /// The speed is nowhere steady for long enough.
    #[error(
        "the speed goes from {slowest:.0} to {fastest:.0} rpm and is steady for {turns} turns at most; allowed: {needed} turns within 10 %"
    )]
    SpeedNotSteady {
        /// In rpm.
        slowest: f64,
        /// In rpm.
        fastest: f64,
        /// Turns of the longest steady stretch.
        turns: usize,
        /// Turns needed.
        needed: usize,
    },
    /// The recording is cut off at the top or the bottom.
    #[error("sensor `{sensor}` is cut off at {level}: {share:.1} % of its samples; allowed: none")]
    Clipped {
        /// Its name.
        sensor: String,
        /// Where, in the recording's values.
        level: f64,
        /// Share of the samples in per cent.
        share: f64,
    },
    /// A channel says nothing.
    #[error("{channel} stays at {value}; allowed: a signal")]
    Dead {
        /// Which.
        channel: Channel,
        /// What it stays at.
        value: f64,
    },
    /// The samples are too sparse for the speed.
    #[error("{per_turn:.1} samples a turn; allowed: {needed} or more")]
    TooSparse {
        /// Samples a turn.
        per_turn: f64,
        /// Samples needed.
        needed: usize,
    },
    /// The parts of the signal cannot be told from each other.
    #[error("the parts of the signal of sensor `{sensor}` cannot be told from each other over {turns} turns")]
    Inseparable {
        /// Its name.
        sensor: String,
        /// Whole turns used.
        turns: usize,
    },
}

impl CaptureFault {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Rate { .. } => "state the rate at which the recorder samples, such as 48000 Hz",
            Self::PulseLevel { .. } => "leave the level out: it is then found half way up the pulses",
            Self::StretchReversed { .. } => {
                "give the beginning first, or leave the stretch out: the steady part is then found"
            }
            Self::NoSensor => "name the channel of at least one sensor",
            Self::Scale { .. } => "state what a recorded value of 1 is in the sensor's unit",
            Self::UnitsUnrelated { .. } => {
                "calibrate the sensor in a unit of displacement, velocity or acceleration, or read it in its own label"
            }
            Self::Lengths { .. } | Self::SensorCount { .. } => {
                "push every channel of the setup with each block"
            }
            Self::Times { .. } => "state either a sample rate or a time column",
            Self::NotFinite { .. } => "record again, or cut the damaged part off",
            Self::TimeNotGrowing { .. } => {
                "check the time column: it may have wrapped round, or two files were joined"
            }
            Self::NoPulse { .. } => {
                "check the light barrier, its mark and its channel, and that the shaft turned"
            }
            Self::TooShort { .. } => "record longer: a minute at running speed is plenty",
            Self::PulsesAstray { .. } => {
                "stick one mark only on the shaft, cover other bright spots, or state the level of the pulse"
            }
            Self::SpeedNotSteady { .. } => "hold the speed while recording, or record longer at one speed",
            Self::Clipped { .. } => {
                "lower the gain of the recorder or the sensitivity of the sensor, and record again"
            }
            Self::Dead { .. } => "check the cable, the supply of the sensor and the channel's number",
            Self::TooSparse { .. } => "record at a higher rate",
            Self::Inseparable { .. } => "record longer",
        }
    }
}
