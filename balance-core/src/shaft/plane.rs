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
    /// The radius of trial masses, if it differs.
    pub trial_radius: Option<Length>,
}

impl CorrectionPlane {
    /// A plane about which only the name is known.
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

/// One part of a shaft that has several between its joints and bearings.
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

impl Part {
    /// A place this near an end, as a share of the part's length, still belongs to it [derived here: the bracket of a
    /// steady bearing sits closer to its joint than that].
    const REACH: f64 = 0.1;

    /// Its front and rear end in mm, whichever way it was given.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        let (from, to) = (self.from.millimetres(), self.to.millimetres());
        (from.min(to), from.max(to))
    }

    /// How far a place in mm lies outside it, in mm; zero at and between its ends.
    ///
    /// ```
    /// use balance_core::{quantity::{Mass, parse}, shaft::Part};
    /// let rear = Part { name: "rear half".into(), mass: Mass::ZERO, from: parse("850 mm")?, to: parse("1900 mm")? };
    /// assert_eq!((rear.off(830.0), rear.off(1000.0), rear.off(1950.0)), (20.0, 0.0, 50.0));
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn off(&self, millimetres: f64) -> f64 {
        let (front, rear) = self.ends();
        (front - millimetres).max(millimetres - rear).max(0.0)
    }

    /// How far outside a place still belongs to it, in mm: a tenth of its length.
    #[must_use]
    pub fn reach_millimetres(&self) -> f64 {
        let (front, rear) = self.ends();
        Self::REACH * (rear - front)
    }

    /// Whether a place in mm lies within that of one of its ends (also in mm).
    #[must_use]
    pub fn near_end(&self, millimetres: f64, end: f64) -> bool {
        (millimetres - end).abs() <= self.reach_millimetres()
    }
}
