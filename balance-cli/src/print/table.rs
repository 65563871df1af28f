//! Many shafts as a table, one line each.

use balance_core::quantity::Angle;

use crate::outcome::Outcome;

/// The head of the table of corrections.
#[must_use]
pub fn correction_head(outcome: &Outcome<'_>) -> String {
    let planes = outcome.set.setup().planes.iter().map(|plane| format!("{:>22}", plane.name));
    format!("{:<16}{}   verdict\n", "shaft", planes.collect::<String>())
}

/// One shaft's correction.
#[must_use]
pub fn correction_row(outcome: &Outcome<'_>) -> String {
    let setup = outcome.set.setup();
    let planes = outcome.correction.planes.iter().zip(&setup.planes).map(|(ideal, plane)| {
        let grams = ideal.add.gram_millimetres() / plane.lever();
        let angle = Angle::degrees_in_turn(ideal.add.angle());
        format!("{:>22}", format!("{grams:.2} g at {angle:.0} deg"))
    });
    let verdict = outcome.judged.as_ref().map_or("-", |judged| judged.decision.word());
    format!("{:<16}{}   {verdict}\n", outcome.shaft, planes.collect::<String>())
}

/// One shaft's verdict.
#[must_use]
pub fn verdict_row(outcome: &Outcome<'_>, judged: &crate::outcome::Judged) -> String {
    let planes = judged.deciding().verdict.planes.iter().map(|plane| {
        format!(
            "  {} {:.0} of {:.0} g.mm",
            plane.name,
            plane.residual.gram_millimetres(),
            plane.permissible.gram_millimetres()
        )
    });
    format!("{:<16}{:<11}{}\n", outcome.shaft, judged.decision.word(), planes.collect::<String>())
}
