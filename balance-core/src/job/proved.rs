//! What was proved of the stand: dated figures with the number of readings behind each.

use crate::quantity::{Angle, UnbalanceAmount, Units, shown};

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

/// What turns with the fixture in one plane.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct FixtureVector {
    /// The correction plane's name.
    pub plane: String,
    /// How much.
    pub amount: UnbalanceAmount,
    /// Where, counted from the fixture's mark as masses are.
    pub angle: Angle,
}

/// What turns with the fixture, to be taken off readings.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Fixture {
    /// Plane by plane.
    pub planes: Vec<FixtureVector>,
    /// Radius of the 95 % circle of each.
    pub give_or_take: UnbalanceAmount,
}

/// The smallest difference that the stand's dials can show.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct AmplitudeStep {
    /// How much.
    pub step: f64,
    /// In which unit: it counts for sensors in this unit only.
    pub unit: String,
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
    /// What turns with the fixture (index test): it is taken off what the readings show.
    #[cfg_attr(feature = "serde", serde(default))]
    pub fixture_taken_off: Option<ProvedFigure<Fixture>>,
    /// The share of one end's unbalance that shows at the other, on a stand that shows unbalance itself.
    #[cfg_attr(feature = "serde", serde(default))]
    pub crosstalk: Option<ProvedFigure<f64>>,
    /// The dials' step in amplitude; used where none is stated.
    #[cfg_attr(feature = "serde", serde(default))]
    pub amplitude_step: Option<ProvedFigure<AmplitudeStep>>,
    /// The dials' step in phase; used where none is stated.
    #[cfg_attr(feature = "serde", serde(default))]
    pub phase_step: Option<ProvedFigure<Angle>>,
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
        let told = |name: &'static str, value: Option<(String, &str, usize)>| {
            value.map(|(value, day, readings)| ProvedLine { name, value, day: day.to_owned(), readings })
        };
        let fixture = self.fixture_taken_off.as_ref().map(|own| {
            let of = |vector: &FixtureVector| {
                let amount = shown::unbalance(units, vector.amount.gram_millimetres());
                format!("{} {amount} at {:.0} deg", vector.plane, vector.angle.degrees_in_turn())
            };
            let all: Vec<String> = own.value.planes.iter().map(of).collect();
            (all.join(", "), own.day.as_str(), own.readings)
        });
        let amplitude = self
            .amplitude_step
            .as_ref()
            .map(|own| (format!("{} {}", own.value.step, own.value.unit), own.day.as_str(), own.readings));
        let phase = self
            .phase_step
            .as_ref()
            .map(|own| (format!("{} deg", own.value.degrees()), own.day.as_str(), own.readings));
        [
            unbalance("least unbalance", &self.least_unbalance),
            share("unbalance reduction ratio", &self.reduction),
            unbalance("fixture", &self.fixture),
            unbalance("mounting scatter", &self.mounting_scatter),
            unbalance("drift in an hour", &self.drift),
            share("reading noise", &self.noise),
            told("fixture that is taken off", fixture),
            share("one end showing at the other", &self.crosstalk),
            told("amplitude step", amplitude),
            told("phase step", phase),
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
