//! A shaft as the user describes it.

use crate::quantity::{Length, Speed, UnbalanceAmount};
use crate::shaft::{
    InspectionItem, JointTrain, Material, Override, Part, PointMass, RunoutReading, ShaftLimits, StandLimits,
    StatedMass, Support, Tube,
};

/// A stretch that is not the main tube: a stub shaft, a yoke's neck, a thicker tube.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ShaftSection {
    /// As the job names it: "front stub".
    pub name: String,
    /// From the front joint centre.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Outer diameter.
    pub outer_diameter: Length,
    /// Inner diameter; zero for a solid stub.
    pub inner_diameter: Length,
    /// Its own material; `None`: the tube's.
    pub material: Option<Material>,
}

/// Everything known about a shaft before it spins. What is not known is not checked, and the answer says so.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftDescription {
    /// The main tube, joint centre to joint centre; it fills whatever no section covers.
    pub tube: Option<Tube>,
    /// What the tube is made of; `None`: assumed to be steel, and the answers say so.
    pub material: Option<Material>,
    /// Stretches that are not the main tube.
    pub sections: Vec<ShaftSection>,
    /// Yokes, flanges and other masses that do not bend.
    pub masses: Vec<PointMass>,
    /// Steady bearings; also a joint centre that is not held by a pin (its support is then the one given here
    /// for position 0 or the tube's length).
    pub supports: Vec<Support>,
    /// Joints between the two ends, from the front joint centre.
    pub inner_joints: Vec<Length>,
    /// Parts between joints; there is a joint where two of them meet.
    pub parts: Vec<Part>,
    /// Its mass.
    pub mass: StatedMass,
    /// The mass centre from the front joint centre, if it was stated rather than weighed.
    pub mass_centre: Option<Length>,
    /// The highest speed it can ever reach.
    pub service_speed: Option<Speed>,
    /// The speed on the stand.
    pub stand_speed: Option<Speed>,
    /// The joints of the driveline, front to rear.
    pub joints: JointTrain,
    /// Readings of the dial indicator.
    pub runout: Vec<RunoutReading>,
    /// Permissible residual unbalance at each end, if it is known.
    pub permissible_per_end: Option<UnbalanceAmount>,
    /// What was inspected.
    pub inspection: Vec<InspectionItem>,
    /// Limits of the shaft.
    pub limits: ShaftLimits,
    /// Limits of the stand.
    pub stand: StandLimits,
    /// Someone's override.
    pub overruling: Option<Override>,
}

impl Default for ShaftDescription {
    /// A shaft about which nothing is known.
    fn default() -> Self {
        Self {
            tube: None,
            material: None,
            sections: Vec::new(),
            masses: Vec::new(),
            supports: Vec::new(),
            inner_joints: Vec::new(),
            parts: Vec::new(),
            mass: StatedMass::NotWeighed,
            mass_centre: None,
            service_speed: None,
            stand_speed: None,
            joints: JointTrain::default(),
            runout: Vec::new(),
            permissible_per_end: None,
            inspection: Vec::new(),
            limits: ShaftLimits::default(),
            stand: StandLimits::default(),
            overruling: None,
        }
    }
}

impl ShaftDescription {
    /// A plain tube about which nothing else is known.
    #[must_use]
    pub fn plain(tube: Tube, material: Option<Material>) -> Self {
        Self { tube: Some(tube), material, ..Self::default() }
    }

    /// The material used: the stated one, or steel.
    #[must_use]
    pub fn material_used(&self) -> Material {
        self.material.clone().unwrap_or_else(Material::assumed_steel)
    }
}
