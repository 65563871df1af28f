//! Everything to mind, worst first, none left out.

use balance_core::caution::Caution;
use maud::{Markup, html};

use super::ReportInput;
use super::words::shop_units;

/// Cautions that always belong to a shaft that turns; common practice (guards and hazard classes: ISO 21940-23).
const ALWAYS: [&str; 4] = [
    "On the stand: guards shut, nobody in the plane of the masses, no loose clothing, eyes and ears protected, jog \
     slowly first, loose masses, keys and indicators off, lock out before hand work.",
    "Never above the lower of highest speed in service, the stand's own limit and 0.65 to 0.7 of the critical speed.",
    "Welding current never through joint, spline or bearing: return clamp on the same piece close to the bead; paint, \
     grease and zinc ground off; a closed tube vented before heat.",
    "Local codes, the vehicle maker's approval and licensed practice prevail.",
];

pub fn cautions(input: &ReportInput<'_>) -> Markup {
    let mut all: Vec<&Caution> = input.view.answer.cautions.iter().collect();
    let own = input.view.answer.judged.iter().flat_map(|judged| &judged.cautions);
    let bench = input.shaft.check.iter().flat_map(|check| &check.cautions);
    for caution in own.chain(bench) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    all.sort_by_key(|caution| caution.level());
    let units = shop_units(input);
    html! {
        ul.cautions {
            @for caution in all { li { b { (caution.level().word().to_uppercase()) } " " (caution.words(units)) } }
            @for words in ALWAYS { li { (words) } }
        }
    }
}
