//! Masses as they are called out: `front 10 @ 287 15 @ 329 rear 15 @ 192`.

use balance_core::quantity::{Angle, Mass, Units};
use balance_core::run::{Change, PlacedMass};
use balance_core::shaft::{CorrectionPlane, PlaneId};

use crate::print::text::units;
use crate::typed::{Habits, TypedWeight, amounts, one_weight, radius, weights};

/// A trial mass: mass, place and, if it sits elsewhere, its radius.
///
/// # Errors
///
/// Words for people.
pub fn trial(text: &str, plane: PlaneId, habits: Habits) -> Result<PlacedMass, String> {
    match &amounts(text)?[..] {
        [mass, place] => Ok(placed(one_weight(plane, mass, place, habits)?)),
        [mass, place, third] if !third.at => {
            let radius = Some(radius(third, habits)?);
            Ok(PlacedMass { radius, ..placed(one_weight(plane, mass, place, habits)?) })
        }
        _ => Err(format!(
            "mass and angle are wanted, such as {} (a third number: the radius it sits at)",
            habits.pick("20 90", "0.75 90")
        )),
    }
}

/// Masses at several places.
///
/// # Errors
///
/// Words for people.
pub fn several(text: &str, planes: &[CorrectionPlane], habits: Habits) -> Result<Vec<PlacedMass>, String> {
    Ok(weights(text, planes, habits)?.into_iter().map(placed).collect())
}

fn placed(weight: TypedWeight) -> PlacedMass {
    let TypedWeight { plane, mass, angle } = weight;
    PlacedMass { plane, change: Change::Added, mass, angle, radius: None, bead: Mass::ZERO }
}

/// An angle as it was given, at most to a tenth of a degree.
fn degrees(angle: Angle) -> String {
    format!("{} deg", (angle.degrees() * 10.0).round() / 10.0)
}

/// The masses in words: "FRONT 10 g at 287 deg, 15 g at 329 deg; REAR 15 g at 192 deg".
pub fn words(masses: &[PlacedMass], planes: &[CorrectionPlane], shop: Units) -> String {
    listed(masses, planes, |mass| mass_words(mass, shop, &degrees(mass.angle)))
}

/// The same with the place on the tape, once round being so many millimetres.
pub fn words_on_tape(masses: &[PlacedMass], planes: &[CorrectionPlane], shop: Units, around: f64) -> String {
    listed(masses, planes, |mass| {
        let tape = units::length(shop, mass.angle.degrees_in_turn() / 360.0 * around);
        mass_words(mass, shop, &format!("{tape} ({})", degrees(mass.angle)))
    })
}

fn listed(masses: &[PlacedMass], planes: &[CorrectionPlane], one: impl Fn(&PlacedMass) -> String) -> String {
    let of_plane = |(at, plane): (PlaneId, &CorrectionPlane)| {
        let own: Vec<String> = masses.iter().filter(|mass| mass.plane == at).map(&one).collect();
        (!own.is_empty()).then(|| format!("{} {}", plane.name.to_uppercase(), own.join(", ")))
    };
    let parts: Vec<String> = PlaneId::numbered(planes).filter_map(of_plane).collect();
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
    use super::*;
    use balance_core::quantity::Length;

    const METRIC: Habits = Habits { units: Units::Metric, once_round: Some(279.3) };
    const US: Habits = Habits { units: Units::Us, once_round: Some(279.4) };

    fn planes() -> Vec<CorrectionPlane> {
        ["front", "rear"].map(CorrectionPlane::named).to_vec()
    }

    #[test]
    fn masses_are_said_as_they_were_typed() {
        let said = |text, habits: Habits| {
            several(text, &planes(), habits).map(|found| words(&found, &planes(), habits.units))
        };
        let wanted = "FRONT 10 g at 287 deg, 15 g at 329 deg; REAR 15 g at 192 deg";
        assert_eq!(said("front 10@287 15@329 rear 15@192", METRIC).as_deref(), Ok(wanted));
        assert_eq!(said("front 10@81mm", METRIC).as_deref(), Ok("FRONT 10 g at 104.4 deg"));
        assert_eq!(said("rear 0.53 @ 4.5in", US).as_deref(), Ok("REAR 0.53 oz at 147.3 deg"));
    }

    #[test]
    fn a_trial_may_name_its_radius_and_its_units() {
        let one = trial("20 90 50", PlaneId::new(0), METRIC).unwrap();
        assert_eq!(one.radius.map(Length::millimetres), Some(50.0));
        let two = trial("0.5 oz 90 2", PlaneId::new(0), US).unwrap();
        assert_eq!(
            (two.mass.grams(), two.radius.map(Length::millimetres)),
            (0.5 * 28.349_523_125, Some(50.8))
        );
        let three = trial("20 g @ 139.7 mm", PlaneId::new(0), US).unwrap();
        assert_eq!((three.mass.grams(), three.angle.degrees()), (20.0, 180.0));
        for wrong in ["20", "20 400", "0 90", "20 90 0", "20 mm 90", "20 90 50 1", "20 90 50 g", "20 90 @ 50"]
        {
            assert!(trial(wrong, PlaneId::new(0), METRIC).is_err(), "{wrong}");
        }
    }
}
