//! Joints, lengths, runout and inspection, in words.

use balance_core::answer::{RelengthFinding, YokeFinding};
use balance_core::quantity::{Angle, Length, Units, shown};
use balance_core::shaft::JointFindings;

use super::shaft::ShaftView;
use super::units;
use crate::page::Page;
use balance_core::quantity::shown::found_speed;

pub(super) fn joints(view: &ShaftView<'_>) -> String {
    let stated = &view.answer.job.shaft.joints;
    if stated.is_empty() {
        return String::new();
    }
    let Some(found) = &view.answer.before.check.joints else {
        return "Joints  NOT CHECKED: state every joint's angle and the speed\n".into();
    };
    let angles: Vec<String> = view
        .answer
        .before
        .description
        .joints
        .joints
        .iter()
        .map(|joint| format!("{:.2}", joint.angle.degrees().abs()))
        .collect();
    let words = format!("Joints\u{a0} {} deg; {}", angles.join(", "), joint_words(found));
    let mut text = view.page.wrapped("", "        ", &words);
    for tooth in &view.answer.work.tooth_out {
        let words = format!(
            "One tooth of {} out before joint {} ({:.1} deg): {}",
            tooth.teeth,
            tooth.joint,
            tooth.step_degrees,
            joint_words(&tooth.findings)
        );
        text.push_str(&view.page.wrapped("  ", "        ", &words));
    }
    text
}

fn joint_words(found: &JointFindings) -> String {
    let inertia = found.inertia_acceleration_drive.map(|drive| {
        let coast = found.inertia_acceleration_coast.unwrap_or(drive);
        format!("; the pieces between are shaken with {drive:.0} rad/s2 driving, {coast:.0} coasting")
    });
    format!(
        "together they act like one joint at {:.2} deg: the last shaft turns between {:.1} and {:.1} rpm, \
        shaken with {:.0} rad/s2{}",
        found.equivalent_angle.degrees(),
        found.output_rpm.0,
        found.output_rpm.1,
        found.torsional_acceleration,
        inertia.unwrap_or_default()
    )
}

pub(super) fn lengths(view: &ShaftView<'_>) -> String {
    let mut text = String::new();
    if let Some(reached) = view.answer.job.shaft.reached {
        text.push_str(&format!("Highest speed the drive can reach  {:.0} rpm\n", reached.speed.rpm()));
    }
    if let Some(found) = &view.answer.work.relength {
        text.push_str(&relength(view.page, view.file.job.units, found));
    }
    view.answer.work.yokes.iter().for_each(|yoke| text.push_str(&yoke_change(view, yoke)));
    for size in &view.file.paperwork.joint_sizes {
        let words = match size.misfit() {
            None => "both yokes take one joint".to_owned(),
            Some(_) => "THE YOKES DO NOT FIT ONE JOINT: other caps or another width".to_owned(),
        };
        text.push_str(&view.page.wrapped("", "      ", &format!("{}\u{a0} {words}", size.joint)));
    }
    text
}

fn relength(page: Page, shop: Units, found: &RelengthFinding) -> String {
    let fine = |length: Length| shown::fine_length(shop, length.millimetres());
    let own = &found.relength;
    let usual = if own.usual_allowance { " (common practice: measure your own)" } else { "" };
    let critical = found
        .critical
        .map(|at| format!("; critical speed then {} rpm", found_speed(at.lowest())))
        .unwrap_or_default();
    let words = format!(
        "Re-lengthening\u{a0} cut the tube {}: {} between joint centres, less {} and {} to the shoulders, {} for shrinkage{usual}{critical}",
        fine(own.tube_length),
        fine(own.cut.joint_centres),
        fine(own.cut.front_shoulder),
        fine(own.cut.rear_shoulder),
        fine(own.cut.shrink_allowance)
    );
    let mut text = page.wrapped("", "      ", &words);
    if let Some(travel) = &own.travel {
        let reserve = own.stroke.map(|stroke| {
            let (pushed, drawn) = travel.reserve_millimetres(&stroke);
            let fits = if pushed < 0.0 || drawn < 0.0 { ": IT DOES NOT FIT" } else { "" };
            format!(
                ", {} left before the stop and {} before the splines come apart{fits}; middle of the stroke {}",
                signed(shop, pushed),
                signed(shop, drawn),
                units::length(shop, stroke.middle().millimetres())
            )
        });
        let words = format!(
            "The slip must move {}{}",
            units::length(shop, travel.needed_millimetres()),
            reserve.unwrap_or_else(|| "; its stroke is not stated".into())
        );
        text.push_str(&page.wrapped("      ", "      ", &words));
    }
    text
}

