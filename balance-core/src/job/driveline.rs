//! The joints of the driveline, and how fast the drive can turn the shaft.

use crate::quantity::{Length, Mass, Speed};
use crate::shaft::{Drive, TrainJoint};

/// One universal joint of the driveline.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct DrivelineJoint {
    /// As the job names it.
    pub name: Option<String>,
    /// Where it sits between the shaft's two ends; `None`: at an end, or outside this shaft.
    pub position: Option<Length>,
    /// Its angle, plane and phase; `None` if the angle is not stated.
    pub bend: Option<TrainJoint>,
    /// Teeth of the slip spline before it, if there is one.
    pub spline_teeth: Option<u32>,
    /// The joint's series, as the shop names it.
    pub series: Option<String>,
    /// Joint centre to the shoulder the tube butts on.
    pub centre_to_shoulder: Option<Length>,
    /// The mass of the joint with its yoke.
    pub mass: Option<Mass>,
}

/// A service speed worked out from the drive.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ReachedSpeed {
    /// What drives the shaft.
    pub drive: Drive,
    /// The resulting speed.
    pub speed: Speed,
}
