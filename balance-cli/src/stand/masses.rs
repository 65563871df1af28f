//! Masses as they are called out: `front 10 @ 287 15 @ 329 rear 15 @ 192`.

use balance_core::quantity::{Angle, Length, Mass};
use balance_core::run::{Change, PlacedMass};
use balance_core::shaft::CorrectionPlane;

use super::draft::angle;
use super::line::{Value, values};
use crate::print::text::units;
use balance_core::quantity::Units;

/// The units that may stand behind a number.
const UNITS: [&str; 6] = ["g", "deg", "grad", "mm", "mm/s", "rpm"];
/// The heaviest mass that is taken, in grams.
const HEAVIEST: f64 = 5000.0;
const GRAMS_PER_OUNCE: f64 = 28.349_523_125;
const MILLIMETRES_PER_INCH: f64 = 25.4;

/// The units that may stand behind a number at this shop.
pub fn unit_words(shop: Units) -> &'static [&'static str] {
    match shop {
        Units::Us => &["oz", "in", "deg", "rpm"],
        Units::Metric | Units::Both => &UNITS,
    }
}

/// Plain numbers only.
fn numbers(text: &str, shop: Units) -> Result<Vec<f64>, String> {
    let plain = |value| match value {
        Value::Number(number) => Ok(number),
        Value::Below(_) | Value::NotRead => Err("masses and angles are plain numbers".to_owned()),
    };
    values(text, unit_words(shop))?.into_iter().map(plain).collect()
}

/// A trial mass: mass, angle and, if it sits elsewhere, its radius.
///
/// # Errors
///
/// Words for people.
pub fn trial(text: &str, plane: usize, shop: Units) -> Result<PlacedMass, String> {
    match numbers(text, shop)?[..] {
        [mass, degrees] => placed(plane, mass, degrees, shop),
        [mass, degrees, radius] => {
            let millimetres = if shop == Units::Us { radius * MILLIMETRES_PER_INCH } else { radius };
            let sensible = (1.0..=5000.0).contains(&millimetres);
            let radius = Length::from_millimetres(millimetres).ok().filter(|_| sensible);
            let radius = radius.ok_or_else(|| format!("a radius of {millimetres} mm cannot be"))?;
            Ok(PlacedMass { radius: Some(radius), ..placed(plane, mass, degrees, shop)? })
        }
        _ => Err("mass and angle are wanted, such as 20 90 (a third number: the radius it sits at)".into()),
    }
}

/// Masses at several places.
///
/// # Errors
///
/// Words for people.
pub fn several(text: &str, planes: &[CorrectionPlane], shop: Units) -> Result<Vec<PlacedMass>, String> {
    if text.split_whitespace().any(|piece| piece.matches('@').count() > 1) {
        return Err("put a space between two weights: 10@287 15@329".into());
    }
    let mut found = Vec::new();
    for (plane, part) in parts(text, planes)? {
        let own = numbers(&part, shop)?;
        if own.is_empty() || !own.len().is_multiple_of(2) {
            return Err(format!(
                "{}: mass and angle come in pairs, such as 10@287 15@329",
                planes[plane].name
            ));
        }
        for pair in own.chunks_exact(2) {
            found.push(placed(plane, pair[0], pair[1], shop)?);
        }
    }
    Ok(found)
}

/// The text cut at the names of places.
fn parts(text: &str, planes: &[CorrectionPlane]) -> Result<Vec<(usize, String)>, String> {
    let names: Vec<String> = planes.iter().map(|plane| plane.name.to_lowercase()).collect();
    let mut longest: Vec<usize> = (0..names.len()).collect();
    longest.sort_by_key(|&at| std::cmp::Reverse(names[at].len()));
    let lower = text.to_lowercase().replace(['=', ':'], " ");
    let mut rest = lower.trim();
    let mut found: Vec<(usize, String)> = Vec::new();
    while !rest.is_empty() {
        if let Some(&at) = longest.iter().find(|&&at| rest.starts_with(names[at].as_str())) {
            found.push((at, String::new()));
            rest = rest[names[at].len()..].trim_start();
            continue;
        }
        let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        match found.last_mut() {
            Some((_, part)) => *part = format!("{part} {word}"),
            None if planes.len() == 1 => found.push((0, word.into())),
            None => return Err(format!("name the place first: {} 10@287", names.join(" or "))),
        }
        rest = after.trim_start();
    }
    Ok(found)
}

