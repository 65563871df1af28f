//! Critical speeds of the described shaft, and how far its speeds stay below them.

use super::assemble::Stretch;
use super::{ShaftDescription, ShaftFault};
use crate::caution::Caution;
use crate::quantity::{Length, Speed};
use crate::shaft::{
    Beam, Mesh, Mode, Restraint, RoundSection, Tube, bending_modes, highest_safe_speed, longest_safe_length,
    pinned_critical_speed,
};

/// One part of the shaft between joints, by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct PartCritical {
    /// As the job names it.
    pub name: String,
    /// Where it begins, from the front joint centre.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// The main tube's closed form over this part's length.
    pub closed_form: Speed,
    /// The beam model of this part alone, held where the shaft is held, otherwise by pins in its joint
    /// centres.
    pub model: Speed,
}

/// A running speed compared with the critical speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedMargin {
    /// The running speed.
    pub speed: Speed,
    /// Running speed over critical speed.
    pub ratio: f64,
    /// Whether that is within the margin.
    pub within: bool,
}

/// The critical speeds of a shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct CriticalFinding {
    /// The lower of closed form and model; every check uses this one.
    pub lowest: Speed,
    /// The closed form of the main tube, of the part with the lowest.
    pub closed_form: Speed,
    /// The beam model of the whole assembly.
    pub model: Speed,
    /// The first modes of the assembly.
    pub modes: Vec<Mode>,
    /// Each part by itself; one entry for a shaft of one piece.
    pub parts: Vec<PartCritical>,
    /// At service speed, if that is stated.
    pub service: Option<SpeedMargin>,
    /// At stand speed, if that is stated.
    pub stand: Option<SpeedMargin>,
    /// The highest speed that keeps the margin.
    pub highest_safe_speed: Speed,
    /// The longest bare main tube that keeps the margin at the faster of service and stand speed, by the closed form.
    pub longest_safe_length_closed_form: Option<Length>,
}

/// With this many elements the first modes are within 0.01 %, and an answer at the stand should not wait for
/// more.
const MESH: Mesh = Mesh { elements: 40 };
/// The number of modes in an answer.
const MODES: usize = 3;

impl ShaftDescription {
    /// The critical speeds.
    pub(super) fn critical_finding(
        &self,
        tube: &Tube,
        stretches: &[Stretch],
    ) -> Result<CriticalFinding, Vec<ShaftFault>> {
        let assembly = self.assembly(tube, stretches);
        let modes = bending_modes(&assembly, MESH, MODES).map_err(from_beam)?;
        let parts = self.part_findings(tube, stretches, (&assembly, &modes))?;
        let model = modes.first().map(|mode| mode.speed).ok_or_else(no_speed)?;
        let closed_form = parts.iter().map(|part| part.closed_form).reduce(lower).ok_or_else(no_speed)?;
        let lowest = lower(closed_form, model);
        let margin = self.limits.margin_ratio.value;
        let at = |speed: Option<Speed>| {
            speed.map(|speed| {
                let ratio = speed.rpm() / lowest.rpm();
                SpeedMargin { speed, ratio, within: ratio <= margin }
            })
        };
        let fastest = self.fastest_speed();
        let main = RoundSection::of_tube(tube);
        Ok(CriticalFinding {
            lowest,
            closed_form,
            model,
            service: at(self.service_speed),
            stand: at(self.stand_speed),
            highest_safe_speed: highest_safe_speed(lowest, margin).ok_or_else(no_speed)?,
            longest_safe_length_closed_form: main
                .zip(fastest)
                .and_then(|(main, speed)| longest_safe_length(main, &self.material_used(), speed, margin)),
            modes,
            parts,
        })
    }

    fn part_findings(
        &self,
        tube: &Tube,
        stretches: &[Stretch],
        (assembly, whole): (&Beam, &[Mode]),
    ) -> Result<Vec<PartCritical>, Vec<ShaftFault>> {
        let main = RoundSection::of_tube(tube).ok_or_else(no_speed)?;
        let mut parts = Vec::new();
        for span in self.spans(tube) {
            let beam = self.part_beam(tube, stretches, &span);
            // A shaft of one piece is its own only part.
            let modes = if beam == *assembly {
                whole.to_vec()
            } else {
                bending_modes(&beam, MESH, 1).map_err(from_beam)?
            };
            let free = self.longest_free_length(tube, span.from, span.to);
            parts.push(PartCritical {
                closed_form: pinned_critical_speed(main, &self.material_used(), free).ok_or_else(no_speed)?,
                model: modes.first().map(|mode| mode.speed).ok_or_else(no_speed)?,
                name: span.name,
                from: span.from,
                to: span.to,
            });
        }
        Ok(parts)
    }

    /// The longest stretch of a part without a support; soft bearings count as supports, the model accounts
    /// for their softness.
    pub(super) fn longest_free_length(&self, tube: &Tube, from: Length, to: Length) -> Length {
        let inside = |place: &f64| (from.millimetres()..=to.millimetres()).contains(place);
        let held = self.all_supports(tube).into_iter().map(|support| support.position.millimetres());
        let mut places: Vec<f64> =
            held.filter(inside).chain([from.millimetres(), to.millimetres()]).collect();
        places.sort_by(f64::total_cmp);
        let longest = places.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
        Length::from_millimetres(longest).unwrap_or(tube.length)
    }

    /// The faster of service and stand speed.
    pub(super) fn fastest_speed(&self) -> Option<Speed> {
        [self.service_speed, self.stand_speed]
            .into_iter()
            .flatten()
            .filter(|speed| speed.rpm() > 0.0)
            .reduce(|a, b| if b.rpm() > a.rpm() { b } else { a })
    }

    /// The cautions about the critical speeds, besides those of the gate.
    pub(super) fn critical_cautions(&self, finding: &CriticalFinding) -> Vec<Caution> {
        let mut cautions = Vec::new();
        if finding.modes.first().is_some_and(|mode| mode.support_share > 0.5) {
            cautions.push(Caution::RidesOnBearing { critical: finding.model });
        }
        let springs = self.supports.iter().any(|support| matches!(support.restraint, Restraint::Elastic(_)));
        if !self.all_inner_joints().is_empty() && !springs {
            cautions.push(Caution::BearingTakenStiff);
        }
        cautions
    }
}

pub(super) fn lower(one: Speed, other: Speed) -> Speed {
    if other.rpm() < one.rpm() { other } else { one }
}

pub(super) fn from_beam(faults: Vec<crate::shaft::BeamFault>) -> Vec<ShaftFault> {
    faults.into_iter().map(ShaftFault::Beam).collect()
}

fn no_speed() -> Vec<ShaftFault> {
    vec![ShaftFault::Beam(crate::shaft::BeamFault::NoMass)]
}
