//! What the tube is made of.

use crate::shaft::Material;

/// What is known of the tube's material.
#[derive(Debug, Clone, PartialEq, Default)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum TubeMaterial {
    /// Not stated: the critical speed is computed as for steel, welding advice is withheld.
    #[default]
    NotStated,
    /// A name that is not in the table, without its own figures.
    NotInTable(String),
    /// Known.
    Known(Material),
}

impl TubeMaterial {
    /// The material, if it is known.
    #[must_use]
    pub fn known(&self) -> Option<&Material> {
        match self {
            Self::Known(material) => Some(material),
            Self::NotStated | Self::NotInTable(_) => None,
        }
    }

    /// The name that was stated, if there is one.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        match self {
            Self::NotStated => None,
            Self::NotInTable(name) => Some(name),
            Self::Known(material) => Some(&material.name),
        }
    }
}
