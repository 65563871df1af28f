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

#[cfg(test)]
mod tests {
    use super::super::{BeamProperties, PointMass, Support};
    use super::*;
    use crate::quantity::{Length, Mass};

    const TUBE: BeamProperties = BeamProperties {
        bending_stiffness: 3.0,
        shear_flexibility: 0.0,
        kilograms_per_metre: 5.0,
        rotary_inertia: 0.0,
    };

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value).unwrap()
    }

    fn piece(from: f64, to: f64) -> BeamPiece {
        BeamPiece { from: mm(from), to: mm(to), properties: TUBE }
    }

    fn mass(position: f64, rotary_inertia: f64) -> PointMass {
        PointMass { position: mm(position), mass: Mass::from_grams(900.0).unwrap(), rotary_inertia }
    }

    /// From 100 to 1500 mm, pinned at both ends.
    fn beam() -> Beam {
        let support = |position| Support { position: mm(position), restraint: Restraint::Pinned };
        let pieces = vec![piece(100.0, 400.0), piece(400.0, 1500.0)];
        Beam { pieces, supports: vec![support(100.0), support(1500.0)], ..Beam::default() }
    }

    #[test]
    fn what_lies_on_the_beam_is_no_fault_and_what_lies_beyond_is() {
        let ends =
            Beam { masses: vec![mass(100.0, 0.0), mass(1500.0, 0.2)], hinges: vec![mm(700.0)], ..beam() };
        assert_eq!(ends.faults(), []);
        let mut beyond = Beam {
            masses: vec![mass(99.0, 0.0), mass(1501.0, 0.0)],
            hinges: vec![mm(20.0), mm(1600.0)],
            ..beam()
        };
        beyond.supports.push(Support { position: mm(0.0), restraint: Restraint::Pinned });
        let outside = |what, found| BeamFault::Outside { what, found, begin: 100.0, end: 1500.0 };
        assert_eq!(
            beyond.faults(),
            [
                outside("mass", 99.0),
                outside("mass", 1501.0),
                outside("support", 0.0),
                outside("joint", 20.0),
                outside("joint", 1600.0)
            ]
        );
    }

    #[test]
    fn a_joint_at_an_end_or_in_a_clamp_means_nothing() {
        let mut own = Beam { hinges: vec![mm(100.0), mm(700.0), mm(900.0), mm(1500.0)], ..beam() };
        own.supports.push(Support { position: mm(900.0), restraint: Restraint::Clamped });
        let hinge = |found| BeamFault::Hinge { found };
        assert_eq!(own.faults(), [hinge(100.0), hinge(900.0), hinge(1500.0)]);
    }

    #[test]
    fn sections_have_to_meet_and_to_be_possible() {
        assert_eq!(Beam::default().faults(), [BeamFault::NoPiece]);
        let of = |pieces: Vec<BeamPiece>| Beam { pieces, ..beam() }.faults();
        for next in [399.0, 401.0] {
            let gap = BeamFault::Gap { end: 400.0, begin: next };
            assert_eq!(of(vec![piece(100.0, 400.0), piece(next, 1500.0)]), [gap]);
        }
        let none = BeamFault::NoLength { from: 400.0, to: 400.0 };
        assert_eq!(of(vec![piece(100.0, 400.0), piece(400.0, 400.0), piece(400.0, 1500.0)]), [none]);
        let impossible = [
            BeamProperties { bending_stiffness: 0.0, ..TUBE },
            BeamProperties { bending_stiffness: f64::INFINITY, ..TUBE },
            BeamProperties { shear_flexibility: -1.0, ..TUBE },
            BeamProperties { kilograms_per_metre: f64::NAN, ..TUBE },
            BeamProperties { rotary_inertia: -1e-9, ..TUBE },
        ];
        for properties in impossible {
            let own = BeamPiece { properties, ..piece(100.0, 1500.0) };
            assert_eq!(of(vec![own]), [BeamFault::Properties { from: 100.0 }], "{properties:?}");
        }
        let turns = Beam { masses: vec![mass(300.0, -0.1), mass(500.0, 0.0)], ..beam() };
        assert_eq!(turns.faults(), [BeamFault::Inertia { found: 300.0 }]);
        // Four places are taken by the pieces and supports.
        let many = |count: usize| Beam { masses: vec![mass(300.0, 0.0); count], ..beam() }.faults();
        assert_eq!(many(MOST_PLACES - 4), []);
        assert_eq!(many(MOST_PLACES - 3), [BeamFault::TooMany { found: MOST_PLACES + 1, most: MOST_PLACES }]);
    }
}
