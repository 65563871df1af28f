//! What to do at the stand, in order.

use balance_core::caution::Caution;
use balance_core::correction::weights::{
    ComesOff, PlacedWeight, PlanePlan, Source, WeightPlan, WeldingAdvice,
};
use balance_core::grade::Decision;
use balance_core::quantity::Speed;
use balance_core::run::RunKind;

use super::explanation::explanation;
use super::heading::{came_back, counting, on_the_shaft, plane_place, shaft, tape, units_of};
use super::shaft::before_spin_line;
use super::shortfall::shortfalls;
use super::units;
use super::verdict::{basis, headline, planes};
use super::wrap::{cautions, wrapped};
use crate::outcome::{Loose, Outcome};

/// The answer of `correct`.
#[must_use]
pub fn correction(outcome: &Outcome<'_>) -> String {
    let mut text = shaft(outcome);
    text.push_str(&came_back(outcome));
    text.push_str(&on_the_shaft(outcome));
    text.push_str(&counting(outcome));
    text.push_str(&before_spin_line(outcome.before_spin.as_deref()));
    text.push('\n');
    text.push_str(&status(outcome));
    text.push('\n');
    if outcome.done() {
        text.push_str("Done. Leave it.\n");
    } else if stopped(outcome) {
        text.push_str("Weld nothing now.\n");
        text.push_str(&explanation(outcome));
    } else {
        text.push_str(&steps(outcome));
    }
    // What falls short stands in the steps, with what would help.
    let others: Vec<_> =
        outcome.cautions.iter().filter(|c| !matches!(c, Caution::WeightsFallShort { .. })).cloned().collect();
    let found = cautions(units_of(outcome), &others);
    if !found.is_empty() {
        text.push('\n');
        text.push_str(&found);
    }
    text
}

/// A check run that does not fit the runs before it: no advice until the cause is found.
fn stopped(outcome: &Outcome<'_>) -> bool {
    outcome.influence.groups.iter().any(balance_core::influence::GroupInfluence::disagrees)
}

/// What is left now, beside what is allowed.
fn status(outcome: &Outcome<'_>) -> String {
    if let (Some(judged), Ok(limits)) = (&outcome.judged, &outcome.limits) {
        let head = wrapped("", "  ", &format!("{}\u{a0}\u{a0} {}", headline(judged.decision), basis(limits)));
        return head + &planes(units_of(outcome), judged.deciding());
    }
    let (Ok(limits), Some(left)) = (&outcome.limits, &outcome.left_now) else {
        return "No limit is known, so only masses can be told.\n".into();
    };
    let over =
        limits.planes.iter().zip(left).any(|(limit, now)| now.norm() > limit.amount.gram_millimetres());
    let units = units_of(outcome);
    let parts: Vec<String> = limits
        .planes
        .iter()
        .zip(left)
        .map(|(limit, now)| {
            format!(
                "{} {} (allowed {})",
                limit.name,
                units::unbalance_number(units, now.norm()),
                units::unbalance_number(units, limit.amount.gram_millimetres())
            )
        })
        .collect();
    let head =
        if over { headline(Decision::Exceeds) } else { "ABOUT WITHIN THE LIMIT (only a check run tells)" };
    wrapped(
        "",
        "  ",
        &format!(
            "{head}\u{a0}\u{a0} {} {}; {}",
            parts.join(", "),
            units::unbalance_unit(units),
            basis(limits)
        ),
    )
}

fn steps(outcome: &Outcome<'_>) -> String {
    let steps = [remove(outcome), hold(outcome), spin(outcome), weld(outcome), check(outcome)];
    let numbered = steps.iter().flatten().enumerate();
    let mut text: String = numbered.map(|(at, step)| indent(&(at + 1).to_string(), step)).collect();
    text.push('\n');
    text.push_str(&forecast(outcome));
    text
}

