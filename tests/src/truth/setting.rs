//! What the shafts of a row have in common: shaft, stand, stated values, and what the technician does.

use super::dial::Dial;
use super::hand::Hand;
use super::sheet::Digits;

/// The speed of stand and service.
pub const RPM: f64 = 2600.0;
/// The grade.
pub const GRADE: f64 = 16.0;
/// Radius of the weights' mass centres, mm.
pub const RADIUS: f64 = 45.95;

/// What the job states of the reading noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stated {
    /// A share that is exactly true.
    Known(f64),
    /// A technician's figure.
    Said(f64),
    /// Nothing.
    Nothing,
}

/// How the unbalance that is left arises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Left {
    /// Welded as the program advises, up to two trims.
    ByProcedure,
    /// Welded as the program advises, no trim.
    Once,
    /// The weights differ from the advice by this rms, in limits, at each joint; no trim.
    Missed(f64),
}

/// A row.
#[derive(Debug, Clone)]
pub struct Setting {
    /// Its name.
    pub name: &'static str,
    /// Where it is supported and the limit holds, mm.
    pub supports: Vec<f64>,
    /// The pieces between, kg.
    pub pieces: Vec<f64>,
    /// Where weights go, mm.
    pub planes: Vec<f64>,
    /// Where the stand reads, mm.
    pub sensors: Vec<f64>,
    /// As found: the rms over the joints, in limits, from and to.
    pub as_found: (f64, f64),
    /// A trial, in limits, from and to.
    pub trial: (f64, f64),
    /// What is left, shaft by shaft in turn.
    pub left: Vec<Left>,
    /// The dials.
    pub dial: Dial,
    /// How they are written down.
    pub digits: Digits,
    /// The hand.
    pub hand: Hand,
    /// What is stated of the noise.
    pub stated: Stated,
    /// More lines of `[stand]`.
    pub stand: &'static str,
    /// How often the initial, the trial and the check run are read.
    pub reads: [usize; 3],
    /// Whether the initial run is read again after the trials.
    pub initial_again: bool,
    /// The number of mountings, all different from that of the trials, in which the check run is read; 0: in
    /// that of the trials.
    pub mountings: usize,
    /// What a mounting adds at each joint, in limits (complex rms).
    pub mounting_scatter: f64,
    /// Part of the critical speed at which the shaft runs, if it bends.
    pub part_of_critical: f64,
}

impl Setting {
    /// One piece, two planes, two sensors, noise known exactly, everything done right.
    #[must_use]
    pub fn plain(name: &'static str, noise: f64) -> Self {
        Self {
            name,
            supports: vec![0.0, 1385.0],
            pieces: vec![14.2],
            planes: vec![95.0, 1290.0],
            sensors: vec![0.0, 1385.0],
            as_found: (2.0, 6.0),
            trial: (2.0, 2.5),
            left: vec![Left::ByProcedure, Left::Missed(1.0), Left::ByProcedure, Left::Missed(1.5)],
            dial: Dial::noisy(noise),
            digits: Digits { amplitude: 3, phase: 1 },
            hand: Hand::exact(),
            stated: Stated::Known(noise),
            stand: "place_error = \"0.0 mm\"",
            reads: [1, 1, 1],
            initial_again: false,
            mountings: 0,
            mounting_scatter: 0.0,
            part_of_critical: 0.0,
        }
    }

    /// What may be left at each support, g·mm: U = 1000·G·m/Ω, half of a piece's at each of its ends; where two pieces
    /// meet the smaller (ISO 21940-11; the mass centre is half-way).
    #[must_use]
    pub fn limits(&self) -> Vec<f64> {
        let omega = RPM * std::f64::consts::TAU / 60.0;
        let mut limits = vec![f64::INFINITY; self.supports.len()];
        for (at, mass) in self.pieces.iter().enumerate() {
            let half = 1000.0 * GRADE * mass / omega / 2.0;
            limits[at] = limits[at].min(half);
            limits[at + 1] = limits[at + 1].min(half);
        }
        limits
    }

    /// The names of the planes.
    #[must_use]
    pub fn plane_names(&self) -> Vec<String> {
        (0..self.planes.len()).map(|at| format!("plane{at}")).collect()
    }

    /// The names of the sensors.
    #[must_use]
    pub fn sensor_names(&self) -> Vec<String> {
        (0..self.sensors.len()).map(|at| format!("sensor{at}")).collect()
    }
}
