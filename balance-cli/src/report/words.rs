//! Amounts as a printed page shows them: the shop's units, `g·mm` and `°`.

use balance_core::grade::Decision;
use balance_core::quantity::{Angle, Length, Mass, Speed, UnbalanceAmount, Units, shown};

use crate::print::text::units;
use crate::report::ReportInput;

/// What stands where nothing is known.
pub const UNKNOWN: &str = "not written down";

pub fn shop_units(input: &ReportInput<'_>) -> Units {
    input.view.units()
}

pub fn degrees(angle: Angle) -> String {
    format!("{}°", units::whole_degrees(angle))
}

pub fn length(shop: Units, length: Length) -> String {
    units::length(shop, length.millimetres())
}

/// A small length that whole millimetres would hide: a tube's diameter or wall, a runout.
pub fn fine_length(shop: Units, millimetres: f64) -> String {
    shown::fine_length(shop, millimetres)
}

/// The mass of a whole shaft.
pub fn shaft_mass(shop: Units, mass: Mass) -> String {
    shown::kilograms(shop, mass.kilograms())
}

pub fn speed(speed: Speed) -> String {
    format!("{:.0} rpm", speed.rpm())
}

pub fn unbalance(shop: Units, gram_millimetres: f64) -> String {
    units::unbalance(shop, gram_millimetres).replace("g.mm", "g·mm").replace("oz.in", "oz·in")
}

/// An unbalance with a digit more, for what adds up to a give or take.
pub fn fine_unbalance(shop: Units, gram_millimetres: f64) -> String {
    let metric = shown::figures(gram_millimetres, 1);
    let ounce_inches = UnbalanceAmount::from_gram_millimetres(gram_millimetres.max(0.0))
        .map_or(0.0, UnbalanceAmount::ounce_inches);
    let us = shown::figures(ounce_inches, 3);
    shop.show(metric, us)
}

pub fn unbalance_unit(shop: Units) -> String {
    units::unbalance_unit(shop).replace('.', "·")
}

/// A number without zeros that say nothing.
pub fn trimmed(number: &str) -> String {
    if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.').into()
    } else {
        number.into()
    }
}

/// The verdict in capitals.
pub fn headline(decision: Decision) -> &'static str {
    crate::print::text::verdict::headline(decision)
}

/// "a, b and c".
pub fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// "1 run", "2 runs".
pub fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// The same words with a capital letter in front.
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
