//! Two, three or more joints in a row.

use std::f64::consts::{FRAC_PI_2, PI};

use num_complex::Complex64;

use super::kinematics::{acceleration_ratio, angle_for_irregularity, irregularity, output_turn, speed_ratio};
use super::true_angle::true_angle;
use crate::quantity::Angle;

/// One joint of a driveline.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TrainJoint {
    /// The true angle between its two shafts; less than a quarter turn.
    pub angle: Angle,
    /// The direction in which it bends, seen along the driveline; 0 for all when every joint bends in one plane.
    pub plane: Angle,
    /// How far its driving yoke is turned on its shaft from being in phase with the driven yoke of the joint
    /// before; 0 for yokes in phase. It has no meaning for the first joint.
    pub yoke_twist: Angle,
}

impl TrainJoint {
    /// A joint that bends in the common plane, yokes in phase.
    #[must_use]
    pub fn in_phase(angle: Angle) -> Self {
        Self { angle, plane: Angle::ZERO, yoke_twist: Angle::ZERO }
    }

    /// A joint measured in plan and side view, each the change of direction from the shaft before to the one after.
    #[must_use]
    pub fn from_views(plan: Angle, side: Angle) -> Self {
        let (across, up) = (plan.radians().tan(), side.radians().tan());
        Self {
            angle: true_angle(plan, side),
            plane: Angle::of(Complex64::new(across, up)),
            yoke_twist: Angle::ZERO,
        }
    }
}

/// Joints from the driving end on; the shaft before the first turns evenly.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JointTrain {
    /// Front to rear.
    pub joints: Vec<TrainJoint>,
}

impl JointTrain {
    /// Speed of the last shaft over that of the first, and its derivative by the first shaft's turn φ (so acceleration
    /// over ω₁²), by chaining the exact kinematics of every joint. φ in radians counts from where the first joint's
    /// output is fastest.
    #[must_use]
    pub fn output(&self, phi: f64) -> (f64, f64) {
        let (mut turn, mut speed, mut relative) = (phi, 1.0, 0.0);
        for (index, joint) in self.joints.iter().enumerate() {
            turn += self.offset(index);
            let ratio = speed_ratio(joint.angle, turn);
            relative += acceleration_ratio(joint.angle, turn) / ratio * speed;
            speed *= ratio;
            turn = output_turn(joint.angle, turn);
        }
        (speed, speed * relative)
    }

    /// Slowest and fastest speed of the last shaft over that of the first, exact kinematics over half a turn.
    #[must_use]
    pub fn speed_range(&self) -> (f64, f64) {
        self.sampled().fold((f64::INFINITY, 0.0), |(low, high), (speed, _)| (low.min(speed), high.max(speed)))
    }

    /// The largest acceleration of the last shaft over ω₁², exact kinematics.
    #[must_use]
    pub fn peak_acceleration_ratio(&self) -> f64 {
        self.sampled().fold(0.0, |peak, (_, acceleration)| acceleration.abs().max(peak))
    }

    /// The angle of a single joint with the same effect: U_e = |Σ Uᵢ·exp(2j·Φᵢ)| with Uᵢ = sin θᵢ·tan θᵢ and
    /// Φᵢ the phase of joint i.
    ///
    /// For small angles it is the shop's rule θ_e² = |Σ ±θᵢ²|, joints a quarter turn apart counting against
    /// each other; with sin·tan in place of the square it stays within 0.04 % of Σ Uᵢ of the exact kinematics
    /// up to 10° (tested). Peak acceleration is close to U_e·ω².
    #[must_use]
    pub fn equivalent_angle(&self) -> Angle {
        let mut phase = 0.0;
        let mut sum = Complex64::new(0.0, 0.0);
        for (index, joint) in self.joints.iter().enumerate() {
            phase += self.offset(index);
            sum += Complex64::from_polar(irregularity(joint.angle), 2.0 * phase);
        }
        angle_for_irregularity(sum.norm()).unwrap_or(Angle::ZERO)
    }

    /// The first `count` joints.
    #[must_use]
    pub fn front(&self, count: usize) -> Self {
        Self { joints: self.joints.iter().take(count).copied().collect() }
    }

    /// The joints from `first` on, driven from the rear: order and twists are turned round.
    #[must_use]
    pub fn rear_driven(&self, first: usize) -> Self {
        let kept = self.joints.get(first..).unwrap_or_default();
        let twist_behind =
            |index: usize| kept.get(index + 1).map_or(Angle::ZERO, |joint| joint.yoke_twist.mirrored());
        let joints =
            (0..kept.len()).rev().map(|index| TrainJoint { yoke_twist: twist_behind(index), ..kept[index] });
        Self { joints: joints.collect() }
    }

    /// The same train with the yoke before joint `index` (1 is the second joint) turned by `error`: a slip spline put
    /// together some teeth out. `None` if there is no such joint.
    #[must_use]
    pub fn with_phasing_error(&self, index: usize, error: Angle) -> Option<Self> {
        let mut train = self.clone();
        let joint = train.joints.get_mut(index).filter(|_| index > 0)?;
        joint.yoke_twist = Angle::from_degrees(joint.yoke_twist.degrees() + error.degrees()).ok()?;
        Some(train)
    }

    /// What is added between the turn of joint `index − 1`'s output and that of joint `index`'s input, each
    /// counted from its own joint's fastest place: the two yokes of a cross are a quarter turn apart.
    fn offset(&self, index: usize) -> f64 {
        let Some(before) = index.checked_sub(1) else { return 0.0 };
        let joint = &self.joints[index];
        FRAC_PI_2 + joint.yoke_twist.radians() - joint.plane.radians() + self.joints[before].plane.radians()
    }

    fn sampled(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        (0..SAMPLES).map(|step| self.output(PI * f64::from(step) / f64::from(SAMPLES)))
    }
}

/// Over half a turn; the largest of a smooth wave is met to about (π/SAMPLES)²/2 of itself: 2·10⁻⁶.
const SAMPLES: u32 = 1440;

/// The phasing error of a spline put together one tooth out: 360°/teeth. `None` for no teeth.
///
/// ```
/// assert_eq!(balance_core::shaft::spline_step(24).expect("it has teeth").degrees(), 15.0);
/// ```
#[must_use]
pub fn spline_step(teeth: u32) -> Option<Angle> {
    Angle::from_degrees(360.0 / f64::from(teeth)).ok()
}
