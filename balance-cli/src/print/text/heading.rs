//! The head of every answer: which shaft, how angles are counted, what is on it.

use balance_core::quantity::Angle;
use balance_core::run::{Convention, MassAngle, PlacedMass, RunKind};
use balance_core::shaft::{CorrectionPlane, PlaneId};

use balance_core::shaft::WeldedBefore;

use super::units;
use crate::files::JobFile;
use crate::page::Page;
use crate::view::{Loose, View};
use balance_core::quantity::Units;

/// Which shaft.
pub fn shaft(view: &View<'_>) -> String {
    let heading = view.file.map(|file| &file.paperwork.heading);
    let words: Vec<&str> =
        heading.iter().flat_map(|h| [h.unit.as_deref(), h.customer.as_deref()]).flatten().collect();
    view.page.wrapped("", "  ", &format!("{}\u{a0} {}", view.answer.shaft, words.join(", ")))
}

/// What is known of its last visit; empty for a shaft that was never here.
pub fn came_back(view: &View<'_>) -> String {
    let Some(stay) =
        view.file.and_then(|file| file.paperwork.came_back.as_ref()).filter(|_| !view.answer.checked())
    else {
        return String::new();
    };
    let date = stay.date.as_deref().map(|date| format!(" of {date}")).unwrap_or_default();
    let left = stay.left.as_deref().map(|left| format!(" with {left}")).unwrap_or_default();
    view.page.wrapped(
        "",
        "  ",
        &format!("It left here{left} (record {}{date}); compare this with what is found now.", stay.record),
    )
}

/// How angles and tape are counted.
pub fn counting(view: &View<'_>) -> String {
    counting_on(view.page, &view.answer.runs.setup().convention, view.file)
}

/// The same before there is an answer.
pub fn counting_of(convention: &Convention, job: Option<&JobFile>) -> String {
    counting_on(Page::default(), convention, job)
}

fn counting_on(page: Page, convention: &Convention, job: Option<&JobFile>) -> String {
    if !convention.stated {
        return String::new();
    }
    let way = match convention.mass_angle {
        MassAngle::AgainstRotation => "against rotation",
        MassAngle::WithRotation => "with rotation",
    };
    let mark = convention
        .zero_mark
        .as_deref()
        .map_or_else(|| "the zero mark".to_owned(), |mark| format!("the {mark}"));
    let shop = job.map_or(Units::Metric, |job| job.job.units);
    let round = job.and_then(|job| job.job.measures.tube.as_ref()).map(|tube| {
        let around = units::length(shop, tube.circumference_millimetres());
        let tube = units::fine_length(shop, tube.outer_diameter.millimetres());
        format!("; once round must read {around} ({tube} tube)")
    });
    page.wrapped("", "  ", &format!("Angles and tape run {way} from {mark}{}.", round.unwrap_or_default()))
}

/// What is on the shaft after the last run.
pub fn on_the_shaft(view: &View<'_>) -> String {
    let welded: Vec<String> = if view.answer.welded_before.is_empty() {
        let last = view.answer.runs.last_check_block().last().copied();
        let masses = last.map(|row| view.answer.runs.rows()[row].masses.as_slice()).unwrap_or_default();
        masses.iter().map(|mass| placed(view, mass)).collect()
    } else {
        view.answer.welded_before.iter().map(|weight| welded_words(view, weight)).collect()
    };
    let last = view.answer.runs.rows().last();
    let loose: Vec<String> = last
        .filter(|row| matches!(row.run.kind, RunKind::Trial | RunKind::Tried) && view.loose == Loose::StillOn)
        .map(|row| row.run.masses.iter().map(|mass| placed(view, mass)).collect())
        .unwrap_or_default();
    let what = match last.map(|row| row.run.kind) {
        Some(RunKind::Trial) => "the trial mass of the last run",
        _ => "the weights under clamps",
    };
    let mut parts = Vec::new();
    if !loose.is_empty() {
        parts.push(format!("{what}: {}", loose.join(", ")));
    }
    parts.push(if welded.is_empty() {
        "nothing added permanently".into()
    } else {
        format!("permanently: {}", welded.join(", "))
    });
    view.page.wrapped("", "  ", &format!("On the shaft now: {}.", parts.join("; ")))
}

fn welded_words(view: &View<'_>, weight: &WeldedBefore) -> String {
    let name =
        view.answer.runs.setup().planes.get(weight.plane.index()).map_or("", |plane| plane.name.as_str());
    format!(
        "{} at {} {}",
        units::stamped(view.units(), weight.mass),
        name.to_uppercase(),
        units::angle(weight.angle)
    )
}

fn placed(view: &View<'_>, mass: &PlacedMass) -> String {
    let name = view.answer.runs.setup().planes[mass.plane].name.to_uppercase();
    let sign = if mass.change == balance_core::run::Change::TakenOff { "minus " } else { "" };
    format!("{sign}{} at {} {}", units::stamped(view.units(), mass.mass), name, units::angle(mass.angle))
}

/// A plane's name at the stand, and where it is.
pub fn plane_place(view: &View<'_>, plane: PlaneId) -> String {
    plane_place_of(&view.answer.runs.setup().planes[plane], view.units())
}

/// The same before there is an answer.
pub fn plane_place_of(own: &CorrectionPlane, shop: Units) -> String {
    let position = own
        .position
        .map(|position| format!(" {} from the front joint", units::length(shop, position.millimetres())));
    format!("{}{}", own.name.to_uppercase(), position.unwrap_or_default())
}

/// Where on the tape an angle is; empty without a tube.
pub fn tape(view: &View<'_>, angle: Angle) -> Option<String> {
    let tube = view.answer.job.measures.tube.as_ref()?;
    let along = angle.degrees_in_turn() / 360.0 * tube.circumference_millimetres();
    Some(units::length(view.units(), along))
}
