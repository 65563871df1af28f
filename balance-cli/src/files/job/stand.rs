//! The stand: how far its needles wander, and its limits.

use balance_core::influence::Drift;
use balance_core::job::Stand;
use balance_core::quantity::{Angle, Length, Mass, QuantityFault, Speed, UnbalanceAmount, parse};
use balance_core::run::{DialStep, Noise, PlaceError, ReadingNoise};

use crate::files::problem::{Fault, shown};
use crate::files::runs::can_be_a_dial_unit;
use crate::files::toml_reader::{Document, Given, Percent, Section};

/// `[stand]`: all of it is read at once.
pub(super) struct StandSection {
    pub(super) stand: Stand,
    pub(super) noise: Noise,
    /// How its counting was proved by a quarter-turn trial, if it was.
    pub(super) proved: Option<String>,
    /// The unit in which `amplitude_swing` was given, if it named one.
    pub(super) swing_unit: Option<String>,
    /// The unit in which the dials show their amplitude, if it is stated.
    pub(super) reading_unit: Option<String>,
    /// The unit in which `amplitude_step` was given, if it named one.
    pub(super) step_unit: Option<String>,
}

impl StandSection {
    pub(super) fn read(document: &Document<'_>) -> Self {
        let section = document.section("stand");
        let (reading, swing_unit) = read_reading_noise(&section);
        let (step, step_unit) = read_step(&section);
        let noise = Noise {
            reading,
            place_error: Some(read_place_error(&section).unwrap_or_else(usual_place_error)),
            scale_error: section.quantity::<Mass>("scale_error").unwrap_or(Mass::ZERO),
            step,
            ..Noise::not_stated()
        };
        let stand = Stand {
            fixture: section.quantity::<UnbalanceAmount>("fixture"),
            mounting_scatter: section.quantity::<UnbalanceAmount>("mounting_scatter"),
            drift: if section.flag("drift") == Some(true) { Drift::Fitted } else { Drift::WhereTold },
            speed: section.positive::<Speed>("speed"),
            most_speed: section.positive::<Speed>("most_speed"),
            most_reading: section.number("most_reading"),
        };
        Self {
            stand,
            noise,
            proved: section.text("proved"),
            swing_unit,
            reading_unit: read_reading_unit(&section),
            step_unit,
        }
    }
}

/// The unit on the dials, as written in the header of runs files.
fn read_reading_unit(section: &Section<'_, '_>) -> Option<String> {
    let unit = section.text("reading_unit")?;
    if can_be_a_dial_unit(&unit) {
        return Some(unit);
    }
    let found = format!("`{}` is not a unit of a dial", shown(&unit));
    let hint = "as marked on the dial, for example mm/s or mils";
    section.fault("reading_unit", Fault::new("unknown-unit", found, "a short word", hint));
    None
}

fn read_reading_noise(section: &Section<'_, '_>) -> (ReadingNoise, Option<String>) {
    let fraction = section.quantity::<Percent>("reading_noise");
    let floor = section.number("reading_floor");
    let amplitude = section.text_read_as(
        "amplitude_swing",
        ("a number, with the dial's unit", "\"0.1 mm/s\""),
        read_swing,
    );
    let phase = section.quantity::<Angle>("phase_swing");
    match section.either(&["reading_noise", "reading_floor"], &["amplitude_swing", "phase_swing"]) {
        Given::Nothing => (ReadingNoise::NotStated, None),
        Given::First => {
            let fraction = fraction.map_or(0.0, Percent::fraction);
            (ReadingNoise::Proportional { fraction, floor: floor.unwrap_or(0.0) }, None)
        }
        Given::Second => {
            let amplitude = section.needed("amplitude_swing", amplitude);
            let phase = section.needed("phase_swing", phase);
            let (Some((amplitude, unit)), Some(phase)) = (amplitude, phase) else {
                return (ReadingNoise::NotStated, None);
            };
            let phase = if phase.degrees() < 0.0 { phase.mirrored() } else { phase };
            (ReadingNoise::Swing { amplitude, phase }, unit)
        }
    }
}

/// The steps of the dials, where they are stated, and the unit of the amplitude step.
fn read_step(section: &Section<'_, '_>) -> (DialStep, Option<String>) {
    let wanted = ("a number, with the dial's unit", "\"0.2 mm/s\"");
    let amplitude = section
        .text_read_as("amplitude_step", wanted, |text| read_swing(text).filter(|(step, _)| *step > 0.0));
    let phase = section.quantity::<Angle>("phase_step");
    let phase = phase.map(|step| if step.degrees() < 0.0 { step.mirrored() } else { step });
    let (amplitude, unit) = amplitude.map_or((None, None), |(step, unit)| (Some(step), unit));
    (DialStep { amplitude, phase }, unit)
}

/// A number and the unit after it, if there is one.
fn read_swing(text: &str) -> Option<(f64, Option<String>)> {
    let end = text.find(|letter: char| !(letter.is_ascii_digit() || letter == '.')).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number = number.parse::<f64>().ok().filter(|number| number.is_finite())?;
    let unit = unit.trim();
    Some((number, (!unit.is_empty()).then(|| unit.to_owned())))
}

fn read_place_error(section: &Section<'_, '_>) -> Option<PlaceError> {
    let wanted = ("a length on the tape, or an angle", "\"2 mm\" or \"1 deg\"");
    section.text_read_as("place_error", wanted, |text| match parse::<Length>(text) {
        Err(QuantityFault::UnknownUnit { .. }) => {
            parse::<Angle>(text).ok().filter(|angle| angle.degrees() >= 0.0).map(PlaceError::Angle)
        }
        length => length.ok().map(PlaceError::Tape),
    })
}

/// 2 mm along the tape, one sigma [common practice, no source].
fn usual_place_error() -> PlaceError {
    PlaceError::Tape(Length::from_millimetres(2.0).expect("2 mm is a length"))
}
