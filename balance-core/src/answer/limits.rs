//! How much may be left, and where.

use num_complex::Complex64;

use crate::grade::{
    BalancedIn, CorrectionPlaneLimit, Criterion, Grade, PlaneLimit, Rated, Transfer,
    limits_at_correction_planes,
};
use crate::quantity::{Length, Mass, Speed};
use crate::shaft::{CorrectionPlane, MassBasis, Part, TolerancePlane};

use super::describe::describe;
use crate::job::Job;

/// How much may be left, and how unbalance moves from where weights go to where the limit holds.
#[derive(Debug, Clone)]
pub struct Limits {
    /// The grade, unless the shop has its own limit.
    pub grade: Option<Grade>,
    /// The shaft's mass, where the limit depends on it.
    pub mass: Option<Mass>,
    /// Whether that was weighed or estimated from tube and ends.
    pub mass_basis: Option<MassBasis>,
    /// The lowest bending critical speed, once it has been checked: it decides how much of a bow comes back.
    pub critical_speed: Option<Speed>,
    /// The highest speed in service.
    pub service_speed: Option<Speed>,
    /// The limit in each tolerance plane.
    pub planes: Vec<PlaneLimit>,
    /// What one correction plane alone may keep.
    pub at_correction: Vec<CorrectionPlaneLimit>,
    /// From correction planes to tolerance planes.
    pub transfer: Transfer,
    /// Where the limit holds.
    pub tolerance: Vec<TolerancePlane>,
    /// The pieces of a shaft of several.
    pub parts: Vec<Part>,
    /// The number of planes in which each piece is balanced.
    pub balanced_in: BalancedIn,
}

impl Limits {
    /// Whether this unbalance in the correction planes, g·mm, is more than the limit somewhere.
    #[must_use]
    pub(super) fn exceeded_by(&self, at_correction: &[Complex64]) -> bool {
        let left = self.transfer.moved(at_correction);
        self.planes.iter().zip(left).any(|(limit, left)| left.norm() > limit.amount.gram_millimetres())
    }
}

/// The limits of a job, or everything that is missing for them.
///
/// # Errors
///
/// One line for each thing that is missing or does not fit, in words for people.
pub fn limits(job: &Job, planes: &[CorrectionPlane]) -> Result<Limits, Vec<String>> {
    let mut missing = Vec::new();
    if job.measures.limit.is_none() {
        missing.push("[shaft] grade or limit".into());
    }
    let positions: Vec<Length> = planes.iter().filter_map(|plane| plane.position).collect();
    for plane in planes {
        if plane.position.is_none() {
            missing.push(format!("[[correction_plane]] position of `{}`", plane.name));
        }
        if plane.radius.is_none() {
            missing.push(format!("[[correction_plane]] radius of `{}` (or a [tube])", plane.name));
        }
    }
    let Some(criterion) = job.measures.limit else { return Err(missing) };
    let estimated = describe(job, None, None).mass().filter(|mass| mass.basis == MassBasis::Estimated);
    let mass = job.measures.mass.or(estimated.map(|mass| mass.used));
    let tolerance = tolerance(job, planes, &mut missing);
    let rated = Rated {
        criterion,
        mass,
        mass_centre: job.measures.mass_centre.or(estimated.and_then(|mass| mass.mass_centre)),
        service_speed: job.measures.service_speed,
        planes: &tolerance,
        parts: &job.parts,
    };
    let limits = rated.permissible().map_err(|faults| missing.extend(faults.iter().map(ToString::to_string)));
    let transfer = Transfer::new(&positions, &tolerance, &job.parts);
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
            tolerance: tolerance.clone(),
            parts: job.parts.clone(),
            balanced_in: job.measures.balanced_in,
        }),
        _ => Err(missing),
    }
}

/// Where the limit holds: for a disc, the whole limit at its one correction plane.
fn tolerance(job: &Job, planes: &[CorrectionPlane], missing: &mut Vec<String>) -> Vec<TolerancePlane> {
    if job.measures.balanced_in == BalancedIn::TwoPlanes {
        return job.tolerance_planes.clone();
    }
    match planes {
        [only] => only
            .position
            .map(|position| TolerancePlane { name: only.name.clone(), position })
            .into_iter()
            .collect(),
        _ => {
            missing.push(format!(
                "one [[correction_plane]] only (`balanced_in = \"one plane\"`, but {} planes)",
                planes.len()
            ));
            job.tolerance_planes.clone()
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Two planes of a shaft of 1000 mm, at its ends; this limit at each.
    pub fn at_ends(limit: &str) -> Limits {
        let job = Job::builder()
            .own_limit(limit)
            .correction_plane("front", "0 mm", "50 mm")
            .correction_plane("rear", "1000 mm", "50 mm")
            .tolerance_plane("front end", "0 mm")
            .tolerance_plane("rear end", "1000 mm")
            .sensor("front", "0 mm", "mm/s")
            .build()
            .unwrap();
        limits(&job, &job.setup.planes).unwrap()
    }

    // What may be left is U ≤ U_per (ISO 21940-11): |3 + 4i| is 5.
    #[test]
    fn unbalance_as_large_as_the_limit_is_within_it() {
        let exceeded = |front: Complex64, rear: Complex64| at_ends("5 g.mm").exceeded_by(&[front, rear]);
        let (limit, zero) = (Complex64::new(3.0, 4.0), Complex64::ZERO);
        assert!(!exceeded(limit, zero) && !exceeded(zero, limit) && !exceeded(limit, -limit));
        assert!(exceeded(limit * 1.001, zero) && exceeded(zero, limit * -1.001));
    }

    #[test]
    fn everything_that_a_limit_lacks_is_told() {
        let planes = [CorrectionPlane::named("front")];
        let missing = limits(&Job::default(), &planes).unwrap_err();
        assert_eq!(missing.len(), 3, "{missing:?}");
        for (word, line) in ["limit", "position of `front`", "radius of `front`"].iter().zip(&missing) {
            assert!(line.contains(word), "{line}");
        }
    }
}
