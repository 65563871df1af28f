//! What is checked of the shaft before it spins.

use super::{DrivelineJoint, ReachedSpeed, Relength, TubeMaterial, YokeSwap};
use crate::shaft::{InspectionItem, Override, PointMass, RunoutReading, ShaftLimits, ShaftSection, Support};

/// What a job states about the shaft beyond its tube, mass and speed. What is not stated is empty.
#[derive(Debug, Clone, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ShaftDetails {
    /// The tube's material with its figures.
    pub material: TubeMaterial,
    /// Stretches that are not the main tube, front to rear.
    pub sections: Vec<ShaftSection>,
    /// Yokes, flanges and other masses that do not bend, with their names.
    pub ends: Vec<(String, PointMass)>,
    /// Steady bearings between the two joint centres.
    pub steady_bearings: Vec<Support>,
    /// The driveline's joints, front to rear.
    pub joints: Vec<DrivelineJoint>,
    /// The speed that the drive can reach.
    pub reached: Option<ReachedSpeed>,
    /// What decides the tube's length.
    pub relength: Option<Relength>,
    /// Yokes changed to another joint series.
    pub yoke_changes: Vec<YokeSwap>,
    /// The dial indicator's readings; empty: runout was not measured.
    pub runout: Vec<RunoutReading>,
    /// What was inspected on the bench, and what was decided.
    pub inspection: Vec<InspectionItem>,
    /// Someone continues although the check refuses.
    pub overruling: Option<Override>,
    /// The limits the shaft is checked against, or the usual ones.
    pub limits: ShaftLimits,
}
