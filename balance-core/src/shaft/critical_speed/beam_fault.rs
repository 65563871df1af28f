//! Why a beam cannot be modelled.

use super::{Beam, BeamPiece, Restraint};
use crate::quantity::{Units, shown};

/// Places closer than this are the same place, in mm.
pub(super) const TOUCH: f64 = 1e-3;

/// A beam with more steps, masses, supports and joints than this is not a drive shaft.
const MOST_PLACES: usize = 200;

/// What is wrong with a beam.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", self.words(Units::Metric))]
#[non_exhaustive]
pub enum BeamFault {
    /// There is no piece.
    NoPiece,
    /// A piece that ends where it begins or before.
    NoLength {
        /// In mm.
        from: f64,
        /// In mm.
        to: f64,
    },
    /// A gap or an overlap between two pieces.
    Gap {
        /// In mm.
        end: f64,
        /// In mm.
        begin: f64,
    },
    /// An impossible stiffness or mass per metre.
    Properties {
        /// In mm.
        from: f64,
    },
    /// A mass, a support or a joint beyond the ends.
    Outside {
        /// "mass", "support", "joint".
        what: &'static str,
        /// In mm.
        found: f64,
        /// In mm.
        begin: f64,
        /// In mm.
        end: f64,
    },
    /// A joint at the very end or in a clamp.
    Hinge {
        /// In mm.
        found: f64,
    },
    /// The supports leave it free to fall or to fold.
    NotHeld,
    /// More steps, masses, supports and joints than any shaft has.
    TooMany {
        /// How many there are.
        found: usize,
        /// How many can be modelled.
        most: usize,
    },
    /// An impossible moment of inertia.
    Inertia {
        /// In mm.
        found: f64,
    },
    /// Nothing has any mass.
    NoMass,
}

impl BeamFault {
    /// What is wrong, in these units.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let at = |millimetres: f64| shown::entered_length(units, millimetres);
        match *self {
            Self::NoPiece => "the shaft has no section at all".to_owned(),
            Self::NoLength { from, to } => {
                format!("the section from {} to {} has no length", at(from), at(to))
            }
            Self::Gap { end, begin } => {
                format!("a section ends at {} and the next begins at {}; they must meet", at(end), at(begin))
            }
            Self::Properties { from } => {
                format!("the section from {} has no possible stiffness and mass", at(from))
            }
            Self::Outside { what, found, begin, end } => format!(
                "the {what} at {} lies outside the shaft, which runs from {} to {}",
                at(found),
                at(begin),
                at(end)
            ),
            Self::Hinge { found } => format!(
                "a joint at {} lies at an end of the shaft or in a clamp, where it has no meaning",
                at(found)
            ),
            Self::NotHeld => {
                "the shaft is not held: its supports leave it free to move as a whole or to fold at a joint"
                    .to_owned()
            }
            Self::TooMany { found, most } => format!(
                "{found} sections, masses, supports and joints are more than the {most} that can be modelled"
            ),
            Self::Inertia { found } => format!("the mass at {} has no possible moment of inertia", at(found)),
            Self::NoMass => "nothing on the shaft has any mass".to_owned(),
        }
    }
}

impl Beam {
    /// All its faults, found without solving anything.
    #[must_use]
    pub fn faults(&self) -> Vec<BeamFault> {
        let (Some(first), Some(last)) = (self.pieces.first(), self.pieces.last()) else {
            return vec![BeamFault::NoPiece];
        };
        let found = self.pieces.len() + self.masses.len() + self.supports.len() + self.hinges.len();
        if found > MOST_PLACES {
            return vec![BeamFault::TooMany { found, most: MOST_PLACES }];
        }
        let (begin, end) = (first.from.millimetres(), last.to.millimetres());
        let mut faults: Vec<BeamFault> = self.pieces.iter().filter_map(BeamPiece::fault).collect();
        faults.extend(self.pieces.windows(2).filter_map(|pair| gap(&pair[0], &pair[1])));
        let masses = self.masses.iter().map(|mass| ("mass", mass.position));
        let supports = self.supports.iter().map(|support| ("support", support.position));
        let hinges = self.hinges.iter().map(|&hinge| ("joint", hinge));
        for (what, position) in masses.chain(supports).chain(hinges) {
            let found = position.millimetres();
            if found < begin - TOUCH || found > end + TOUCH {
                faults.push(BeamFault::Outside { what, found, begin, end });
            }
        }
        let impossible = |inertia: f64| !inertia.is_finite() || inertia < 0.0;
        faults.extend(
            self.masses
                .iter()
                .filter(|mass| impossible(mass.rotary_inertia))
                .map(|mass| BeamFault::Inertia { found: mass.position.millimetres() }),
        );
        let clamps: Vec<f64> = self.clamps().collect();
        for found in self.hinges.iter().map(|hinge| hinge.millimetres()) {
            if [begin, end].iter().chain(&clamps).any(|place| (place - found).abs() <= TOUCH) {
                faults.push(BeamFault::Hinge { found });
            }
        }
        faults
    }

    fn clamps(&self) -> impl Iterator<Item = f64> + '_ {
        let clamped = self.supports.iter().filter(|support| support.restraint == Restraint::Clamped);
        clamped.map(|support| support.position.millimetres())
    }
}

impl BeamPiece {
    fn fault(&self) -> Option<BeamFault> {
        let (from, to) = (self.from.millimetres(), self.to.millimetres());
        let p = &self.properties;
        let finite_positive = p.bending_stiffness.is_finite() && p.bending_stiffness > 0.0;
        let not_negative = [p.shear_flexibility, p.kilograms_per_metre, p.rotary_inertia];
        if to - from <= TOUCH {
            Some(BeamFault::NoLength { from, to })
        } else if !finite_positive || not_negative.iter().any(|value| !value.is_finite() || *value < 0.0) {
            Some(BeamFault::Properties { from })
        } else {
            None
        }
    }
}

fn gap(one: &BeamPiece, next: &BeamPiece) -> Option<BeamFault> {
    let (end, begin) = (one.to.millimetres(), next.from.millimetres());
    ((end - begin).abs() > TOUCH).then_some(BeamFault::Gap { end, begin })
}
