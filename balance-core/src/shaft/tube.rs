//! The welded tube.

use super::{Material, RoundSection};
use crate::quantity::{Length, Mass};

/// A round tube between joint centres.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Tube {
    /// Outer diameter.
    pub outer_diameter: Length,
    /// Wall thickness; less than half the diameter.
    pub wall: Length,
    /// Joint centre to joint centre.
    pub length: Length,
}

impl Tube {
    /// Once round on the outside, in mm.
    #[must_use]
    pub fn circumference_millimetres(&self) -> f64 {
        self.outer_diameter.millimetres() * std::f64::consts::PI
    }

    /// Mass of one metre in kg; `None` if the wall is zero or thicker than the radius.
    ///
    /// ```
    /// use balance_core::{quantity::parse, shaft::{Material, Tube}};
    /// let tube = Tube { outer_diameter: parse("90 mm")?, wall: parse("3 mm")?, length: parse("1500 mm")? };
    /// let steel = Material::named("steel").expect("the table has steel");
    /// assert!((tube.kilograms_per_metre(&steel).expect("a tube") - 6.437).abs() < 5e-4);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn kilograms_per_metre(&self, material: &Material) -> Option<f64> {
        RoundSection::of_tube(self).map(|section| section.kilograms_per_metre(material))
    }

    /// Mass of the whole length as if it were tube from joint centre to joint centre; `None` as above.
    #[must_use]
    pub fn mass(&self, material: &Material) -> Option<Mass> {
        let kilograms = self.kilograms_per_metre(material)? * self.length.millimetres() / 1000.0;
        Mass::from_grams(kilograms * 1000.0).ok()
    }
}
