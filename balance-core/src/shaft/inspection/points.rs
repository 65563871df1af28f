//! The ready list: what to inspect on a drive shaft.

use super::InspectionItem;

/// Which shafts a point is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum PointFor {
    /// Every drive shaft.
    Every,
    /// Shafts of two or more pieces with a steady bearing.
    WithSteadyBearing,
}

/// One thing to inspect.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InspectionPoint {
    /// The word an [`InspectionItem`] names it by.
    pub part: &'static str,
    /// What to look for.
    pub look_for: &'static str,
    /// A usual limit, where there is one.
    pub limit: Option<&'static str>,
    /// Where the limit comes from.
    pub source: &'static str,
    /// Which shafts it is for.
    pub point_for: PointFor,
}

const PRACTICE: &str = "common practice, no source";
const MANUAL: &str = "workshop manuals; the vehicle maker's own limit prevails";

/// What to inspect on a drive shaft before work and before it spins.
pub const DRIVE_SHAFT_POINTS: [InspectionPoint; 7] = [
    InspectionPoint {
        part: "tube",
        look_for: "dents, bends, cracks, rust-through, old weights and welds; runout along and round it",
        limit: Some("runout 0.25 mm in the middle, 0.13 mm at the ends (total indicator reading)"),
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "welds",
        look_for: "cracks, undercut, pores, missing run-out; no weld on a seam, no arc strike on yoke ears",
        limit: None,
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "yokes",
        look_for: "bores round and in line, ears not spread, seat on the stub and in the tube tight, in phase",
        limit: Some("in phase within 1°, more than 3° is rejected"),
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "joint journals",
        look_for: "needle marks, rust, blue heat colour, play along the journals",
        limit: Some("axial play 0 to 0.05 mm"),
        source: MANUAL,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "joint caps",
        look_for: "all needles there, seals whole, caps and snap rings seated, joint moves without notches",
        limit: None,
        source: PRACTICE,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "slip spline",
        look_for: "twist play, wear steps, coating, match marks, boot or seal; slides over its whole stroke",
        limit: Some("twist play 0.18 mm (0.007 in)"),
        source: MANUAL,
        point_for: PointFor::Every,
    },
    InspectionPoint {
        part: "steady bearing",
        look_for: "bearing runs free and quiet, rubber whole, bracket straight, height as on the vehicle",
        limit: None,
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
    let settled = |part: &str| {
        items.iter().any(|item| item.part.trim().eq_ignore_ascii_case(part) && item.decision.is_some())
    };
    DRIVE_SHAFT_POINTS
        .iter()
        .filter(|point| point.point_for == PointFor::Every || point.point_for == shaft)
        .map(|point| point.part)
        .filter(|part| !settled(part))
        .collect()
}