/// A numbered step; lines that begin with a space keep their layout.
fn indent(number: &str, step: &str) -> String {
    let mut text = String::new();
    for (at, line) in step.lines().enumerate() {
        let first = if at == 0 { format!("{number}  ") } else { "   ".to_owned() };
        if line.starts_with(' ') {
            text.push_str(&format!("   {}\n", line.trim_end()));
        } else {
            text.push_str(&wrapped(&first, "   ", line));
        }
    }
    text
}

/// Whatever of the last run comes off, and welded weights that give way.
fn remove(outcome: &Outcome<'_>) -> Option<String> {
    let last =
        outcome.set.rows().last().filter(|row| matches!(row.run.kind, RunKind::Trial | RunKind::Tried));
    let last = last.filter(|_| outcome.loose == Loose::StillOn);
    let mut lines: Vec<String> = last
        .map(|row| {
            let names: Vec<String> = row
                .run
                .masses
                .iter()
                .map(|mass| {
                    let plane = outcome.set.setup().planes[mass.plane].name.to_uppercase();
                    format!("the {} off the {plane}", units::stamped(units_of(outcome), mass.mass))
                })
                .collect();
            format!("Lock out. Take {}.", names.join(" and "))
        })
        .into_iter()
        .collect();
    for (plane, plan) in outcome.weights.iter().flat_map(|plan| plan.planes.iter().enumerate()) {
        lines.extend(plan.come_off.iter().filter_map(|off| comes_off(outcome, plane, off)));
    }
    (!lines.is_empty()).then(|| lines.join("\n"))
}

fn comes_off(outcome: &Outcome<'_>, plane: usize, off: &ComesOff) -> Option<String> {
    let weight = outcome.welded_before.get(off.welded)?;
    let again = if off.turned_to.is_some() { "; it goes on again below" } else { "" };
    let at = tape(outcome, weight.angle).map_or(String::new(), |tape| format!(", tape {tape}"));
    Some(format!(
        "Take the welded {} at {} off the {}{at}{again}.",
        units::stamped(units_of(outcome), weight.mass),
        units::angle(weight.angle),
        outcome.set.setup().planes[plane].name.to_uppercase()
    ))
}

/// What goes where.
fn hold(outcome: &Outcome<'_>) -> Option<String> {
    Some(match &outcome.weights {
        Some(plan) => hold_weights(outcome, plan),
        None => hold_ideal(outcome),
    })
}

fn hold_weights(outcome: &Outcome<'_>, plan: &WeightPlan) -> String {
    let nothing = plan.planes.iter().all(|plane| plane.weights.is_empty());
    let mut text = if nothing {
        "No weight out of the box makes it better.\n".to_owned()
    } else {
        "Hold these under clamps, do not weld yet (tape to the MIDDLE of each weight, edges in brackets):\n"
            .to_owned()
    };
    for (at, plane) in plan.planes.iter().enumerate().filter(|(_, plane)| !plane.weights.is_empty()) {
        text.push_str(&format!("  {}\n", plane_place(outcome, at)));
        for weight in &plane.weights {
            text.push_str(&format!("     {}\n", weight_words(outcome, weight)));
        }
    }
    text.push_str(&free_zones(outcome));
    for shortfall in shortfalls(outcome) {
        text.push_str(&format!("{shortfall}\n"));
    }
    let pull = plan.planes.iter().flat_map(|plane| &plane.weights).filter_map(|weight| weight.pull_newtons);
    let pull = pull.fold(0.0, f64::max);
    if let Some(speed) = outcome.job.and_then(|job| job.measures.service_speed)
        && pull > 0.0
    {
        let force = units::force(units_of(outcome), pull);
        text.push_str(&format!("Each weight pulls with up to {force} at {:.0} rpm.\n", speed.rpm()));
    }
    text
}

