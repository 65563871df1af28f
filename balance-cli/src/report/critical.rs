//! The critical speed and its margin, or NOT CHECKED.

use balance_core::quantity::shown::found_speed;
use balance_core::shaft::CriticalFinding;
use maud::{Markup, html};

use super::ReportInput;
use super::words::speed;

pub fn critical(input: &ReportInput<'_>) -> Markup {
    let check = input.shaft.check.as_ref();
    match check.and_then(|check| check.critical.as_ref().map(|finding| (check, finding))) {
        Some((check, finding)) => html! {
            section {
                h2 { "CRITICAL SPEED " (found_speed(finding.lowest)) " rpm" }
                @for line in margins(finding, check.limits.margin_ratio.value) { p { (line) } }
                p.small { "Calculated, not measured, for " (check.material.name) ". Margin: " (check.limits.margin_ratio.basis.words()) "." }
            }
        },
        None => html! {
            section {
                h2 { "CRITICAL SPEED NOT CHECKED" }
                p { "Nothing in this record says whether the shaft stays clear of it at its highest speed." }
            }
        },
    }
}

fn margins(finding: &CriticalFinding, margin: f64) -> Vec<String> {
    let one = |what: &str, own: Option<balance_core::shaft::SpeedMargin>| match own {
        Some(own) => format!(
            "{} ({what}) is {:.2} of it; {margin:.2} at most: {}.",
            speed(own.speed),
            own.ratio,
            if own.within { "within the margin" } else { "BEYOND THE MARGIN" }
        ),
        None => format!("The {what} is not written down, so its margin is NOT CHECKED."),
    };
    vec![one("highest speed", finding.service), one("speed on the stand", finding.stand)]
}
