//! How a stand counts its angles, found by the same trial mass at two places a quarter turn apart.
//!
//! A mass that moves on by an angle turns its effect on the readings by the same angle: the same way round where phase is
//! counted as masses are, the other way where it is counted opposite. What fits better is the stand's counting.

use num_complex::Complex64;

use crate::run::{PhaseSense, Row, RunKind, RunSet};
use crate::shaft::PlaneId;

/// Two trials with one mass at one place, and what they say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuarterTurn {
    /// Where the mass was.
    pub plane: PlaneId,
    /// Rows of the two trials.
    pub rows: [usize; 2],
    /// How phase is counted; `None`: the readings fit neither way, or both.
    pub counted: Option<PhaseSense>,
}

/// The misfit of the better way is at most this share of the other's.
const CLEARLY_BETTER: f64 = 0.3;
/// And at most this share of the effect itself.
const FITS: f64 = 0.35;
/// Masses less far apart than this, or nearer to opposite, tell nothing, degrees.
const APART: [f64; 2] = [30.0, 150.0];

/// Two trials in these runs that tell how the stand counts; `None`: there are none. The runs must have been read with a
/// convention that counts phase the same way as masses, as one that is not stated does.
#[must_use]
pub fn quarter_turn(set: &RunSet) -> Option<QuarterTurn> {
    let rows = set.rows();
    let single = |row: &Row| match &row.run.masses[..] {
        [mass] if row.run.kind == RunKind::Trial => Some(mass.plane),
        _ => None,
    };
    let trials: Vec<(usize, PlaneId)> =
        rows.iter().enumerate().filter_map(|(at, row)| Some((at, single(row)?))).collect();
    trials.iter().enumerate().rev().find_map(|(at, &(second, plane))| {
        let earlier = trials[..at].iter().rev().filter(|(_, own)| *own == plane);
        earlier.map(|(first, _)| *first).find_map(|first| {
            let turn = rows[second].loads[plane] / rows[first].loads[plane];
            let degrees = turn.arg().to_degrees().abs();
            let base = base_of(rows, first)?;
            let same = rows[first].group == rows[second].group;
            (same && turn.is_finite() && (APART[0]..=APART[1]).contains(&degrees)).then(|| QuarterTurn {
                plane,
                rows: [first, second],
                counted: counted(&rows[base], [&rows[first], &rows[second]], turn),
            })
        })
    })
}

/// The run before with nothing on, at the same speed.
fn base_of(rows: &[Row], trial: usize) -> Option<usize> {
    let group = rows[trial].group;
    rows[..trial].iter().rposition(|row| row.run.kind == RunKind::Initial && row.group == group)
}

fn counted(base: &Row, trials: [&Row; 2], turn: Complex64) -> Option<PhaseSense> {
    let (mut size, mut same, mut opposite) = (0.0, 0.0, 0.0);
    let all = base.observed.iter().zip(&trials[0].observed).zip(&trials[1].observed);
    for ((base, first), second) in all {
        let (Some(base), Some(first), Some(second)) = (base, first, second) else { continue };
        let effect = |own: &crate::run::Observed| own.reading.vector() - base.reading.vector();
        let (first, second) = (effect(first), effect(second));
        size += second.norm_sqr();
        same += (second - first * turn).norm_sqr();
        opposite += (second - first * turn.conj()).norm_sqr();
    }
    let share = |misfit: f64| (misfit / size).sqrt();
    let (same, opposite) = (share(same), share(opposite));
    let clear = |own: f64, other: f64| own <= FITS && own <= CLEARLY_BETTER * other;
    if clear(same, opposite) {
        Some(PhaseSense::SameAsMasses)
    } else if clear(opposite, same) {
        Some(PhaseSense::OppositeToMasses)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use crate::quantity::{Angle, Mass};
    use crate::run::{Change, PlacedMass, Run, SensorReading, Setup};
    use crate::shaft::{CorrectionPlane, Sensor};

    /// Initial run 5 at 230 deg; each gram at angle 0 adds 0.2 at 40 deg. Readings by hand with complex numbers.
    fn runs(angles: &[f64], mirrored: bool, wrong: f64) -> RunSet {
        let setup = Setup {
            planes: vec![CorrectionPlane::named("front")],
            sensors: vec![Sensor::vibration("front", "mm/s")],
            ..Job::default().setup
        };
        let initial = Complex64::from_polar(5.0, 230f64.to_radians());
        let run = |label: usize, mass: Option<f64>| {
            let effect = mass.map_or(Complex64::ZERO, |degrees| {
                Complex64::from_polar(
                    4.0,
                    (degrees + 40.0 + if label == 3 { wrong } else { 0.0 }).to_radians(),
                )
            });
            let shown = initial + effect;
            let degrees = shown.arg().to_degrees();
            let phase = Angle::from_degrees(if mirrored { -degrees } else { degrees }).unwrap();
            let masses = mass.map(|degrees| PlacedMass {
                plane: PlaneId::new(0),
                change: Change::Added,
                mass: Mass::from_grams(20.0).unwrap(),
                angle: Angle::from_degrees(degrees).unwrap(),
                radius: None,
                bead: Mass::ZERO,
            });
            Run {
                label: label.to_string(),
                kind: if mass.is_some() { RunKind::Trial } else { RunKind::Initial },
                speed: None,
                mounting: String::new(),
                minutes: None,
                on_top_of: None,
                masses: masses.into_iter().collect(),
                readings: vec![SensorReading::Shown { amplitude: shown.norm(), phase }],
                uncertainties: Vec::new(),
            }
        };
        let all = std::iter::once(None).chain(angles.iter().copied().map(Some));
        RunSet::new(setup, all.enumerate().map(|(at, mass)| run(at + 1, mass)).collect()).unwrap()
    }

    #[test]
    fn the_counting_is_found_either_way_and_not_from_what_cannot_tell() {
        let said = |angles: &[f64], mirrored, wrong| {
            quarter_turn(&runs(angles, mirrored, wrong)).map(|own| own.counted)
        };
        assert_eq!(said(&[90.0, 180.0], false, 0.0), Some(Some(PhaseSense::SameAsMasses)));
        assert_eq!(said(&[90.0, 180.0], true, 0.0), Some(Some(PhaseSense::OppositeToMasses)));
        assert_eq!(said(&[300.0, 30.0], true, 8.0), Some(Some(PhaseSense::OppositeToMasses)));
        assert_eq!(said(&[90.0, 180.0], false, 90.0), Some(None), "neither way fits");
        assert_eq!(said(&[90.0, 180.0], false, 28.0), Some(None), "nearer to one way, and fits none");
        assert_eq!(said(&[90.0, 270.0], false, 0.0), None, "half a turn is the same both ways");
        assert_eq!(said(&[90.0], false, 0.0), None);
    }
}
