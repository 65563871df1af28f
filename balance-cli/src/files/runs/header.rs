//! One header cell: `<name> <quantity> [<unit>]`, read from the right.

use balance_core::quantity::{Angle, Length, Mass, Quantity, Speed};

use crate::files::nearest::{did_you_mean, listed, nearest};
use crate::files::problem::{Fault, shown};

/// A number that a plane's columns hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PlaneCell {
    /// What was put on.
    Mass,
    /// Where round the tube, in degrees.
    Angle,
    /// Where round the tube, on the tape.
    Tape,
    /// At which radius.
    Radius,
    /// The weld bead's mass.
    Bead,
}

/// A number that a sensor's columns hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SensorCell {
    /// How much it showed.
    Amplitude,
    /// At which angle.
    Phase,
    /// How uncertain the amplitude is by itself.
    AmplitudeUncertainty,
    /// How uncertain the phase is by itself.
    PhaseUncertainty,
}

/// Columns without a name and a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Plain {
    /// The run's label.
    Run,
    /// What the run was for.
    Kind,
    /// The run whose masses are still on.
    OnTopOf,
    /// Which shaft.
    Shaft,
    /// Which clamping.
    Mounting,
    /// The time.
    Time,
    /// The technician.
    By,
    /// Anything else.
    Note,
}

const PLAIN: [(&str, Plain); 8] = [
    ("run", Plain::Run),
    ("kind", Plain::Kind),
    ("on top of", Plain::OnTopOf),
    ("shaft", Plain::Shaft),
    ("mounting", Plain::Mounting),
    ("time", Plain::Time),
    ("by", Plain::By),
    ("note", Plain::Note),
];

const QUANTITIES: [&str; 8] =
    ["mass", "angle", "tape", "radius", "bead", "amplitude", "phase", "uncertainty"];

/// What a column holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Heading {
    /// A column without name and unit.
    Plain(Plain),
    /// `note:anything`.
    Free,
    /// The stand's speed: rpm in one of its units.
    Speed(f64),
    /// A number of a correction plane.
    Plane {
        /// The plane's name.
        name: String,
        /// Which number.
        cell: PlaneCell,
        /// 1 for the plane's first mass.
        number: u32,
        /// Base units in one of its units.
        factor: f64,
    },
    /// A number of a sensor.
    Sensor {
        /// The sensor's name.
        name: String,
        /// Which number.
        cell: SensorCell,
        /// The unit as written.
        unit: String,
    },
}

/// Reads a trimmed header cell that is not empty.
///
/// # Errors
///
/// What it is instead, with a hint at the nearest known column.
pub fn read_heading(text: &str) -> Result<Heading, Fault> {
    let lower = text.to_lowercase();
    if let Some((_, plain)) = PLAIN.iter().find(|(word, _)| *word == lower) {
        return Ok(Heading::Plain(*plain));
    }
    if lower.starts_with("note:") {
        return Ok(Heading::Free);
    }
    let (words, unit) = split_unit(text);
    if words.eq_ignore_ascii_case("speed") {
        return factor::<Speed>("speed", unit).map(Heading::Speed);
    }
    let (before, number) = split_number(words);
    let Some((name, quantity)) = split_quantity(before) else { return Err(unknown(text, before)) };
    if name.is_empty() {
        let found = format!("`{quantity}` without a name before it");
        let hint = format!("for example `front {}`", shown(text));
        return Err(Fault::new("no-name", found, "a plane's or a sensor's name first", hint));
    }
    if quantity == "uncertainty" {
        return read_uncertainty(name, number, unit);
    }
    read_quantity(name, quantity, number, unit)
}

