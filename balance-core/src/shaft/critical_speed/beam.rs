//! The beam that models a shaft.

use crate::quantity::{Length, Mass, Stiffness};
use crate::shaft::{Material, RoundSection};

/// How a metre of beam bends, shears and weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeamProperties {
    /// E·I in N·m².
    pub bending_stiffness: f64,
    /// 1/(κ·G·A) in 1/N; zero for a beam that does not shear (Euler–Bernoulli).
    pub shear_flexibility: f64,
    /// ρ·A in kg/m.
    pub kilograms_per_metre: f64,
    /// ρ·I in kg·m; zero leaves rotary inertia out.
    pub rotary_inertia: f64,
}

impl BeamProperties {
    /// A Timoshenko beam: it bends and shears, and its slices turn.
    #[must_use]
    pub fn timoshenko(section: RoundSection, material: &Material) -> Self {
        let area = section.area();
        let shear =
            section.shear_coefficient(material.poisson_ratio) * material.shear_modulus_pascals() * area;
        Self {
            shear_flexibility: 1.0 / shear,
            rotary_inertia: material.density.kilograms_per_cubic_metre() * section.second_moment(),
            ..Self::euler_bernoulli(section, material)
        }
    }

    /// An Euler–Bernoulli beam: it bends only. For comparison with closed formulas.
    #[must_use]
    pub fn euler_bernoulli(section: RoundSection, material: &Material) -> Self {
        Self {
            bending_stiffness: material.elastic_modulus_pascals() * section.second_moment(),
            shear_flexibility: 0.0,
            kilograms_per_metre: section.kilograms_per_metre(material),
            rotary_inertia: 0.0,
        }
    }
}

/// A length of beam with the same properties throughout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeamPiece {
    /// Where it begins, from the front joint centre.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// What it is made of.
    pub properties: BeamProperties,
}

/// A yoke, a flange, a brake disc: a mass that does not bend.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct PointMass {
    /// From the front joint centre.
    pub position: Length,
    /// How much.
    pub mass: Mass,
    /// Moment of inertia about a diameter in kg·m²; zero if it is not known.
    pub rotary_inertia: f64,
}

/// How a place of the shaft is held.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Restraint {
    /// It cannot move sideways and can turn: a joint centre, a stiff self-aligning bearing.
    Pinned,
    /// It can neither move nor turn.
    Clamped,
    /// A spring sideways: a steady bearing in rubber.
    Elastic(Stiffness),
}

/// A place where the shaft is held.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Support {
    /// From the front joint centre.
    pub position: Length,
    /// How.
    pub restraint: Restraint,
}

/// A shaft as a beam: pieces end to end, masses on it, supports under it, joints in it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beam {
    /// Front to rear, each beginning where the one before ends.
    pub pieces: Vec<BeamPiece>,
    /// Masses on it.
    pub masses: Vec<PointMass>,
    /// Places where it is held.
    pub supports: Vec<Support>,
    /// Joints within it, which carry no bending moment; from the front joint centre.
    pub hinges: Vec<Length>,
}

impl Beam {
    /// One uniform piece from the front joint centre, pinned at both ends.
    #[must_use]
    pub fn pinned(length: Length, properties: BeamProperties) -> Self {
        let start = Length::from_millimetres(0.0).expect("zero is a length");
        let pin = |position| Support { position, restraint: Restraint::Pinned };
        Self {
            pieces: vec![BeamPiece { from: start, to: length, properties }],
            supports: vec![pin(start), pin(length)],
            ..Self::default()
        }
    }
}
