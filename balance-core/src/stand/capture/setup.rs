//! What is known about a recording before its first sample.

use super::fault::CaptureFault;
use super::unit::{ReadingUnit, VibrationUnit};
use crate::quantity::Angle;
use crate::run::Convention;

/// Parts of the signal up to this many times per turn are fitted together.
pub const HARMONICS: usize = 5;

/// Everything about a recording that its samples do not tell.
#[derive(Debug, Clone, PartialEq)]
pub struct CaptureSetup {
    /// Samples a second, in Hz; `None`: every frame carries its time.
    pub rate: Option<f64>,
    /// The channel with a pulse for each turn.
    pub pulse: PulseSetup,
    /// One for each sensor, in the order in which their samples are pushed.
    pub sensors: Vec<SensorSetup>,
    /// Which part of the recording is used.
    pub stretch: Stretch,
    /// How the job counts masses and phases.
    pub convention: Convention,
}

/// The pulse for each turn.
#[derive(Debug, Clone, PartialEq)]
pub struct PulseSetup {
    /// The edge that counts.
    pub edge: Edge,
    /// The level it crosses, in the recording's values; `None`: half way between low and high, as the pulses
    /// themselves show it.
    pub level: Option<f64>,
    /// Where on the shaft the edge comes: the angle, counted from the zero mark as masses are, of the point that passes
    /// the pickup at that moment.
    pub at: Angle,
}

impl PulseSetup {
    /// Rising edges at the zero mark; the level is found.
    #[must_use]
    pub fn rising() -> Self {
        Self { edge: Edge::Rising, level: None, at: Angle::ZERO }
    }
}

/// Which edge of a pulse counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// From low to high.
    Rising,
    /// From high to low.
    Falling,
}

/// A sensor's channel.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorSetup {
    /// As the job names it.
    pub name: String,
    /// The unit of what it picks up.
    pub picks_up: VibrationUnit,
    /// What a value of the recording is multiplied by to be in the unit of `picks_up`; negative if the sensor is
    /// mounted the other way round.
    pub scale: f64,
    /// Added to the phase of the reading, as the job counts phase: makes up for a shift of sensor and amplifier at the
    /// running speed.
    pub phase_correction: Angle,
    /// The unit the reading is wanted in. Another motion than the one picked up is integrated or differentiated at the
    /// running frequency.
    pub reads: ReadingUnit,
    /// The largest magnitude the recorder can write, in its own values (1 for a WAV); `None` if it is not known.
    /// Samples at it are cut off.
    pub limit: Option<f64>,
}

impl SensorSetup {
    /// A sensor whose recording is in the unit of its reading already.
    ///
    /// ```
    /// use balance_core::stand::capture::{ReadingUnit, SensorSetup};
    /// let sensor = SensorSetup::plain("front", ReadingUnit::parse("mm/s")?);
    /// assert_eq!((sensor.scale, sensor.picks_up.label()), (1.0, "mm/s"));
    /// # Ok::<(), balance_core::stand::capture::UnitFault>(())
    /// ```
    #[must_use]
    pub fn plain(name: &str, reads: ReadingUnit) -> Self {
        Self {
            name: name.into(),
            picks_up: reads.unit.clone(),
            scale: 1.0,
            phase_correction: Angle::ZERO,
            reads,
            limit: None,
        }
    }
}

/// Which part of a recording is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stretch {
    /// The longest in which the speed is steady.
    Automatic,
    /// What lies between two times, in seconds from the start of the recording (with a time column: as it counts).
    Between {
        /// From here.
        from: f64,
        /// To here.
        to: f64,
    },
}

impl CaptureSetup {
    /// Every fault there is in it.
    ///
    /// ```
    /// use balance_core::run::Convention;
    /// use balance_core::stand::capture::{PulseSetup, ReadingUnit, SensorSetup, CaptureSetup, Stretch};
    /// let mut setup = CaptureSetup {
    ///     rate: Some(8192.0),
    ///     pulse: PulseSetup::rising(),
    ///     sensors: vec![SensorSetup::plain("front", ReadingUnit::parse("mm/s")?)],
    ///     stretch: Stretch::Automatic,
    ///     convention: Convention::unstated(),
    /// };
    /// assert!(setup.faults().is_empty());
    /// (setup.rate, setup.sensors[0].scale) = (Some(-1.0), 0.0);
    /// assert_eq!(setup.faults().len(), 2);
    /// # Ok::<(), balance_core::stand::capture::UnitFault>(())
    /// ```
    #[must_use]
    pub fn faults(&self) -> Vec<CaptureFault> {
        let mut faults = Vec::new();
        if let Some(rate) = self.rate.filter(|rate| !(rate.is_finite() && (1.0..=1e9).contains(rate))) {
            faults.push(CaptureFault::Rate { found: rate });
        }
        if let Some(level) = self.pulse.level.filter(|level| !level.is_finite()) {
            faults.push(CaptureFault::PulseLevel { found: level });
        }
        if let Stretch::Between { from, to } = self.stretch
            && !(from.is_finite() && to.is_finite() && from < to)
        {
            faults.push(CaptureFault::StretchReversed { from, to });
        }
        if self.sensors.is_empty() {
            faults.push(CaptureFault::NoSensor);
        }
        faults.extend(self.sensors.iter().flat_map(SensorSetup::faults));
        faults
    }
}

impl SensorSetup {
    fn faults(&self) -> Vec<CaptureFault> {
        let mut faults = Vec::new();
        if !(self.scale.is_finite() && self.scale != 0.0) {
            faults.push(CaptureFault::Scale { sensor: self.name.clone(), found: self.scale });
        }
        let (picks_up, reads) = (&self.picks_up, &self.reads.unit);
        let known = picks_up.motion().is_some() && reads.motion().is_some();
        if !known && picks_up.label() != reads.label() {
            faults.push(CaptureFault::UnitsUnrelated {
                sensor: self.name.clone(),
                picks_up: picks_up.label().into(),
                reads: reads.label().into(),
            });
        }
        faults
    }
}
