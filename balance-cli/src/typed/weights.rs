//! Weights at their places: `front 10@287 15@329 rear 0.5oz@9 1/16in`.

use balance_core::quantity::{Angle, Around, AroundFault, Length, Mass, shown};
use balance_core::shaft::{CorrectionPlane, PlaneId};

use super::amounts::{Amount, amounts, in_words};
use super::habits::Habits;

/// A mass at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypedWeight {
    /// Which correction plane.
    pub plane: PlaneId,
    /// The mass.
    pub mass: Mass,
    /// Where round the tube.
    pub angle: Angle,
}

/// The heaviest mass that is accepted, in grams: a larger one is a typing slip.
const HEAVIEST: f64 = 5000.0;

/// Weights at several places, with each place's name before its weights; if there is only one place, the name
/// may be left out.
///
/// # Errors
///
/// Words for people.
pub fn weights(text: &str, planes: &[CorrectionPlane], habits: Habits) -> Result<Vec<TypedWeight>, String> {
    let mut found = Vec::new();
    for (plane, part) in parts(text, planes)? {
        let own = amounts(&part).map_err(|words| format!("{}: {words}", planes[plane].name))?;
        let in_pairs = own.iter().enumerate().all(|(at, amount)| !amount.at || at % 2 == 1);
        if own.is_empty() || !own.len().is_multiple_of(2) || !in_pairs {
            return Err(format!(
                "{}: mass and place come in pairs, for example {}",
                planes[plane].name,
                habits.pick("10@287 15@329", "0.5@287 0.35@329")
            ));
        }
        for pair in own.chunks_exact(2) {
            found.push(one_weight(plane, &pair[0], &pair[1], habits)?);
        }
    }
    Ok(found)
}

/// A mass and its place.
///
/// # Errors
///
/// Words for people.
pub fn one_weight(
    plane: PlaneId,
    mass: &Amount,
    place: &Amount,
    habits: Habits,
) -> Result<TypedWeight, String> {
    Ok(TypedWeight { plane, mass: sensible_mass(mass, habits)?, angle: angle(place, habits)? })
}

fn sensible_mass(amount: &Amount, habits: Habits) -> Result<Mass, String> {
    let mass: Mass = amount.of(habits.weight_unit())?;
    if mass.grams() > 0.0 && mass.grams() <= HEAVIEST {
        return Ok(mass);
    }
    let most = habits.pick("5 kg".to_owned(), shown::pounds(HEAVIEST / 1000.0));
    Err(format!("a mass of {} is out of range: above 0, at most {most}", amount.text(habits.weight_unit())))
}

/// The angle of a place in degrees or on the tape; the latter to a tenth of a degree, finer than any tape.
fn angle(amount: &Amount, habits: Habits) -> Result<Angle, String> {
    let text = amount.text("deg");
    let around = Around::parse_in(&text, "deg").map_err(|fault| in_words(&fault))?;
    let angle = around.angle(habits.once_round).map_err(|fault| match fault {
        AroundFault::OnceRoundUnknown => {
            format!("{text} is a place on the tape, but the tube's diameter is not known: type degrees")
        }
        AroundFault::BeyondOnceRound { once_round, .. } => {
            let round = shown::length(habits.units, once_round);
            format!("{text} is more than once round the tube ({round})")
        }
    })?;
    if !(-360.0..=360.0).contains(&angle.degrees()) {
        return Err(format!("an angle of {text} is out of range: 0 to 360"));
    }
    Ok(match around {
        Around::Angle(angle) => angle,
        Around::Tape(_) => Angle::from_degrees((angle.degrees() * 10.0).round() / 10.0).unwrap_or(angle),
    })
}

/// The radius of a mass.
///
/// # Errors
///
/// Words for people.
pub fn radius(amount: &Amount, habits: Habits) -> Result<Length, String> {
    let radius: Length = amount.of(habits.length_unit())?;
    if (1.0..=5000.0).contains(&radius.millimetres()) {
        return Ok(radius);
    }
    Err(format!("a radius of {} is out of range", amount.text(habits.length_unit())))
}

