//! The shaft before it spins, in words.

use balance_core::answer::{BeforeSpin, ShaftAnswer};
use balance_core::shaft::{
    BEFORE_FIRST_SPIN, CriticalFinding, GateWord, MassBasis, SpeedMargin, Weldability,
};

use super::shaft_parts;
use super::units;
use super::wrap::cautions;
use crate::files::JobFile;
use crate::page::Page;
use balance_core::quantity::shown::found_speed;

/// The shaft before it spins, with its paperwork.
#[derive(Debug, Clone, Copy)]
pub(super) struct ShaftView<'a> {
    pub(super) answer: &'a ShaftAnswer,
    pub(super) file: &'a JobFile,
    pub(super) page: Page,
}

/// Everything about one shaft before it spins.
#[must_use]
pub fn shaft(page: Page, answer: &ShaftAnswer, file: &JobFile) -> String {
    let view = &ShaftView { answer, file, page };
    let heading = &file.paperwork.heading;
    let words: Vec<&str> =
        [heading.unit.as_deref(), heading.customer.as_deref()].into_iter().flatten().collect();
    let mut text = page.wrapped("", "  ", &format!("{}\u{a0} {}", view.answer.shaft, words.join(", ")));
    text.push_str(&headline(page, &view.answer.before));
    text.push('\n');
    text.push_str(&cautions(page, view.file.job.units, &view.answer.before.cautions));
    text.push('\n');
    text.push_str(&critical(view));
    text.push_str(&mass(view));
    text.push_str(&material(view));
    text.push_str(&shaft_parts::joints(view));
    text.push_str(&shaft_parts::lengths(view));
    text.push_str(&shaft_parts::runout(view));
    text.push_str(&shaft_parts::inspection(view));
    text.push('\n');
    text.push_str(&before_first_spin(page));
    text
}

/// What planned changes of its length and its yokes do.
#[must_use]
pub fn lengths(page: Page, answer: &ShaftAnswer, file: &JobFile) -> String {
    shaft_parts::lengths(&ShaftView { answer, file, page })
}

fn headline(page: Page, before: &BeforeSpin) -> String {
    let gate = &before.check.gate;
    let words = match gate.word {
        GateWord::Allowed => "MAY SPIN\u{a0}\u{a0} Everything was checked and is within its limits.",
        GateWord::Warn => {
            "MAY SPIN, TAKE CARE\u{a0}\u{a0} Something is not checked or not within its \
                          limits."
        }
        GateWord::Refuse => "MUST NOT SPIN LIKE THIS",
    };
    let mut text = page.wrapped("", "  ", words);
    if let Some(overruling) = &gate.overridden_by {
        let words = format!("OVERRIDDEN by {}: {}.", overruling.name(), overruling.reason());
        text.push_str(&page.wrapped("", "  ", &words));
    }
    text
}

fn critical(view: &ShaftView<'_>) -> String {
    let check = &view.answer.before.check;
    let Some(found) = &check.critical else {
        return "Critical speed                NOT CHECKED\n".into();
    };
    let mut text = format!(
        "Critical speed (first bending){:>7} rpm, the lower of\n  formula for the plain tube  {:>7} rpm\n  beam model of the build     {:>7} rpm\n",
        found_speed(found.lowest),
        found_speed(found.closed_form),
        found_speed(found.model)
    );
    let margins = [("in service", found.service), ("on the stand", found.stand)];
    for (place, margin) in margins {
        text.push_str(&margin_line(place, margin, view));
    }
    text.push_str(&safe(view, found));
    if let Some(bow) = check.bow {
        let words = format!(
            "  Of a bow balanced out at the stand's speed {:.0} % comes back at service speed.",
            100.0 * bow.returning_share
        );
        text.push_str(&view.page.wrapped("  ", "  ", &words));
    }
    if found.parts.len() > 1 {
        text.push_str("Part by part (formula, model)\n");
        for part in &found.parts {
            text.push_str(&format!(
                "  {:<16} {:>9} to {:>9} {:>7} {:>7} rpm\n",
                part.name,
                units::length(view.file.job.units, part.from.millimetres()),
                units::length(view.file.job.units, part.to.millimetres()),
                found_speed(part.closed_form),
                found_speed(part.model)
            ));
        }
    }
    text
}

fn margin_line(place: &str, margin: Option<SpeedMargin>, view: &ShaftView<'_>) -> String {
    let limit = view.answer.before.check.limits.margin_ratio;
    match margin {
        None => format!("  {place:<12}  speed not stated: NOT CHECKED\n"),
        Some(margin) => view.page.wrapped(
            "  ",
            "                ",
            &format!(
                "{place:<12} {:.0} rpm is {:.2} of it, {} {:.2} ({})",
                margin.speed.rpm(),
                margin.ratio,
                if margin.within { "within" } else { "BEYOND" },
                limit.value,
                limit.basis.words()
            ),
        ),
    }
}