/// A length that may be negative: -3 mm where the stroke is too short.
fn signed(shop: Units, millimetres: f64) -> String {
    let sign = if millimetres < 0.0 { "-" } else { "" };
    format!("{sign}{}", units::length(shop, millimetres.abs()))
}

/// A change with its sign.
fn plus_minus(value: f64, shown: impl Fn(f64) -> String) -> String {
    format!("{}{}", if value < 0.0 { '-' } else { '+' }, shown(value.abs()))
}

fn yoke_change(view: &ShaftView<'_>, yoke: &YokeFinding) -> String {
    let units = view.file.job.units;
    let length = yoke.length.map(|length| {
        format!("; then {} between joint centres", shown::fine_length(units, length.millimetres()))
    });
    let mass = yoke.mass.map(|mass| format!(", {}", units::kilograms(units, mass.kilograms())));
    let critical = yoke.critical.map(|at| format!(", critical speed {} rpm", found_speed(at.lowest())));
    let words = format!(
        "Yoke change, {}\u{a0} {} for {}: {}, {}{}{}{}",
        yoke.swap.end,
        yoke.swap.new.series,
        yoke.swap.old.series,
        plus_minus(yoke.swap.change.length_millimetres, |size| shown::fine_length(units, size)),
        plus_minus(yoke.swap.change.mass_grams, |size| shown::mass(units, size)),
        length.unwrap_or_default(),
        mass.unwrap_or_default(),
        critical.unwrap_or_default()
    );
    view.page.wrapped("", "      ", &words)
}

pub(super) fn runout(view: &ShaftView<'_>) -> String {
    let check = &view.answer.before.check;
    let Some((map, verdict)) = check.runout.as_ref().zip(check.runout_verdict.as_ref()) else {
        return "Runout  NOT CHECKED\n".into();
    };
    let shop = view.file.job.units;
    let mut text = String::from("Runout (total indicator reading)\n");
    for station in &verdict.stations {
        let word = if station.within() { "within" } else { "OVER" };
        text.push_str(&format!(
            "  at {:>9}   {}, {word} {}\n",
            units::length(shop, station.position),
            shown::fine_length(shop, station.total_indicator),
            shown::fine_length(shop, station.limit)
        ));
    }
    if let Some(bow) = map.bow {
        let explained = verdict.explained.map(|explained| {
            format!(
                "; together with the ends it explains {} (front) and {} (rear)",
                units::unbalance(view.file.job.units, explained.front.gram_millimetres()),
                units::unbalance(view.file.job.units, explained.rear.gram_millimetres())
            )
        });
        let words = format!(
            "bow {} towards {}{}",
            shown::fine_length(shop, bow.norm()),
            units::angle(Angle::of(bow)),
            explained.unwrap_or_default()
        );
        text.push_str(&view.page.wrapped("  ", "  ", &words));
    }
    text
}

pub(super) fn inspection(view: &ShaftView<'_>) -> String {
    let details = &view.answer.job.shaft;
    let mut text = String::new();
    if !details.inspection.is_empty() {
        text.push_str("Inspection\n");
    }
    for item in &details.inspection {
        let measured = item.measured.as_ref().map(|measured| {
            let limit = item.limit.as_ref().map(|limit| format!(" (limit {limit})"));
            format!(", {measured}{}", limit.unwrap_or_default())
        });
        let decision = item.decision.map_or("NOT DECIDED", balance_core::shaft::PartDecision::word);
        let words = format!("{}: {}{}: {decision}", item.part, item.finding, measured.unwrap_or_default());
        text.push_str(&view.page.wrapped("  ", "    ", &words));
    }
    let missing = &view.answer.before.check.not_inspected;
    if !missing.is_empty() {
        text.push_str(&view.page.wrapped("", "  ", &format!("NOT INSPECTED: {}", missing.join(", "))));
    }
    let marks = &view.file.paperwork.match_marks;
    for mark in marks {
        text.push_str(&view.page.wrapped("Match mark  ", "  ", &format!("{}: {}", mark.between, mark.mark)));
    }
    if marks.is_empty() {
        text.push_str(
            "Match marks  NONE NOTED: if it is assembled in another position, the balance is \
                      lost\n",
        );
    }
    text
}
