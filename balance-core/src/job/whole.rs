//! Everything in a job.

use super::{JobBuilder, Measures, Proved, ShaftDetails, Stand, WeldPlan};
use crate::quantity::Units;
use crate::run::{Convention, Noise, Setup};
use crate::shaft::{Part, TolerancePlane};

/// A job: what the shaft is, what it has to meet, how the stand reads it, what can be welded where.
///
/// [`Job::default`] states nothing: masses can then be given, but no answer about a limit.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Job {
    /// Mass, speed, limit, tube.
    pub measures: Measures,
    /// Where weights go, where the stand reads, how angles are counted, how far readings scatter.
    pub setup: Setup,
    /// Where the limit holds, front to rear.
    pub tolerance_planes: Vec<TolerancePlane>,
    /// The pieces of a shaft of several, front to rear; empty for one piece.
    pub parts: Vec<Part>,
    /// The stand's limits, drift and mounting scatter.
    pub stand: Stand,
    /// What was proved of the stand.
    #[cfg_attr(feature = "serde", serde(default))]
    pub proved: Proved,
    /// The box of weights, and where on the tube they may go.
    pub weld_plan: WeldPlan,
    /// What is checked of the shaft before it spins.
    pub shaft: ShaftDetails,
    /// The units in which people are answered.
    pub units: Units,
}

impl Default for Job {
    fn default() -> Self {
        let setup = Setup {
            planes: Vec::new(),
            sensors: Vec::new(),
            convention: Convention::unstated(),
            noise: Noise::not_stated(),
        };
        Self {
            measures: Measures::default(),
            setup,
            tolerance_planes: Vec::new(),
            parts: Vec::new(),
            stand: Stand::default(),
            proved: Proved::default(),
            weld_plan: WeldPlan::default(),
            shaft: ShaftDetails::default(),
            units: Units::default(),
        }
    }
}

impl Job {
    /// Starts a job in which nothing is stated.
    #[must_use]
    pub fn builder() -> JobBuilder {
        JobBuilder::default()
    }

    /// Whether the job states anything about the shaft itself: mass, speed, limit, tube, or what was
    /// inspected on the bench.
    #[must_use]
    pub fn describes_the_shaft(&self) -> bool {
        self.measures != Measures::default() || self.shaft != ShaftDetails::default()
    }
}
