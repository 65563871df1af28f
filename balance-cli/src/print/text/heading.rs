//! The head of every answer: which shaft, how angles are counted, what is on it.

use balance_core::quantity::Angle;
use balance_core::run::{Convention, MassAngle, PlacedMass, RunKind};
use balance_core::shaft::CorrectionPlane;

use balance_core::shaft::WeldedBefore;

use super::units;
use super::wrap::wrapped;
use crate::files::Job;
use crate::outcome::{Loose, Outcome};
use balance_core::quantity::Units;

/// The shop's units, metric without a job.
pub fn units_of(outcome: &Outcome<'_>) -> Units {
    outcome.job.map_or(Units::Metric, |job| job.units)
}

/// Which shaft.
pub fn shaft(outcome: &Outcome<'_>) -> String {
    let heading = outcome.job.map(|job| &job.heading);
    let words: Vec<&str> =
        heading.iter().flat_map(|h| [h.unit.as_deref(), h.customer.as_deref()]).flatten().collect();
    wrapped("", "  ", &format!("{}\u{a0} {}", outcome.shaft, words.join(", ")))
}

/// What is known of its last stay; nothing for a shaft that was never here.
pub fn came_back(outcome: &Outcome<'_>) -> String {
    let Some(stay) = outcome.job.and_then(|job| job.came_back.as_ref()).filter(|_| !outcome.checked()) else {
        return String::new();
    };
    let date = stay.date.as_deref().map(|date| format!(" of {date}")).unwrap_or_default();
    let left = stay.left.as_deref().map(|left| format!(" with {left}")).unwrap_or_default();
    wrapped(
        "",
        "  ",
        &format!("It left here{left} (record {}{date}); compare with what is found now.", stay.record),
    )
}

/// How angles and tape are counted.
pub fn counting(outcome: &Outcome<'_>) -> String {
    counting_of(&outcome.set.setup().convention, outcome.job)
}

/// The same before there is an outcome.
pub fn counting_of(convention: &Convention, job: Option<&Job>) -> String {
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
    let shop = job.map_or(Units::Metric, |job| job.units);
    let round = job.and_then(|job| job.measures.tube.as_ref()).map(|tube| {
        let around = units::length(shop, tube.circumference_millimetres());
        format!("; once round must read {around} ({} mm tube)", tube.outer_diameter.millimetres())
    });
    wrapped("", "  ", &format!("Angles and tape run {way} from {mark}{}.", round.unwrap_or_default()))
}

/// What is on the shaft after the last run.
pub fn on_the_shaft(outcome: &Outcome<'_>) -> String {
    let welded: Vec<String> = if outcome.welded_before.is_empty() {
        let last = outcome.set.last_check_block().last().copied();
        let masses = last.map(|row| outcome.set.rows()[row].masses.as_slice()).unwrap_or_default();
        masses.iter().map(|mass| placed(outcome, mass)).collect()
    } else {
        outcome.welded_before.iter().map(|weight| welded_words(outcome, weight)).collect()
    };
    let last = outcome.set.rows().last();
    let loose: Vec<String> = last
        .filter(|row| {
            matches!(row.run.kind, RunKind::Trial | RunKind::Tried) && outcome.loose == Loose::StillOn
        })
        .map(|row| row.run.masses.iter().map(|mass| placed(outcome, mass)).collect())
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
        "nothing added for good".into()
    } else {
        format!("for good: {}", welded.join(", "))
    });
    wrapped("", "  ", &format!("On the shaft now: {}.", parts.join("; ")))
}

fn welded_words(outcome: &Outcome<'_>, weight: &WeldedBefore) -> String {
    let name = outcome.set.setup().planes.get(weight.plane).map_or("", |plane| plane.name.as_str());
    format!(
        "{} at {} {}",
        units::stamped(units_of(outcome), weight.mass),
        name.to_uppercase(),
        units::angle(weight.angle)
    )
}

fn placed(outcome: &Outcome<'_>, mass: &PlacedMass) -> String {
    let name = outcome.set.setup().planes[mass.plane].name.to_uppercase();
    let sign = if mass.change == balance_core::run::Change::TakenOff { "minus " } else { "" };
    format!("{sign}{} at {} {}", units::stamped(units_of(outcome), mass.mass), name, units::angle(mass.angle))
}

/// What a plane is called at the stand, and where it is.
pub fn plane_place(outcome: &Outcome<'_>, plane: usize) -> String {
    plane_place_of(&outcome.set.setup().planes[plane], units_of(outcome))
}

/// The same before there is an outcome.
pub fn plane_place_of(own: &CorrectionPlane, shop: Units) -> String {
    let position = own
        .position
        .map(|position| format!(" {} from the front joint", units::length(shop, position.millimetres())));
    format!("{}{}", own.name.to_uppercase(), position.unwrap_or_default())
}

/// Where on the tape an angle is; nothing without a tube.
pub fn tape(outcome: &Outcome<'_>, angle: Angle) -> Option<String> {
    let tube = outcome.job?.measures.tube.as_ref()?;
    let along = angle.degrees_in_turn() / 360.0 * tube.circumference_millimetres();
    Some(units::length(units_of(outcome), along))
}
