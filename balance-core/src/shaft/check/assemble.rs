//! From the description to beams: the whole assembly and each part by itself.

use super::{ShaftDescription, ShaftFault, ShaftSection};
use crate::quantity::Length;
use crate::shaft::{
    Beam, BeamPiece, BeamProperties, Material, Part, PointMass, Restraint, RoundSection, Support, Tube,
};

/// Places closer than this are the same place, in mm.
const TOUCH: f64 = 1e-3;

/// A stretch of one part, with a name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    pub(super) name: String,
    pub(super) from: Length,
    pub(super) to: Length,
}

/// One stretch of the shaft with its section and material.
pub(super) struct Stretch {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) section: RoundSection,
    pub(super) material: Material,
}

impl ShaftDescription {
    /// The stretches front to rear: sections where they are, the main tube everywhere else.
    pub(super) fn stretches(&self, tube: &Tube) -> Result<Vec<Stretch>, Vec<ShaftFault>> {
        let mut faults = tube_faults(tube);
        let mut sections: Vec<&ShaftSection> = self.sections.iter().collect();
        sections.sort_by(|a, b| a.from.millimetres().total_cmp(&b.from.millimetres()));
        faults.extend(sections.iter().flat_map(|section| section_faults(section, tube)));
        faults.extend(
            sections
                .windows(2)
                .filter(|pair| overlap(pair[0], pair[1]))
                .map(|pair| ShaftFault::Overlap { one: pair[0].name.clone(), other: pair[1].name.clone() }),
        );
        let Some(main) = RoundSection::of_tube(tube).filter(|_| faults.is_empty()) else {
            return Err(faults);
        };
        let plain = |from, to| Stretch { from, to, section: main, material: self.material_used() };
        let mut stretches = Vec::new();
        let mut reached = zero();
        for section in sections {
            if section.from.millimetres() - reached.millimetres() > TOUCH {
                stretches.push(plain(reached, section.from));
            }
            if let Some(round) = RoundSection::new(section.outer_diameter, section.inner_diameter) {
                let material = section.material.clone().unwrap_or_else(|| self.material_used());
                // Sections that almost meet count as meeting.
                let from = stretches.last().map_or(reached, |before: &Stretch| before.to);
                stretches.push(Stretch { from, to: section.to, section: round, material });
            }
            reached = section.to;
        }
        if tube.length.millimetres() - reached.millimetres() > TOUCH {
            stretches.push(plain(reached, tube.length));
        }
        Ok(stretches)
    }

    /// The whole shaft with all its joints and bearings.
    pub(super) fn assembly(&self, tube: &Tube, stretches: &[Stretch]) -> Beam {
        Beam {
            pieces: stretches.iter().map(Stretch::piece).collect(),
            masses: self.masses.clone(),
            supports: self.all_supports(tube),
            hinges: self.all_inner_joints(),
        }
    }

    /// One part by itself, held where the shaft is held; if that is not enough, by pins in its joint centres.
    pub(super) fn part_beam(&self, tube: &Tube, stretches: &[Stretch], span: &Span) -> Beam {
        let (from, to) = (span.from.millimetres(), span.to.millimetres());
        let inside = |position: Length| (from - TOUCH..=to + TOUCH).contains(&position.millimetres());
        let mut supports: Vec<Support> =
            self.all_supports(tube).into_iter().filter(|support| inside(support.position)).collect();
        let clamped = supports.iter().any(|support| support.restraint == Restraint::Clamped);
        if supports.len() < 2 && !clamped {
            for end in [span.from, span.to] {
                if !supports.iter().any(|support| same(support.position, end)) {
                    supports.push(Support { position: end, restraint: Restraint::Pinned });
                }
            }
        }
        Beam {
            pieces: stretches.iter().filter_map(|stretch| stretch.clipped(from, to)).collect(),
            masses: self
                .masses
                .iter()
                .filter(|mass| inside(mass.position))
                .copied()
                .collect::<Vec<PointMass>>(),
            supports,
            hinges: self
                .all_inner_joints()
                .into_iter()
                .filter(|hinge| hinge.millimetres() > from + TOUCH && hinge.millimetres() < to - TOUCH)
                .collect(),
        }
    }

