//! A slip in the mass: pounds for kilograms, a digit too many, parts of another shaft. The limit grows with
//! the mass, so a slip can pass a shaft that must not pass.

use super::{MassFinding, ShaftDescription};
use crate::caution::Caution;
use crate::quantity::Mass;
use crate::shaft::{MassBasis, StatedMass};

/// Further apart than this is worth a second look: a pound is 2.2 times less than a kilogram.
const APART: f64 = 2.0;
/// No yoke and no joint explains a difference larger than this [derived here].
const FAR_APART: f64 = 4.0;
/// An end without a stated mass counts as a solid cylinder of the tube's diameter, this many diameters long
/// [derived here from the invented shafts of the demo workshop: 0.57 to 0.82].
const USUAL_END: f64 = 0.7;
/// Two scales may disagree by this share of the mass [common practice, no source].
const SCALES: f64 = 0.02;
/// Half a step of a scale that shows tenths of a kilogram, for each weighing, in kg.
const HALF_STEP: f64 = 0.05;

impl ShaftDescription {
    /// Whether the mass behind the limit is far from the mass of tube and ends.
    pub(super) fn far_off(&self, finding: &MassFinding) -> Option<Caution> {
        let usual = self.usual_kilograms(finding)?;
        let whole = Some(finding.used.kilograms()).filter(|_| finding.basis == MassBasis::Weighed);
        let stated = whole.into_iter().chain(self.of_parts());
        let times = |stated: f64| (stated / usual).max(usual / stated);
        let worst = stated.max_by(|one, other| times(*one).total_cmp(&times(*other)))?;
        let mass = |kilograms: f64| Mass::from_grams(1000.0 * kilograms).ok();
        let (stated, usual, times) = (mass(worst)?, mass(usual)?, times(worst));
        (times > APART).then_some(Caution::MassFarOff { stated, usual, beyond_doubt: times > FAR_APART })
    }

    /// The cautions about the masses of the parts.
    pub(super) fn part_cautions(&self) -> Vec<Caution> {
        let Some(parts) = self.of_parts() else { return Vec::new() };
        let mut found = Vec::new();
        let whole = match self.mass {
            StatedMass::NotWeighed => None,
            StatedMass::Weighed(mass) => Some(mass),
            StatedMass::Scales(scales) => Some(scales.mass()),
        };
        let let_pass = |whole: f64| SCALES * whole + HALF_STEP * (self.parts.len() + 1) as f64;
        if let Some(whole) =
            whole.map(Mass::kilograms).filter(|whole| (whole - parts).abs() > let_pass(*whole))
        {
            let mass = |kilograms: f64| Mass::from_grams(1000.0 * kilograms).unwrap_or(Mass::ZERO);
            let [whole, parts, let_pass] = [whole, parts, let_pass(whole)].map(mass);
            found.push(Caution::PartsDoNotAddUp { whole, parts, let_pass });
        }
        if self.mass_centre.is_some() {
            found.push(Caution::MassCentreNotUsed);
        }
        found
    }

    /// The parts together, in kg; `None` for a shaft of one piece.
    fn of_parts(&self) -> Option<f64> {
        (!self.parts.is_empty()).then(|| self.parts.iter().map(|part| part.mass.kilograms()).sum())
    }

    /// The mass of a shaft like this: tube, sections and stated ends; usual ends where none are stated.
    fn usual_kilograms(&self, finding: &MassFinding) -> Option<f64> {
        let estimated = finding.estimated?.kilograms();
        if !self.masses.is_empty() {
            return Some(estimated);
        }
        let diameter = self.tube.as_ref()?.outer_diameter.millimetres() / 1000.0;
        let density = self.material_used().density.kilograms_per_cubic_metre();
        let end = density * std::f64::consts::PI / 4.0 * diameter.powi(3) * USUAL_END;
        let ends = 2 * self.parts.len().max(1);
        Some(estimated + ends as f64 * end)
    }
}
