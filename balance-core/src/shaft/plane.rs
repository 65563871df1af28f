//! Planes across the shaft and the parts between joints.

use crate::quantity::{Length, Mass};

/// A correction plane (ISO 21940-2): where weights go.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CorrectionPlane {
    /// As the job names it: "front", "rear".
    pub name: String,
    /// From the front joint centre; needed to move what is left to the tolerance planes.
    pub position: Option<Length>,
    /// Mass centre of a weight; without it masses are compared at one radius.
    pub radius: Option<Length>,
    /// Where trial masses sit, if elsewhere.
    pub trial_radius: Option<Length>,
}

impl CorrectionPlane {
    /// A plane of which only the name is known.
    #[must_use]
    pub fn named(name: &str) -> Self {
        Self { name: name.into(), position: None, radius: None, trial_radius: None }
    }

    /// What turns a mass in g into an unbalance: the radius in mm, or 1 where masses are compared at one radius.
    #[must_use]
    pub fn lever(&self) -> f64 {
        self.radius.map_or(1.0, Length::millimetres)
    }
}

/// A tolerance plane (ISO 21940-2): where the limit holds.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TolerancePlane {
    /// As the job names it: "front joint".
    pub name: String,
    /// From the front joint centre.
    pub position: Length,
}

/// One part of a shaft made of several between its joints and bearings.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Part {
    /// As the job names it: "front half".
    pub name: String,
    /// Its own mass.
    pub mass: Mass,
    /// Where it begins, from the front joint centre.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
}
