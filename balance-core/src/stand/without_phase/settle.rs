//! The run that tells possible answers apart.

use num_complex::Complex64;

use super::answers::{WithoutPhase, WithoutPhaseQuestion};
use super::model::SensorResponse;

/// Places of a trial that are looked at, round the turn.
const PLACES: usize = 12;

/// A run that would tell the possible answers apart, or show what a small first reading hides.
#[derive(Debug, Clone, PartialEq)]
pub struct SettlingRun {
    /// For each plane the unbalance to put on, g·mm.
    pub loads: Vec<Complex64>,
    /// How far apart the readings of any two answers would be, at the sensor that shows it best, as a share of the
    /// reading; zero: two answers would stay.
    pub apart: f64,
}

impl WithoutPhase {
    /// The one run that settles which answer is right: masses as large as those of the trials, in one or two planes,
    /// where the expected readings of all answers differ most. `None` if there is only one answer.
    #[must_use]
    pub fn settling_run(&self, question: &WithoutPhaseQuestion) -> Option<SettlingRun> {
        if self.answers.len() < 2 {
            return None;
        }
        let sizes = trial_sizes(question);
        let candidates = candidates(&sizes);
        let rated = candidates.into_iter().map(|loads| SettlingRun { apart: self.apart(&loads), loads });
        // One mass is easier than two: two only where they show clearly more.
        let best = |masses: bool, rated: &[SettlingRun]| {
            let of_kind = rated.iter().filter(|run| (loaded(&run.loads) > 1) == masses);
            of_kind.max_by(|one, other| one.apart.total_cmp(&other.apart)).cloned()
        };
        let all: Vec<SettlingRun> = rated.collect();
        match (best(false, &all), best(true, &all)) {
            (Some(one), Some(two)) => Some(if two.apart > 1.5 * one.apart { two } else { one }),
            (one, two) => one.or(two),
        }
    }

    /// Where the first reading is too small: the two runs with all planes loaded, the second with the last plane's
    /// mass a quarter turn on.
    #[must_use]
    pub fn both_loaded(&self, question: &WithoutPhaseQuestion) -> Option<[SettlingRun; 2]> {
        if !self.weak_baseline() {
            return None;
        }
        let sizes = trial_sizes(question);
        let first: Vec<Complex64> = sizes.iter().map(|&size| Complex64::from(size)).collect();
        let mut second = first.clone();
        *second.last_mut()? *= Complex64::I;
        Some([first, second].map(|loads| SettlingRun { apart: self.apart(&loads), loads }))
    }

    /// The least difference between any two answers' readings.
    fn apart(&self, loads: &[Complex64]) -> f64 {
        let reading = |sensor: usize, answer: usize| {
            let response: &SensorResponse =
                &self.sensors[sensor].possible[self.answers[answer].responses[sensor]].response;
            response.reading(loads).norm()
        };
        let between = |one: usize, other: usize| {
            let at = |sensor: usize| {
                let (one, other) = (reading(sensor, one), reading(sensor, other));
                let middle = (one + other) / 2.0;
                if middle > 0.0 { (one - other).abs() / middle } else { 0.0 }
            };
            (0..self.sensors.len()).map(at).fold(0.0, f64::max)
        };
        let answers = 0..self.answers.len();
        let pairs =
            answers.clone().flat_map(|one| (one + 1..self.answers.len()).map(move |other| (one, other)));
        pairs.map(|(one, other)| between(one, other)).fold(f64::INFINITY, f64::min)
    }
}

fn loaded(loads: &[Complex64]) -> usize {
    loads.iter().filter(|load| load.norm() > 0.0).count()
}

/// The largest trial of each plane, g·mm.
fn trial_sizes(question: &WithoutPhaseQuestion) -> Vec<f64> {
    let runs = || question.sensors.iter().flatten();
    let planes = runs().next().map_or(0, |run| run.loads.len());
    (0..planes).map(|plane| runs().map(|run| run.loads[plane].norm()).fold(0.0, f64::max)).collect()
}

