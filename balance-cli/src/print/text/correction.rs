//! The full answer of `correct`: what to do at the stand, in order, with the forecast and every caution.

use balance_core::answer::{Advice, Ahead, NothingBetter, OneMoreRun};
use balance_core::caution::Caution;
use balance_core::correction::weights::{
    ComesOff, PlacedWeight, PlanePlan, Source, TapeReading, WeightPlan, WeldingAdvice,
};
use balance_core::correction::{Correction, PlaneCorrection};
use balance_core::grade::Decision;
use balance_core::quantity::{Angle, Speed, Units};
use balance_core::run::RunKind;
use balance_core::shaft::{PlaneId, SensorId};

use super::heading::{came_back, counting, on_the_shaft, plane_place, shaft, tape};
use super::masses::Masses;
use super::shaft::before_spin_line;
use super::shortfall::shortfalls;
use super::units;
use super::verdict::{basis, headline, planes};
use super::wrap::all_cautions;
use crate::page::{Page, TOGETHER};
use crate::view::{Loose, Reader, View};

/// The full answer of `correct`.
#[must_use]
pub fn correction_in_full(view: &View<'_>) -> String {
    let page = view.page;
    let mut text = shaft(view);
    text.push_str(&came_back(view));
    text.push_str(&on_the_shaft(view));
    text.push_str(&counting(view));
    text.push_str(&before_spin_line(page, view.answer.before_spin.as_deref()));
    text.push('\n');
    text.push_str(&status(view));
    text.push('\n');
    match view.answer.advice() {
        Advice::MustNotSpin(refusal) => {
            text.push_str(&view.page.wrapped(
                "",
                "  ",
                &format!("MUST NOT SPIN LIKE THIS. {}", refusal.text(view.units())),
            ));
        }
        Advice::HeldBack(found) => {
            text.push_str("Weld nothing now.\n");
            text.extend(found.sentences.iter().map(|line| page.wrapped("  ", "    ", line)));
        }
        Advice::OneMoreRun(found) => text.push_str(&one_more_run(view, found)),
        Advice::Done(_) => text.push_str("Done. Leave it.\n"),
        Advice::Hold(hold) => {
            text.push_str(&Steps { view, masses: Masses::Weights(&hold.plan), ahead: &hold.ahead }.text());
        }
        Advice::Ideal(ideal) => {
            text.push_str(
                &Steps { view, masses: Masses::Ideal(&ideal.correction), ahead: &ideal.ahead }.text(),
            );
        }
        Advice::NothingBetter(found) => text.push_str(&nothing_better(view, found)),
    }
    // A shortfall is explained in the steps, with what would help.
    let others: Vec<_> = view
        .answer
        .cautions
        .iter()
        .filter(|c| !matches!(c, Caution::WeightsFallShort { .. }))
        .cloned()
        .collect();
    let found = all_cautions(page, view.units(), &others);
    if !found.is_empty() {
        text.push('\n');
        text.push_str(&found);
    }
    text
}

/// The run that comes before any weight.
fn one_more_run(view: &View<'_>, found: &OneMoreRun) -> String {
    let mut text = String::new();
    if let Some(off) = trial_off(view) {
        text.push_str(&view.page.wrapped("", "  ", &off));
    }
    text.push_str(&view.page.wrapped("", "  ", &format!("NEXT: {}", found.next.sentence())));
    if view.answer.checked() && view.reader == Reader::OfACommand {
        text.push_str(&view.page.wrapped(
            "",
            "  ",
            "To correct further now instead: balance\u{a0}correct\u{a0}--further",
        ));
    }
    text
}

/// Too much is left, and the box cannot help.
fn nothing_better(view: &View<'_>, found: &NothingBetter) -> String {
    let mut text = if found.plan.good_enough {
        "No weight is needed: as far as is known, little enough is left.\n".to_owned()
    } else {
        "None of the weights in the box would improve it.\n".to_owned()
    };
    for shortfall in shortfalls(view, &found.plan) {
        text.push_str(&view.page.wrapped("", "  ", &shortfall));
    }
    text
}