/// `front amplitude uncertainty [mm/s]` or `front phase uncertainty [deg]`; the name still has the middle word.
fn read_uncertainty(words: &str, number: Option<u32>, unit: Option<&str>) -> Result<Heading, Fault> {
    let (name, of) = words.rsplit_once(char::is_whitespace).unwrap_or(("", words));
    let cell = match of.to_lowercase().as_str() {
        "amplitude" => SensorCell::AmplitudeUncertainty,
        "phase" => SensorCell::PhaseUncertainty,
        _ => {
            let found = format!("`uncertainty` after `{}`", shown(of));
            let allowed = "`amplitude uncertainty` or `phase uncertainty` after a sensor's name";
            let hint = "for example `front amplitude uncertainty [mm/s]`, one sigma";
            return Err(Fault::new("unknown-column", found, allowed, hint));
        }
    };
    let quantity = if cell == SensorCell::PhaseUncertainty { "phase" } else { "amplitude" };
    if name.trim().is_empty() {
        let found = format!("`{quantity} uncertainty` without a name before it");
        let hint = format!("for example `front {quantity} uncertainty […]`");
        return Err(Fault::new("no-name", found, "a sensor's name first", hint));
    }
    match read_quantity(name.trim(), quantity, number, unit)? {
        Heading::Sensor { name, unit, .. } => Ok(Heading::Sensor { name, cell, unit }),
        other => Ok(other),
    }
}

fn read_quantity(
    name: &str,
    quantity: &str,
    number: Option<u32>,
    unit: Option<&str>,
) -> Result<Heading, Fault> {
    let plane =
        |cell, factor| Heading::Plane { name: name.into(), cell, number: number.unwrap_or(1), factor };
    match quantity {
        "mass" => factor::<Mass>(quantity, unit).map(|factor| plane(PlaneCell::Mass, factor)),
        "bead" => factor::<Mass>(quantity, unit).map(|factor| plane(PlaneCell::Bead, factor)),
        "radius" => factor::<Length>(quantity, unit).map(|factor| plane(PlaneCell::Radius, factor)),
        "tape" => factor::<Length>(quantity, unit).map(|factor| plane(PlaneCell::Tape, factor)),
        "angle" => match unit.and_then(Length::unit) {
            Some(tape) => Ok(plane(PlaneCell::Tape, tape.factor)),
            None => factor::<Angle>(quantity, unit).map(|factor| plane(PlaneCell::Angle, factor)),
        },
        _ if number.is_some() => Err(Fault::new(
            "numbered-reading",
            format!("a number after `{quantity}`"),
            "numbers only after mass, angle, tape, radius and bead",
            "give every sensor its own name",
        )),
        "phase" => {
            factor::<Angle>(quantity, unit)?;
            Ok(Heading::Sensor { name: name.into(), cell: SensorCell::Phase, unit: "deg".into() })
        }
        _ => match unit {
            Some(unit) if !unit.is_empty() => {
                Ok(Heading::Sensor { name: name.into(), cell: SensorCell::Amplitude, unit: unit.into() })
            }
            _ => Err(Fault::new(
                "no-unit",
                "`amplitude` without a unit",
                "any unit in square brackets",
                format!("for example `{name} amplitude [mm/s]`"),
            )),
        },
    }
}

/// `front mass 2 [g]` into its words and the unit.
fn split_unit(text: &str) -> (&str, Option<&str>) {
    match text.strip_suffix(']').and_then(|text| text.rsplit_once('[')) {
        Some((words, unit)) => (words.trim(), Some(unit.trim())),
        None => (text, None),
    }
}

/// `front mass 2` into its words and the number.
fn split_number(words: &str) -> (&str, Option<u32>) {
    match words.rsplit_once(char::is_whitespace) {
        Some((before, last)) if last.bytes().all(|byte| byte.is_ascii_digit()) => match last.parse() {
            Ok(number) if number > 0 => (before.trim(), Some(number)),
            _ => (words, None),
        },
        _ => (words, None),
    }
}

/// `front mass` into name and quantity; the quantity may be alone.
fn split_quantity(words: &str) -> Option<(&str, &'static str)> {
    let (name, last) = words.rsplit_once(char::is_whitespace).unwrap_or(("", words));
    let quantity = QUANTITIES.into_iter().find(|quantity| quantity.eq_ignore_ascii_case(last))?;
    Some((name.trim(), quantity))
}

fn factor<Q: Quantity>(quantity: &str, unit: Option<&str>) -> Result<f64, Fault> {
    let symbols = || Q::UNITS.iter().map(|unit| unit.symbol);
    let example = || format!("for example `{quantity} [{}]`", symbols().next().unwrap_or_default());
    let allowed = || format!("one of these in square brackets: {}", listed(symbols()));
    match unit {
        None | Some("") => {
            Err(Fault::new("no-unit", format!("`{quantity}` without a unit"), allowed(), example()))
        }
        Some(symbol) => Q::unit(symbol).map(|unit| unit.factor).ok_or_else(|| {
            let found = format!("`{}` is not a unit of {}", shown(symbol), Q::WORD);
            let hint = did_you_mean(symbol, symbols()).unwrap_or_else(example);
            Fault::new("unknown-unit", found, allowed(), hint)
        }),
    }
}

