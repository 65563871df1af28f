//! From a job to a shaft that can be checked.

use crate::quantity::{Length, Speed, UnbalanceAmount};
use crate::shaft::{JointTrain, Restraint, ShaftDescription, StandLimits, StatedMass, Support, TrainJoint};

use crate::job::Job;

/// Everything the job says of the shaft before it spins. `stand_speed`: the fastest speed of the runs;
/// without it the job's usual stand speed is used. `permissible`: the smallest limit of all places where the
/// limit holds.
#[must_use]
pub fn describe(
    job: &Job,
    stand_speed: Option<Speed>,
    permissible: Option<UnbalanceAmount>,
) -> ShaftDescription {
    let details = &job.shaft;
    ShaftDescription {
        tube: job.measures.tube.clone(),
        material: details.material.known().cloned(),
        sections: details.sections.clone(),
        masses: details.ends.iter().map(|(_, mass)| *mass).collect(),
        supports: details.steady_bearings.iter().copied().chain(assumed_bearings(job)).collect(),
        inner_joints: details.joints.iter().filter_map(|joint| joint.position).collect(),
        parts: job.parts.clone(),
        mass: job.measures.mass.map_or(StatedMass::NotWeighed, StatedMass::Weighed),
        mass_centre: job.measures.mass_centre,
        service_speed: job.measures.service_speed,
        stand_speed: stand_speed.or(job.stand.speed),
        joints: train(job),
        runout: details.runout.clone(),
        permissible_per_end: permissible,
        inspection: details.inspection.clone(),
        limits: details.limits,
        stand: StandLimits { most_speed: job.stand.most_speed, most_reading: job.stand.most_reading },
        overruling: details.overruling.clone(),
    }
}

/// Where the shaft has a joint and the job names no steady bearing, a stiff one is assumed.
#[must_use]
pub fn assumed_bearings(job: &Job) -> Vec<Support> {
    if !job.shaft.steady_bearings.is_empty() {
        return Vec::new();
    }
    let meeting = job.parts.windows(2).map(|pair| pair[1].from);
    let mut places: Vec<Length> =
        meeting.chain(job.shaft.joints.iter().filter_map(|joint| joint.position)).collect();
    places.sort_by(|one, other| one.millimetres().total_cmp(&other.millimetres()));
    places.dedup_by(|one, other| (one.millimetres() - other.millimetres()).abs() < SAME_PLACE);
    places.into_iter().map(|position| Support { position, restraint: Restraint::Pinned }).collect()
}

/// In mm.
const SAME_PLACE: f64 = 1.0;

/// The driveline's joints, if every one of them has its angle.
fn train(job: &Job) -> JointTrain {
    let bends: Option<Vec<TrainJoint>> = job.shaft.joints.iter().map(|joint| joint.bend).collect();
    JointTrain { joints: bends.unwrap_or_default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::DrivelineJoint;
    use crate::quantity::Mass;
    use crate::shaft::Part;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn part(from: f64, to: f64) -> Part {
        Part { name: "part".into(), mass: Mass::from_grams(1.0).unwrap(), from: at(from), to: at(to) }
    }

    // Parts meet at 610 and 1400 mm; joints at 610.4 mm (the same place), 1385 mm and 1401 mm (a millimetre off: another).
    #[test]
    fn a_stiff_bearing_is_assumed_once_at_every_joint() {
        let joint = |position: Option<Length>| DrivelineJoint {
            name: None,
            position,
            bend: None,
            spline_teeth: None,
            series: None,
            centre_to_shoulder: None,
            mass: None,
        };
        let mut job = Job {
            parts: vec![part(0.0, 610.0), part(610.0, 1400.0), part(1400.0, 2000.0)],
            ..Job::default()
        };
        job.shaft.joints =
            vec![joint(Some(at(1401.0))), joint(Some(at(610.4))), joint(Some(at(1385.0))), joint(None)];
        let bearings = assumed_bearings(&job);
        let places: Vec<f64> = bearings.iter().map(|own| own.position.millimetres()).collect();
        assert_eq!(places, [610.0, 1385.0, 1400.0, 1401.0]);
        assert!(bearings.iter().all(|own| own.restraint == Restraint::Pinned));
        job.shaft.steady_bearings = vec![Support { position: at(612.0), restraint: Restraint::Pinned }];
        assert!(assumed_bearings(&job).is_empty(), "the job names its own");
        assert!(assumed_bearings(&Job::default()).is_empty(), "a shaft of one piece");
    }
}
