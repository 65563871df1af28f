//! Universal joints over random drivelines: exact chained kinematics against the equivalent-angle rule, against the
//! closed formula of one joint, and against numerical differentiation.
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

use balance_core::quantity::Angle;
use balance_core::shaft::{
    JointTrain, TrainJoint, acceleration_ratio, angle_between, irregularity, output_turn,
    peak_acceleration_ratio, speed_ratio, spline_step, true_angle,
};
use proptest::prelude::*;

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value).unwrap()
}

fn joint(most: f64) -> impl Strategy<Value = TrainJoint> {
    (0.2..most, -180.0..180.0_f64, -180.0..180.0_f64).prop_map(|(angle, plane, twist)| TrainJoint {
        angle: degrees(angle),
        plane: degrees(plane),
        yoke_twist: degrees(twist),
    })
}

fn train(most: f64) -> impl Strategy<Value = JointTrain> {
    prop::collection::vec(joint(most), 1..5).prop_map(|joints| JointTrain { joints })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// The shop's rule θ_e² = |Σ θᵢ²·exp(2jφᵢ)|, angles up to 6°: fluctuation within 0.25 % of Σ θᵢ².
    #[test]
    fn the_shop_rule_is_within_a_quarter_percent(train in train(6.0)) {
        let (slow, fast) = train.speed_range();
        let squares: f64 = train.joints.iter().map(|joint| joint.angle.radians().powi(2)).sum();
        let mut phase = 0.0;
        let mut plane = train.joints[0].plane.degrees();
        let mut sum = (0.0, 0.0);
        for (index, joint) in train.joints.iter().enumerate() {
            if index > 0 {
                phase += 90.0 + joint.yoke_twist.degrees() - (joint.plane.degrees() - plane);
                plane = joint.plane.degrees();
            }
            let (s, c) = (2.0 * f64::to_radians(phase)).sin_cos();
            sum = (sum.0 + joint.angle.radians().powi(2) * c, sum.1 + joint.angle.radians().powi(2) * s);
        }
        let rule = sum.0.hypot(sum.1);
        prop_assert!(((fast - slow) - rule).abs() <= 0.0025 * squares, "{} {rule} of {squares}", fast - slow);
    }

    /// With sin·tan in place of the square: within 0.04 % of Σ Uᵢ up to 10°, fluctuation and acceleration.
    #[test]
    fn the_equivalent_angle_is_nearly_exact(train in train(10.0)) {
        let (slow, fast) = train.speed_range();
        let whole: f64 = train.joints.iter().map(|joint| irregularity(joint.angle)).sum();
        let rule = irregularity(train.equivalent_angle());
        prop_assert!(((fast - slow) - rule).abs() <= 4e-4 * whole, "{} {rule} of {whole}", fast - slow);
        // The fourth harmonic, of the order U²/2, weighs double in the acceleration.
        let peak = train.peak_acceleration_ratio();
        prop_assert!((peak - rule).abs() <= whole * whole, "{peak} {rule} of {whole}");
    }

    /// Speed and acceleration of a chain are the first and second derivative of its output turn.
    #[test]
    fn chained_kinematics_differentiate(train in train(25.0), phi in 0.0..6.3_f64) {
        let turn = |phi: f64| {
            let mut turn = phi;
            for (index, joint) in train.joints.iter().enumerate() {
                if index > 0 {
                    let before = &train.joints[index - 1];
                    turn += std::f64::consts::FRAC_PI_2 + joint.yoke_twist.radians() - joint.plane.radians()
                        + before.plane.radians();
                }
                turn = output_turn(joint.angle, turn);
            }
            turn
        };
        let step = 1e-4;
        let (speed, acceleration) = train.output(phi);
        let first = (turn(phi + step) - turn(phi - step)) / (2.0 * step);
        let second = (turn(phi + step) - 2.0 * turn(phi) + turn(phi - step)) / (step * step);
        prop_assert!((speed - first).abs() < 1e-6, "{speed} {first}");
        prop_assert!((acceleration - second).abs() < 1e-5, "{acceleration} {second}");
    }

    /// One joint: derivative, extremes and the closed formula of its peak acceleration.
    #[test]
    fn one_joint_by_itself(angle in 0.01..40.0_f64, phi in 0.0..6.3_f64) {
        let angle = degrees(angle);
        let step = 1e-5;
        let slope = (speed_ratio(angle, phi + step) - speed_ratio(angle, phi - step)) / (2.0 * step);
        prop_assert!((acceleration_ratio(angle, phi) - slope).abs() < 1e-8);
        let train = JointTrain { joints: vec![TrainJoint::in_phase(angle)] };
        let sampled = train.peak_acceleration_ratio();
        prop_assert!((peak_acceleration_ratio(angle) / sampled - 1.0).abs() < 1e-4);
        prop_assert!((train.equivalent_angle().degrees() - angle.degrees()).abs() < 1e-9);
    }

    /// Two equal joints cancel when the yokes are in phase and the joints bend in one plane, either way (Z or W).
    #[test]
    fn equal_angles_in_phase_cancel(angle in 0.1..20.0_f64, w in any::<bool>()) {
        let plane = degrees(if w { 180.0 } else { 0.0 });
        let second = TrainJoint { plane, ..TrainJoint::in_phase(degrees(angle)) };
        let train = JointTrain { joints: vec![TrainJoint::in_phase(degrees(angle)), second] };
        let (slow, fast) = train.speed_range();
        prop_assert!(fast - slow < 1e-12, "{slow} {fast}");
        prop_assert!(train.equivalent_angle().degrees() < 1e-6);
    }

    /// Turning the driveline about its axis changes nothing; nor does turning it end for end change the equivalent angle.
    #[test]
    fn the_equivalent_angle_keeps_when_turned(train in train(15.0), by in -180.0..180.0_f64) {
        let turned = JointTrain {
            joints: train.joints.iter().map(|j| TrainJoint { plane: degrees(j.plane.degrees() + by), ..*j }).collect(),
        };
        let angle = train.equivalent_angle().degrees();
        prop_assert!((turned.equivalent_angle().degrees() - angle).abs() < 1e-6);
        prop_assert!((train.rear_driven(0).equivalent_angle().degrees() - angle).abs() < 1e-6);
    }

    /// Angle between two shafts from their views: symmetric, and the simple formula when one is straight ahead.
    #[test]
    fn the_true_angle_agrees_with_the_directions(plan in -30.0..30.0_f64, side in -30.0..30.0_f64) {
        let (plan, side) = (degrees(plan), degrees(side));
        let ahead = (Angle::ZERO, Angle::ZERO);
        let angle = angle_between(ahead, (plan, side)).degrees();
        prop_assert!((true_angle(plan, side).degrees() - angle).abs() < 1e-9);
        prop_assert!((angle_between((plan, side), ahead).degrees() - angle).abs() < 1e-9);
        prop_assert!(angle_between((plan, side), (plan, side)).degrees() < 1e-9);
    }
}

/// Two 3° joints, with the slip spline of 24 teeth assembled one tooth out: θ_e² = 2θ²·sin 15° (the two
/// vectors of the rule are 30° away from cancelling), so 2.158° instead of 0.
#[test]
fn a_tooth_out_is_told() {
    let pair = JointTrain { joints: vec![TrainJoint::in_phase(degrees(3.0)); 2] };
    let wrong = pair.with_phasing_error(1, spline_step(24).unwrap()).unwrap();
    let expected = 3.0 * (2.0 * 15.0_f64.to_radians().sin()).sqrt();
    assert!((wrong.equivalent_angle().degrees() / expected - 1.0).abs() < 1e-3, "{expected}");
    assert!(
        pair.with_phasing_error(0, Angle::ZERO).is_none()
            && pair.with_phasing_error(2, Angle::ZERO).is_none()
    );
}
