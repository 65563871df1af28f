//! Eccentricity at each station and bow along the shaft, by least squares.

use std::f64::consts::PI;

use num_complex::Complex64;

use super::{RunoutFault, RunoutReading};
use crate::linear::{RMatrix, real_fit};
use crate::quantity::Length;

/// What the readings round one station show.
#[derive(Debug, Clone, PartialEq)]
pub struct StationRunout {
    /// In mm from the front joint centre.
    pub position: f64,
    /// How far the tube's centre is off the axis of rotation, in mm, towards the angle of the vector.
    pub eccentricity: Complex64,
    /// Largest minus smallest reading in mm: the total indicator reading as a technician sees it.
    pub total_indicator: f64,
    /// Root mean square of what no eccentricity explains (ovality, dents, rust), in mm.
    pub out_of_round: f64,
}

/// A shaft's runout.
#[derive(Debug, Clone, PartialEq)]
pub struct RunoutMap {
    /// Front to rear.
    pub stations: Vec<StationRunout>,
    /// Mid-span deflection of the half-sine bow in mm, towards its angle; `None` if no station shows it.
    pub bow: Option<Complex64>,
    /// How far the tube is off the joint centres at the two ends, in mm; zero when fewer than three stations
    /// were read (the ends are then assumed to run true).
    pub ends: [Complex64; 2],
    /// Joint centre to joint centre, in mm.
    pub length: f64,
}

impl RunoutMap {
    /// Total indicator reading a bow alone would show in the middle, in mm: twice its deflection.
    #[must_use]
    pub fn bow_total_indicator(&self) -> Option<f64> {
        self.bow.map(|bow| 2.0 * bow.norm())
    }
}

/// The map from readings.
///
/// Each station: reading = a + e·cos(angle − its angle), least squares. Along the shaft: eccentricity = line
/// between the two ends + bow·sin(πx/L), least squares over three or more stations; with fewer the bow alone,
/// with the ends assumed to run true.
///
/// # Errors
///
/// Every [`RunoutFault`] found.
pub fn runout_map(readings: &[RunoutReading], length: Length) -> Result<RunoutMap, Vec<RunoutFault>> {
    let length = length.millimetres();
    let mut faults = reading_faults(readings, length);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut sorted = readings.to_vec();
    sorted.sort_by(|a, b| a.station.millimetres().total_cmp(&b.station.millimetres()));
    let mut stations = Vec::new();
    for group in sorted.chunk_by(|a, b| b.station.millimetres() - a.station.millimetres() < SAME_STATION) {
        match station(group) {
            Some(station) => stations.push(station),
            None => {
                faults.push(RunoutFault::NotRound {
                    station: group[0].station.millimetres(),
                    found: group.len(),
                });
            }
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let (ends, bow) = along(&stations, length);
    Ok(RunoutMap { stations, bow, ends, length })
}

/// Stations closer than this are one station, in mm.
const SAME_STATION: f64 = 0.5;

fn reading_faults(readings: &[RunoutReading], length: f64) -> Vec<RunoutFault> {
    if readings.is_empty() {
        return vec![RunoutFault::Nothing];
    }
    let fault = |reading: &RunoutReading| {
        let (station, angle) = (reading.station.millimetres(), reading.angle.degrees());
        if !reading.indicator.is_finite() {
            Some(RunoutFault::NotANumber { station, angle })
        } else if station > length {
            Some(RunoutFault::Beyond { station, length })
        } else {
            None
        }
    };
    readings.iter().filter_map(fault).collect()
}

fn station(group: &[RunoutReading]) -> Option<StationRunout> {
    if group.len() < 3 {
        return None;
    }
    let round: Vec<Complex64> = group.iter().map(|reading| reading.angle.unit_vector()).collect();
    let design = RMatrix::from_fn(group.len(), 3, |row, column| match column {
        0 => 1.0,
        1 => round[row].re,
        _ => round[row].im,
    });
    let targets = RMatrix::from_fn(group.len(), 1, |row, _| group[row].indicator);
    let fit = real_fit(&design, &targets)?;
    let left = &targets - &design * &fit;
    let (low, high) =
        targets.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), &r| (l.min(r), h.max(r)));
    let mean = group.iter().map(|reading| reading.station.millimetres()).sum::<f64>() / group.len() as f64;
    Some(StationRunout {
        position: mean,
        eccentricity: Complex64::new(fit[(1, 0)], fit[(2, 0)]),
        total_indicator: high - low,
        out_of_round: left.norm() / (group.len() as f64).sqrt(),
    })
}

fn along(stations: &[StationRunout], length: f64) -> ([Complex64; 2], Option<Complex64>) {
    let zero = Complex64::new(0.0, 0.0);
    let shape = |x: f64| [(PI * x / length).sin(), 1.0 - x / length, x / length];
    let fit = |columns: usize| {
        let design =
            RMatrix::from_fn(stations.len(), columns, |row, column| shape(stations[row].position)[column]);
        let targets = RMatrix::from_fn(stations.len(), 2, |row, column| {
            let e = stations[row].eccentricity;
            if column == 0 { e.re } else { e.im }
        });
        let fit = real_fit(&design, &targets)?;
        Some((0..columns).map(|row| Complex64::new(fit[(row, 0)], fit[(row, 1)])).collect::<Vec<_>>())
    };
    if stations.len() >= 3
        && let Some(&[bow, front, rear]) = fit(3).as_deref()
    {
        return ([front, rear], Some(bow));
    }
    let near_an_end = |station: &StationRunout| (PI * station.position / length).sin() < 0.1;
    if stations.iter().all(near_an_end) {
        return ([zero, zero], None);
    }
    ([zero, zero], fit(1).map(|bow| bow[0]))
}
