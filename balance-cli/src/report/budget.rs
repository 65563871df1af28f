//! What makes up the give or take at each end.

use balance_core::grade::{Budget, Combination, PlaneVerdict, TermKind};
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::table;
use super::words::{fine_unbalance, headline, shop_units, speed, unbalance_unit};
use balance_core::answer::GroupVerdict;
use balance_core::quantity::Units;

pub fn budget(input: &ReportInput<'_>) -> Markup {
    let Some(judged) = &input.view.answer.judged else {
        return html! { p { "No verdict, so there is nothing to make up." } };
    };
    html! { @for group in &judged.groups { (of_group(input, group)) } }
}

fn of_group(input: &ReportInput<'_>, group: &GroupVerdict) -> Markup {
    let shop = shop_units(input);
    html! {
        @if let Some(at) = group.stand_speed { p.small { "At " (speed(at)) " on the stand, " (unbalance_unit(shop)) ", one standard deviation of each component." } }
        @match &group.budget {
            None => p { "No figure for the noise: there is no budget, and no give or take." },
            Some(budget) => {
                @for (at, plane) in group.verdict.planes.iter().enumerate() { (of_plane(shop, budget, (at, plane))) }
                p.small {
                    "Systematic terms are put together by " (combination(budget.combination))
                    " (ISO 21940-14). From " (budget.check_runs) " check run(s) in " (budget.mountings) " mounting(s)."
                }
            }
        }
    }
}

fn of_plane(shop: Units, budget: &Budget, (at, plane): (usize, &PlaneVerdict)) -> Markup {
    let rows: Vec<Vec<String>> = budget
        .shares(at)
        .iter()
        .map(|share| {
            let kind = match share.kind {
                TermKind::Random => "random",
                TermKind::Systematic => "systematic",
            };
            vec![
                share.name.clone(),
                kind.into(),
                fine_unbalance(shop, share.size),
                fine_unbalance(shop, share.widened),
                format!("{:.0} %", 100.0 * share.share),
            ]
        })
        .collect();
    html! {
        h3 { (plane.name) }
        (table(&["Term", "Kind", "Size", "Widened", "Share"], &rows))
        p.small { "By the plain rule of ISO 21940-14 (residual and errors added up): " (headline(plane.plain_rule).to_lowercase()) "." }
    }
}

fn combination(combination: Combination) -> &'static str {
    match combination {
        Combination::PlainSum => "plain sum",
        Combination::RootSumSquare => "root of the sum of squares",
    }
}
