//! From the sensors' responses to the masses: every answer that the amplitudes allow.

use num_complex::Complex64;

use super::fault::{WithoutPhaseFault, each_once};
use super::model::AmplitudeRun;
use super::sensor_fit::{AmplitudeFit, PossibleResponse, StatedNoise, fit_sensor};
use crate::chance::{circle_factor, ellipse_95};
use crate::linear::{CMatrix, CVector, RMatrix, gain, inverse_gain, refined};
use crate::shaft::SensorId;

/// More combinations of the sensors' responses are not followed; beyond, the best of each sensor are.
const MOST_COMBINATIONS: usize = 4096;

/// The amplitudes of all sensors.
#[derive(Debug, Clone, PartialEq)]
pub struct WithoutPhaseQuestion {
    /// For each sensor its runs.
    pub sensors: Vec<Vec<AmplitudeRun>>,
    /// For each sensor its weight in the least squares.
    pub weights: Vec<f64>,
    /// How well the stated noise is known.
    pub stated: StatedNoise,
}

/// What to add in one plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneAnswer {
    /// The unbalance to add, g·mm.
    pub add: Complex64,
    /// Radius of the circle that holds the right answer with 95 %; `None`: no figure for the noise.
    pub give_or_take: Option<f64>,
}

/// One answer that explains the amplitudes.
#[derive(Debug, Clone, PartialEq)]
pub struct PossibleAnswer {
    /// For each plane what to add.
    pub planes: Vec<PlaneAnswer>,
    /// For each sensor which of its responses.
    pub responses: Vec<usize>,
    /// Twice the difference of log-likelihood to the best answer.
    pub worse_by: f64,
}

/// What amplitudes alone tell.
#[derive(Debug, Clone)]
pub struct WithoutPhase {
    /// What each sensor tells.
    pub sensors: Vec<AmplitudeFit>,
    /// Every answer that explains the amplitudes, best first; more than one: they must not be taken for one.
    pub answers: Vec<PossibleAnswer>,
}

impl WithoutPhase {
    /// The answer, if there is only one.
    #[must_use]
    pub fn only(&self) -> Option<&PossibleAnswer> {
        match self.answers.as_slice() {
            [only] => Some(only),
            _ => None,
        }
    }

    /// Whether the reading with nothing added is too small, at some sensor, to show which way the planes act.
    #[must_use]
    pub fn weak_baseline(&self) -> bool {
        self.sensors.iter().any(|sensor| sensor.weak_baseline)
    }
}

