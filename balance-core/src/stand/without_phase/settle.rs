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
