//! Where to start looking: every response that may explain the amplitudes is near one of these.

use num_complex::Complex64;

use super::descent::Amplitudes;
use super::model::SensorResponse;

/// Directions and sizes of a plane's gain that are looked at.
const DIRECTIONS: usize = 36;
const SIZES: [f64; 12] = [0.05, 0.1, 0.17, 0.28, 0.4, 0.55, 0.75, 1.0, 1.4, 2.0, 3.0, 5.0];
/// Without a reading with nothing added: sizes of the baseline, as shares of the middle reading.
const BASELINES: [f64; 5] = [0.15, 0.4, 0.7, 1.0, 1.4];
/// Directions between two planes where the baseline is too small to show them.
const TURNS: usize = 12;
/// Two responses closer than this, as a share of themselves, are one.
pub(super) const SAME: f64 = 1e-3;

/// Every response that no small change improves, best first.
pub(super) fn responses(all: &Amplitudes) -> Vec<SensorResponse> {
    let planes = all.loads.first().map_or(0, Vec::len);
    let own: Vec<Vec<SensorResponse>> = (0..planes).map(|plane| of_plane(all, plane)).collect();
    let together = all.loads.iter().any(|loads| loads.iter().filter(|load| load.norm() > 0.0).count() > 1);
    let mut starts: Vec<SensorResponse> = vec![SensorResponse { baseline: 0.0, gains: Vec::new() }];
    for (plane, found) in own.iter().enumerate() {
        let turns = if together && plane > 0 { TURNS } else { 1 };
        starts = starts
            .iter()
            .flat_map(|start| found.iter().map(move |own| (start, own)))
            .flat_map(|(start, own)| (0..turns).map(move |turn| joined(start, own, turn)))
            .collect();
    }
    let mut best: Vec<(f64, SensorResponse)> = Vec::new();
    for start in &starts {
        keep(&mut best, all, all.descend(start));
    }
    best.sort_by(|one, other| one.0.total_cmp(&other.0));
    best.into_iter().map(|(_, response)| response).collect()
}

fn joined(start: &SensorResponse, own: &SensorResponse, turn: usize) -> SensorResponse {
    let turned = Complex64::cis(std::f64::consts::TAU * turn as f64 / TURNS as f64);
    let gains = start.gains.iter().copied().chain([own.gains[0] * turned]).collect();
    SensorResponse { baseline: start.baseline.max(own.baseline), gains }
}

/// The responses of one plane by itself, from the runs in which nothing else was loaded.
fn of_plane(all: &Amplitudes, plane: usize) -> Vec<SensorResponse> {
    let alone = |loads: &[Complex64]| {
        loads.iter().enumerate().all(|(other, load)| other == plane || load.norm() == 0.0)
    };
    let mut rows: Vec<usize> = (0..all.loads.len()).filter(|&row| alone(&all.loads[row])).collect();
    if !rows.iter().any(|&row| all.loads[row][plane].norm() > 0.0) {
        rows = (0..all.loads.len()).collect();
    }
    let part = Amplitudes {
        loads: rows.iter().map(|&row| vec![all.loads[row][plane]]).collect(),
        amplitudes: rows.iter().map(|&row| all.amplitudes[row]).collect(),
        deviations: rows.iter().map(|&row| all.deviations[row]).collect(),
        known: all.known,
    };
    let mut best = Vec::new();
    for baseline in baselines(&part) {
        for start in valleys(&part, baseline).into_iter().chain(all_round(&part, baseline)) {
            keep(&mut best, &part, part.descend(&start));
        }
    }
    best.into_iter().map(|(_, response)| response).collect()
}

fn baselines(part: &Amplitudes) -> Vec<f64> {
    let empty = |row: &usize| part.loads[*row][0].norm() == 0.0;
    let initial: Vec<f64> =
        (0..part.amplitudes.len()).filter(empty).map(|row| part.amplitudes[row]).collect();
    if !initial.is_empty() {
        return vec![initial.iter().sum::<f64>() / initial.len() as f64];
    }
    let mut sorted = part.amplitudes.clone();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted[sorted.len() / 2];
    BASELINES.iter().map(|share| share * middle).collect()
}

/// Where fewer than three places leave several exact answers, a valley may be narrower than the grid: start everywhere.
fn all_round(part: &Amplitudes, baseline: f64) -> Vec<SensorResponse> {
    let mut places: Vec<Complex64> = Vec::new();
    for loads in part.loads.iter().filter(|loads| loads[0].norm() > 0.0) {
        if !places.iter().any(|other| (other - loads[0]).norm() < 1e-3) {
            places.push(loads[0]);
        }
    }
    if places.len() > 2 {
        return Vec::new();
    }
    let start = |direction: u32, size: f64| {
        let angle = std::f64::consts::TAU * f64::from(direction) / f64::from(EVERYWHERE);
        SensorResponse { baseline, gains: vec![Complex64::from_polar(size, angle)] }
    };
    let directions = 0..EVERYWHERE;
    directions.flat_map(|direction| COARSE.map(|size| start(direction, size))).collect()
}

