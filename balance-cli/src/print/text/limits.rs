//! How much may be left, in words.

use balance_core::answer::LimitsAnswer;
use balance_core::quantity::Speed;

use super::shaft::{before_first_spin, before_spin_line};
use super::units;
use super::verdict::basis;
use super::wrap::cautions;
use crate::files::JobFile;
use crate::page::Page;

/// The limits of one shaft.
#[must_use]
pub fn limits(page: Page, file: &JobFile, answer: &LimitsAnswer) -> String {
    let limits = &answer.limits;
    let units = file.job.units;
    let mut text = format!("{}  {}\n\n", answer.shaft, basis(units, limits));
    text.push_str("Where the limit holds (tolerance planes):\n");
    for plane in &limits.planes {
        let force = limits.service_speed.map(|speed| {
            format!(
                "; pulls with {} at {:.0} rpm",
                units::force(units, plane.pull_newtons(speed)),
                Speed::rpm(speed)
            )
        });
        text.push_str(&format!(
            "  {:<16} {:>10}{}\n",
            plane.name,
            units::unbalance(units, plane.amount.gram_millimetres()),
            force.unwrap_or_default()
        ));
    }
    text.push_str("Where weights go, if all of it were at one place:\n");
    for plane in &limits.at_correction {
        let mass = plane.mass.map(|mass| format!(" = {} at its radius", units::stamped(units, mass)));
        text.push_str(&format!(
            "  {:<16} {:>10}{}\n",
            plane.name,
            units::unbalance(units, plane.amount.gram_millimetres()),
            mass.unwrap_or_default()
        ));
    }
    match &answer.sure {
        Some(sure) => {
            text.push_str("Readings that are certain to meet it, whatever their phase (all together):\n");
            for reading in sure {
                text.push_str(&format!(
                    "  {:<16} under {} {}\n",
                    reading.sensor,
                    units::amplitude(reading.amplitude),
                    reading.unit
                ));
            }
        }
        None => text.push_str(&page.wrapped(
            "",
            "  ",
            "The readings that are certain to meet it are known after the trial runs.",
        )),
    }
    text.push_str("The next trial, if one is needed:\n");
    for trial in &answer.trials {
        let sentences = trial.sentences(&answer.setup, units).join(" ");
        text.push_str(&page.wrapped("  ", "    ", &sentences));
    }
    text.push('\n');
    text.push_str(&before_spin_line(page, answer.before.as_deref()));
    text.push_str(&cautions(page, units, &answer.cautions));
    text.push('\n');
    text.push_str(&before_first_spin(page));
    text
}
