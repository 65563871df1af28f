//! Many shafts as a table, one entry each: shaft, verdict, and what goes where or what is left.

use balance_core::answer::{Advice, Judged};

use super::text::units;
use crate::view::View;

/// The header of the table of corrections.
#[must_use]
pub fn correction_head(view: &View<'_>) -> String {
    view.page.wrapped("", "", &format!("{:<16}{:<11}{}", "shaft", "verdict", "what goes where"))
}

/// One shaft's correction: its verdict, and the weights that go on or why there are none.
#[must_use]
pub fn correction_row(view: &View<'_>) -> String {
    let verdict = view.answer.judged.as_ref().map_or("-", |judged| judged.decision.word());
    row(view, verdict, &goes_on(view))
}

/// One shaft's verdict.
#[must_use]
pub fn verdict_row(view: &View<'_>, judged: &Judged) -> String {
    let shop = view.units();
    let planes = judged.deciding().verdict.planes.iter().map(|plane| {
        let [left, allowed] = [plane.residual.gram_millimetres(), plane.permissible.gram_millimetres()]
            .map(|amount| units::unbalance_number(shop, amount));
        format!("{} {left} of {allowed} {}", plane.name, units::unbalance_unit(shop))
    });
    row(view, judged.decision.word(), &planes.collect::<Vec<String>>().join(", "))
}

fn row(view: &View<'_>, verdict: &str, words: &str) -> String {
    let first = format!("{:<15} {verdict:<10} ", view.answer.shaft);
    view.page.wrapped(&first, &" ".repeat(27), words)
}

/// "front 15 g at 333 deg, 10 g at 277 deg; rear 10 g at 192 deg".
fn goes_on(view: &View<'_>) -> String {
    let planes = &view.answer.runs.setup().planes;
    let advice = view.answer.advice();
    let parts: Vec<String> = match advice {
        Advice::Hold(hold) => {
            let used = hold.plan.planes.iter().zip(planes).filter(|(own, _)| !own.weights.is_empty());
            let one = |(own, plane): (
                &balance_core::correction::weights::PlanePlan,
                &balance_core::shaft::CorrectionPlane,
            )| {
                let weights = own.weights.iter().map(|weight| {
                    let mass = units::stamped(view.units(), weight.piece.mass);
                    format!("{mass} at {}", units::angle(weight.angle))
                });
                format!("{} {}", plane.name, weights.collect::<Vec<String>>().join(", "))
            };
            used.map(one).collect()
        }
        Advice::Ideal(ideal) => {
            let all = ideal.correction.planes.iter().zip(planes);
            let one = |(own, plane): (
                &balance_core::correction::PlaneCorrection,
                &balance_core::shaft::CorrectionPlane,
            )| {
                let grams = own.add.gram_millimetres() / plane.lever();
                format!(
                    "{} {} at {}",
                    plane.name,
                    units::mass(view.units(), grams),
                    units::angle(own.add.angle())
                )
            };
            all.map(one).collect()
        }
        _ => vec![advice.word().to_owned()],
    };
    parts.join("; ")
}
