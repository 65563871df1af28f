//! What one gram does to each dial: the influence coefficients.

use balance_core::quantity::{Angle, GRAMS_PER_OUNCE, Speed, Units};
use maud::{Markup, html};

use super::ReportInput;
use super::pieces::table;
use super::words::{shop_units, trimmed};

/// The heading, with the mass in the shop's unit.
pub fn title(units: Units) -> &'static str {
    match units {
        Units::Us => "What one ounce does to the dials (influence coefficients)",
        Units::Metric | Units::Both => "What one gram does to the dials (influence coefficients)",
    }
}

pub fn influence(input: &ReportInput<'_>) -> Markup {
    let view = input.view;
    let setup = view.answer.runs.setup();
    let us = shop_units(input) == Units::Us;
    let [grams, gram_millimetres] = if us { [GRAMS_PER_OUNCE, GRAMS_PER_OUNCE * 25.4] } else { [1.0, 1.0] };
    let mut rows = Vec::new();
    for (group, own) in view.answer.influence.groups.iter().enumerate() {
        let at = view.answer.runs.groups()[group]
            .speed
            .map_or_else(|| "–".to_owned(), |speed| format!("{:.0} rpm", Speed::rpm(speed)));
        for (sensor, fit) in own.fits() {
            let reads = &setup.sensors[sensor];
            for (plane, coefficient) in setup.planes.iter().zip(fit.coefficients.iter()) {
                let degrees = Angle::of(setup.convention.turn(*coefficient)).degrees_in_turn();
                rows.push(vec![
                    format!("{} on {}", plane.name, reads.name),
                    at.clone(),
                    format!("{} {}", digits(coefficient.norm() * plane.lever() * grams), reads.unit),
                    format!("{:.0}°", degrees.round() % 360.0),
                    plane
                        .radius
                        .map_or_else(|| "–".into(), |_| digits(coefficient.norm() * gram_millimetres)),
                    known(fit.degrees_of_freedom),
                ]);
            }
        }
    }
    let [one, per] = if us { ["1 oz at 0° of", "per oz·in"] } else { ["1 g at 0° of", "per g·mm"] };
    html! {
        (table(&[one, "At", "does to the dial", "at phase", per, "Noise known with"], &rows))
        p.small {
            "The last column gives complex degrees of freedom. " (alike(view.answer.condition))
        }
    }
}

/// Three digits that count.
fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".into();
    }
    let places = (2 - value.abs().log10().floor() as i32).clamp(0, 9);
    trimmed(&format!("{value:.*}", usize::try_from(places).unwrap_or(0)))
}

fn known(degrees_of_freedom: f64) -> String {
    if degrees_of_freedom.is_finite() { format!("{degrees_of_freedom:.0}") } else { "exactly".into() }
}

fn alike(condition: f64) -> String {
    if condition.is_finite() {
        format!(
            "How alike the places act on the dials (condition number): {condition:.2}. 1 is best; above about 10 small reading errors grow."
        )
    } else {
        "The places act so alike on the dials that they cannot be told apart.".into()
    }
}
