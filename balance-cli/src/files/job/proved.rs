//! `[proved]`: dated figures of the stand, each with the number of readings behind it.

use balance_core::job::{AmplitudeStep, Fixture, FixtureVector, Proved, ProvedFigure};
use balance_core::quantity::{Angle, Quantity, UnbalanceAmount, parse};

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
        fixture_taken_off: section.text_read_as(FIXTURE, FIXTURE_WANTED, fixture),
        crosstalk: share("crosstalk"),
        amplitude_step: section.text_read_as(
            "amplitude_step",
            (WANTED.0, "\"0.01 mm/s, 24 readings, 2026-11-27\""),
            |text| read_figure(text, amplitude_step),
        ),
        phase_step: section.text_read_as(
            "phase_step",
            (WANTED.0, "\"1 deg, 24 readings, 2026-11-27\""),
            figure::<Angle>,
        ),
    }
}

/// The key of what turns with the fixture.
pub const FIXTURE: &str = "fixture_taken_off";
const FIXTURE_WANTED: (&str, &str) = (
    "plane by plane how much at which angle, how sure, how many readings, the day",
    "\"front 120 g.mm at 200 deg; rear 80 g.mm at 75 deg; give or take 9 g.mm, 12 readings, 2026-11-27\"",
);

/// What turns with the fixture, as it is written.
#[must_use]
pub fn fixture_text(own: &Fixture) -> String {
    let mut parts: Vec<String> = Vec::new();
    for vector in &own.planes {
        let degrees = vector.angle.degrees_in_turn();
        parts.push(format!(
            "{} {:.1} g.mm at {degrees:.1} deg",
            vector.plane,
            vector.amount.gram_millimetres()
        ));
    }
    parts.push(format!("give or take {:.1} g.mm", own.give_or_take.gram_millimetres()));
    parts.join("; ")
}

fn fixture(text: &str) -> Option<ProvedFigure<Fixture>> {
    read_figure(text, |value| {
        let mut parts: Vec<&str> = value.split(';').map(str::trim).collect();
        let give_or_take =
            parse::<UnbalanceAmount>(parts.pop()?.strip_prefix("give or take")?.trim()).ok()?;
        let planes = parts.into_iter().map(fixture_vector).collect::<Option<Vec<FixtureVector>>>()?;
        (!planes.is_empty()).then_some(Fixture { planes, give_or_take })
    })
}

/// "front 120 g.mm at 200 deg"; a plane's name may have several words.
fn fixture_vector(text: &str) -> Option<FixtureVector> {
    let (amount, angle) = text.rsplit_once(" at ")?;
    let (before, unit) = amount.rsplit_once(' ')?;
    let (plane, number) = before.rsplit_once(' ')?;
    Some(FixtureVector {
        plane: plane.trim().to_owned(),
        amount: parse::<UnbalanceAmount>(&format!("{number} {unit}")).ok()?,
        angle: parse::<Angle>(angle).ok()?,
    })
}

/// "0.01 mm/s": a number and the dials' unit.
fn amplitude_step(text: &str) -> Option<AmplitudeStep> {
    let (number, unit) = text.split_once(' ')?;
    let step = number.parse::<f64>().ok().filter(|step| step.is_finite() && *step > 0.0)?;
    Some(AmplitudeStep { step, unit: unit.trim().to_owned() })
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
    read_figure(text, |value| parse::<Q>(value).ok())
}

/// The value before the last two commas, by its own reader; then how many readings, and the day.
fn read_figure<T>(text: &str, read: impl Fn(&str) -> Option<T>) -> Option<ProvedFigure<T>> {
    let (before, day) = text.rsplit_once(',')?;
    let (value, readings) = before.rsplit_once(',')?;
    let count = readings.trim().trim_end_matches('s').trim_end_matches("reading").trim();
    let readings = count.parse::<usize>().ok().filter(|count| *count > 0)?;
    Some(ProvedFigure {
        value: read(value.trim())?,
        readings,
        day: Some(day.trim()).filter(|day| is_day(day))?.to_owned(),
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

    #[test]
    fn what_turns_with_the_fixture_reads_back_as_written() {
        let text = "rear joint 120.0 g.mm at 200.0 deg; front 80.5 g.mm at 75.0 deg; give or take 9.0 g.mm";
        let own = fixture(&format!("{text}, 12 readings, 2026-11-27")).unwrap();
        assert_eq!((own.readings, own.value.planes[0].plane.as_str()), (12, "rear joint"));
        assert_eq!(own.value.planes[1].amount.gram_millimetres(), 80.5);
        assert_eq!(fixture_text(&own.value), text);
        for wrong in
            ["front 120 g.mm at 200 deg", "give or take 9 g.mm", "front 120 at 200 deg; give or take 9 g.mm"]
        {
            assert_eq!(fixture(&format!("{wrong}, 12 readings, 2026-11-27")), None, "{wrong}");
        }
        let step = read_figure("0.01 mm/s, 24 readings, 2026-11-27", amplitude_step).unwrap();
        assert_eq!((step.value.step, step.value.unit.as_str()), (0.01, "mm/s"));
    }
}