/// Every single mass, and every pair in two planes.
fn candidates(sizes: &[f64]) -> Vec<Vec<Complex64>> {
    let place =
        |size: f64, at: usize| Complex64::from_polar(size, std::f64::consts::TAU * at as f64 / PLACES as f64);
    let mut found = Vec::new();
    for (plane, &size) in sizes.iter().enumerate() {
        for at in 0..PLACES {
            let mut loads = vec![Complex64::ZERO; sizes.len()];
            loads[plane] = place(size, at);
            found.push(loads.clone());
            for (second, &other) in sizes.iter().enumerate().skip(plane + 1) {
                for turned in 0..PLACES {
                    let mut both = loads.clone();
                    both[second] = place(other, turned);
                    found.push(both);
                }
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::answers::PossibleAnswer;
    use super::super::model::AmplitudeRun;
    use super::super::sensor_fit::{AmplitudeFit, PossibleResponse, StatedNoise};
    use super::*;

    /// One sensor that shows 1 with nothing added, `front` for 1 g·mm there, and 0.5 a quarter turn on or back for 1 g·mm
    /// at the rear: the two answers. Trials were 1 g·mm in either plane.
    fn mirrored(front: f64) -> (WithoutPhase, WithoutPhaseQuestion) {
        let possible = |rear: f64| PossibleResponse {
            response: SensorResponse {
                baseline: 1.0,
                gains: vec![Complex64::from(front), Complex64::new(0.0, rear)],
            },
            covariance: None,
            worse_by: 0.0,
        };
        let sensor = AmplitudeFit {
            possible: vec![possible(0.5), possible(-0.5)],
            redundancy: 0,
            degrees_of_freedom: 0.0,
            above_stated: false,
            scale: 1.0,
            weak_baseline: true,
        };
        let answer =
            |response| PossibleAnswer { planes: Vec::new(), responses: vec![response], worse_by: 0.0 };
        let run = |loads: [f64; 2]| AmplitudeRun::exact(loads.map(Complex64::from).into(), 1.0, None);
        let question = WithoutPhaseQuestion {
            sensors: vec![[[0.0, 0.0], [1.0, 0.0], [0.0, -1.0]].map(run).into()],
            weights: vec![1.0],
            stated: StatedNoise { degrees_of_freedom: f64::INFINITY },
        };
        (WithoutPhase { sensors: vec![sensor], answers: vec![answer(0), answer(1)] }, question)
    }

    /// With the rear mass at 90° the answers expect 0.5 and 1.5, as far apart as their middle. A front mass at 180° makes
    /// the 1 of nothing added smaller by `front`, and 2·0.5 a larger share of it.
    #[test]
    fn two_masses_are_asked_for_only_where_they_show_clearly_more_than_one() {
        let (told, question) = mirrored(0.2);
        let run = told.settling_run(&question).unwrap();
        assert!((run.apart - 1.0).abs() < 1e-9 && run.loads[0] == Complex64::ZERO, "{run:?}");
        assert!((run.loads[1].im.abs() - 1.0).abs() < 1e-9, "{run:?}");
        let (told, question) = mirrored(0.4);
        let run = told.settling_run(&question).unwrap();
        assert!((run.apart - 1.0 / 0.6).abs() < 1e-9 && (run.loads[0] + 1.0).norm() < 1e-9, "{run:?}");
        assert!((run.loads[1].im.abs() - 1.0).abs() < 1e-9, "{run:?}");
    }

    #[test]
    fn every_place_of_one_mass_and_of_two_is_looked_at() {
        let found = candidates(&[2.0, 3.0, 5.0]);
        let of = |count: usize| found.iter().filter(|loads| loaded(loads) == count).count();
        assert_eq!((of(1), of(2), found.len()), (3 * 12, 3 * 12 * 12, 3 * 12 + 3 * 12 * 12));
        let sizes = [2.0, 3.0, 5.0];
        let right =
            |(load, size): (&Complex64, f64)| load.norm() == 0.0 || (load.norm() - size).abs() < 1e-12;
        assert!(found.iter().all(|loads| loads.iter().zip(sizes).all(right)));
    }

    /// A rear mass at 0° turns the two answers' readings opposite ways, by the same amount: nothing is told.
    #[test]
    fn runs_that_cannot_tell_are_no_further_apart_than_nothing() {
        let (told, question) = mirrored(0.2);
        assert!(told.apart(&[Complex64::ONE, Complex64::ZERO]) < 1e-12);
        assert!(told.apart(&[Complex64::ZERO, Complex64::ONE]) < 1e-12);
        let [first, second] = told.both_loaded(&question).unwrap();
        assert_eq!(first.loads, [Complex64::ONE, Complex64::ONE]);
        assert_eq!(second.loads, [Complex64::ONE, Complex64::I]);
        // 1.2 with 0.5 less and more.
        assert!(first.apart < 1e-12 && (second.apart - 1.0 / 1.2).abs() < 1e-12, "{second:?}");
    }
}
