//! What one sensor's amplitudes tell: every response that explains them.

use num_complex::Complex64;

use super::descent::Amplitudes;
use super::fault::WithoutPhaseFault;
use super::model::{AmplitudeRun, SensorResponse};
use super::starts::responses;
use crate::chance::{chi_squared_quantile, circle_factor};
use crate::linear::RMatrix;
use crate::shaft::{PlaneId, SensorId};

/// A response counts as possible unless it is worse than the best at this probability.
const POSSIBLE: f64 = 0.999;
/// Below this share of a trial's effect the reading with nothing added hardly shows which way a plane acts
/// [simulated here: the 90 % point of what is left rises from 5 to 17 %].
const WEAK_BASELINE: f64 = 0.05;
/// Two loads closer than this, as a share of the larger, are at one place.
const SAME_PLACE: f64 = 1e-3;

/// One response that explains a sensor's amplitudes.
#[derive(Debug, Clone)]
pub struct PossibleResponse {
    /// The response.
    pub response: SensorResponse,
    /// Covariance of baseline and gains (real and imaginary part of each), in the sensor's unit and per g·mm; `None`:
    /// not known.
    pub(super) covariance: Option<RMatrix>,
    /// Twice the difference of log-likelihood to the best.
    pub worse_by: f64,
}

impl PossibleResponse {
    /// The largest standard uncertainty of a plane's gain, as a share of it; `None`: not known.
    #[must_use]
    pub fn gain_uncertainty(&self) -> Option<f64> {
        let covariance = self.covariance.as_ref()?;
        let of_plane = |(plane, gain): (usize, &Complex64)| {
            let at = 1 + 2 * plane;
            (covariance[(at, at)] + covariance[(at + 1, at + 1)]).max(0.0).sqrt() / gain.norm()
        };
        Some(self.response.gains.iter().enumerate().map(of_plane).fold(0.0, f64::max))
    }
}

/// All that a sensor's amplitudes tell.
#[derive(Debug, Clone)]
pub struct AmplitudeFit {
    /// Every response that explains them, best first; never empty.
    pub possible: Vec<PossibleResponse>,
    /// Readings more than unknowns.
    pub redundancy: usize,
    /// Degrees of freedom (of real numbers) behind the noise; infinite: exactly known.
    pub degrees_of_freedom: f64,
    /// Whether the readings scatter clearly more than the stated noise (and then that scatter counts).
    pub above_stated: bool,
    /// What the stated noise was multiplied by, 1 unless the readings scatter more; without a stated one the standard
    /// deviation of a reading in the sensor's unit.
    pub scale: f64,
    /// Whether the reading with nothing added is too small to show which way the planes act, and no two runs with all
    /// planes loaded make up for it.
    pub weak_baseline: bool,
}

/// How well the stated noise of the readings is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedNoise {
    /// Complex degrees of freedom, infinite for exactly.
    pub degrees_of_freedom: f64,
}

pub(super) fn fit_sensor(
    sensor: SensorId,
    runs: &[AmplitudeRun],
    stated: StatedNoise,
) -> Result<AmplitudeFit, Vec<WithoutPhaseFault>> {
    let planes = runs.first().map_or(0, |run| run.loads.len());
    let unknowns = 1 + 2 * planes;
    let mut faults: Vec<WithoutPhaseFault> = Vec::new();
    for plane in PlaneId::all(planes) {
        let found = places(runs, plane.index()).len();
        if found < 2 {
            faults.push(WithoutPhaseFault::TooFewPlaces { plane, found });
        }
    }
    if runs.len() < unknowns {
        faults.push(WithoutPhaseFault::TooFewRuns { sensor, found: runs.len(), needed: unknowns + 1 });
    }
    let Some(scales) = Scales::of(runs, planes) else {
        faults.push(WithoutPhaseFault::OutOfRange { sensor });
        return Err(faults);
    };
    if !faults.is_empty() {
        return Err(faults);
    }
    let first = scales.amplitudes(runs, None);
    let best = responses(&first);
    let Some(lead) = best.first() else {
        return Err(vec![WithoutPhaseFault::OutOfRange { sensor }]);
    };
    // Placing errors act through the gains, which are known only now.
    let placed = scales.amplitudes(runs, Some(lead));
    let refined: Vec<SensorResponse> = best.iter().map(|start| placed.descend(start)).collect();
    Ok(told(&placed, &scales, &refined, runs, stated))
}

/// The different unbalances that a plane carried.
pub(super) fn places(runs: &[AmplitudeRun], plane: usize) -> Vec<Complex64> {
    let mut found: Vec<Complex64> = Vec::new();
    for run in runs {
        let load = run.loads[plane];
        let same = |other: &Complex64| (other - load).norm() <= SAME_PLACE * load.norm();
        if load != Complex64::ZERO && !found.iter().any(same) {
            found.push(load);
        }
    }
    found
}

/// What loads and readings are divided by, so that all unknowns are of about the same size.
struct Scales {
    loads: Vec<f64>,
    reading: f64,
}

