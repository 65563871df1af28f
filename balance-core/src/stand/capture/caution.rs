//! What to take care of in a reading that was found.

/// Something about a recording that its user should know, with its figures.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CaptureCaution {
    /// Pulses were missing; the turns were counted on.
    #[error("{count} of {pulses} pulses were missing; the turns were counted on without them")]
    PulsesMissing {
        /// How many.
        count: usize,
        /// Pulses that were expected.
        pulses: usize,
    },
    /// More pulses than turns; the first of each turn was used.
    #[error("{count} pulses came twice or in between and were left out")]
    PulsesExtra {
        /// How many.
        count: usize,
    },
    /// Pulses far off the others' time were left out.
    #[error("{count} pulses came at the wrong moment, by up to {worst:.1}°, and were left out")]
    PulsesDirty {
        /// How many.
        count: usize,
        /// The worst, in degrees.
        worst: f64,
    },
    /// The pulses jitter.
    #[error("the pulses jitter by {degrees:.2}° (one sigma): clean the mark or bring the pickup nearer")]
    PulseJitter {
        /// One sigma in degrees.
        degrees: f64,
    },
    /// The speed varied.
    #[error("the speed went from {slowest:.0} to {fastest:.0} rpm; the reading is a mean over that")]
    SpeedVaried {
        /// In rpm.
        slowest: f64,
        /// In rpm.
        fastest: f64,
    },
    /// Only part of the recording was used.
    #[error("of {of:.1} s only {used:.1} s at steady speed were used")]
    PartUsed {
        /// In seconds.
        used: f64,
        /// In seconds.
        of: f64,
    },
    /// Some samples are cut off, too few to spoil the reading.
    #[error("sensor `{sensor}` is cut off at {level} in {count} samples")]
    Clipped {
        /// Its name.
        sensor: String,
        /// In the recording's values.
        level: f64,
        /// How many.
        count: usize,
    },
    /// A tone was found beside the reading and taken out.
    #[error(
        "sensor `{sensor}` has a tone of {amplitude:.3} {unit} at {frequency:.2} Hz ({per_turn:.3} times per turn); it was taken out"
    )]
    ToneTakenOut {
        /// The sensor's name.
        sensor: String,
        /// Its mean frequency in Hz.
        frequency: f64,
        /// Its mean frequency in times per turn.
        per_turn: f64,
        /// Its amplitude, measured as the reading is.
        amplitude: f64,
        /// The reading's unit.
        unit: String,
    },
    /// Mains hum would hide in a part of the signal.
    #[error("{mains:.0} Hz of mains hum would look like the part that comes {times} per turn at this speed; {}", if *.times == 1 { "choose another speed" } else { "the reading itself is not touched" })]
    MainsAtHarmonic {
        /// The hum's frequency in Hz.
        mains: f64,
        /// Times per turn.
        times: usize,
    },
    /// The reading is hardly more than its uncertainty.
    #[error("sensor `{sensor}` reads hardly more than its uncertainty; its phase is not known")]
    NearNoise {
        /// Its name.
        sensor: String,
    },
    /// The part at twice per turn is larger than the reading.
    #[error(
        "sensor `{sensor}` shows more at twice per turn ({twice:.3}) than once ({once:.3}): joints make that, weights cannot cure it"
    )]
    TwicePerTurn {
        /// Its name.
        sensor: String,
        /// Amplitude at twice per turn, measured as the reading is.
        twice: f64,
        /// The reading's amplitude.
        once: f64,
    },
    /// The reading changed while it was recorded.
    #[error(
        "the reading of sensor `{sensor}` changed while it was recorded, by {times:.1} times its scatter"
    )]
    ReadingChanged {
        /// Its name.
        sensor: String,
        /// Scatter of the parts over what the scatter inside them explains.
        times: f64,
    },
}

impl CaptureCaution {
    /// A short word for programs; never changes.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::PulsesMissing { .. } => "pulses-missing",
            Self::PulsesExtra { .. } => "pulses-extra",
            Self::PulsesDirty { .. } => "pulses-dirty",
            Self::PulseJitter { .. } => "pulse-jitter",
            Self::SpeedVaried { .. } => "speed-varied",
            Self::PartUsed { .. } => "part-used",
            Self::Clipped { .. } => "clipped",
            Self::ToneTakenOut { .. } => "tone-taken-out",
            Self::MainsAtHarmonic { .. } => "mains-at-harmonic",
            Self::NearNoise { .. } => "near-noise",
            Self::TwicePerTurn { .. } => "twice-per-turn",
            Self::ReadingChanged { .. } => "reading-changed",
        }
    }
}
