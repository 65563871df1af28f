//! Laying out cautions.

use balance_core::caution::{Caution, Level};
use balance_core::quantity::Units;

use crate::page::Page;
use crate::view::View;

/// At most this many cautions are printed in an answer without a full form, worst first.
const MOST_CAUTIONS: usize = 3;

/// Breaks a text into lines of the usual page, later lines indented.
pub fn wrapped(first: &str, rest: &str, text: &str) -> String {
    Page::default().wrapped(first, rest, text)
}

/// Every caution in the reader's units, worst first.
pub fn all_cautions(page: Page, units: Units, found: &[Caution]) -> String {
    found.iter().map(|caution| line(page, caution.level().word(), &caution.words(units))).collect()
}

/// The worst cautions in the reader's units, and how many more there are.
pub fn cautions(page: Page, units: Units, found: &[Caution]) -> String {
    let mut text = all_cautions(page, units, found.get(..MOST_CAUTIONS).unwrap_or(found));
    if found.len() > MOST_CAUTIONS {
        let more = found.len() - MOST_CAUTIONS;
        text.push_str(&format!("({more} more under `cautions` in the --json answer.)\n"));
    }
    text
}

/// The cautions that change what to do next, and how many others there are. Cautions that short answers print
/// elsewhere are in neither.
pub fn changing_cautions(view: &View<'_>, found: &[Caution]) -> (String, usize) {
    let said_elsewhere = |caution: &&Caution| {
        matches!(
            caution,
            Caution::WeightsFallShort { .. }
                | Caution::NotChecked { .. }
                | Caution::CriticalSpeedNotChecked { .. }
        )
    };
    let (changing, others): (Vec<&Caution>, Vec<&Caution>) = found
        .iter()
        .filter(|caution| !said_elsewhere(caution))
        .partition(|caution| caution.changes_what_to_do());
    let word = |caution: &Caution| match caution.level() {
        Level::Stop => Level::Stop.word(),
        Level::TakeCare | Level::General => Level::TakeCare.word(),
    };
    let text =
        changing.iter().map(|caution| line(view.page, word(caution), &caution.brief(view.units()))).collect();
    (text, others.len())
}

fn line(page: Page, word: &str, words: &str) -> String {
    page.wrapped(&format!("{}: ", page.bold(&word.to_uppercase())), "   ", words)
}
