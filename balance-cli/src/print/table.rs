//! Many shafts as a table, one line each.

use balance_core::quantity::Angle;

use crate::view::View;

/// The head of the table of corrections.
#[must_use]
pub fn correction_head(view: &View<'_>) -> String {
    let planes = view.answer.runs.setup().planes.iter().map(|plane| format!("{:>22}", plane.name));
    format!("{:<16}{}   verdict\n", "shaft", planes.collect::<String>())
}

/// One shaft's correction: the masses, or why there are none.
#[must_use]
pub fn correction_row(view: &View<'_>) -> String {
    let setup = view.answer.runs.setup();
    let verdict = view.answer.judged.as_ref().map_or("-", |judged| judged.decision.word());
    let advice = view.answer.advice();
    let Some(ideal) = advice.ideal() else {
        let width = 22 * setup.planes.len();
        return format!("{:<16}{:>width$}   {verdict}\n", view.answer.shaft, advice.word());
    };
    let planes = ideal.correction.planes.iter().zip(&setup.planes).map(|(ideal, plane)| {
        let grams = ideal.add.gram_millimetres() / plane.lever();
        let angle = Angle::degrees_in_turn(ideal.add.angle());
        format!("{:>22}", format!("{grams:.2} g at {angle:.0} deg"))
    });
    format!("{:<16}{}   {verdict}\n", view.answer.shaft, planes.collect::<String>())
}

/// One shaft's verdict.
#[must_use]
pub fn verdict_row(view: &View<'_>, judged: &balance_core::answer::Judged) -> String {
    let planes = judged.deciding().verdict.planes.iter().map(|plane| {
        format!(
            "  {} {:.0} of {:.0} g.mm",
            plane.name,
            plane.residual.gram_millimetres(),
            plane.permissible.gram_millimetres()
        )
    });
    format!("{:<16}{:<11}{}\n", view.answer.shaft, judged.decision.word(), planes.collect::<String>())
}
