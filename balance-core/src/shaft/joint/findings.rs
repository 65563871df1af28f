//! A driveline's joints against their limits.

use super::{JointTrain, irregularity};
use crate::caution::Caution;
use crate::quantity::{Angle, Speed};
use crate::shaft::{Limit, ShaftLimits};

/// What a driveline's joints do at a speed.
#[derive(Debug, Clone, PartialEq)]
pub struct JointFindings {
    /// The angle of the single joint that would do the same.
    pub equivalent_angle: Angle,
    /// Slowest and fastest speed of the last shaft, in rpm.
    pub output_rpm: (f64, f64),
    /// Largest acceleration of the last shaft in rad/s², exact kinematics.
    pub torsional_acceleration: f64,
    /// Largest acceleration of a piece between joints in rad/s², driven from the front; `None` with one joint.
    pub inertia_acceleration_drive: Option<f64>,
    /// The same, driven from the rear (coasting).
    pub inertia_acceleration_coast: Option<f64>,
    /// What is beyond its limit.
    pub cautions: Vec<Caution>,
}

/// The joints at a speed against the limits; `None` without joints.
///
/// Accelerations are peak second-order ones: exact for the output, U_e·ω² (see [`JointTrain::equivalent_angle`]) for
/// the pieces between.
#[must_use]
pub fn check_joints(train: &JointTrain, speed: Speed, limits: &ShaftLimits) -> Option<JointFindings> {
    let count = train.joints.len();
    if count == 0 {
        return None;
    }
    let omega_squared = speed.radians_per_second().powi(2);
    let (slow, fast) = train.speed_range();
    let piece = |part: JointTrain| irregularity(part.equivalent_angle()) * omega_squared;
    let worst = |pieces: Vec<f64>| pieces.into_iter().reduce(f64::max);
    let mut findings = JointFindings {
        equivalent_angle: train.equivalent_angle(),
        output_rpm: (slow * speed.rpm(), fast * speed.rpm()),
        torsional_acceleration: train.peak_acceleration_ratio() * omega_squared,
        inertia_acceleration_drive: worst((1..count).map(|n| piece(train.front(n))).collect()),
        inertia_acceleration_coast: worst((1..count).map(|n| piece(train.rear_driven(n))).collect()),
        cautions: Vec::new(),
    };
    findings.cautions = angle_cautions(train, limits);
    findings.cautions.extend(acceleration_cautions(&findings, limits));
    Some(findings)
}

fn angle_cautions(train: &JointTrain, limits: &ShaftLimits) -> Vec<Caution> {
    let mut cautions = Vec::new();
    for (number, joint) in (1..).zip(&train.joints) {
        let (angle, twist) = (joint.angle.degrees().abs(), folded(joint.yoke_twist));
        if angle < limits.least_joint_angle.value {
            cautions.push(Caution::general(
                "joint-angle-small",
                format!(
                    "Joint {number} at {angle:.2}° hardly moves its needles; {}.",
                    at_least(limits.least_joint_angle)
                ),
            ));
        }
        if angle > limits.most_joint_angle.value {
            cautions.push(Caution::take_care(
                "joint-angle-large",
                format!(
                    "Joint {number} at {angle:.2}° will not run smoothly; {}.",
                    at_most(limits.most_joint_angle, "°")
                ),
            ));
        }
        if number > 1 && twist > limits.phase_error.value {
            cautions.push(Caution::take_care(
                "yokes-out-of-phase",
                format!(
                    "The yokes before joint {number} are {twist:.1}° out of phase; {}. Was the slip put together a tooth out?",
                    at_most(limits.phase_error, "°")
                ),
            ));
        }
    }
    if let [front, rear] = train.joints[..] {
        let difference = (front.angle.degrees().abs() - rear.angle.degrees().abs()).abs();
        if difference > limits.joint_angle_difference.value {
            cautions.push(Caution::take_care(
                "joint-angles-differ",
                format!(
                    "The two joint angles differ by {difference:.2}°; {}.",
                    at_most(limits.joint_angle_difference, "°")
                ),
            ));
        }
    }
    cautions
}

fn acceleration_cautions(findings: &JointFindings, limits: &ShaftLimits) -> Vec<Caution> {
    let rows = [
        (
            "torsional-acceleration",
            "The last shaft",
            Some(findings.torsional_acceleration),
            limits.torsional_acceleration,
        ),
        (
            "inertia-acceleration",
            "Driving, a piece between the joints",
            findings.inertia_acceleration_drive,
            limits.inertia_acceleration,
        ),
        (
            "inertia-acceleration",
            "Coasting, a piece between the joints",
            findings.inertia_acceleration_coast,
            limits.inertia_acceleration,
        ),
    ];
    rows.into_iter()
        .filter_map(|(code, who, found, limit)| {
            let found = found.filter(|found| *found > limit.value)?;
            let text = format!(
                "{who} is shaken with {found:.0} rad/s² twice a turn; {}.",
                at_most(limit, " rad/s²")
            );
            Some(Caution::take_care(code, text))
        })
        .collect()
}

fn at_most(limit: Limit, unit: &str) -> String {
    format!("at most {}{unit} ({})", limit.value, limit.basis.words())
}

fn at_least(limit: Limit) -> String {
    format!("at least {}° ({})", limit.value, limit.basis.words())
}

/// A yoke turned by half a turn is the same yoke: the distance from being in phase, 0 to 90 degrees.
fn folded(twist: Angle) -> f64 {
    let half = twist.degrees().rem_euclid(180.0);
    half.min(180.0 - half)
}
