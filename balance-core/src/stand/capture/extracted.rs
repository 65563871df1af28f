//! What a recording says.

use super::caution::CaptureCaution;
use super::unit::ReadingUnit;
use crate::quantity::{Angle, Reading};

/// How far a recording has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Seconds recorded.
    pub seconds: f64,
    /// Frames recorded.
    pub frames: u64,
    /// Pulses seen, less one: turns, before any pulse is sorted out.
    pub turns: u64,
    /// The speed over the last turns in rpm, once there are some.
    pub speed_rpm: Option<f64>,
}

/// What a recording says.
#[derive(Debug, Clone, PartialEq)]
pub struct Extracted {
    /// Mean speed over the stretch, in rpm.
    pub speed_rpm: f64,
    /// Slowest and fastest turn of the stretch, in rpm.
    pub speed_range_rpm: (f64, f64),
    /// Whole turns used.
    pub turns: usize,
    /// Beginning and end of what was used, in seconds.
    pub stretch: (f64, f64),
    /// One sigma of a single pulse about the shaft's smooth angle.
    pub pulse_jitter: Angle,
    /// One for each sensor, in the setup's order.
    pub sensors: Vec<ExtractedReading>,
    /// What to take care of.
    pub cautions: Vec<CaptureCaution>,
}

/// The reading of one sensor.
///
/// # Units
///
/// Amplitudes are measured as the reading is: in `unit`, peak, peak-to-peak or rms. Phases are in the job's own
/// counting (lag: the peak comes that many degrees after the zero mark), before the job's convention turns them.
#[derive(Debug, Clone, PartialEq)]
pub struct ExtractedReading {
    /// The sensor's name.
    pub name: String,
    /// The unit of the reading.
    pub unit: ReadingUnit,
    /// Once per turn: amplitude and phase.
    pub reading: Reading,
    /// One sigma of the amplitude, widened for its blocks: 1.96 times it covers 95 %.
    pub amplitude_uncertainty: f64,
    /// One sigma of the phase, widened for its blocks; at most 180°/√3, where nothing is known.
    pub phase_uncertainty: Angle,
    /// Covariance of the vector's real and imaginary part, in the unit squared, not widened: `[[xx, xy], [xy, yy]]`.
    pub covariance: [[f64; 2]; 2],
    /// Degrees of freedom of that covariance (Satterthwaite), the smaller of both directions.
    pub degrees_of_freedom: f64,
    /// How many blocks of whole turns the covariance comes from.
    pub blocks: usize,
    /// Twice per turn: joints make it, weights cannot cure it. The same as the second of `harmonics`.
    pub twice_per_turn: Reading,
    /// From once per turn upwards.
    pub harmonics: Vec<Harmonic>,
    /// Tones that were found beside them and fitted together with them.
    pub tones: Vec<Tone>,
    /// Root mean square of what no part of the model explains, in the unit of what the sensor picks up.
    pub left_over_rms: f64,
}

/// A part of the signal that comes a whole number of times per turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// Times per turn.
    pub times: usize,
    /// Amplitude, and phase in degrees of its own period.
    pub reading: Reading,
}

/// What a tone keeps step with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToneKind {
    /// The shaft: a slipping belt or roller.
    Shaft,
    /// The clock: mains hum, another machine.
    Clock,
}

/// A tone beside the harmonics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// What it keeps step with.
    pub kind: ToneKind,
    /// Whether it is likely to be mains hum: 50 or 60 Hz or a small multiple.
    pub is_mains: bool,
    /// Mean frequency in Hz.
    pub frequency_hz: f64,
    /// Mean frequency in times per turn.
    pub per_turn: f64,
    /// Its amplitude, measured as the reading is.
    pub amplitude: f64,
}
