//! One plane where weights go, as the tube picture and the wrap strip show it.

use super::figures::{tame, turned};
use super::shape::PageSense;
use balance_core::quantity::{Units, shown};
use balance_core::run::{MassAngle, Turns};

/// Whether a weight is to go on, is there, or comes off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeightState {
    /// To be fitted now.
    New,
    /// Already on the shaft, stays.
    There,
    /// Already on the shaft, to be taken off.
    ComesOff,
}

/// A weight on the tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeWeight {
    /// As stamped or weighed, without bead, g.
    pub mass_g: f64,
    /// Its middle, degrees in counting direction from the zero mark.
    pub degrees: f64,
    /// Along the circumference, mm; 0 where not known.
    pub width_mm: f64,
    /// Away from the tube, mm; 0 where not known.
    pub thickness_mm: f64,
    /// New, there, or coming off.
    pub state: WeightState,
}

/// Where nothing may be welded.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Begin, degrees in counting direction.
    pub from_degrees: f64,
    /// End, degrees in counting direction.
    pub to_degrees: f64,
    /// Why: "tube seam".
    pub reason: String,
}

impl Zone {
    /// Begin in 0..360 and the degrees from there to the end, at most 360.
    pub(super) fn span(&self) -> (f64, f64) {
        let (from, to) = (tame(self.from_degrees), tame(self.to_degrees));
        let span = if to - from >= 360.0 { 360.0 } else { turned(to - from) };
        (turned(from), span)
    }
}

/// The mass that would be exactly right, where there is no box of weights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IdealMass {
    /// Mass at the plane's radius, g.
    pub mass_g: f64,
    /// Degrees in counting direction from the zero mark.
    pub degrees: f64,
}

/// Everything the tube picture and the wrap strip show of one plane.
#[derive(Debug, Clone, PartialEq)]
pub struct TubePlane {
    /// The job's number, or what the shaft is called.
    pub job: String,
    /// The correction plane's name.
    pub name: String,
    /// Where it is: "95 mm from the front joint".
    pub place: Option<String>,
    /// The tube's outer diameter, mm.
    pub outer_diameter_mm: f64,
    /// The tube's wall, mm, if known.
    pub wall_mm: Option<f64>,
    /// Which way the shaft turns, if stated.
    pub turns: Option<Turns>,
    /// How degrees and tape are counted.
    pub mass_angle: MassAngle,
    /// What the zero mark is.
    pub zero_mark: Option<String>,
    /// Weights, new and old.
    pub weights: Vec<TubeWeight>,
    /// Where nothing may be welded.
    pub zones: Vec<Zone>,
    /// The exact mass, drawn as a plain tick.
    pub ideal: Option<IdealMass>,
    /// Units of tape, masses and labels.
    pub units: Units,
}

impl TubePlane {
    /// The diameter that can be drawn: at least 1 mm, at most 2 m.
    pub(super) fn diameter(&self) -> f64 {
        tame(self.outer_diameter_mm).clamp(1.0, 2000.0)
    }

    /// Once round on the surface, mm.
    pub(super) fn once_round(&self) -> f64 {
        std::f64::consts::PI * self.diameter()
    }

    /// Tape from the zero mark, mm.
    pub(super) fn tape(&self, degrees: f64) -> f64 {
        turned(degrees) / 360.0 * self.once_round()
    }

    /// How masses are counted on the page.
    pub(super) fn sense(&self) -> PageSense {
        PageSense::of_masses(self.turns, self.mass_angle)
    }

    /// A distance on the tape, in the plane's units.
    pub(super) fn tape_words(&self, millimetres: f64) -> String {
        super::figures::length(self.units, millimetres)
    }

    /// A mass, in the plane's units.
    pub(super) fn mass_words(&self, mass_g: f64) -> String {
        let (metric, ounces) = (super::figures::grams(mass_g), shown::ounces(tame(mass_g)));
        self.units.show(metric, ounces)
    }

    /// A mass where there is little room: in the first of the plane's units.
    pub(super) fn mass_in_short(&self, mass_g: f64) -> String {
        let units = if self.units == Units::Us { Units::Us } else { Units::Metric };
        Self { units, ..self.clone() }.mass_words(mass_g)
    }

    /// The tube's diameter as it is called: "88.9 mm tube", "3.5 in tube".
    pub(super) fn tube_words(&self) -> String {
        let [metric, inches] = [self.diameter(), self.diameter() / 25.4].map(super::figures::short);
        match self.units {
            Units::Metric => format!("{metric} mm tube"),
            Units::Us => format!("{inches} in tube"),
            Units::Both => format!("{metric} mm ({inches} in) tube"),
        }
    }

    /// "against rotation" or "with rotation".
    pub(super) fn counting_words(&self) -> &'static str {
        match self.mass_angle {
            MassAngle::AgainstRotation => "against rotation",
            MassAngle::WithRotation => "with rotation",
        }
    }
}