fn safe(view: &ShaftView<'_>, found: &CriticalFinding) -> String {
    let longest = view.answer.longest.map(|length| {
        format!(
            "; longest safe shaft of this build {}",
            units::length(view.file.job.units, length.millimetres().floor())
        )
    });
    let words = format!(
        "highest safe speed {:.0} rpm{}",
        found.highest_safe_speed.rpm(),
        longest.unwrap_or_default()
    );
    view.page.wrapped("  ", "  ", &words)
}

fn mass(view: &ShaftView<'_>) -> String {
    let units = view.file.job.units;
    let Some(mass) = view.answer.before.check.mass else { return "Mass  NOT KNOWN\n".into() };
    let word = match mass.basis {
        MassBasis::Weighed => "weighed",
        MassBasis::Estimated => "ESTIMATED from tube and ends, not weighed",
    };
    let estimated = mass.estimated.filter(|_| mass.basis == MassBasis::Weighed).map(|estimated| {
        format!("; tube and stated ends add up to {}", units::kilograms(units, estimated.kilograms()))
    });
    let centre = mass.mass_centre.map(|centre| {
        format!("; mass centre {} from the front joint", units::length(units, centre.millimetres()))
    });
    let words = format!(
        "Mass\u{a0} {}, {word}{}{}",
        units::kilograms(units, mass.used.kilograms()),
        estimated.unwrap_or_default(),
        centre.unwrap_or_default()
    );
    view.page.wrapped("", "      ", &words)
}

fn material(view: &ShaftView<'_>) -> String {
    let material = &view.answer.before.check.material;
    if view.answer.before.description.tube.is_none() {
        return String::new();
    }
    let stated = if view.answer.job.shaft.material.known().is_some() { "" } else { " (NOT STATED, assumed)" };
    let weldable = match material.weldability {
        Weldability::Ready => "ordinary shop welding",
        Weldability::ByProcedure => "welded by a written procedure only",
        Weldability::No => "not welded",
        Weldability::Unknown => "whether it can be welded is NOT KNOWN",
    };
    let words = format!(
        "Material{stated}\u{a0} {}, E {} GPa, {} kg/m3; {weldable} ({})",
        material.name,
        material.elastic_modulus.megapascals() / 1000.0,
        material.density.kilograms_per_cubic_metre(),
        material.source
    );
    view.page.wrapped("", "      ", &words)
}

/// One line for answers about weights or a verdict: what was checked, and just as clearly what was not.
#[must_use]
pub fn before_spin_line(page: Page, before: Option<&BeforeSpin>) -> String {
    let Some(before) = before else { return "Shaft: critical speed, runout and parts NOT CHECKED.\n".into() };
    let critical = match &before.check.critical {
        None => "critical speed NOT CHECKED".to_owned(),
        Some(found) => {
            let service = found.service.map(|margin| {
                format!(
                    ", service at {:.2} of it (at most {:.2})",
                    margin.ratio, before.check.limits.margin_ratio.value
                )
            });
            format!("critical speed {} rpm{}", found_speed(found.lowest), service.unwrap_or_default())
        }
    };
    let runout = match &before.check.runout_verdict {
        None => "runout NOT CHECKED",
        Some(verdict) if verdict.within() => "runout within its limits",
        Some(_) => "runout OVER its limit",
    };
    let looked = match before.check.not_inspected.as_slice() {
        [] => "parts inspected".to_owned(),
        missing => format!("NOT INSPECTED {}", missing.join(", ")),
    };
    page.wrapped("", "  ", &format!("Shaft: {critical}; {runout}; {looked}."))
}

/// For short answers: only what was not checked or is over its limit; empty if all is well.
pub fn not_checked_line(page: Page, before: Option<&BeforeSpin>) -> String {
    let Some(before) = before else {
        return page.wrapped(
            "",
            "  ",
            &format!("NOT CHECKED: critical speed ({UNKNOWN_DANGER}), runout, parts."),
        );
    };
    let mut open = Vec::new();
    if before.check.critical.is_none() {
        open.push(format!("critical speed ({UNKNOWN_DANGER})"));
    }
    if before.check.runout_verdict.is_none() {
        open.push("runout".to_owned());
    }
    open.extend(before.check.not_inspected.iter().map(|point| (*point).to_owned()));
    let over = before.check.runout_verdict.as_ref().is_some_and(|verdict| !verdict.within());
    let mut words =
        if open.is_empty() { String::new() } else { format!("NOT CHECKED: {}.", open.join(", ")) };
    if over {
        words.push_str(" Runout OVER its limit.");
    }
    if words.is_empty() { words } else { page.wrapped("", "  ", words.trim()) }
}

/// Why an unchecked critical speed comes first.
const UNKNOWN_DANGER: &str = "the speed at which this shaft becomes dangerous is not known";

/// The list to go through before the first spin.
#[must_use]
pub fn before_first_spin(page: Page) -> String {
    let mut text = String::from("Before the first spin\n");
    for point in BEFORE_FIRST_SPIN {
        text.push_str(&page.wrapped("  - ", "    ", point.text));
    }
    text
}
