//! `[proved]`: dated figures of the stand, each with the number of readings behind it.

use balance_core::job::{Proved, ProvedFigure};
use balance_core::quantity::{Quantity, UnbalanceAmount, parse};

use crate::files::now::is_day;
use crate::files::toml_reader::{Document, Percent};

/// How a figure is written: how much, how many readings, the day.
const WANTED: (&str, &str) = ("how much, how many readings, the day", "\"45 g.mm, 24 readings, 2026-11-27\"");

pub(super) fn read(document: &Document<'_>) -> Proved {
    let section = document.section("proved");
    let unbalance = |key| section.text_read_as(key, WANTED, figure::<UnbalanceAmount>);
    let share = |key| {
        let wanted = (WANTED.0, "\"95 %, 22 readings, 2026-11-27\"");
        let read = section.text_read_as(key, wanted, figure::<Percent>);
        read.map(|own| ProvedFigure { value: own.value.fraction(), readings: own.readings, day: own.day })
    };
    Proved {
        least_unbalance: unbalance("least_unbalance"),
        reduction: share("reduction"),
        fixture: unbalance("fixture"),
        mounting_scatter: unbalance("mounting_scatter"),
        drift: unbalance("drift"),
        noise: share("noise"),
    }
}

/// For how many months a figure counts as fresh.
pub(super) fn read_months(document: &Document<'_>) -> Option<f64> {
    let section = document.section("proved");
    section.text_read_as("good_for", ("a number of months", "\"12 months\""), |text| {
        let number = text.trim().trim_end_matches('s').trim_end_matches("month").trim();
        number.parse::<f64>().ok().filter(|months| months.is_finite() && *months > 0.0)
    })
}

/// "45 g.mm, 24 readings, 2026-11-27".
fn figure<Q: Quantity>(text: &str) -> Option<ProvedFigure<Q>> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let [value, readings, day] = parts[..] else { return None };
    let count = readings.trim_end_matches('s').trim_end_matches("reading").trim();
    let readings = count.parse::<usize>().ok().filter(|count| *count > 0)?;
    Some(ProvedFigure {
        value: parse::<Q>(value).ok()?,
        readings,
        day: Some(day).filter(|day| is_day(day))?.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_has_its_readings_and_its_day() {
        let own = figure::<UnbalanceAmount>("45 g.mm, 24 readings, 2026-11-27").unwrap();
        assert_eq!((own.value.gram_millimetres(), own.readings, own.day.as_str()), (45.0, 24, "2026-11-27"));
        for wrong in [
            "45 g.mm",
            "45 g.mm, 0 readings, 2026-11-27",
            "45 g.mm, 2 readings, 2026-13-27",
            "45, 2 readings, 2026-11-27",
        ] {
            assert_eq!(figure::<UnbalanceAmount>(wrong), None, "{wrong}");
        }
    }
}
