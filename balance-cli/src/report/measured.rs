//! What was not measured: as plain as what was.

use balance_core::shaft::GateOutcome;
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::list;
use super::words::sentence;

pub fn not_measured(input: &ReportInput<'_>) -> Markup {
    let mut lines = at_the_stand(input);
    lines.extend(on_the_bench(input));
    if lines.is_empty() {
        return html! { p { "Nothing is known to be missing." } };
    }
    list(&lines)
}

fn at_the_stand(input: &ReportInput<'_>) -> Vec<String> {
    let view = input.view;
    let mut lines = Vec::new();
    match &view.answer.judged {
        None => lines.push("What is left: a verdict needs a check run and a limit.".to_owned()),
        Some(judged) => {
            let group = judged.deciding();
            if group.residual.mountings < 2 {
                lines.push(
                    "How much clamping the shaft again would change: it was measured in one mounting only."
                        .into(),
                );
            }
            if group.budget.is_none() {
                lines.push("The scatter of the readings, so no uncertainty can be stated.".into());
            }
        }
    }
    if view.answer.runs.setup().convention.proved.is_none() {
        lines.push("How the stand counts angles: not proved by a quarter-turn trial.".into());
    }
    lines
}

fn on_the_bench(input: &ReportInput<'_>) -> Vec<String> {
    let Some(check) = &input.shaft.check else {
        return vec![
            "Runout, joints and critical speed: not checked.".into(),
            "Inspection of the parts: nothing is written down.".into(),
        ];
    };
    let mut lines: Vec<String> = check
        .gate
        .checks
        .iter()
        .filter(|own| own.outcome == GateOutcome::NotChecked)
        .map(|own| format!("{}: not checked.", sentence(&own.what)))
        .collect();
    if check.joints.is_none() {
        lines.push("Joint angles: not written down.".into());
    }
    if !check.not_inspected.is_empty() {
        lines.push(format!("Not inspected, or not decided: {}.", check.not_inspected.join(", ")));
    }
    lines
}
