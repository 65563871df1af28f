//! The weights on the shaft as it leaves.

use balance_core::shaft::WeldedBefore;
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::table;
use super::words::{degrees, shop_units};
use crate::print::text::heading::tape;
use crate::print::text::units;
use crate::view::View;

pub fn weights(input: &ReportInput<'_>) -> Markup {
    let view = input.view;
    if view.answer.welded_before.is_empty() {
        return html! { p { "No weights are written down." } };
    }
    let rows: Vec<Vec<String>> = view.answer.welded_before.iter().map(|weight| row(input, weight)).collect();
    html! {
        div.short { (table(&["Where", "Weight", "Bead", "Tape to its middle", "Angle", "Fitted"], &rows)) }
        p.small { (counting(view)) }
    }
}

fn row(input: &ReportInput<'_>, weight: &WeldedBefore) -> Vec<String> {
    let shop = shop_units(input);
    let view = input.view;
    let plane = &view.answer.runs.setup().planes[weight.plane];
    vec![
        plane.name.clone(),
        units::stamped(shop, weight.mass),
        if weight.bead.grams() > 0.0 { units::stamped(shop, weight.bead) } else { "–".into() },
        tape(view, weight.angle).unwrap_or_else(|| "–".into()),
        degrees(weight.angle),
        weight.fitted_in.as_ref().map_or_else(|| "came with it".into(), |run| format!("run {run}")),
    ]
}

/// How tape and degrees run, in one sentence.
pub fn counting(view: &View<'_>) -> String {
    let told = crate::print::text::heading::counting(view);
    let told = told.split_whitespace().collect::<Vec<&str>>().join(" ");
    if told.is_empty() { "How angles are counted is not written down.".into() } else { told }
}