    /// The stretches between joints: the parts as stated, or what the inner joints make of the shaft.
    pub(super) fn spans(&self, tube: &Tube) -> Vec<Span> {
        if !self.parts.is_empty() {
            let span = |part: &Part| Span { name: part.name.clone(), from: part.from, to: part.to };
            return self.parts.iter().map(span).collect();
        }
        let mut places = vec![zero()];
        places.extend(self.all_inner_joints());
        places.push(tube.length);
        let name = |number: usize| if places.len() == 2 { "shaft".into() } else { format!("part {number}") };
        places
            .windows(2)
            .enumerate()
            .map(|(index, pair)| Span { name: name(index + 1), from: pair[0], to: pair[1] })
            .collect()
    }

    /// The stated inner joints and every place where one part ends and another begins, front to rear.
    pub(super) fn all_inner_joints(&self) -> Vec<Length> {
        let meets = |end: &Length| self.parts.iter().any(|part| same(part.from, *end));
        let mut joints = self.inner_joints.clone();
        joints.extend(self.parts.iter().map(|part| part.to).filter(meets));
        joints.sort_by(|a, b| a.millimetres().total_cmp(&b.millimetres()));
        joints.dedup_by(|a, b| same(*a, *b));
        joints
    }

    /// The stated supports, and a pin in each joint centre at the ends for which none is stated.
    pub(super) fn all_supports(&self, tube: &Tube) -> Vec<Support> {
        let mut supports = self.supports.clone();
        for end in [zero(), tube.length] {
            if !supports.iter().any(|support| same(support.position, end)) {
                supports.push(Support { position: end, restraint: Restraint::Pinned });
            }
        }
        supports
    }

    /// Faults of the parts' places.
    pub(super) fn part_faults(&self, tube: &Tube) -> Vec<ShaftFault> {
        let length = tube.length.millimetres();
        let wrong = |part: &&Part| {
            let (from, to) = (part.from.millimetres(), part.to.millimetres());
            to - from <= TOUCH || to > length + TOUCH
        };
        let fault = |part: &Part| ShaftFault::PartPlace {
            name: part.name.clone(),
            from: part.from.millimetres(),
            to: part.to.millimetres(),
            length,
        };
        self.parts.iter().filter(wrong).map(fault).collect()
    }
}

impl Stretch {
    pub(super) fn piece(&self) -> BeamPiece {
        BeamPiece {
            from: self.from,
            to: self.to,
            properties: BeamProperties::timoshenko(self.section, &self.material),
        }
    }

    fn clipped(&self, from: f64, to: f64) -> Option<BeamPiece> {
        let piece = self.piece();
        let begin =
            if piece.from.millimetres() < from { Length::from_millimetres(from).ok()? } else { piece.from };
        let end = if piece.to.millimetres() > to { Length::from_millimetres(to).ok()? } else { piece.to };
        (end.millimetres() - begin.millimetres() > TOUCH).then_some(BeamPiece {
            from: begin,
            to: end,
            ..piece
        })
    }
}

fn tube_faults(tube: &Tube) -> Vec<ShaftFault> {
    let mut faults = Vec::new();
    if RoundSection::of_tube(tube).is_none() {
        faults.push(ShaftFault::Wall {
            wall: tube.wall.millimetres(),
            outer_diameter: tube.outer_diameter.millimetres(),
        });
    }
    if tube.length.millimetres() <= TOUCH {
        faults.push(ShaftFault::NoLength);
    }
    faults
}

fn section_faults(section: &ShaftSection, tube: &Tube) -> Vec<ShaftFault> {
    let mut faults = Vec::new();
    let (from, to, length) =
        (section.from.millimetres(), section.to.millimetres(), tube.length.millimetres());
    if RoundSection::new(section.outer_diameter, section.inner_diameter).is_none() {
        faults.push(ShaftFault::Bore {
            name: section.name.clone(),
            inner: section.inner_diameter.millimetres(),
            outer: section.outer_diameter.millimetres(),
        });
    }
    if to - from <= TOUCH || to > length + TOUCH {
        faults.push(ShaftFault::SectionPlace { name: section.name.clone(), from, to, length });
    }
    faults
}

fn overlap(one: &ShaftSection, next: &ShaftSection) -> bool {
    next.from.millimetres() < one.to.millimetres() - TOUCH
}

fn same(one: Length, other: Length) -> bool {
    (one.millimetres() - other.millimetres()).abs() <= TOUCH
}

pub(super) fn zero() -> Length {
    Length::from_millimetres(0.0).expect("zero is a length")
}
