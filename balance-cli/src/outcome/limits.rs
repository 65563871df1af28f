//! How much may be left, where.

use balance_core::caution::Caution;
use balance_core::correction::TrialAdvice;
use balance_core::grade::{
    CorrectionPlaneLimit, Criterion, Grade, PlaneLimit, Rated, Transfer, limits_at_correction_planes,
};
use balance_core::quantity::{Length, Mass, Speed};
use balance_core::run::Setup;
use balance_core::shaft::{CorrectionPlane, MassBasis};

use super::ahead::SureReading;
use super::before_spin::BeforeSpin;
use super::describe::describe;
use crate::files::Job;
use crate::files::job::Limit;

/// How much may be left, and how unbalance moves from where weights go to where the limit holds.
#[derive(Debug, Clone)]
pub struct Limits {
    /// The grade, unless the shop has its own limit.
    pub grade: Option<Grade>,
    /// The shaft's mass, where the limit depends on it.
    pub mass: Option<Mass>,
    /// Whether that was weighed or estimated from tube and ends.
    pub mass_basis: Option<MassBasis>,
    /// The lowest bending critical speed, once it was checked: a bow comes back with it.
    pub critical_speed: Option<Speed>,
    /// The highest speed in service.
    pub service_speed: Option<Speed>,
    /// The limit in each tolerance plane.
    pub planes: Vec<PlaneLimit>,
    /// What one correction plane alone may keep.
    pub at_correction: Vec<CorrectionPlaneLimit>,
    /// From correction planes to tolerance planes.
    pub transfer: Transfer,
}

/// All that `limits` answers.
#[derive(Debug, Clone)]
pub struct LimitsAnswer<'a> {
    /// How much may be left.
    pub limits: &'a Limits,
    /// The readings that surely do, once the runs tell how the shaft answers.
    pub sure: Option<&'a [SureReading]>,
    /// Advice on a trial at every place.
    pub trials: &'a [TrialAdvice],
    /// Planes and sensors.
    pub setup: &'a Setup,
    /// The shaft before it spins.
    pub before: Option<&'a BeforeSpin>,
    /// Everything to mind, worst first.
    pub cautions: Vec<Caution>,
}

/// The limits of a job, or everything that is missing for them.
///
/// # Errors
///
/// One line for each thing that is missing or does not fit, in words for people.
pub fn limits(job: &Job, planes: &[CorrectionPlane]) -> Result<Limits, Vec<String>> {
    let mut missing = Vec::new();
    let criterion = criterion(job, &mut missing);
    let positions: Vec<Length> = planes.iter().filter_map(|plane| plane.position).collect();
    for plane in planes {
        if plane.position.is_none() {
            missing.push(format!("[[correction_plane]] position of `{}`", plane.name));
        }
        if plane.radius.is_none() {
            missing.push(format!("[[correction_plane]] radius of `{}` (or a [tube])", plane.name));
        }
    }
    let Some(criterion) = criterion else { return Err(missing) };
    let estimated = describe(job, None, None).mass().filter(|mass| mass.basis == MassBasis::Estimated);
    let mass = job.measures.mass.or(estimated.map(|mass| mass.used));
    let rated = Rated {
        criterion,
        mass,
        mass_centre: job.measures.mass_centre.or(estimated.and_then(|mass| mass.mass_centre)),
        service_speed: job.measures.service_speed,
        planes: &job.tolerance_planes,
        parts: &job.parts,
    };
    let limits = rated.permissible().map_err(|faults| missing.extend(faults.iter().map(ToString::to_string)));
    let transfer = Transfer::new(&positions, &job.tolerance_planes, &job.parts);
    let transfer = transfer.map_err(|fault| missing.push(fault.to_string()));
    missing.dedup();
    match (limits, transfer) {
        (Ok(found), Ok(transfer)) if missing.is_empty() => Ok(Limits {
            grade: match criterion {
                Criterion::Grade(grade) => Some(grade),
                Criterion::OwnLimit(_) => None,
            },
            mass,
            mass_basis: mass.map(|_| estimated.map_or(MassBasis::Weighed, |found| found.basis)),
            critical_speed: None,
            service_speed: job.measures.service_speed,
            at_correction: limits_at_correction_planes(planes, &found, &transfer),
            planes: found,
            transfer,
        }),
        _ => Err(missing),
    }
}

fn criterion(job: &Job, missing: &mut Vec<String>) -> Option<Criterion> {
    match job.measures.limit {
        Some(Limit::Amount(amount)) => Some(Criterion::OwnLimit(amount)),
        Some(Limit::Grade(value)) => match Grade::from_millimetres_per_second(value) {
            Ok(grade) => Some(Criterion::Grade(grade)),
            Err(fault) => {
                missing.push(fault.to_string());
                None
            }
        },
        None => {
            missing.push("[shaft] grade or limit".into());
            None
        }
    }
}
