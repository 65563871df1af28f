//! The shaft from the side, as it leaves.

use balance_core::quantity::Length;
use balance_core::shaft::WeldedBefore;
use maud::{Markup, PreEscaped, html};

use super::words::degrees;
use super::{ReportInput, ShaftRecord};
use crate::draw::{JointKind, LengthUnits, Place, Scene, Side, SideJoint, SidePart, SideWeight, side, svg};
use crate::outcome::Outcome;
use crate::print::text::units;
use balance_core::quantity::Units;

/// Fits between the margins of A4 and of Letter.
const WIDTH_MM: f64 = 178.0;

pub fn figure(input: &ReportInput<'_>) -> Markup {
    match side_view(input.outcome, &input.shaft) {
        Some(view) => html! { figure.side { (drawn(&side(&view))) } },
        None => html! { p { "No positions along the shaft are written down, so it is not drawn." } },
    }
}

/// A picture as a part of the page.
pub fn drawn(scene: &Scene) -> Markup {
    match svg(scene) {
        Ok(text) => PreEscaped(text),
        Err(fault) => html! { p { (fault.to_string()) } },
    }
}

/// `None` if no place along the shaft is known.
fn side_view(outcome: &Outcome<'_>, record: &ShaftRecord) -> Option<Side> {
    let setup = outcome.set.setup();
    let tolerance = outcome.job.map(|job| job.tolerance_planes.as_slice()).unwrap_or_default();
    let view = Side {
        // The page says which shaft it is.
        heading: String::new(),
        width_mm: WIDTH_MM,
        units: match shop_units_of(outcome) {
            Units::Metric => LengthUnits::Metric,
            Units::Us => LengthUnits::Us,
            Units::Both => LengthUnits::Both,
        },
        parts: parts(outcome),
        joints: joints(outcome),
        tolerance_planes: tolerance.iter().map(|plane| place(&plane.name, plane.position)).collect(),
        correction_planes: setup
            .planes
            .iter()
            .filter_map(|plane| Some(place(&plane.name, plane.position?)))
            .collect(),
        sensors: setup
            .sensors
            .iter()
            .filter_map(|sensor| Some(place(&sensor.name, sensor.position?)))
            .collect(),
        match_marks: record
            .marks
            .iter()
            .filter_map(|mark| Some(place(&mark.mark.mark, mark.position?)))
            .collect(),
        weights: outcome.welded_before.iter().filter_map(|weight| side_weight(outcome, weight)).collect(),
    };
    let known = !view.parts.is_empty() || !view.correction_planes.is_empty() || !view.sensors.is_empty();
    known.then_some(view)
}

fn shop_units_of(outcome: &Outcome<'_>) -> Units {
    crate::print::text::heading::units_of(outcome)
}

fn place(name: &str, position: Length) -> Place {
    Place { name: name.into(), position_mm: position.millimetres() }
}

fn parts(outcome: &Outcome<'_>) -> Vec<SidePart> {
    let Some(job) = outcome.job else { return Vec::new() };
    let diameter = job.measures.tube.as_ref().map(|tube| tube.outer_diameter.millimetres());
    if job.parts.is_empty() {
        let whole = job.measures.tube.as_ref().map(|tube| SidePart {
            name: None,
            from_mm: 0.0,
            to_mm: tube.length.millimetres(),
            outer_diameter_mm: diameter,
        });
        return whole.into_iter().collect();
    }
    let part = |part: &balance_core::shaft::Part| SidePart {
        name: Some(part.name.clone()),
        from_mm: part.from.millimetres(),
        to_mm: part.to.millimetres(),
        outer_diameter_mm: diameter,
    };
    job.parts.iter().map(part).collect()
}

/// A joint at each end; where two parts meet, the bearing that carries them.
fn joints(outcome: &Outcome<'_>) -> Vec<SideJoint> {
    let Some(job) = outcome.job else { return Vec::new() };
    let inner = |position: Length| {
        job.parts.iter().any(|part| part.to == position) && job.parts.iter().any(|part| part.from == position)
    };
    let joint = |plane: &balance_core::shaft::TolerancePlane| SideJoint {
        name: plane.name.clone(),
        position_mm: plane.position.millimetres(),
        kind: if inner(plane.position) { JointKind::SteadyBearing } else { JointKind::Joint },
    };
    job.tolerance_planes.iter().map(joint).collect()
}

fn side_weight(outcome: &Outcome<'_>, weight: &WeldedBefore) -> Option<SideWeight> {
    let position = outcome.set.setup().planes[weight.plane].position?;
    let mass = units::stamped(shop_units_of(outcome), weight.mass);
    Some(SideWeight {
        position_mm: position.millimetres(),
        words: format!("{mass} at {}", degrees(weight.angle)),
    })
}
