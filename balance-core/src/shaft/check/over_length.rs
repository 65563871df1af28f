//! The critical speed of the same build made longer or shorter.

use super::ShaftDescription;
use super::critical::lower;
use crate::quantity::{Length, Speed};
use crate::shaft::{Mesh, RoundSection, Tube, bending_modes, pinned_critical_speed};

/// The critical speeds at one length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CriticalAtLength {
    /// Joint centre to joint centre.
    pub length: Length,
    /// The closed form of the main tube, of the part with the lowest.
    pub closed_form: Speed,
    /// The beam model of the assembly.
    pub model: Speed,
}

impl CriticalAtLength {
    /// The lower of both.
    #[must_use]
    pub fn lowest(&self) -> Speed {
        lower(self.closed_form, self.model)
    }
}

/// The critical speeds of this build at other lengths, for a plot: the longest plain stretch of tube is made longer or
/// shorter, everything behind it moves along. Lengths that cannot be built that way are left out.
#[must_use]
pub fn critical_over_length(shaft: &ShaftDescription, lengths: &[Length]) -> Vec<CriticalAtLength> {
    let Some(tube) = &shaft.tube else { return Vec::new() };
    lengths.iter().filter_map(|length| shaft.critical_at(tube, *length)).collect()
}

impl ShaftDescription {
    fn critical_at(&self, tube: &Tube, length: Length) -> Option<CriticalAtLength> {
        let shaft = self.with_length(tube, length)?;
        let tube = shaft.tube.as_ref()?;
        let stretches = shaft.stretches(tube).ok()?;
        let modes = bending_modes(&shaft.assembly(tube, &stretches), COARSE, 1).ok()?;
        let (main, material) = (RoundSection::of_tube(tube)?, shaft.material_used());
        let spans = shaft.spans(tube).into_iter();
        let closed_form = spans
            .map(|span| shaft.longest_free_length(tube, span.from, span.to))
            .filter_map(|free| pinned_critical_speed(main, &material, free))
            .reduce(lower)?;
        Some(CriticalAtLength { length, closed_form, model: modes.first()?.speed })
    }

    /// The same build with the longest plain stretch of tube changed so that the whole has this length; `None` if that
    /// stretch would vanish.
    fn with_length(&self, tube: &Tube, length: Length) -> Option<Self> {
        let change = length.millimetres() - tube.length.millimetres();
        let (from, to) = self.longest_plain_stretch(tube)?;
        if to - from + change <= LEAST_STRETCH {
            return None;
        }
        let middle = (from + to) / 2.0;
        let moved = |place: Length| {
            let place = place.millimetres();
            Length::from_millimetres(if place > middle { place + change } else { place }).ok()
        };
        let mut shaft = self.clone();
        shaft.tube = Some(Tube { length, ..tube.clone() });
        for section in &mut shaft.sections {
            (section.from, section.to) = (moved(section.from)?, moved(section.to)?);
        }
        for mass in &mut shaft.masses {
            mass.position = moved(mass.position)?;
        }
        for support in &mut shaft.supports {
            support.position = moved(support.position)?;
        }
        for joint in &mut shaft.inner_joints {
            *joint = moved(*joint)?;
        }
        for part in &mut shaft.parts {
            (part.from, part.to) = (moved(part.from)?, moved(part.to)?);
        }
        Some(shaft)
    }

    /// The longest stretch of main tube between sections, masses, supports and joints, in mm.
    fn longest_plain_stretch(&self, tube: &Tube) -> Option<(f64, f64)> {
        let points = self
            .masses
            .iter()
            .map(|mass| mass.position)
            .chain(self.supports.iter().map(|support| support.position))
            .chain(self.all_inner_joints());
        let blocks =
            points.map(|at| (at, at)).chain(self.sections.iter().map(|section| (section.from, section.to)));
        let mut blocks: Vec<(f64, f64)> = blocks.map(|(a, b)| (a.millimetres(), b.millimetres())).collect();
        let end = tube.length.millimetres();
        blocks.push((end, end));
        blocks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut reached = 0.0;
        let mut longest: Option<(f64, f64)> = None;
        for (from, to) in blocks {
            if longest.is_none_or(|(a, b)| from - reached > b - a) {
                longest = Some((reached, from));
            }
            reached = to.max(reached);
        }
        longest.filter(|(a, b)| b > a)
    }

    /// The longest shaft of this build that keeps the margin at the faster of service and stand speed, by the
    /// lower of closed form and model. `None` without a tube or a speed, or if the adjustable length is not
    /// enough.
    #[must_use]
    pub fn longest_safe_length(&self) -> Option<Length> {
        self.longest_length(self.tube.as_ref()?, self.fastest_speed()?)
    }

    /// The longest build whose lower critical speed keeps the margin at this speed, by halving; critical speeds fall
    /// with length.
    fn longest_length(&self, tube: &Tube, speed: Speed) -> Option<Length> {
        let needed = speed.rpm() / self.limits.margin_ratio.value;
        let keeps = |millimetres: f64| {
            let length = Length::from_millimetres(millimetres).ok()?;
            Some(self.critical_at(tube, length)?.lowest().rpm() >= needed)
        };
        let now = tube.length.millimetres();
        let (mut short, mut long) = (now, now);
        if keeps(now)? {
            while keeps(long)? {
                (short, long) = (long, long * 1.5);
                if long > now * MOST_STRETCH {
                    return None;
                }
            }
        } else {
            while !keeps(short)? {
                (long, short) = (short, short / 1.5);
            }
        }
        for _ in 0..HALVINGS {
            let middle = (short + long) / 2.0;
            if keeps(middle)? { short = middle } else { long = middle }
        }
        Length::from_millimetres(short).ok()
    }
}

/// Enough elements for the first mode (0.01 %), and quick over many lengths.
const COARSE: Mesh = Mesh { elements: 32 };
/// In mm.
const LEAST_STRETCH: f64 = 1.0;
/// Nobody builds a shaft this many times longer.
const MOST_STRETCH: f64 = 20.0;
/// Leaves less than 0.1 mm of a metre.
const HALVINGS: usize = 14;
