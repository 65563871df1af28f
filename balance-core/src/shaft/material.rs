//! What the tube is made of.

use crate::quantity::{Density, Quantity as _, QuantityFault, Stress};

/// What welding a weight or a yoke on this material requires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Weldability {
    /// Ordinary shop welding.
    Ready,
    /// Only by a written procedure: preheat, filler and the effect of heat on the strength must be known.
    ByProcedure,
    /// Not in this shop: bonded or clamped weights only.
    No,
    /// Not stated: weights are computed, welding advice is withheld.
    Unknown,
}

/// A material with its own elastic modulus, density and Poisson ratio.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Material {
    /// As the job names it: "steel".
    pub name: String,
    /// Young's modulus.
    pub elastic_modulus: Stress,
    /// Density.
    pub density: Density,
    /// Poisson's ratio; above −1 and at most 0.5.
    pub poisson_ratio: f64,
    /// Whether and how it can be welded.
    pub weldability: Weldability,
    /// Where the figures come from.
    pub source: String,
}

/// One row of the table of materials, in GPa and kg/m³.
struct Row {
    name: &'static str,
    gigapascals: f64,
    density: f64,
    poisson_ratio: f64,
    weldability: Weldability,
    source: &'static str,
}

const ROWS: [Row; 5] = [
    Row {
        name: "steel",
        gigapascals: 207.0,
        density: 7850.0,
        poisson_ratio: 0.29,
        weldability: Weldability::Ready,
        source: "carbon steel, handbook values from memory",
    },
    Row {
        name: "alloy steel",
        gigapascals: 205.0,
        density: 7850.0,
        poisson_ratio: 0.29,
        weldability: Weldability::ByProcedure,
        source: "chromium-molybdenum steel, handbook values from memory",
    },
    Row {
        name: "stainless steel",
        gigapascals: 193.0,
        density: 8000.0,
        poisson_ratio: 0.29,
        weldability: Weldability::ByProcedure,
        source: "austenitic stainless steel, handbook values from memory",
    },
    Row {
        name: "aluminium",
        gigapascals: 69.0,
        density: 2700.0,
        poisson_ratio: 0.33,
        weldability: Weldability::ByProcedure,
        source: "6061-T6, handbook values from memory; welding takes much of its temper near the bead",
    },
    Row {
        name: "titanium",
        gigapascals: 114.0,
        density: 4430.0,
        poisson_ratio: 0.34,
        weldability: Weldability::ByProcedure,
        source: "Ti-6Al-4V, handbook values from memory",
    },
];

impl Row {
    fn material(&self) -> Option<Material> {
        Some(Material {
            name: self.name.into(),
            elastic_modulus: Stress::from_megapascals(self.gigapascals * 1000.0).ok()?,
            density: Density::from_kilograms_per_cubic_metre(self.density).ok()?,
            poisson_ratio: self.poisson_ratio,
            weldability: self.weldability,
            source: self.source.into(),
        })
    }
}

impl Material {
    /// The material with this name in the table; `None` if the table does not have it. A bonded composite is
    /// not in it: its modulus depends on how it was wound, so its maker's figures are needed.
    ///
    /// ```
    /// use balance_core::shaft::Material;
    /// let steel = Material::named("steel").expect("the table has steel");
    /// assert_eq!(steel.elastic_modulus.megapascals(), 207_000.0);
    /// assert!(Material::named("oak").is_none());
    /// ```
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim();
        ROWS.iter().find(|row| row.name.eq_ignore_ascii_case(name)).and_then(Row::material)
    }

    /// The names in the table.
    #[must_use]
    pub fn names() -> Vec<&'static str> {
        ROWS.iter().map(|row| row.name).collect()
    }

    /// What an unstated material is assumed to be: steel, with weldability unknown.
    #[must_use]
    pub fn assumed_steel() -> Self {
        let steel = ROWS[0].material().expect("the table's own numbers are in range");
        Self { weldability: Weldability::Unknown, ..steel }
    }

    /// A material with the figures its maker states.
    ///
    /// # Errors
    ///
    /// [`QuantityFault::OutOfRange`] if modulus or density is zero, or the Poisson ratio is not in (−1, 0.5].
    pub fn stated(
        name: &str,
        elastic_modulus: Stress,
        density: Density,
        poisson_ratio: f64,
    ) -> Result<Self, QuantityFault> {
        let fault = |quantity, value| Err(QuantityFault::OutOfRange { quantity, value });
        if elastic_modulus.megapascals() <= 0.0 {
            return fault(Stress::WORD, elastic_modulus.megapascals());
        }
        if density.kilograms_per_cubic_metre() <= 0.0 {
            return fault(Density::WORD, density.kilograms_per_cubic_metre());
        }
        if !(poisson_ratio > -1.0 && poisson_ratio <= 0.5) {
            return fault("Poisson ratio", poisson_ratio);
        }
        Ok(Self {
            name: name.into(),
            elastic_modulus,
            density,
            poisson_ratio,
            weldability: Weldability::Unknown,
            source: "stated by the user".into(),
        })
    }

    /// Young's modulus in pascals.
    #[must_use]
    pub fn elastic_modulus_pascals(&self) -> f64 {
        self.elastic_modulus.megapascals() * 1e6
    }

    /// Shear modulus E/(2(1 + ν)) in pascals.
    #[must_use]
    pub fn shear_modulus_pascals(&self) -> f64 {
        self.elastic_modulus_pascals() / (2.0 * (1.0 + self.poisson_ratio))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The bounds of an isotropic material (theory of elasticity): −1 < ν ≤ 0.5.
    #[test]
    fn a_stated_material_is_possible() {
        let stated = |ratio| {
            let modulus = Stress::from_megapascals(70e3).unwrap();
            Material::stated("own", modulus, Density::from_kilograms_per_cubic_metre(2700.0).unwrap(), ratio)
        };
        for (ratio, possible) in
            [(-1.0, false), (-0.9, true), (0.0, true), (0.5, true), (0.51, false), (f64::NAN, false)]
        {
            assert_eq!(stated(ratio).is_ok(), possible, "{ratio}");
        }
    }
}