/// Balancing without phase: the masses from amplitudes with trials at several places.
///
/// # Units
///
/// Loads and answers in g·mm (or g at one radius), amplitudes in each sensor's own unit.
///
/// # Method
///
/// Each sensor by itself: |b + Σ g_j·u_j| with its own baseline as the zero of phase, so five real unknowns for two
/// planes, all runs and planes together, by maximum likelihood with the law of Rice. Every response that the
/// amplitudes allow is followed (a mirror image is one of them where a plane was tried at two places only); the masses
/// solve b + G·w = 0 over all sensors, to which the phase between sensors does not matter. The radius is the 95 %
/// quantile of the answer's ellipse. Answers nearer to each other than their radii count as one.
///
/// # Errors
///
/// Every [`WithoutPhaseFault`].
///
/// # Example
///
/// ```
/// use balance_core::{Complex64, stand::without_phase::*};
/// // One plane, 100 g·mm at four places; true unbalance 150 g·mm at 40°, one unit a g·mm.
/// let load = |degrees: f64| vec![Complex64::from_polar(100.0, degrees.to_radians())];
/// let found = Complex64::from_polar(150.0, 40_f64.to_radians());
/// let run = |loads: Vec<Complex64>| AmplitudeRun::exact(loads.clone(), (found + loads[0]).norm(), Some(0.01));
/// let runs = [vec![Complex64::ZERO], load(0.0), load(90.0), load(180.0), load(270.0)];
/// let question = WithoutPhaseQuestion {
///     sensors: vec![runs.into_iter().map(run).collect()],
///     weights: vec![1.0],
///     stated: StatedNoise { degrees_of_freedom: f64::INFINITY },
/// };
/// let told = without_phase(&question).map_err(|faults| format!("{faults:?}"))?;
/// let add = told.only().ok_or("more than one answer")?.planes[0].add;
/// // Noise of 0.01 lifts amplitudes by some 1e-6 in the mean, which the law of Rice allows for.
/// assert!((add + found).norm() < 1e-4 && told.answers[0].planes[0].give_or_take.is_some());
/// # Ok::<(), String>(())
/// ```
pub fn without_phase(question: &WithoutPhaseQuestion) -> Result<WithoutPhase, Vec<WithoutPhaseFault>> {
    let mut sensors = Vec::new();
    let mut faults: Vec<WithoutPhaseFault> = Vec::new();
    for (sensor, runs) in SensorId::numbered(&question.sensors) {
        match fit_sensor(sensor, runs, question.stated) {
            Ok(fit) => sensors.push(fit),
            Err(own) => each_once(&mut faults, own),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut answers: Vec<PossibleAnswer> = Vec::new();
    let mut all: Vec<PossibleAnswer> = combinations(&sensors)
        .into_iter()
        .map(|chosen| answer(&sensors, &question.weights, chosen))
        .collect();
    all.sort_by(|one, other| one.worse_by.total_cmp(&other.worse_by));
    for own in all {
        if !answers.iter().any(|other| same(other, &own)) {
            answers.push(own);
        }
    }
    Ok(WithoutPhase { sensors, answers })
}

/// Whether two answers lie within the circle of either.
fn same(one: &PossibleAnswer, other: &PossibleAnswer) -> bool {
    one.planes.iter().zip(&other.planes).all(|(one, other)| {
        let radius = one.give_or_take.unwrap_or(0.0).min(other.give_or_take.unwrap_or(0.0));
        (one.add - other.add).norm() <= radius.max(1e-6 * one.add.norm())
    })
}

fn combinations(sensors: &[AmplitudeFit]) -> Vec<Vec<usize>> {
    let count: usize = sensors.iter().map(|sensor| sensor.possible.len()).product();
    if count > MOST_COMBINATIONS {
        // Beside the best of all, each other response with the best of the other sensors: none is hidden.
        let best = vec![0; sensors.len()];
        let mut found = vec![best.clone()];
        for (sensor, fit) in sensors.iter().enumerate() {
            for own in 1..fit.possible.len() {
                let mut chosen = best.clone();
                chosen[sensor] = own;
                found.push(chosen);
            }
        }
        return found;
    }
    sensors.iter().fold(vec![Vec::new()], |chosen, sensor| {
        let with =
            |start: &Vec<usize>, own: usize| start.iter().copied().chain([own]).collect::<Vec<usize>>();
        chosen.iter().flat_map(|start| (0..sensor.possible.len()).map(move |own| with(start, own))).collect()
    })
}

fn answer(sensors: &[AmplitudeFit], weights: &[f64], chosen: Vec<usize>) -> PossibleAnswer {
    let own: Vec<&PossibleResponse> =
        sensors.iter().zip(&chosen).map(|(sensor, &at)| &sensor.possible[at]).collect();
    let planes = own[0].response.gains.len();
    let weight = |sensor: usize| Complex64::from(weights.get(sensor).copied().unwrap_or(1.0));
    let gains = CMatrix::from_fn(own.len(), planes, |sensor, plane| {
        own[sensor].response.gains[plane] * weight(sensor)
    });
    let baseline = CVector::from_fn(own.len(), |sensor, _| -weight(sensor) * own[sensor].response.baseline);
    let inverse = inverse_gain(&gains);
    let add = refined(&inverse, &gains, &baseline);
    let left = &gains * &add - &baseline;
    let square = gain(&gains).map(|inverse| &inverse * inverse.adjoint());
    let widening = |sensor: &AmplitudeFit| circle_factor((sensor.degrees_of_freedom / 2.0).max(0.5));
    let mut spread: Vec<Option<[f64; 3]>> = vec![Some([0.0; 3]); planes];
    for (sensor, possible) in own.iter().enumerate() {
        for (plane, sum) in spread.iter_mut().enumerate() {
            let jacobian = moved(&Moved {
                inverse: &inverse,
                square: square.as_ref(),
                add: &add,
                left: left[sensor],
                weight: weight(sensor),
                sensor,
                plane,
            });
            let part = possible.covariance.as_ref().map(|own| &jacobian * own * jacobian.transpose());
            *sum = sum.take().zip(part).map(|(sum, part)| {
                let wide = widening(&sensors[sensor]).powi(2);
                [sum[0] + wide * part[(0, 0)], sum[1] + wide * part[(0, 1)], sum[2] + wide * part[(1, 1)]]
            });
        }
    }
    PossibleAnswer {
        planes: add
            .iter()
            .zip(spread)
            .map(|(&add, spread)| PlaneAnswer { add, give_or_take: spread.map(radius) })
            .collect(),
        worse_by: own.iter().map(|possible| possible.worse_by).sum(),
        responses: chosen,
    }
}

/// What is needed to follow one sensor's unknowns into one plane's answer.
struct Moved<'a> {
    inverse: &'a CMatrix,
    square: Option<&'a CMatrix>,
    add: &'a CVector,
    left: Complex64,
    weight: Complex64,
    sensor: usize,
    plane: usize,
}

/// How real and imaginary part of a plane's answer move with a sensor's unknowns.
fn moved(of: &Moved<'_>) -> RMatrix {
    let planes = of.add.len();
    let direct = -of.inverse[(of.plane, of.sensor)] * of.weight;
    let mut jacobian = RMatrix::zeros(2, 1 + 2 * planes);
    let mut put = |column: usize, moved: Complex64| {
        jacobian[(0, column)] = moved.re;
        jacobian[(1, column)] = moved.im;
    };
    put(0, direct);
    for plane in 0..planes {
        // Where more sensors than planes leave something, a changed gain also turns what the masses can reach.
        let turned =
            of.square.map_or(Complex64::ZERO, |square| -square[(of.plane, plane)] * of.left * of.weight);
        let along = direct * of.add[plane];
        put(1 + 2 * plane, along + turned);
        put(2 + 2 * plane, along * Complex64::I - turned * Complex64::I);
    }
    jacobian
}

/// The 95 % quantile of the length of noise with this covariance (xx, xy, yy).
fn radius([xx, xy, yy]: [f64; 3]) -> f64 {
    let (middle, half) = ((xx + yy) / 2.0, ((xx - yy) / 2.0).hypot(xy));
    ellipse_95((middle + half).max(0.0).sqrt(), (middle - half).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::super::model::SensorResponse;
    use super::*;

    fn possible(add: &[f64], give_or_take: Option<f64>) -> PossibleAnswer {
        let plane = |&add: &f64| PlaneAnswer { add: Complex64::new(0.0, add), give_or_take };
        PossibleAnswer { planes: add.iter().map(plane).collect(), responses: Vec::new(), worse_by: 0.0 }
    }

    #[test]
    fn answers_within_the_smaller_circle_in_every_plane_are_one() {
        let near = |off: f64, one, other| {
            same(&possible(&[1000.0, 50.0], one), &possible(&[1000.0 + off, 50.0], other))
        };
        assert!(near(4.0, Some(5.0), Some(9.0)) && !near(6.0, Some(5.0), Some(9.0)));
        assert!(!near(6.0, Some(9.0), Some(5.0)));
        // Without circles only rounding, a millionth, is the same; one plane that differs is enough.
        assert!(near(9e-4, None, None) && !near(1.1e-3, None, Some(9.0)));
        assert!(!same(&possible(&[1000.0, 50.0], None), &possible(&[1000.0, 50.01], None)));
    }

    /// Three sensors on two planes that no masses silence altogether, whose only uncertainty is one unknown of one
    /// sensor at a time: the answer then moves along a line, and 95 % lie within 1.96 deviations of it.
    #[test]
    fn the_circle_is_how_far_the_answer_moves_with_each_unknown() {
        let polar = |size: f64, degrees: f64| Complex64::from_polar(size, degrees.to_radians());
        let responses = [
            [(2.0, 0.0), (1.1, 30.0), (0.4, 200.0)],
            [(1.0, 0.0), (0.3, 300.0), (0.9, 75.0)],
            [(1.5, 0.0), (0.7, 120.0), (0.8, 10.0)],
        ];
        let weights = [1.0, 2.0, 0.7];
        let fit = |of: &dyn Fn(usize) -> (Vec<f64>, Option<RMatrix>)| -> Vec<AmplitudeFit> {
            (0..3)
                .map(|sensor| {
                    let (unknowns, covariance) = of(sensor);
                    let response = SensorResponse::of(&unknowns);
                    AmplitudeFit {
                        possible: vec![PossibleResponse { response, covariance, worse_by: 0.0 }],
                        redundancy: 3,
                        degrees_of_freedom: f64::INFINITY,
                        above_stated: false,
                        scale: 1.0,
                        weak_baseline: false,
                    }
                })
                .collect()
        };
        let unknowns = |sensor: usize| -> Vec<f64> {
            let [baseline, front, rear] = responses[sensor];
            let gains = [polar(front.0, front.1), polar(rear.0, rear.1)];
            std::iter::once(baseline.0).chain(gains.iter().flat_map(|gain| [gain.re, gain.im])).collect()
        };
        let deviation = 1e-3;
        for (varied, unknown) in (0..3).flat_map(|sensor| (0..5).map(move |unknown| (sensor, unknown))) {
            let only = |sensor: usize| {
                let mut own = RMatrix::zeros(5, 5);
                if sensor == varied {
                    own[(unknown, unknown)] = deviation * deviation;
                }
                (unknowns(sensor), Some(own))
            };
            let told = answer(&fit(&only), &weights, vec![0; 3]);
            let with = |step: f64| {
                let stepped = |sensor: usize| {
                    let mut own = unknowns(sensor);
                    own[unknown] += if sensor == varied { step } else { 0.0 };
                    (own, None)
                };
                answer(&fit(&stepped), &weights, vec![0; 3])
            };
            let (less, more) = (with(-1e-5), with(1e-5));
            for ((own, less), more) in told.planes.iter().zip(&less.planes).zip(&more.planes) {
                let slope = (more.add - less.add).norm() / 2e-5;
                let radius = own.give_or_take.unwrap();
                assert!(
                    (radius - 1.959_964 * slope * deviation).abs() < 1e-4 * radius,
                    "{varied} {unknown}: {radius} {slope}"
                );
                assert_eq!(more.give_or_take, None);
            }
        }
    }

    /// Five responses of each of six sensors are 15625 combinations: beside the best, each other one once.
    #[test]
    fn of_too_many_combinations_no_response_is_hidden() {
        let response = SensorResponse { baseline: 1.0, gains: vec![Complex64::ONE] };
        let own = PossibleResponse { response, covariance: None, worse_by: 0.0 };
        let fit = |count: usize| AmplitudeFit {
            possible: vec![own.clone(); count],
            redundancy: 0,
            degrees_of_freedom: 0.0,
            above_stated: false,
            scale: 1.0,
            weak_baseline: false,
        };
        assert_eq!(combinations(&[fit(2), fit(1), fit(2)]), [[0, 0, 0], [0, 0, 1], [1, 0, 0], [1, 0, 1]]);
        assert_eq!(combinations(&vec![fit(4); 6]).len(), 4096);
        let found = combinations(&vec![fit(5); 6]);
        assert_eq!((found.len(), &found[0]), (1 + 6 * 4, &vec![0; 6]));
        for sensor in 0..6 {
            for response in 1..5 {
                assert!(found.iter().any(|chosen| chosen[sensor] == response));
            }
        }
    }
}