fn placed(plane: usize, mass: f64, degrees: f64, shop: Units) -> Result<PlacedMass, String> {
    let grams = if shop == Units::Us { mass * GRAMS_PER_OUNCE } else { mass };
    let mass = Mass::from_grams(grams).ok().filter(|_| grams > 0.0 && grams <= HEAVIEST);
    let mass = mass.ok_or_else(|| format!("a mass of {grams} g cannot be: above 0, at most {HEAVIEST} g"))?;
    let angle: Angle = angle(degrees)?;
    Ok(PlacedMass { plane, change: Change::Added, mass, angle, radius: None, bead: Mass::ZERO })
}

/// The masses in words: "FRONT 10 g at 287 deg, 15 g at 329 deg; REAR 15 g at 192 deg".
pub fn words(masses: &[PlacedMass], planes: &[CorrectionPlane], shop: Units) -> String {
    listed(masses, planes, |mass| mass_words(mass, shop, &format!("{} deg", mass.angle.degrees())))
}

/// The same with the place on the tape, once round being so many millimetres.
pub fn words_on_tape(masses: &[PlacedMass], planes: &[CorrectionPlane], shop: Units, around: f64) -> String {
    listed(masses, planes, |mass| {
        let tape = units::length(shop, mass.angle.degrees_in_turn() / 360.0 * around);
        mass_words(mass, shop, &format!("{tape} ({} deg)", mass.angle.degrees()))
    })
}

fn listed(masses: &[PlacedMass], planes: &[CorrectionPlane], one: impl Fn(&PlacedMass) -> String) -> String {
    let of_plane = |(at, plane): (usize, &CorrectionPlane)| {
        let own: Vec<String> = masses.iter().filter(|mass| mass.plane == at).map(&one).collect();
        (!own.is_empty()).then(|| format!("{} {}", plane.name.to_uppercase(), own.join(", ")))
    };
    let parts: Vec<String> = planes.iter().enumerate().filter_map(of_plane).collect();
    if parts.is_empty() { "nothing".into() } else { parts.join("; ") }
}

fn mass_words(mass: &PlacedMass, shop: Units, place: &str) -> String {
    let sign = if mass.change == Change::TakenOff { "minus " } else { "" };
    let bead = if mass.bead.grams() > 0.0 {
        format!(" with {} bead", units::stamped(shop, mass.bead))
    } else {
        String::new()
    };
    let radius =
        mass.radius.map(|radius| format!(" at radius {}", units::length(shop, radius.millimetres())));
    format!("{sign}{}{bead} at {place}{}", units::stamped(shop, mass.mass), radius.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn planes() -> Vec<CorrectionPlane> {
        ["front", "front two", "rear"].map(CorrectionPlane::named).to_vec()
    }

    fn read(text: &str) -> Result<String, String> {
        several(text, &planes(), Units::Metric).map(|found| words(&found, &planes(), Units::Metric))
    }

    #[test]
    fn masses_are_read_place_by_place() {
        let wanted = "FRONT 10 g at 287 deg, 15 g at 329 deg; REAR 15 g at 192 deg";
        assert_eq!(read("front 10@287 15@329 rear 15@192").as_deref(), Ok(wanted));
        assert_eq!(read("Front: 10 g 287, 15 g 329 REAR = 15,0 @ 192").as_deref(), Ok(wanted));
        assert_eq!(read("front two 5 @ 1").as_deref(), Ok("FRONT TWO 5 g at 1 deg"));
        for wrong in [
            "10@287",
            "front 10",
            "front",
            "front 0@1",
            "front 9999 1",
            "front 5 400",
            "middle 5@1",
            "front 10@287,15@329",
            "front -5@3",
        ] {
            assert!(read(wrong).is_err(), "{wrong}: {:?}", read(wrong));
        }
    }

    #[test]
    fn a_trial_may_name_its_radius_and_ounces() {
        let one = trial("20 90 50", 0, Units::Metric).unwrap();
        assert_eq!(one.radius.map(Length::millimetres), Some(50.0));
        let ounces = trial("0.5 oz 90", 0, Units::Us).unwrap();
        assert_eq!(ounces.mass.grams(), 0.5 * GRAMS_PER_OUNCE);
        for wrong in ["20", "20 400", "0 90", "20 90 0", "20 oz 90", "20 90 50 1"] {
            assert!(trial(wrong, 0, Units::Metric).is_err(), "{wrong}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in ".{0,60}") {
            let _ = read(&text);
            let _ = trial(&text, 0, Units::Metric);
        }
    }
}