fn weight_words(outcome: &Outcome<'_>, weight: &PlacedWeight) -> String {
    let shop = units_of(outcome);
    let what = match weight.source {
        Source::Bar { cut, .. } => {
            format!(
                "cut {} of the bar ({})",
                units::length(shop, cut.millimetres()),
                units::stamped(shop, weight.piece.mass)
            )
        }
        Source::Turned { .. } => format!("{} (the one taken off)", units::stamped(shop, weight.piece.mass)),
        Source::Box { .. } | Source::Given => units::stamped(shop, weight.piece.mass),
    };
    let place = weight.fixed_place.as_deref().map(|name| format!(", {name}")).unwrap_or_default();
    match weight.tape {
        Some(tape) => format!(
            "{what} at {} ({}) [{} to {}]{place}",
            units::length(shop, tape.middle.millimetres()),
            units::angle(weight.angle),
            units::length(shop, tape.from.millimetres()),
            units::length(shop, tape.to.millimetres())
        ),
        None => format!("{what} at {}{place}", units::angle(weight.angle)),
    }
}

fn free_zones(outcome: &Outcome<'_>) -> String {
    let Some(job) = outcome.job else { return String::new() };
    let zones: Vec<String> = job
        .weld_plan
        .no_weld
        .iter()
        .map(|zone| {
            format!(
                "{} {:.0} to {:.0} deg ({})",
                outcome.set.setup().planes.get(zone.plane).map_or("", |plane| plane.name.as_str()),
                zone.sector.from_degrees() % 360.0,
                zone.sector.to_degrees() % 360.0,
                zone.reason
            )
        })
        .collect();
    if zones.is_empty() { String::new() } else { format!("These zones stay free: {}.\n", zones.join("; ")) }
}

fn hold_ideal(outcome: &Outcome<'_>) -> String {
    let mut text = "Hold these under clamps, do not weld yet (as near as your pieces allow):\n".to_owned();
    let setup = outcome.set.setup();
    for (at, (ideal, plane)) in outcome.correction.planes.iter().zip(&setup.planes).enumerate() {
        let grams = |amount: f64| amount / plane.lever();
        let give = match (ideal.give_or_take, ideal.angle_give_or_take()) {
            (Some(circle), Some(angle)) => {
                format!(", give or take {:.1} g and {:.0} deg", grams(circle), angle.degrees().ceil())
            }
            _ => ", give or take not known".to_owned(),
        };
        let where_on_tape = tape(outcome, ideal.add.angle()).map(|tape| format!(", tape {tape}"));
        text.push_str(&format!(
            "  {}   {:.1} g at {}{}{give}\n",
            plane_place(outcome, at),
            grams(ideal.add.gram_millimetres()),
            units::angle(ideal.add.angle()),
            where_on_tape.unwrap_or_default()
        ));
    }
    text
}

/// The spin with the weights under clamps, and where to stop.
fn spin(outcome: &Outcome<'_>) -> Option<String> {
    let mut text = String::new();
    for (group, own) in outcome.set.groups().iter().enumerate() {
        let speed = own
            .speed
            .map_or_else(|| "the same speed".to_owned(), |speed| format!("{:.0} rpm", Speed::rpm(speed)));
        let own: Vec<_> = outcome.held.iter().filter(|forecast| forecast.group == group).collect();
        let name = |sensor: usize| &outcome.set.setup().sensors[sensor];
        let stop: Vec<String> = own
            .iter()
            .map(|forecast| {
                format!("{} ({})", units::amplitude(forecast.now.amplitude()), name(forecast.sensor).name)
            })
            .collect();
        let expected: String = own
            .iter()
            .map(|forecast| {
                let sensor = name(forecast.sensor);
                let most = forecast.needle_circle.map(|circle| {
                    format!(", at most {}", units::amplitude(forecast.expected.amplitude() + circle))
                });
                format!(
                    "  expected: {} about {}{} {}\n",
                    sensor.name.to_uppercase(),
                    units::amplitude(forecast.expected.amplitude()),
                    most.unwrap_or_default(),
                    sensor.unit
                )
            })
            .collect();
        text.push_str(&format!(
            "Guard shut, nobody in line with the weights, run up slowly to {speed}. Stop above {}.\n{}",
            stop.join(" or "),
            expected
        ));
    }
    text.push_str(
        "More than that: weld nothing, note what you read as a tried run, then balance\u{a0}explain\n",
    );
    Some(text)
}