fn unknown(text: &str, words: &str) -> Fault {
    let plain = || PLAIN.iter().map(|(word, _)| *word).chain(["speed"]);
    let last = words.rsplit(char::is_whitespace).next().unwrap_or(words);
    let meant = |quantity: &str| format!("did you mean `{quantity}` instead of `{}`?", shown(last));
    let hint =
        did_you_mean(words, plain()).or_else(|| nearest(last, QUANTITIES).map(meant)).unwrap_or_else(|| {
            format!("your own columns begin with `note:`, for example `note:{}`", shown(text))
        });
    let allowed = format!("{}, or a name with {}", listed(plain()), listed(QUANTITIES));
    Fault::new("unknown-column", "an unknown column", allowed, hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_read_from_the_right() {
        let plane =
            |name: &str, cell, number, factor| Ok(Heading::Plane { name: name.into(), cell, number, factor });
        assert_eq!(read_heading("front mass [g]"), plane("front", PlaneCell::Mass, 1, 1.0));
        assert_eq!(read_heading("front mass 2 [kg]"), plane("front", PlaneCell::Mass, 2, 1000.0));
        assert_eq!(
            read_heading("middle  ring 2 angle [°]"),
            plane("middle  ring 2", PlaneCell::Angle, 1, 1.0)
        );
        assert_eq!(read_heading("Rear Radius 3 [in]"), plane("Rear", PlaneCell::Radius, 3, 25.4));
        assert_eq!(read_heading("speed [Hz]"), Ok(Heading::Speed(60.0)));
        assert_eq!(read_heading("On Top Of"), Ok(Heading::Plain(Plain::OnTopOf)));
        assert_eq!(read_heading("note: weather [x]"), Ok(Heading::Free));
        let amplitude =
            Heading::Sensor { name: "mass".into(), cell: SensorCell::Amplitude, unit: "mil p-p".into() };
        assert_eq!(read_heading("mass amplitude [mil p-p]"), Ok(amplitude));
        let sensor =
            |name: &str, cell, unit: &str| Ok(Heading::Sensor { name: name.into(), cell, unit: unit.into() });
        assert_eq!(
            read_heading("rear half amplitude uncertainty [mm/s]"),
            sensor("rear half", SensorCell::AmplitudeUncertainty, "mm/s")
        );
        assert_eq!(
            read_heading("rear Phase Uncertainty [deg]"),
            sensor("rear", SensorCell::PhaseUncertainty, "deg")
        );
    }

    #[test]
    fn other_cells_are_refused_with_a_hint() {
        let fault = |text: &str| {
            let fault = read_heading(text).unwrap_err();
            (fault.code, fault.hint)
        };
        assert_eq!(fault("kinf"), ("unknown-column", "did you mean `kind`?".into()));
        assert_eq!(
            fault("front amplitud [mm/s]"),
            ("unknown-column", "did you mean `amplitude` instead of `amplitud`?".into())
        );
        assert_eq!(fault("weather").0, "unknown-column");
        assert_eq!(fault("front mass").0, "no-unit");
        assert_eq!(fault("front amplitude []").0, "no-unit");
        assert_eq!(fault("speed").0, "no-unit");
        assert_eq!(fault("front mass [gr]"), ("unknown-unit", "did you mean `g`?".into()));
        assert_eq!(fault("front phase [rad]").0, "unknown-unit");
        assert_eq!(fault("front phase 2 [deg]").0, "numbered-reading");
        assert_eq!(fault("mass [g]").0, "no-name");
        assert_eq!(fault("front mass 0 [g]").0, "unknown-column");
        assert_eq!(fault("[g]").0, "unknown-column");
        assert_eq!(fault("front mass uncertainty [g]").0, "unknown-column");
        assert_eq!(fault("front amplitude uncertainty").0, "no-unit");
        assert_eq!(fault("front phase uncertainty [rad]").0, "unknown-unit");
        assert_eq!(fault("amplitude uncertainty [mm/s]").0, "no-name");
        assert_eq!(fault("front phase uncertainty 2 [deg]").0, "numbered-reading");
    }
}
