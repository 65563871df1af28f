//! What was proved of the stand: dated figures with the number of readings behind each.

use crate::quantity::{UnbalanceAmount, Units, shown};

/// A figure of the stand, from a test.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ProvedFigure<T> {
    /// What was found.
    pub value: T,
    /// How many readings are behind it.
    pub readings: usize,
    /// The day of the test, as 2026-11-27.
    pub day: String,
}

impl<T> ProvedFigure<T> {
    /// Where it comes from: "proved 2026-11-27, 24 readings".
    #[must_use]
    pub fn source(&self) -> String {
        let readings = if self.readings == 1 { "reading" } else { "readings" };
        format!("proved {}, {} {readings}", self.day, self.readings)
    }
}

/// Everything that was proved of the stand. A figure that the job states itself counts before a proved one.
#[derive(Debug, Clone, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Proved {
    /// The least unbalance the stand can reach in a plane (U_mar): below it no limit may be certified.
    pub least_unbalance: Option<ProvedFigure<UnbalanceAmount>>,
    /// The share of an unbalance that one correction takes away (URR), 0 to 1.
    pub reduction: Option<ProvedFigure<f64>>,
    /// What the fixture adds where it is not compensated for (index test).
    pub fixture: Option<ProvedFigure<UnbalanceAmount>>,
    /// How far what is left scatters from one mounting to the next, complex rms.
    pub mounting_scatter: Option<ProvedFigure<UnbalanceAmount>>,
    /// How far a reading may drift in an hour, as unbalance.
    #[cfg_attr(feature = "serde", serde(default))]
    pub drift: Option<ProvedFigure<UnbalanceAmount>>,
    /// The complex rms of a reading as a share of it; used where no noise is stated.
    #[cfg_attr(feature = "serde", serde(default))]
    pub noise: Option<ProvedFigure<f64>>,
}

impl Proved {
    /// Every figure that there is, in words, with its day: what, how much, the day, how many readings.
    #[must_use]
    pub fn figures(&self, units: Units) -> Vec<ProvedLine> {
        let unbalance = |name: &'static str, figure: &Option<ProvedFigure<UnbalanceAmount>>| {
            figure.as_ref().map(|own| ProvedLine {
                name,
                value: shown::unbalance(units, own.value.gram_millimetres()),
                day: own.day.clone(),
                readings: own.readings,
            })
        };
        let share = |name: &'static str, figure: &Option<ProvedFigure<f64>>| {
            figure.as_ref().map(|own| ProvedLine {
                name,
                value: format!("{:.1} %", 100.0 * own.value),
                day: own.day.clone(),
                readings: own.readings,
            })
        };
        [
            unbalance("least unbalance", &self.least_unbalance),
            share("unbalance reduction ratio", &self.reduction),
            unbalance("fixture", &self.fixture),
            unbalance("mounting scatter", &self.mounting_scatter),
            unbalance("drift in an hour", &self.drift),
            share("reading noise", &self.noise),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// A proved figure in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProvedLine {
    /// What it is.
    pub name: &'static str,
    /// How much, with its unit.
    pub value: String,
    /// The day of the test.
    pub day: String,
    /// How many readings are behind it.
    pub readings: usize,
}