fn weld(outcome: &Outcome<'_>) -> Option<String> {
    let plan = outcome.weights.as_ref()?;
    if plan.planes.iter().all(|plane| plane.weights.is_empty()) {
        return None;
    }
    if plan.welding_advice == WeldingAdvice::Withheld {
        return Some(
            "Fixing: this program gives no welding advice for a material it does not know. Ask the maker how weights \
             are fixed, and let somebody licensed for it do it."
                .into(),
        );
    }
    let bead = plan.planes.iter().flat_map(|plane| &plane.weights).map(|weight| weight.piece.bead.grams());
    let bead = bead.fold(0.0, f64::max);
    let reckoned = if bead > 0.0 {
        format!(" {} of bead per weight is reckoned in.", units::mass(units_of(outcome), bead))
    } else {
        " No bead is reckoned in.".to_owned()
    };
    Some(format!(
        "Lock out. Weld in this order: {}. Bare metal, return clamp on the tube beside the bead, never through a joint \
         or the stand.{reckoned} Let the tube cool until it is the same warmth all round.",
        welding_order(outcome, plan)
    ))
}

fn welding_order(outcome: &Outcome<'_>, plan: &WeightPlan) -> String {
    let one = |&(plane, weight): &(usize, usize)| {
        let own: &PlanePlan = plan.planes.get(plane)?;
        let weight = own.weights.get(weight)?;
        Some(format!("{} {}", own.name, units::stamped(units_of(outcome), weight.piece.mass)))
    };
    plan.welding_order.iter().filter_map(one).collect::<Vec<String>>().join(", ")
}

fn check(outcome: &Outcome<'_>) -> Option<String> {
    let speeds: Vec<String> = outcome
        .set
        .groups()
        .iter()
        .filter_map(|group| group.speed)
        .map(|s| format!("{:.0} rpm", s.rpm()))
        .collect();
    let to = if speeds.is_empty() { "the same speed".to_owned() } else { speeds.join(" and ") };
    Some(format!("Spin to {to} again, take the reading as the check run, then balance\u{a0}verify"))
}

/// What should be left after welding; a forecast, never a verdict.
fn forecast(outcome: &Outcome<'_>) -> String {
    let units = units_of(outcome);
    let mut text = String::new();
    if let Some(after) = &outcome.left_after
        && let Ok(limits) = &outcome.limits
    {
        let parts: Vec<String> = limits
            .planes
            .iter()
            .zip(after)
            .map(|(limit, after)| {
                let most = after.circle.map(|circle| {
                    format!(" (most likely under {})", units::unbalance_number(units, after.amount + circle))
                });
                format!(
                    "{} about {}{}",
                    limit.name,
                    units::unbalance_number(units, after.amount),
                    most.unwrap_or_default()
                )
            })
            .collect();
        text.push_str(&format!(
            "Afterwards there should be left: {} {}. ",
            parts.join(", "),
            units::unbalance_unit(units)
        ));
    }
    if let Some(chance) = outcome.chance_after {
        text.push_str(&format!(
            "Chance that this meets the limit: at least {}. ",
            units::chance_below(chance)
        ));
    }
    text.push_str("This is a forecast; only the check run tells.");
    if let Some(sure) = &outcome.sure_readings {
        let parts: Vec<String> = sure
            .iter()
            .map(|reading| {
                format!("{} under {} {}", reading.sensor, units::amplitude(reading.amplitude), reading.unit)
            })
            .collect();
        text.push_str(&format!(" Readings of {} would be good enough.", parts.join(" and ")));
    }
    if let Some(next) = outcome.next_run() {
        text.push(' ');
        text.push_str(&next);
    }
    wrapped("", "  ", &text)
}
