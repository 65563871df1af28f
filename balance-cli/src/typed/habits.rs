//! The default units of a shop.

use balance_core::job::Job;
use balance_core::quantity::Units;

/// The units of numbers typed without one, and the circumference that turns a place on the tape into an
/// angle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Habits {
    /// The shop's units.
    pub units: Units,
    /// Once round the tube, in mm, if the tube is known.
    pub once_round: Option<f64>,
}

impl Habits {
    /// Those of a job.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        let tube = job.measures.tube.as_ref();
        Self { units: job.units, once_round: tube.map(balance_core::shaft::Tube::circumference_millimetres) }
    }

    /// Which of two values suits the shop: the first if it works in grams and millimetres.
    #[must_use]
    pub fn pick<T>(self, metric: T, us: T) -> T {
        match self.units {
            Units::Metric | Units::Both => metric,
            Units::Us => us,
        }
    }

    /// The unit of a weight or a trial mass.
    #[must_use]
    pub fn weight_unit(self) -> &'static str {
        self.pick("g", "oz")
    }

    /// The unit of a whole shaft's mass.
    #[must_use]
    pub fn shaft_unit(self) -> &'static str {
        self.pick("kg", "lb")
    }

    /// The unit of a length.
    #[must_use]
    pub fn length_unit(self) -> &'static str {
        self.pick("mm", "in")
    }
}
