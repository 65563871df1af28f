//! The shaft from the side, as it leaves.

use balance_core::quantity::Length;
use balance_core::shaft::WeldedBefore;
use maud::{Markup, PreEscaped, html};

use super::words::degrees;
use super::{ReportInput, ShaftRecord};
use crate::draw::{JointKind, Place, Scene, Side, SideJoint, SidePart, SideWeight, side, svg};
use crate::print::text::units;
use crate::view::View;

/// Fits between the margins of A4 and of Letter.
const WIDE_MM: f64 = 178.0;
/// For a phone.
const NARROW_MM: f64 = 80.0;

pub fn figure(input: &ReportInput<'_>) -> Markup {
    match side_view(input.view, &input.shaft) {
        Some(view) => {
            let narrow = Side { width_mm: NARROW_MM, ..view.clone() };
            html! {
                figure.side.wide { (drawn(&side(&view))) }
                figure.side.narrow { (drawn(&side(&narrow))) }
            }
        }
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
fn side_view(view: &View<'_>, record: &ShaftRecord) -> Option<Side> {
    let setup = view.answer.runs.setup();
    let tolerance = view.answer.job.tolerance_planes.as_slice();
    let view = Side {
        // The page says which shaft it is.
        heading: String::new(),
        width_mm: WIDE_MM,
        units: view.units(),
        parts: parts(view),
        joints: joints(view),
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
        weights: view.answer.welded_before.iter().filter_map(|weight| side_weight(view, weight)).collect(),
    };
    let known = !view.parts.is_empty() || !view.correction_planes.is_empty() || !view.sensors.is_empty();
    known.then_some(view)
}

fn place(name: &str, position: Length) -> Place {
    Place { name: name.into(), position_mm: position.millimetres() }
}

fn parts(view: &View<'_>) -> Vec<SidePart> {
    let job = &view.answer.job;
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
fn joints(view: &View<'_>) -> Vec<SideJoint> {
    let job = &view.answer.job;
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

fn side_weight(view: &View<'_>, weight: &WeldedBefore) -> Option<SideWeight> {
    let position = view.answer.runs.setup().planes[weight.plane].position?;
    let mass = units::stamped(view.units(), weight.mass);
    Some(SideWeight {
        position_mm: position.millimetres(),
        words: format!("{mass} at {}", degrees(weight.angle)),
    })
}
