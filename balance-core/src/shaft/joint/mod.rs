//! Universal (cross-type) joints: how their angles affect an even rotation.

mod findings;
mod fit;
mod kinematics;
mod train;
mod true_angle;

pub use findings::{JointFindings, check_joints};
pub use fit::{JointSize, Misfit, YokeSize};
pub use kinematics::{
    acceleration_ratio, angle_for_irregularity, irregularity, output_turn, peak_acceleration_ratio,
    speed_ratio,
};
pub use train::{JointTrain, TrainJoint, spline_step};
pub use true_angle::{angle_between, true_angle};