/// Directions and sizes of those starts.
const EVERYWHERE: u32 = 16;
const COARSE: [f64; 6] = [0.05, 0.2, 0.5, 1.0, 2.0, 4.0];

/// The places of a polar grid from which every step leads up.
fn valleys(part: &Amplitudes, baseline: f64) -> Vec<SensorResponse> {
    let response = |direction: usize, size: usize| {
        let angle = std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64;
        SensorResponse { baseline, gains: vec![Complex64::from_polar(SIZES[size], angle)] }
    };
    // Squares, not the law of Rice: the same valleys at a fraction of the time.
    let grid: Vec<Vec<f64>> = (0..DIRECTIONS)
        .map(|direction| {
            (0..SIZES.len()).map(|size| part.sum_of_squares(&response(direction, size))).collect()
        })
        .collect();
    let lowest = |direction: usize, size: usize| {
        let round = [DIRECTIONS - 1, 0, 1].map(|step| (direction + step) % DIRECTIONS);
        let own = grid[direction][size];
        let sizes = size.saturating_sub(1)..=(size + 1).min(SIZES.len() - 1);
        sizes.flat_map(|size| round.map(|direction| grid[direction][size])).all(|other| own <= other)
    };
    let places = (0..DIRECTIONS).flat_map(|direction| (0..SIZES.len()).map(move |size| (direction, size)));
    places.filter(|&(direction, size)| lowest(direction, size)).map(|(d, s)| response(d, s)).collect()
}

fn keep(best: &mut Vec<(f64, SensorResponse)>, all: &Amplitudes, found: SensorResponse) {
    let misfit = all.misfit(&found);
    let same = |other: &SensorResponse| {
        let (one, other) = (found.unknowns(), other.unknowns());
        let size: f64 = one.iter().map(|own| own * own).sum();
        let apart: f64 = one.iter().zip(&other).map(|(one, other)| (one - other).powi(2)).sum();
        apart <= SAME * SAME * size
    };
    if misfit.is_finite() && !best.iter().any(|(_, other)| same(other)) {
        best.push((misfit, found));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Readings of one plane, |2 + gain·load|, with nothing and with one at these places.
    fn exact(gain: Complex64, places: &[f64]) -> Amplitudes {
        let loads = places.iter().map(|degrees| Complex64::cis(degrees.to_radians()));
        let loads: Vec<Complex64> = std::iter::once(Complex64::ZERO).chain(loads).collect();
        Amplitudes {
            amplitudes: loads.iter().map(|load| (2.0 + gain * load).norm()).collect(),
            deviations: vec![0.01; loads.len()],
            loads: loads.into_iter().map(|load| vec![load]).collect(),
            known: false,
        }
    }

    #[test]
    fn two_places_are_started_from_all_round_and_three_are_not() {
        let gain = Complex64::new(0.4, 0.3);
        let starts = |places: &[f64]| all_round(&exact(gain, places), 2.0);
        assert_eq!(starts(&[0.0, 90.0, 0.0]).len(), EVERYWHERE as usize * COARSE.len());
        assert!(starts(&[0.0, 90.0]).iter().all(|own| own.baseline == 2.0));
        assert_eq!(starts(&[0.0, 90.0, 180.0]), []);
    }

    #[test]
    fn every_exact_response_is_found_however_narrow_its_valley() {
        for size in [0.06, 0.5, 2.3, 4.5] {
            for direction in 0..24 {
                let gain =
                    Complex64::from_polar(size, 0.1 + std::f64::consts::TAU * f64::from(direction) / 24.0);
                let found = |places: &[f64]| {
                    let all = exact(gain, places);
                    let exact = |own: &SensorResponse| all.sum_of_squares(own) < 1e-12;
                    responses(&all).into_iter().filter(exact).map(|own| own.gains[0]).collect::<Vec<_>>()
                };
                let three = found(&[0.0, 120.0, 240.0]);
                assert!(three.len() == 1 && (three[0] - gain).norm() < 1e-6, "{gain}: {three:?}");
                // Opposite places read the same of the gain mirrored at them.
                let two = found(&[0.0, 180.0]);
                let has = |wanted: Complex64| two.iter().any(|own| (own - wanted).norm() < 1e-5);
                assert!(has(gain) && has(gain.conj()), "{gain}: {two:?}");
            }
        }
    }

    #[test]
    fn the_baseline_is_read_or_tried() {
        let read = exact(Complex64::ONE, &[0.0, 90.0]);
        assert_eq!(baselines(&read), [2.0]);
        let mut unread = exact(Complex64::ONE, &[0.0, 120.0, 240.0]);
        unread.loads.remove(0);
        unread.amplitudes.remove(0);
        unread.deviations.remove(0);
        // Readings 3 and twice √3: the middle one is √3.
        let tried = baselines(&unread);
        assert_eq!(tried.len(), BASELINES.len());
        assert!(tried.iter().zip(BASELINES).all(|(own, share)| (own - share * 3_f64.sqrt()).abs() < 1e-12));
    }
}
