//! A reading compared with what was expected, and with another reading.

use crate::correction::explain::Outcome as Found;
use crate::correction::{Forecast, forecast};
use crate::quantity::Reading;
use crate::run::{Row, SensorReading};

use super::solve::Answer;
use crate::shaft::{PlaneId, SensorId};

/// How a reading compares with what was expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// Where it was expected.
    Within,
    /// Outside the 95 % circle, but no larger than its farthest point.
    Aside,
    /// Larger than anything in the circle.
    Above,
}

/// What one sensor was expected to show, and what it showed.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Which sensor.
    pub sensor: SensorId,
    /// What was expected, and from where.
    pub forecast: Forecast,
    /// What it showed.
    pub shown: Reading,
    /// How the two compare.
    pub stands: Stands,
}

/// A row read after the outcome's own row, compared with what the outcome expects with that row's masses on.
/// Without a figure for the noise a reading is as expected if it is no larger than now.
#[must_use]
pub fn compared(before: &Answer, row: &Row) -> Vec<Compared> {
    let set = &before.runs;
    let now = set.last_check_block().last().map(|&at| set.rows()[at].loads.clone());
    let now = now.unwrap_or_else(|| vec![num_complex::Complex64::ZERO; row.loads.len()]);
    let add: Vec<_> = row.loads.iter().zip(&now).map(|(load, now)| load - now).collect();
    let placed: Vec<f64> =
        PlaneId::all(add.len()).map(|at| set.setup().placing_variance(at, add[at].norm())).collect();
    let forecasts = forecast(set, &before.influence, &add, &placed);
    let own = forecasts.into_iter().filter(|forecast| forecast.group == row.group);
    own.filter_map(|forecast| {
        let shown = match row.run.readings.get(forecast.sensor.index())? {
            // Without phase only the length can be other than expected.
            SensorReading::Amplitude(amplitude) => Reading::at(*amplitude, forecast.expected.phase()),
            _ => (*row.observed.get(forecast.sensor.index())?)?.reading,
        };
        Some(Compared { sensor: forecast.sensor, stands: stands(&forecast, shown), forecast, shown })
    })
    .collect()
}

fn stands(forecast: &Forecast, shown: Reading) -> Stands {
    let most = forecast.needle_circle.map(|circle| forecast.expected.amplitude() + circle);
    let off = (shown.vector() - forecast.expected.vector()).norm();
    if shown.amplitude() > most.unwrap_or(forecast.now.amplitude()) {
        Stands::Above
    } else if forecast.needle_circle.is_some_and(|circle| off > circle) {
        Stands::Aside
    } else {
        Stands::Within
    }
}

/// How far a sensor's needle moved from one row to another, compared with how far it may wander by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// Which sensor.
    pub sensor: SensorId,
    /// Length of the movement, in the sensor's unit.
    pub by: f64,
    /// The same as a share of the first reading.
    pub share: f64,
    /// One sigma of the movement; `None`: no figure for the noise.
    pub scatter: Option<f64>,
}

/// How every sensor that was read in both rows moved.
#[must_use]
pub fn moved(from: &Row, to: &Row) -> Vec<Moved> {
    let pairs = SensorId::numbered(from.observed.iter().zip(&to.observed));
    pairs
        .filter_map(|(sensor, (from, to))| {
            let (from, to) = ((*from)?, (*to)?);
            let by = (to.reading.vector() - from.reading.vector()).norm();
            let scatter = from.variance.zip(to.variance).map(|(one, other)| (one + other).sqrt());
            let size = from.reading.amplitude();
            Some(Moved { sensor, by, share: if size > 0.0 { by / size } else { f64::INFINITY }, scatter })
        })
        .collect()
}

impl Answer {
    /// Where the runs contradict each other, in sentences; none if they agree.
    #[must_use]
    pub fn what_went_wrong(&self) -> Vec<String> {
        match self.explain() {
            Some(found) if !matches!(found.outcome, Found::NothingWrong | Found::NothingToCompare) => {
                found.sentences(&self.runs, self.job.units)
            }
            _ => Vec::new(),
        }
    }
}