impl Scales {
    fn of(runs: &[AmplitudeRun], planes: usize) -> Option<Self> {
        let largest = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
        let reading = largest(&mut runs.iter().map(|run| run.amplitude));
        let loads: Vec<f64> = (0..planes)
            .map(|plane| largest(&mut runs.iter().map(|run| run.loads[plane].norm())))
            .map(|load| if load > 0.0 { load } else { 1.0 })
            .collect();
        let usable = |value: &f64| value.is_finite() && *value > 0.0;
        (usable(&reading) && loads.iter().all(usable)).then_some(Self { loads, reading })
    }

    fn amplitudes(&self, runs: &[AmplitudeRun], placed: Option<&SensorResponse>) -> Amplitudes {
        let known = runs.iter().all(|run| run.variance.is_some());
        let deviation = |run: &AmplitudeRun| {
            let own = run.variance.filter(|_| known).map_or(1.0, |own| own / self.reading.powi(2));
            let by_hand: f64 = placed.filter(|_| known).map_or(0.0, |response| {
                let each = response.gains.iter().zip(&run.load_variances).zip(&self.loads);
                each.map(|((gain, variance), load)| gain.norm_sqr() * variance / (load * load) / 2.0).sum()
            });
            (own + by_hand).sqrt().max(1e-12)
        };
        Amplitudes {
            loads: runs
                .iter()
                .map(|run| run.loads.iter().zip(&self.loads).map(|(load, scale)| load / scale).collect())
                .collect(),
            amplitudes: runs.iter().map(|run| run.amplitude / self.reading).collect(),
            deviations: runs.iter().map(deviation).collect(),
            known,
        }
    }

    fn back(&self, response: &SensorResponse) -> SensorResponse {
        let gains = response.gains.iter().zip(&self.loads);
        SensorResponse {
            baseline: response.baseline * self.reading,
            gains: gains.map(|(gain, load)| gain * self.reading / load).collect(),
        }
    }

    /// What each unknown is multiplied by on the way back.
    fn each(&self) -> Vec<f64> {
        let gains = self.loads.iter().flat_map(|load| [self.reading / load; 2]);
        std::iter::once(self.reading).chain(gains).collect()
    }
}

fn told(
    placed: &Amplitudes,
    scales: &Scales,
    found: &[SensorResponse],
    runs: &[AmplitudeRun],
    stated: StatedNoise,
) -> AmplitudeFit {
    let mut ranked: Vec<(f64, &SensorResponse)> =
        found.iter().map(|response| (placed.misfit(response), response)).collect();
    ranked.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (least, best) = ranked[0];
    let unknowns = 1 + 2 * best.gains.len();
    let redundancy = runs.len() - unknowns;
    let scatter = placed.sum_of_squares(best);
    let above = placed.known && redundancy > 0 && scatter > chi_squared_quantile(POSSIBLE, redundancy as f64);
    let (scale, degrees) = if placed.known && !above {
        (1.0, 2.0 * stated.degrees_of_freedom)
    } else {
        ((scatter / redundancy.max(1) as f64).sqrt(), redundancy as f64)
    };
    let widening = if degrees > 0.0 { circle_factor(degrees / 2.0) } else { 1.0 };
    let bound = chi_squared_quantile(POSSIBLE, 2.0) * widening * widening;
    // Where as many unknowns as readings fit exactly, what is left is rounding.
    let unit = scale.max(1e-9);
    let covariance = |response: &SensorResponse| {
        let known = placed.known || redundancy > 0;
        let own = placed.covariance(response).filter(|_| known)?;
        let each = scales.each();
        Some(RMatrix::from_fn(unknowns, unknowns, |i, j| own[(i, j)] * scale * scale * each[i] * each[j]))
    };
    let possible = ranked
        .iter()
        .map(|(misfit, response)| (2.0 * (misfit - least) / (unit * unit), *response))
        .filter(|(worse_by, _)| *worse_by <= bound)
        .map(|(worse_by, response)| PossibleResponse {
            covariance: covariance(response),
            response: scales.back(response),
            worse_by,
        })
        .collect();
    AmplitudeFit {
        possible,
        redundancy,
        degrees_of_freedom: degrees,
        above_stated: above,
        scale: if placed.known { scale } else { scale * scales.reading },
        weak_baseline: weak_baseline(best, placed),
    }
}

/// Whether the baseline is below 5 % of a trial's effect, and at most one place combination loads all planes at once.
fn weak_baseline(best: &SensorResponse, placed: &Amplitudes) -> bool {
    let effect = best.gains.iter().map(|gain| gain.norm()).fold(0.0, f64::max);
    if best.gains.len() < 2 || best.baseline >= WEAK_BASELINE * effect {
        return false;
    }
    let mut together: Vec<&Vec<Complex64>> = Vec::new();
    for loads in placed.loads.iter().filter(|loads| loads.iter().all(|load| load.norm() > 0.0)) {
        let turn = |loads: &Vec<Complex64>| loads[1] / loads[0];
        if !together.iter().any(|other| (turn(other) - turn(loads)).norm() < 0.1 * turn(loads).norm()) {
            together.push(loads);
        }
    }
    together.len() < 2
}
