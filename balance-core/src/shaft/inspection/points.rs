//! The ready list: what to inspect on a drive shaft.

use super::InspectionItem;
use crate::quantity::{Length, Units};

/// Which shafts a point is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum PointFor {
    /// Every drive shaft.
    Every,
    /// Shafts of two or more pieces with a steady bearing.
    WithSteadyBearing,
}

/// What is allowed of a measured part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowed {
    /// In words, with millimetres.
    pub metric: &'static str,
    /// In words, with inches.
    pub us: &'static str,
    /// The most that may be measured, in mm, where it is one length.
    pub most_millimetres: Option<f64>,
}

impl Allowed {
    /// In the reader's units; the metric words where both are read.
    #[must_use]
    pub fn words(&self, units: Units) -> &'static str {
        match units {
            Units::Us => self.us,
            Units::Metric | Units::Both => self.metric,
        }
    }

    /// Whether a measured length is more than is allowed; `None`: there is no one length to hold it against.
    #[must_use]
    pub fn exceeded_by(&self, measured: Length) -> Option<bool> {
        self.most_millimetres.map(|most| measured.millimetres() > most)
    }
}

/// One thing to look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InspectionPoint {
    /// The word an [`InspectionItem`] names it by.
    pub part: &'static str,
    /// What to look for.
    pub look_for: &'static str,
    /// A usual limit, where there is one.
    pub allowed: Option<Allowed>,
    /// Where the limit comes from.
    pub source: &'static str,
    /// Which shafts it is for.
    pub point_for: PointFor,
}

impl InspectionPoint {
    /// Whether an item of this name is about this point: "yoke of the front joint" is about "yokes", "front joint,
    /// journals" about "joint journals".
    #[must_use]
    pub fn is_about(&self, part: &str) -> bool {
        let words = |text: &str| -> Vec<String> {
            let plain = |word: &str| word.to_lowercase().trim_end_matches('s').to_owned();
            text.split(|letter: char| !letter.is_alphanumeric()).map(plain).collect()
        };
        let found = words(part);
        words(self.part).iter().all(|word| found.contains(word))
    }
}

const PRACTICE: &str = "common practice, no source";
const MANUAL: &str = "workshop manuals; the vehicle maker's own limit prevails";

/// What to inspect on a drive shaft before work and before it spins.
pub const DRIVE_SHAFT_POINTS: [InspectionPoint; 7] = [
    InspectionPoint {
        part: "tube",
        look_for: "dents, bends, cracks, rust-through, old weights and welds; runout along and round it",
        allowed: Some(Allowed {
            metric: "runout 0.25 mm in the middle, 0.13 mm at the ends (total indicator reading)",
            us: "runout 0.010 in in the middle, 0.005 in at the ends (total indicator reading)",
            most_millimetres: Some(0.25),
        }),
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "welds",
        look_for: "cracks, undercut, pores, missing run-out; no weld on a seam, no arc strike on yoke ears",
        allowed: None,
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "yokes",
        look_for: "bores round and in line, ears not spread, seat on the stub and in the tube tight, in phase",
        allowed: Some(Allowed {
            metric: "in phase within 1 deg; more than 3 deg is rejected",
            us: "in phase within 1 deg; more than 3 deg is rejected",
            most_millimetres: None,
        }),
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "joint journals",
        look_for: "each of the four: needle marks, rust, blue heat colour; play along the journals",
        allowed: Some(Allowed {
            metric: "play along the journals 0 to 0.05 mm",
            us: "play along the journals 0 to 0.002 in",
            most_millimetres: Some(0.051),
        }),
        source: MANUAL,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "joint caps",
        look_for: "each of the four: all needles there, seal whole, cap and snap ring seated; the joint moves without \
                   notches",
        allowed: None,
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "slip spline",
        look_for: "in its running position: twist play, wear steps, coating; marks in line, boot or seal whole; slides \
                   over its whole stroke",
        allowed: Some(Allowed {
            metric: "twist play 0.18 mm",
            us: "twist play 0.007 in",
            most_millimetres: Some(0.18),
        }),
        source: MANUAL,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "steady bearing",
        look_for: "bearing runs free and quiet; rubber whole, not soaked in oil, not sagging; bracket straight, height \
                   as on the vehicle",
        allowed: None,
        source: PRACTICE,
        point_for: PointFor::WithSteadyBearing,
    },
];

/// The points of the ready list that no item names, or whose decision is still open.
///
/// ```
/// use balance_core::shaft::{PointFor, missing_points};
/// let missing = missing_points(&[], PointFor::Every);
/// assert!(missing.contains(&"slip spline") && !missing.contains(&"steady bearing"));
/// ```
#[must_use]
pub fn missing_points(items: &[InspectionItem], shaft: PointFor) -> Vec<&'static str> {
    let settled = |point: &InspectionPoint| {
        let mut about = items.iter().filter(|item| point.is_about(&item.part)).peekable();
        about.peek().is_some() && about.all(|item| item.decision.is_some())
    };
    DRIVE_SHAFT_POINTS
        .iter()
        .filter(|point| point.point_for == PointFor::Every || point.point_for == shaft)
        .filter(|point| !settled(point))
        .map(|point| point.part)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaft::PartDecision;

    fn item(part: &str, decision: Option<PartDecision>) -> InspectionItem {
        InspectionItem { part: part.into(), finding: "x".into(), measured: None, limit: None, decision }
    }

    #[test]
    fn a_point_is_settled_when_every_item_about_it_is_decided() {
        let keep = Some(PartDecision::Keep);
        let mut items = vec![item("Front joint, journals", keep), item("front yoke on its stub", keep)];
        let missing = |items: &[InspectionItem]| missing_points(items, PointFor::Every);
        assert_eq!(missing(&items), ["tube", "welds", "joint caps", "slip spline"]);
        items.push(item("rear joint, journals", None));
        assert_eq!(missing(&items), ["tube", "welds", "joint journals", "joint caps", "slip spline"]);
    }

    #[test]
    fn what_is_allowed_is_the_same_in_both_units() {
        for allowed in DRIVE_SHAFT_POINTS.iter().filter_map(|point| point.allowed) {
            let number = |words: &str, unit: &str| -> Option<f64> {
                words.split(&format!(" {unit}")).next()?.rsplit(' ').next()?.parse().ok()
            };
            let Some(most) = allowed.most_millimetres else { continue };
            let (metric, us) = (number(allowed.metric, "mm").unwrap(), number(allowed.us, "in").unwrap());
            assert!((metric - most).abs() < 0.002 && (us * 25.4 - most).abs() < 0.005, "{allowed:?}");
        }
    }
}
