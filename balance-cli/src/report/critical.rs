//! The critical speed and its margin, or NOT CHECKED, in the verdict's own size.

use balance_core::shaft::CriticalFinding;
use maud::{Markup, html};

use super::ReportInput;
use super::words::speed;

pub fn critical(input: &ReportInput<'_>) -> Markup {
    let check = input.shaft.check.as_ref();
    match check.and_then(|check| check.critical.as_ref().map(|finding| (check, finding))) {
        Some((check, finding)) => html! {
            p.big { "CRITICAL SPEED " (speed(finding.lowest)) }
            @for line in margins(finding, check.limits.margin_ratio.value) { p { (line) } }
            p.small { "Calculated, not measured; as " (check.material.name) ". Margin: " (check.limits.margin_ratio.basis.words()) "." }
        },
        None => html! {
            p.big { "CRITICAL SPEED NOT CHECKED" }
            p { "Nothing in this record says whether the highest speed keeps clear of it." }
        },
    }
}

fn margins(finding: &CriticalFinding, margin: f64) -> Vec<String> {
    let one = |what: &str, own: Option<balance_core::shaft::SpeedMargin>| match own {
        Some(own) => format!(
            "{} ({what}) is {:.2} of it; at most {margin:.2}: {}.",
            speed(own.speed),
            own.ratio,
            if own.within { "within the margin" } else { "BEYOND THE MARGIN" }
        ),
        None => format!("The {what} is not written down: margin NOT CHECKED."),
    };
    vec![one("highest speed", finding.service), one("speed on the stand", finding.stand)]
}