/// What is left now, compared with what is allowed.
fn status(view: &View<'_>) -> String {
    if let (Some(judged), Ok(limits)) = (&view.answer.judged, &view.answer.limits) {
        let head = view.page.wrapped(
            "",
            "  ",
            &format!("{}\u{a0}\u{a0} {}", headline(judged.decision), basis(view.units(), limits)),
        );
        return head + &planes(view.page, view.units(), judged.deciding());
    }
    let (Ok(limits), Some(left)) = (&view.answer.limits, &view.answer.left_now) else {
        return "No limit is known, so this answer has masses but no verdict.\n".into();
    };
    let over =
        limits.planes.iter().zip(left).any(|(limit, now)| now.norm() > limit.amount.gram_millimetres());
    let units = view.units();
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
        if over { headline(Decision::Exceeds) } else { "SEEMS WITHIN THE LIMIT (only a check run can tell)" };
    view.page.wrapped(
        "",
        "  ",
        &format!(
            "{head}\u{a0}\u{a0} {} {}; {}",
            parts.join(", "),
            units::unbalance_unit(units),
            basis(view.units(), limits)
        ),
    )
}

/// What to do, step by step.
struct Steps<'a> {
    view: &'a View<'a>,
    masses: Masses<'a>,
    ahead: &'a Ahead,
}

impl Steps<'_> {
    fn text(&self) -> String {
        let (view, plan) = (self.view, self.plan());
        let hold = match self.masses {
            Masses::Weights(plan) => hold_weights(view, plan),
            Masses::Ideal(correction) => hold_ideal(view, correction),
        };
        let weld = plan.and_then(|plan| weld(view, plan));
        let steps = [remove(view, plan), Some(hold), Some(spin(view, self.ahead)), weld, Some(check(view))];
        let numbered = steps.iter().flatten().enumerate();
        let mut text: String =
            numbered.map(|(at, step)| indent(view.page, &(at + 1).to_string(), step)).collect();
        text.push('\n');
        text.push_str(&forecast(view, self.ahead));
        text
    }

    fn plan(&self) -> Option<&WeightPlan> {
        match self.masses {
            Masses::Weights(plan) => Some(plan),
            Masses::Ideal(_) => None,
        }
    }
}

/// A numbered step; lines that begin with a space keep their layout.
fn indent(page: Page, number: &str, step: &str) -> String {
    let mut text = String::new();
    for (at, line) in step.lines().enumerate() {
        let first = if at == 0 { format!("{number}  ") } else { "   ".to_owned() };
        if line.starts_with(' ') {
            let set_in = " ".repeat(3 + line.len() - line.trim_start().len());
            text.push_str(&page.wrapped(&set_in, &set_in, line));
        } else {
            text.push_str(&page.wrapped(&first, "   ", line));
        }
    }
    text
}

/// What comes off after the last run, and welded weights that give way.
fn remove(view: &View<'_>, plan: Option<&WeightPlan>) -> Option<String> {
    let mut lines: Vec<String> = trial_off(view).into_iter().collect();
    for (plane, plan) in plan.into_iter().flat_map(|plan| PlaneId::numbered(&plan.planes)) {
        lines.extend(plan.come_off.iter().filter_map(|off| comes_off(view, plane, off)));
    }
    (!lines.is_empty()).then(|| lines.join("\n"))
}

/// The masses of a last trial or try, if they are still on.
pub(super) fn trial_off(view: &View<'_>) -> Option<String> {
    let last = view.answer.runs.rows().last()?;
    if view.loose == Loose::Off || !matches!(last.run.kind, RunKind::Trial | RunKind::Tried) {
        return None;
    }
    let name = |mass: &balance_core::run::PlacedMass| {
        let plane = view.answer.runs.setup().planes[mass.plane].name.to_uppercase();
        format!("the {} off the {plane}", units::stamped(view.units(), mass.mass))
    };
    let names: Vec<String> = last.run.masses.iter().map(name).collect();
    Some(format!("Lock out. Take {}.", names.join(" and ")))
}

pub(super) fn comes_off(view: &View<'_>, plane: PlaneId, off: &ComesOff) -> Option<String> {
    let weight = view.answer.welded_before.get(off.welded)?;
    let again = if off.turned_to.is_some() { "; it is used again below" } else { "" };
    let at = tape(view, weight.angle).map_or(String::new(), |tape| format!(", tape {tape}"));
    Some(format!(
        "Take the welded {} at {} off the {}{at}{again}.",
        units::stamped(view.units(), weight.mass),
        units::angle(weight.angle),
        view.answer.runs.setup().planes[plane].name.to_uppercase()
    ))
}

