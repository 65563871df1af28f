//! The shaft's weighed mass, compared with the mass of tube and ends.

use super::ShaftDescription;
use super::assemble::Stretch;
use crate::caution::Caution;
use crate::quantity::{Length, Mass};
use crate::shaft::{MassBasis, StatedMass};

/// The mass a verdict rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassFinding {
    /// The mass used.
    pub used: Mass,
    /// Where it comes from.
    pub basis: MassBasis,
    /// Tube, sections and stated ends together, if the tube is known.
    pub estimated: Option<Mass>,
    /// Tube and sections alone.
    pub tube_alone: Option<Mass>,
    /// The mass centre from the front joint centre: stated, weighed or worked out from the dimensions.
    pub mass_centre: Option<Length>,
}

/// Mass and moment about the front joint centre, in g and g·mm.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    mass: f64,
    moment: f64,
}

impl Sum {
    fn add(&mut self, grams: f64, millimetres: f64) {
        self.mass += grams;
        self.moment += grams * millimetres;
    }
}

impl ShaftDescription {
    /// The mass used for this shaft, without checking anything else: weighed, or estimated from tube,
    /// sections and ends. `None` if it was not weighed and the tube is not known or not consistent.
    ///
    /// ```
    /// use balance_core::quantity::parse;
    /// use balance_core::shaft::{MassBasis, Material, ShaftDescription, Tube};
    /// let tube = Tube { outer_diameter: parse("90 mm")?, wall: parse("3 mm")?, length: parse("1000 mm")? };
    /// let mass = ShaftDescription::plain(tube, Material::named("steel")).mass().expect("the tube is known");
    /// assert!((mass.used.kilograms() - 6.437).abs() < 5e-4 && mass.basis == MassBasis::Estimated);
    /// # Ok::<(), balance_core::quantity::QuantityFault>(())
    /// ```
    #[must_use]
    pub fn mass(&self) -> Option<MassFinding> {
        let stretches = self.tube.as_ref().and_then(|tube| self.stretches(tube).ok());
        self.mass_finding(stretches.as_deref())
    }

    /// The mass with its basis; `None` if it was not weighed and the tube is not known.
    pub(super) fn mass_finding(&self, stretches: Option<&[Stretch]>) -> Option<MassFinding> {
        let mut sum = Sum::default();
        for stretch in stretches.unwrap_or_default() {
            let (from, to) = (stretch.from.millimetres(), stretch.to.millimetres());
            sum.add(stretch.section.kilograms_per_metre(&stretch.material) * (to - from), (from + to) / 2.0);
        }
        let tube_alone = stretches.and_then(|_| Mass::from_grams(sum.mass).ok());
        for mass in &self.masses {
            sum.add(mass.mass.grams(), mass.position.millimetres());
        }
        let estimated = stretches.and_then(|_| Mass::from_grams(sum.mass).ok());
        let centre_from_dimensions =
            estimated.and_then(|_| Length::from_millimetres(sum.moment / sum.mass).ok());
        let (used, basis, weighed_centre) = match self.mass {
            StatedMass::NotWeighed => (estimated?, MassBasis::Estimated, None),
            StatedMass::Weighed(mass) => (mass, MassBasis::Weighed, None),
            StatedMass::Scales(scales) => (scales.mass(), MassBasis::Weighed, scales.mass_centre()),
        };
        let mass_centre = self.mass_centre.or(weighed_centre).or(centre_from_dimensions);
        Some(MassFinding { used, basis, estimated, tube_alone, mass_centre })
    }

    /// The cautions about the mass.
    pub(super) fn mass_cautions(&self, finding: Option<&MassFinding>) -> Vec<Caution> {
        let mut cautions = self.whole_mass_cautions(finding);
        cautions.extend(finding.and_then(|finding| self.far_off(finding)));
        cautions.extend(self.part_cautions());
        cautions
    }

    fn whole_mass_cautions(&self, finding: Option<&MassFinding>) -> Vec<Caution> {
        let Some(finding) = finding else {
            return vec![Caution::MassUnknown];
        };
        if finding.basis == MassBasis::Estimated {
            let ends_counted = !self.masses.is_empty();
            return vec![Caution::MassEstimated { mass: finding.used, ends_counted }];
        }
        let mut cautions = Vec::new();
        let limit = self.limits.mass_difference;
        let (Some(estimated), Some(tube)) = (finding.estimated, finding.tube_alone) else { return cautions };
        let kilograms = finding.used.kilograms();
        let difference = kilograms - estimated.kilograms();
        let too_light = kilograms < tube.kilograms() * (1.0 - limit.value);
        if too_light || (!self.masses.is_empty() && difference.abs() > limit.value * kilograms) {
            let (weighed, let_pass) = (finding.used, limit.into());
            cautions.push(Caution::MassDisagrees { weighed, estimated, let_pass });
        }
        cautions
    }
}
