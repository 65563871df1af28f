//! Units of vibration: what a sensor picks up and what its reading is given in.

use std::fmt;

/// What a sensor feels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Motion {
    /// How far something moves.
    Displacement,
    /// How fast it moves.
    Velocity,
    /// How fast its velocity changes.
    Acceleration,
}

impl Motion {
    /// How often displacement was differentiated to get here: 0, 1 or 2.
    #[must_use]
    pub fn derivative(self) -> i32 {
        match self {
            Self::Displacement => 0,
            Self::Velocity => 1,
            Self::Acceleration => 2,
        }
    }

    /// As people write it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Displacement => "displacement",
            Self::Velocity => "velocity",
            Self::Acceleration => "acceleration",
        }
    }
}

/// A unit of vibration, or any label at all for a sensor that is not calibrated.
///
/// ```
/// use balance_core::stand::capture::{Motion, VibrationUnit};
/// let unit = VibrationUnit::named("mm/s");
/// assert_eq!((unit.motion(), unit.si()), (Some(Motion::Velocity), 1e-3));
/// // A label that is no unit of vibration: it can be read, but not turned into another.
/// assert_eq!(VibrationUnit::named("V").motion(), None);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct VibrationUnit {
    label: String,
    motion: Option<Motion>,
    si: f64,
}

/// Standard acceleration of free fall in m/s² (3rd General Conference on Weights and Measures, 1901).
const FREE_FALL: f64 = 9.806_65;
/// Metres in an inch, exact (international yard and pound agreement, 1959).
const INCH: f64 = 0.0254;

/// Every unit with the motion it measures and its size in m, m/s or m/s².
const UNITS: [(&str, Motion, f64); 20] = [
    ("m", Motion::Displacement, 1.0),
    ("mm", Motion::Displacement, 1e-3),
    ("um", Motion::Displacement, 1e-6),
    ("µm", Motion::Displacement, 1e-6),
    ("μm", Motion::Displacement, 1e-6),
    ("in", Motion::Displacement, INCH),
    ("mil", Motion::Displacement, INCH / 1000.0),
    ("mils", Motion::Displacement, INCH / 1000.0),
    ("thou", Motion::Displacement, INCH / 1000.0),
    ("m/s", Motion::Velocity, 1.0),
    ("mm/s", Motion::Velocity, 1e-3),
    ("cm/s", Motion::Velocity, 1e-2),
    ("um/s", Motion::Velocity, 1e-6),
    ("in/s", Motion::Velocity, INCH),
    ("m/s2", Motion::Acceleration, 1.0),
    ("m/s²", Motion::Acceleration, 1.0),
    ("mm/s2", Motion::Acceleration, 1e-3),
    ("mm/s²", Motion::Acceleration, 1e-3),
    ("g", Motion::Acceleration, FREE_FALL),
    ("in/s2", Motion::Acceleration, INCH),
];

impl VibrationUnit {
    /// The unit with this symbol; any other word is a label without a known motion.
    #[must_use]
    pub fn named(symbol: &str) -> Self {
        let symbol = symbol.trim();
        match UNITS.iter().find(|(own, ..)| *own == symbol) {
            Some(&(_, motion, si)) => Self { label: symbol.into(), motion: Some(motion), si },
            None => Self { label: symbol.into(), motion: None, si: 1.0 },
        }
    }

    /// The symbols that are known, for hints.
    pub fn known() -> impl Iterator<Item = &'static str> {
        UNITS.iter().map(|(symbol, ..)| *symbol)
    }

    /// As it was written.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }

    /// What it measures; `None` for a label that is no unit of vibration.
    #[must_use]
    pub fn motion(&self) -> Option<Motion> {
        self.motion
    }

    /// Its size in m, m/s or m/s²; 1 for a plain label.
    #[must_use]
    pub fn si(&self) -> f64 {
        self.si
    }
}

/// What of a sinusoid a reading is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// From the middle to the highest point.
    Peak,
    /// From the lowest to the highest point: twice the peak.
    PeakToPeak,
    /// The root of the mean square: the peak over √2.
    Rms,
}

impl Measure {
    /// What the peak is multiplied by: 1, 2 or 1/√2.
    #[must_use]
    pub fn of_peak(self) -> f64 {
        match self {
            Self::Peak => 1.0,
            Self::PeakToPeak => 2.0,
            Self::Rms => std::f64::consts::FRAC_1_SQRT_2,
        }
    }
}

/// The unit of a reading as it stands in a job: `mm/s`, `mm/s rms`, `um pp`. Peak unless it says otherwise.
///
/// ```
/// use balance_core::stand::capture::{Measure, ReadingUnit};
/// let unit = ReadingUnit::parse("um pp")?;
/// assert_eq!((unit.unit.label(), unit.measure), ("um", Measure::PeakToPeak));
/// assert_eq!(unit.to_string(), "um pp");
/// assert_eq!(ReadingUnit::parse("mm/s")?.measure, Measure::Peak);
/// assert!(ReadingUnit::parse("  ").is_err());
/// # Ok::<(), balance_core::stand::capture::UnitFault>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingUnit {
    /// The unit itself.
    pub unit: VibrationUnit,
    /// Peak, peak-to-peak or rms.
    pub measure: Measure,
}

/// A unit of a reading that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{found}` is not a unit of a reading; allowed: a unit such as mm/s or um, then peak, pp or rms if need be"
)]
pub struct UnitFault {
    /// The text found.
    pub found: String,
}

impl ReadingUnit {
    /// From text: a unit, then `peak`, `pk`, `pp`, `pk-pk`, `peak-to-peak` or `rms` if need be.
    ///
    /// # Errors
    ///
    /// [`UnitFault`] if no unit is left.
    pub fn parse(text: &str) -> Result<Self, UnitFault> {
        let text = text.trim();
        let (unit, measure) = match text.rsplit_once(char::is_whitespace) {
            Some((unit, word)) => match measure_of(word) {
                Some(measure) => (unit.trim_end(), measure),
                None => (text, Measure::Peak),
            },
            None => (text, Measure::Peak),
        };
        if unit.is_empty() || measure_of(unit).is_some() {
            return Err(UnitFault { found: text.into() });
        }
        Ok(Self { unit: VibrationUnit::named(unit), measure })
    }
}

fn measure_of(word: &str) -> Option<Measure> {
    match word.to_ascii_lowercase().as_str() {
        "peak" | "pk" => Some(Measure::Peak),
        "pp" | "p-p" | "pk-pk" | "peak-to-peak" => Some(Measure::PeakToPeak),
        "rms" => Some(Measure::Rms),
        _ => None,
    }
}

impl fmt::Display for ReadingUnit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.unit.label())?;
        match self.measure {
            Measure::Peak => Ok(()),
            Measure::PeakToPeak => out.write_str(" pp"),
            Measure::Rms => out.write_str(" rms"),
        }
    }
}
