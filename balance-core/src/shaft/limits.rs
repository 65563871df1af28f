//! The limits a shaft is checked against: each is a setting with a default and the source of the default.

use crate::caution::Bound;

/// How well a limit is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Basis {
    /// A propeller-shaft supplier's data sheet.
    SupplierSheet,
    /// Common practice, no source.
    CommonPractice,
    /// From memory, the source is not at hand.
    FromMemory,
    /// The user's own setting.
    Stated,
}

impl Basis {
    /// The text printed after the number.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SupplierSheet => "a propeller-shaft supplier's data sheet",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory, source not at hand",
            Self::Stated => "your setting",
        }
    }
}

/// A limit and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Limit {
    /// The value, in the unit its field states.
    pub value: f64,
    /// How well it is known.
    pub basis: Basis,
}

impl Limit {
    const fn new(value: f64, basis: Basis) -> Self {
        Self { value, basis }
    }

    /// The user's own.
    #[must_use]
    pub fn stated(value: f64) -> Self {
        Self::new(value, Basis::Stated)
    }
}

impl From<Limit> for Bound {
    fn from(limit: Limit) -> Self {
        Self { value: limit.value, basis: limit.basis.words().to_owned() }
    }
}

/// Service speed at most this share of the first critical speed: vehicles.
pub const MARGIN_VEHICLE: Limit = Limit::new(0.70, Basis::SupplierSheet);
/// The same for industrial shafts.
pub const MARGIN_INDUSTRIAL: Limit = Limit::new(0.65, Basis::SupplierSheet);

/// No override is accepted from this share of the lowest critical speed on. It is not a setting.
pub const NO_OVERRIDE_FROM: f64 = 0.9;

/// All limits of a shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct ShaftLimits {
    /// Speed over critical speed, at most.
    pub margin_ratio: Limit,
    /// Speed over critical speed from which an answer carries the caution `elastic`.
    pub elastic_from: Limit,
    /// Speed over critical speed up to which the shaft counts as rigid enough for two-plane work.
    pub rigid_to: Limit,
    /// Total indicator reading at ends and journals, in mm.
    pub runout_ends: Limit,
    /// Total indicator reading in the middle of the tube, in mm.
    pub runout_middle: Limit,
    /// Each joint angle at least, in degrees: needles that never roll wear into the journal.
    pub least_joint_angle: Limit,
    /// Each joint angle at most for smooth running, in degrees.
    pub most_joint_angle: Limit,
    /// The two angles of a shaft differ at most by this, in degrees.
    pub joint_angle_difference: Limit,
    /// Yokes of a shaft out of phase by at most this, in degrees.
    pub phase_error: Limit,
    /// Torsional acceleration left at the output, in rad/s².
    pub torsional_acceleration: Limit,
    /// Acceleration of a piece between joints, driving or coasting, in rad/s².
    pub inertia_acceleration: Limit,
    /// Weighed against estimated mass: a difference above this share asks for a second look.
    pub mass_difference: Limit,
}

impl Default for ShaftLimits {
    fn default() -> Self {
        let practice = |value| Limit::new(value, Basis::CommonPractice);
        Self {
            margin_ratio: MARGIN_VEHICLE,
            elastic_from: practice(0.3),
            rigid_to: practice(0.5),
            runout_ends: practice(0.13),
            runout_middle: practice(0.25),
            least_joint_angle: practice(0.5),
            most_joint_angle: practice(3.0),
            joint_angle_difference: practice(1.0),
            phase_error: practice(1.0),
            torsional_acceleration: Limit::new(300.0, Basis::FromMemory),
            inertia_acceleration: Limit::new(1000.0, Basis::FromMemory),
            mass_difference: practice(0.15),
        }
    }
}

impl ShaftLimits {
    /// The defaults with the margin for industrial shafts.
    #[must_use]
    pub fn industrial() -> Self {
        Self { margin_ratio: MARGIN_INDUSTRIAL, ..Self::default() }
    }

    /// Every limit with its key in a job file and its unit, for listings.
    #[must_use]
    pub fn listed(&self) -> [(&'static str, &'static str, Limit); 12] {
        [
            ("margin_ratio", "", self.margin_ratio),
            ("elastic_from", "", self.elastic_from),
            ("rigid_to", "", self.rigid_to),
            ("runout_ends", "mm", self.runout_ends),
            ("runout_middle", "mm", self.runout_middle),
            ("least_joint_angle", "deg", self.least_joint_angle),
            ("most_joint_angle", "deg", self.most_joint_angle),
            ("joint_angle_difference", "deg", self.joint_angle_difference),
            ("phase_error", "deg", self.phase_error),
            ("torsional_acceleration", "rad/s2", self.torsional_acceleration),
            ("inertia_acceleration", "rad/s2", self.inertia_acceleration),
            ("mass_difference", "", self.mass_difference),
        ]
    }

    /// Keys of limits with an impossible value: not positive, or a share of the critical speed at or above
    /// [`NO_OVERRIDE_FROM`].
    #[must_use]
    pub fn impossible(&self) -> Vec<(&'static str, f64)> {
        let shares = ["margin_ratio", "elastic_from", "rigid_to"];
        let wrong = |key: &str, value: f64| {
            !value.is_finite() || value <= 0.0 || (shares.contains(&key) && value >= NO_OVERRIDE_FROM)
        };
        self.listed()
            .into_iter()
            .filter(|(key, _, limit)| wrong(key, limit.value))
            .map(|(key, _, limit)| (key, limit.value))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_is_positive_finite_and_no_share_near_one() {
        assert_eq!(ShaftLimits::default().impossible(), []);
        for (value, wrong) in [(-1.0, true), (0.0, true), (f64::INFINITY, true), (0.9, true), (0.89, false)] {
            let usual = ShaftLimits::default();
            let limits = ShaftLimits { rigid_to: Limit { value, ..usual.rigid_to }, ..usual };
            assert_eq!(!limits.impossible().is_empty(), wrong, "{value}");
        }
    }
}
