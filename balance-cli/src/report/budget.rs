//! What makes up the give or take at each end.

use balance_core::grade::{Budget, Combination, PlaneVerdict, Share, TermKind};
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::table;
use super::words::{fine_unbalance, headline, shop_units, speed, unbalance_unit};
use balance_core::answer::GroupVerdict;
use balance_core::quantity::Units;

pub fn budget(input: &ReportInput<'_>) -> Markup {
    let Some(judged) = &input.view.answer.judged else {
        return html! { p { "There is no verdict, and so no give or take." } };
    };
    html! { @for group in &judged.groups { (of_group(input, group)) } }
}

fn of_group(input: &ReportInput<'_>, group: &GroupVerdict) -> Markup {
    let shop = shop_units(input);
    html! {
        @if let Some(at) = group.stand_speed { p.small { "At " (speed(at)) " on the stand, " (unbalance_unit(shop)) ", one standard deviation of each component." } }
        @match &group.budget {
            None => p { "There is no figure for the noise, so no give or take can be stated." },
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
    let shares = budget.shares(at);
    let of_kind = |kind: TermKind| {
        let own: Vec<&Share> = shares.iter().filter(|share| share.kind == kind).collect();
        let parts = whole_percents(&own.iter().map(|share| share.share).collect::<Vec<f64>>());
        let word = match kind {
            TermKind::Random => "random",
            TermKind::Systematic => "systematic",
        };
        let row = |(share, part): (&Share, u32)| {
            vec![
                share.name.clone(),
                word.into(),
                fine_unbalance(shop, share.size),
                fine_unbalance(shop, share.widened),
                format!("{part} %"),
            ]
        };
        own.into_iter().zip(parts).map(row).collect::<Vec<Vec<String>>>()
    };
    let rows = [of_kind(TermKind::Random), of_kind(TermKind::Systematic)].concat();
    html! {
        h3 { (plane.name) }
        (table(&["Term", "Kind", "Size", "Widened", "Share of its kind"], &rows))
        p.small { "By the plain rule of ISO 21940-14 (residual and errors added up): " (headline(plane.plain_rule).to_lowercase()) "." }
    }
}

/// Shares of one whole in whole per cent that add up to 100: the largest remainders are rounded up.
fn whole_percents(shares: &[f64]) -> Vec<u32> {
    let all: f64 = shares.iter().sum();
    if !(all.is_finite() && all > 0.0) {
        return vec![0; shares.len()];
    }
    let exact: Vec<f64> = shares.iter().map(|share| 100.0 * share / all).collect();
    let mut whole: Vec<u32> = exact.iter().map(|share| share.floor() as u32).collect();
    let missing = 100_u32.saturating_sub(whole.iter().sum());
    let mut order: Vec<usize> = (0..exact.len()).collect();
    order.sort_by(|one, other| exact[*other].fract().total_cmp(&exact[*one].fract()));
    order.into_iter().take(missing as usize).for_each(|at| whole[at] += 1);
    whole
}

fn combination(combination: Combination) -> &'static str {
    match combination {
        Combination::PlainSum => "plain sum",
        Combination::RootSumSquare => "root of the sum of squares",
    }
}

#[cfg(test)]
mod tests {
    use super::whole_percents;

    /// By hand.
    #[test]
    fn shares_add_up_to_100() {
        assert_eq!(whole_percents(&[1.0, 1.0, 1.0]), [34, 33, 33]);
        assert_eq!(whole_percents(&[0.1241, 0.3759, 0.5]), [12, 38, 50]);
        assert_eq!(whole_percents(&[0.7]), [100]);
        assert_eq!(whole_percents(&[0.0, 0.0]), [0, 0]);
        assert!(whole_percents(&[]).is_empty());
        for count in 1..40 {
            let shares: Vec<f64> = (1..=count).map(|at| 1.0 / f64::from(at)).collect();
            assert_eq!(whole_percents(&shares).iter().sum::<u32>(), 100);
        }
    }
}