/// What goes where.
fn hold_weights(view: &View<'_>, plan: &WeightPlan) -> String {
    let nothing = plan.planes.iter().all(|plane| plane.weights.is_empty());
    let mut text = if nothing && plan.good_enough {
        "No new weight is needed.\n".to_owned()
    } else if nothing {
        "None of the weights in the box would improve it.\n".to_owned()
    } else {
        "Hold these under clamps, do not weld yet (tape to the MIDDLE of each weight, edges in brackets):\n"
            .to_owned()
    };
    for (at, plane) in PlaneId::numbered(&plan.planes).filter(|(_, plane)| !plane.weights.is_empty()) {
        text.push_str(&format!("  {}\n", plane_place(view, at)));
        for weight in &plane.weights {
            text.push_str(&format!("     {}\n", weight_words(view, weight)));
        }
    }
    text.push_str(&free_zones(view));
    for shortfall in shortfalls(view, plan) {
        text.push_str(&format!("{shortfall}\n"));
    }
    let pull = plan.planes.iter().flat_map(|plane| &plane.weights).filter_map(|weight| weight.pull_newtons);
    let pull = pull.fold(0.0, f64::max);
    if let Some(speed) = view.answer.job.measures.service_speed
        && pull > 0.0
    {
        let force = units::force(view.units(), pull);
        text.push_str(&format!("Each weight pulls with up to {force} at {:.0} rpm.\n", speed.rpm()));
    }
    text
}

pub(super) fn weight_words(view: &View<'_>, weight: &PlacedWeight) -> String {
    let shop = view.units();
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
        Some(tape) => {
            // A weight whose width is not known has no edges to show.
            let edges = (tape.from != tape.to).then(|| format!(" [{}]", from_to(shop, tape.from, tape.to)));
            format!(
                "{what} at {} ({}){}{place}",
                units::length(shop, tape.middle.millimetres()),
                units::angle(weight.angle),
                edges.unwrap_or_default()
            )
        }
        None => format!("{what} at {}{place}", units::angle(weight.angle)),
    }
}

/// "246 to 271 mm": the unit once, where it is the same; never broken over two lines.
fn from_to(shop: Units, from: TapeReading, to: TapeReading) -> String {
    let [from, to] = [from, to].map(|length| units::length(shop, length.millimetres()));
    let number =
        [" mm", " in"].iter().find_map(|unit| from.strip_suffix(unit).filter(|_| to.ends_with(unit)));
    format!("{} to {to}", number.unwrap_or(&from)).replace(' ', &TOGETHER.to_string())
}

fn free_zones(view: &View<'_>) -> String {
    let zones: Vec<String> = view
        .answer
        .job
        .weld_plan
        .no_weld
        .iter()
        .map(|zone| {
            format!(
                "{} {:.0} to {:.0} deg ({})",
                view.answer
                    .runs
                    .setup()
                    .planes
                    .get(zone.plane.index())
                    .map_or("", |plane| plane.name.as_str()),
                zone.sector.from_degrees() % 360.0,
                zone.sector.to_degrees() % 360.0,
                zone.reason
            )
        })
        .collect();
    if zones.is_empty() { String::new() } else { format!("These zones stay free: {}.\n", zones.join("; ")) }
}

fn hold_ideal(view: &View<'_>, correction: &Correction) -> String {
    let mut text = "Hold these under clamps, do not weld yet (as near as your pieces allow):\n".to_owned();
    for (at, ideal) in PlaneId::numbered(correction.planes.iter()) {
        text.push_str(&format!("  {}   {}\n", plane_place(view, at), ideal_words(view, at, ideal)));
    }
    text
}

/// The ideal mass of one plane with its place and its give or take.
pub(super) fn ideal_words(view: &View<'_>, plane: PlaneId, ideal: &PlaneCorrection) -> String {
    let lever = view.answer.runs.setup().planes[plane].lever();
    let mass = |amount: f64| units::ideal_mass(view.units(), amount / lever);
    let give = match (ideal.give_or_take, ideal.angle_give_or_take()) {
        (Some(circle), Some(angle)) => {
            format!(", give or take {} and {:.0} deg", mass(circle), angle.degrees().ceil())
        }
        _ => ", give or take not known".to_owned(),
    };
    let where_on_tape = tape(view, ideal.add.angle()).map(|tape| format!(", tape {tape}"));
    format!(
        "{} at {}{}{give}",
        mass(ideal.add.gram_millimetres()),
        units::angle(ideal.add.angle()),
        where_on_tape.unwrap_or_default()
    )
}

