//! A driveline's joints compared with their limits.

use super::{JointTrain, irregularity};
use crate::caution::Caution;
use crate::quantity::{Angle, Speed};
use crate::shaft::ShaftLimits;

/// What a driveline's joints do at a speed.
#[derive(Debug, Clone, PartialEq)]
pub struct JointFindings {
    /// The angle of the single joint with the same effect.
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

/// The joints at a speed, compared with the limits; `None` without joints.
///
/// Accelerations are peak second-order ones: exact for the output, U_e·ω² (see
/// [`JointTrain::equivalent_angle`]) for the pieces between.
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
    for (joint, own) in (1..).zip(&train.joints) {
        let (degrees, twist) = (own.angle.degrees().abs(), folded(own.yoke_twist));
        if degrees < limits.least_joint_angle.value {
            cautions.push(Caution::JointAngleSmall {
                joint,
                degrees,
                limit: limits.least_joint_angle.into(),
            });
        }
        if degrees > limits.most_joint_angle.value {
            cautions.push(Caution::JointAngleLarge { joint, degrees, limit: limits.most_joint_angle.into() });
        }
        if joint > 1 && twist > limits.phase_error.value {
            cautions.push(Caution::YokesOutOfPhase {
                joint,
                degrees: twist,
                limit: limits.phase_error.into(),
            });
        }
    }
    if let [front, rear] = train.joints[..] {
        let difference = (front.angle.degrees().abs() - rear.angle.degrees().abs()).abs();
        if difference > limits.joint_angle_difference.value {
            cautions.push(Caution::JointAnglesDiffer {
                degrees: difference,
                limit: limits.joint_angle_difference.into(),
            });
        }
    }
    cautions
}

fn acceleration_cautions(findings: &JointFindings, limits: &ShaftLimits) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if findings.torsional_acceleration > limits.torsional_acceleration.value {
        cautions.push(Caution::TorsionalAcceleration {
            radians_per_second_squared: findings.torsional_acceleration,
            limit: limits.torsional_acceleration.into(),
        });
    }
    let limit = limits.inertia_acceleration;
    let pieces = [(true, findings.inertia_acceleration_drive), (false, findings.inertia_acceleration_coast)];
    let beyond = |(driving, found): (bool, Option<f64>)| {
        let found = found.filter(|found| *found > limit.value)?;
        Some(Caution::InertiaAcceleration { driving, radians_per_second_squared: found, limit: limit.into() })
    };
    cautions.extend(pieces.into_iter().filter_map(beyond));
    cautions
}

/// A yoke turned by half a turn is the same yoke: the distance from being in phase, 0 to 90 degrees.
fn folded(twist: Angle) -> f64 {
    let half = twist.degrees().rem_euclid(180.0);
    half.min(180.0 - half)
}
