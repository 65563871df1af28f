//! All of it together.

use balance_core::quantity::Speed;
use balance_core::shaft::{
    InspectionItem, MatchMark, Override, PointMass, ShaftLimits, ShaftSection, ShaftState, Support, Tube,
};

use super::{
    DrivelineJoint, ReachedSpeed, Relength, RunoutFile, TubeMaterial, YokeSwap, build, drive, joints, limits,
    material, relength, runout, state,
};
use crate::files::toml_reader::Document;

/// What a job says of the shaft beyond its tube, mass and speed. What it does not say is empty.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftDetails {
    /// `[tube] material` with its figures.
    pub material: TubeMaterial,
    /// `[[section]]`: stretches that are not the main tube.
    pub sections: Vec<ShaftSection>,
    /// `[[end]]`: yokes, flanges and other masses that do not bend, with their names.
    pub ends: Vec<(String, PointMass)>,
    /// `[[steady_bearing]]`.
    pub steady_bearings: Vec<Support>,
    /// `[[joint]]`: the driveline's joints, front to rear.
    pub joints: Vec<DrivelineJoint>,
    /// `[service]`: the speed that the drive can reach.
    pub reached: Option<ReachedSpeed>,
    /// `[stand] speed`: the speed the shaft is balanced at, until the runs say it.
    pub stand_speed: Option<Speed>,
    /// `[relength]`: what decides the tube's length.
    pub relength: Option<Relength>,
    /// `[[yoke_change]]`: yokes changed to another joint series.
    pub yoke_changes: Vec<YokeSwap>,
    /// `[runout]`: the dial indicator's readings, in a file of their own.
    pub runout: Option<RunoutFile>,
    /// `[received]`: how it came.
    pub received: Option<ShaftState>,
    /// `[built]`: how it was built.
    pub built: Option<ShaftState>,
    /// `[[match_mark]]`.
    pub match_marks: Vec<MatchMark>,
    /// `[[inspection]]`.
    pub inspection: Vec<InspectionItem>,
    /// `[override]`: someone goes on although the check says no.
    pub overruling: Option<Override>,
    /// `[limits]`, or their defaults.
    pub limits: ShaftLimits,
}

impl ShaftDetails {
    pub(in crate::files::job) fn read(document: &Document<'_>, tube: Option<&Tube>) -> Self {
        Self {
            material: material::read(document),
            sections: build::read_sections(document, tube),
            ends: build::read_ends(document, tube),
            steady_bearings: build::read_steady_bearings(document, tube),
            joints: joints::read(document, tube),
            reached: drive::read(document),
            stand_speed: document.section("stand").positive::<Speed>("speed"),
            relength: relength::read(document),
            yoke_changes: relength::read_yoke_changes(document),
            runout: runout::read(document),
            received: state::read_state(document, "received"),
            built: state::read_state(document, "built"),
            match_marks: state::read_match_marks(document),
            inspection: state::read_inspection(document),
            overruling: state::read_override(document),
            limits: limits::read(document),
        }
    }
}