/// Where the screws of the two clamps go, if the shop balances with clamps.
pub(super) fn clamp_words(view: &View<'_>, plane: PlaneId, ideal: &PlaneCorrection) -> Option<String> {
    let found = view.answer.clamp_screws(plane, ideal)?;
    let place = |angle: Angle| {
        let tape = tape(view, angle).map_or_else(String::new, |tape| format!(", tape {tape}"));
        format!("{}{tape}", units::angle(angle))
    };
    let short = if found.short {
        format!("; together they make only {}: use heavier ones", units::stamped(view.units(), found.mass))
    } else {
        String::new()
    };
    Some(format!("two clamps, screws at {} and {}{short}", place(found.at[0]), place(found.at[1])))
}

/// The spin with the weights under clamps, and where to stop.
fn spin(view: &View<'_>, ahead: &Ahead) -> String {
    let mut text = String::new();
    for (group, own) in view.answer.runs.groups().iter().enumerate() {
        let speed = own
            .speed
            .map_or_else(|| "the same speed".to_owned(), |speed| format!("{:.0} rpm", Speed::rpm(speed)));
        let own: Vec<_> = ahead.held.iter().filter(|forecast| forecast.group == group).collect();
        let name = |sensor: SensorId| &view.answer.runs.setup().sensors[sensor];
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
    text.push_str(match view.reader {
        Reader::OfACommand => {
            "More than that: weld nothing, note what you read as a tried run, then balance\u{a0}explain\n"
        }
        Reader::Guided => "More than that: weld nothing.\n",
    });
    text
}

fn weld(view: &View<'_>, plan: &WeightPlan) -> Option<String> {
    if plan.planes.iter().all(|plane| plane.weights.is_empty()) {
        return None;
    }
    if plan.welding_advice == WeldingAdvice::Withheld {
        return Some(
            "Fixing: this program gives no welding advice for a material it does not know. Ask the maker \
             how to fix weights, and have a licensed person do it."
                .into(),
        );
    }
    let bead = plan.planes.iter().flat_map(|plane| &plane.weights).map(|weight| weight.piece.bead.grams());
    let bead = bead.fold(0.0, f64::max);
    let allowed_for = if bead > 0.0 {
        format!(" {} of bead per weight is allowed for.", units::mass(view.units(), bead))
    } else {
        " No bead is allowed for.".to_owned()
    };
    Some(format!(
        "Lock out. Weld in this order: {}. Weld on bare metal, with the return clamp on the tube beside \
         the bead, never through a joint or the stand.{allowed_for} Let the tube cool until it is equally \
         warm all round.",
        welding_order(view, plan)
    ))
}

pub(super) fn welding_order(view: &View<'_>, plan: &WeightPlan) -> String {
    let one = |&(plane, weight): &(PlaneId, usize)| {
        let own: &PlanePlan = plan.planes.get(plane.index())?;
        let weight = own.weights.get(weight)?;
        Some(format!("{} {}", own.name, units::stamped(view.units(), weight.piece.mass)))
    };
    plan.welding_order.iter().filter_map(one).collect::<Vec<String>>().join(", ")
}

fn check(view: &View<'_>) -> String {
    let speeds: Vec<String> = view
        .answer
        .runs
        .groups()
        .iter()
        .filter_map(|group| group.speed)
        .map(|s| format!("{:.0} rpm", s.rpm()))
        .collect();
    let to = if speeds.is_empty() { "the same speed".to_owned() } else { speeds.join(" and ") };
    let verify = if view.reader == Reader::OfACommand { ", then balance\u{a0}verify" } else { "" };
    format!("Spin to {to} again, take the reading as the check run{verify}")
}

/// What should be left after welding; a forecast, never a verdict.
fn forecast(view: &View<'_>, ahead: &Ahead) -> String {
    let units = view.units();
    let mut text = String::new();
    if let Some(after) = &ahead.left_after
        && let Ok(limits) = &view.answer.limits
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
            "This should be left after welding: {} {}. ",
            parts.join(", "),
            units::unbalance_unit(units)
        ));
    }
    if let Some(chance) = ahead.chance {
        text.push_str(&format!(
            "Chance that this meets the limit: at least {}. ",
            units::chance_below(chance)
        ));
    }
    text.push_str("This is a forecast; only the check run can confirm it.");
    if let Some(sure) = &view.answer.sure_readings {
        let parts: Vec<String> = sure
            .iter()
            .map(|reading| {
                format!("{} under {} {}", reading.sensor, units::amplitude(reading.amplitude), reading.unit)
            })
            .collect();
        text.push_str(&format!(" Readings of {} would be good enough.", parts.join(" and ")));
    }
    if let Some(next) = view.answer.gain_of_one_more_run() {
        text.push(' ');
        text.push_str(&next);
    }
    view.page.wrapped("", "  ", &text)
}
