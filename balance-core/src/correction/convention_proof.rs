//! Whether the runs show that phases and masses are counted the way the job says.
//!
//! A convention counted the wrong way is invisible as long as the masses of every plane lie on one line
//! through the shaft, including both ways of a trial: the coefficients found are wrong in exactly the way
//! that makes the runs agree. A correction at an angle δ to that line then leaves 2·sin δ of what was there
//! (simple geometry, recomputed here).

use num_complex::Complex64;

use super::ideal::Correction;
use crate::caution::Caution;
use crate::chance::f_quantile;
use crate::influence::{Agreement, Influence, Joint, joint};
use crate::run::{RunKind, RunSet};
use crate::shaft::{PlaneId, Shows};

/// The mirrored runs must fit worse than the entered ones by this many standard deviations to count as proof.
const PROOF: f64 = 6.0;

/// Cautions about how angles are counted.
pub(super) fn convention(
    set: &RunSet,
    influence: &Influence,
    correction: &Correction,
    found: &mut Vec<Caution>,
) {
    let setup = set.setup();
    if !setup.convention.stated {
        found.push(Caution::ConventionUnstated);
    }
    let fitted = setup.sensors.iter().any(|sensor| sensor.shows == Shows::Vibration);
    if fitted && setup.convention.proved.is_none() && !convention_proved(set, influence) {
        found.push(Caution::ConventionUnproved { share_left: left_if_mirrored(set, correction) });
    }
}

/// Whether the runs show that phases and masses are counted the way the job says: all runs that agree are
/// fitted once as entered and once with every mass counted the other way round, and the second fit must be
/// clearly worse.
///
/// # Method
///
/// With a figure for the noise the squared misfit of the mirrored runs must exceed the other by 6² (in
/// variances; scaled where the runs scatter more than stated). Without one the misfit as entered is the
/// measure, by an F quantile at p = 0.001 for one sensor. Sister shafts count like runs.
#[must_use]
pub fn convention_proved(set: &RunSet, influence: &Influence) -> bool {
    let apart: Vec<usize> = influence
        .groups
        .iter()
        .flat_map(|group| &group.blocks)
        .filter(|block| block.agreement == Agreement::Disagrees)
        .flat_map(|block| block.rows.iter().copied())
        .collect();
    let options = influence.options();
    let Some(entered) = joint(set, &options, &apart) else { return false };
    // As many unknowns as runs: the mirrored runs fit exactly too.
    if options.prior.is_none() && entered.degrees() <= 0.0 {
        return false;
    }
    let mirrored = set.edited(|_, entry| {
        entry.masses.iter_mut().for_each(|mass| mass.angle = mass.angle.mirrored());
    });
    let Some(mirrored) = joint(&mirrored, &options, &apart) else { return false };
    if !set.noise_stated() {
        return clear_of_scatter(&entered, &mirrored);
    }
    let degrees = entered.degrees();
    let scatter = if degrees > 0.0 { (entered.squares() / (2.0 * degrees)).max(1.0) } else { 1.0 };
    mirrored.squares() - entered.squares() > PROOF * PROOF * scatter
}

/// Without a stated figure: the mirrored misfit of some sensor is clearly larger than its scatter as entered.
fn clear_of_scatter(entered: &Joint, mirrored: &Joint) -> bool {
    entered.sensors.iter().zip(&mirrored.sensors).any(|(own, other)| {
        if own.degrees <= 0.0 {
            return false;
        }
        let scatter = own.squares / (2.0 * own.degrees);
        let limit = (PROOF * PROOF).max(2.0 * f_quantile(0.999, 2.0, 2.0 * own.degrees));
        other.squares - own.squares > limit * scatter
    })
}

/// The largest share 2·|sin δ| over the planes, δ between the correction and the line of that plane's trials.
fn left_if_mirrored(set: &RunSet, correction: &Correction) -> f64 {
    let of_plane = |(plane, own): (PlaneId, &super::PlaneCorrection)| {
        let trials = set.rows().iter().filter(|row| row.run.kind == RunKind::Trial);
        let loads = trials.map(|row| row.loads[plane]);
        let line = loads.max_by(|one, other| one.norm().total_cmp(&other.norm()));
        let wanted = own.add.vector();
        match line.filter(|line| *line != Complex64::ZERO && wanted != Complex64::ZERO) {
            Some(line) => 2.0 * (wanted / line).arg().sin().abs(),
            None => 2.0,
        }
    };
    PlaneId::numbered(&correction.planes).map(of_plane).fold(0.0, f64::max)
}