/// The text split at the names of places.
fn parts(text: &str, planes: &[CorrectionPlane]) -> Result<Vec<(PlaneId, String)>, String> {
    let names: Vec<String> = planes.iter().map(|plane| plane.name.to_lowercase()).collect();
    let mut longest: Vec<usize> = (0..names.len()).collect();
    longest.sort_by_key(|&at| std::cmp::Reverse(names[at].len()));
    let lower = text.to_lowercase().replace(['=', ':'], " ");
    let mut rest = lower.trim();
    let mut found: Vec<(PlaneId, String)> = Vec::new();
    while !rest.is_empty() {
        if let Some(&at) = longest.iter().find(|&&at| begins_with(rest, &names[at])) {
            found.push((PlaneId::new(at), String::new()));
            rest = rest[names[at].len()..].trim_start();
            continue;
        }
        let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        match found.last_mut() {
            Some((_, part)) => *part = format!("{part} {word}"),
            None if planes.len() == 1 => found.push((PlaneId::new(0), word.into())),
            None => return Err(format!("name the place first: {} 10@287", names.join(" or "))),
        }
        rest = after.trim_start();
    }
    Ok(found)
}

/// Whether a text begins with this name and not with a longer word.
fn begins_with(text: &str, name: &str) -> bool {
    !name.is_empty() && text.strip_prefix(name).is_some_and(|after| !after.starts_with(char::is_alphabetic))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use balance_core::quantity::Units;

    fn planes() -> Vec<CorrectionPlane> {
        ["front", "front two", "rear"].map(CorrectionPlane::named).to_vec()
    }

    const METRIC: Habits = Habits { units: Units::Metric, once_round: Some(279.3) };
    const US: Habits = Habits { units: Units::Us, once_round: Some(11.0 * 25.4) };

    fn read(text: &str, habits: Habits) -> Result<Vec<(usize, f64, f64)>, String> {
        let one = |weight: &TypedWeight| (weight.plane.index(), weight.mass.grams(), weight.angle.degrees());
        weights(text, &planes(), habits).map(|found| found.iter().map(one).collect())
    }

    #[test]
    fn weights_are_read_place_by_place() {
        let wanted = [(0, 10.0, 287.0), (0, 15.0, 329.0), (2, 15.0, 192.0)];
        for text in [
            "front 10@287 15@329 rear 15@192",
            "Front: 10 g 287, 15 g 329 REAR = 15,0 @ 192",
            "FRONT=10g@287deg,15g@329° rear=15@192",
        ] {
            assert_eq!(read(text, METRIC).as_deref(), Ok(&wanted[..]), "{text}");
        }
        assert_eq!(read("front two 5 @ 1", METRIC), Ok(vec![(1, 5.0, 1.0)]));
        for wrong in [
            "10@287",
            "front 10",
            "front",
            "front 0@1",
            "front 9999 1",
            "front 5 400",
            "middle 5@1",
            "front -5@3",
            "front 5@300mm",
            "front 5mm@3",
            "front 10 20@30",
            "frontal 5@3",
            "front 5@",
        ] {
            assert!(read(wrong, METRIC).is_err(), "{wrong}: {:?}", read(wrong, METRIC));
        }
    }

    #[test]
    fn bare_numbers_are_in_the_shops_units_and_a_place_may_be_on_the_tape() {
        let ounce = 28.349_523_125;
        assert_eq!(read("front=0.5@297", US), Ok(vec![(0, 0.5 * ounce, 297.0)]));
        assert_eq!(read("FRONT=0.35oz@90", METRIC), Ok(vec![(0, 0.35 * ounce, 90.0)]));
        assert_eq!(read("front=10g@90", US), Ok(vec![(0, 10.0, 90.0)]));
        assert_eq!(read("front 1/4 @ 5 1/2\"", US), Ok(vec![(0, 0.25 * ounce, 180.0)]));
        let degrees = |text, habits| read(text, habits).unwrap()[0].2;
        assert_eq!(degrees("front=10g@258mm", METRIC), 332.5);
        assert_eq!(degrees("front=0.5oz@9 1/16in", US), 296.6);
        let no_tube = Habits { once_round: None, ..METRIC };
        assert!(read("front 10@258mm", no_tube).unwrap_err().contains("type degrees"));
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in ".{0,60}") {
            let _ = read(&text, METRIC);
        }
    }
}
