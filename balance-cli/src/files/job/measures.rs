//! The shaft's mass, speed, limit and tube.

use balance_core::grade::{BalancedIn, Criterion, Grade};
use balance_core::job::Measures;
use balance_core::quantity::{Length, Mass, Speed, UnbalanceAmount};
use balance_core::shaft::{ScaleReadings, Tube};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Given, Section};

/// `[shaft]` and `[tube]`.
pub(super) fn read_measures(document: &Document<'_>) -> Measures {
    let tube = read_tube(document);
    let section = document.section("shaft");
    let (mass, scale_centre) = read_mass(&section, tube.as_ref());
    let stated_centre = section.quantity::<Length>("mass_centre");
    Measures {
        mass,
        mass_centre: stated_centre.or(scale_centre),
        service_speed: section.positive::<Speed>("service_speed"),
        limit: read_limit(&section),
        balanced_in: read_planes(&section),
        tube,
    }
}

fn read_tube(document: &Document<'_>) -> Option<Tube> {
    let section = document.section("tube");
    let needed = |key| section.needed(key, section.positive::<Length>(key));
    let (outer, wall, length) = (needed("outer_diameter"), needed("wall"), needed("length"));
    let (Some(outer_diameter), Some(wall), Some(length)) = (outer, wall, length) else {
        return None;
    };
    let radius = outer_diameter.millimetres() / 2.0;
    if wall.millimetres() >= radius {
        let found = format!(
            "a wall of {} in a tube of radius {}",
            section.entered(wall.millimetres()),
            section.entered(radius)
        );
        let hint = "the wall is the sheet's thickness, not the inner diameter";
        section.fault("wall", Fault::new("wall-too-thick", found, "less than half the outer diameter", hint));
        return None;
    }
    Some(Tube { outer_diameter, wall, length })
}

/// The mass, and the mass centre if it was weighed on two scales: they are under the joint centres unless
/// stated otherwise.
fn read_mass(section: &Section<'_, '_>, tube: Option<&Tube>) -> (Option<Mass>, Option<Length>) {
    let front_position = section.quantity::<Length>("scale_front_position");
    let rear_position = section.quantity::<Length>("scale_rear_position");
    let mass = section.positive::<Mass>("mass");
    let front = section.quantity::<Mass>("scale_front");
    let rear = section.quantity::<Mass>("scale_rear");
    match section
        .either(&["mass"], &["scale_front", "scale_rear", "scale_front_position", "scale_rear_position"])
    {
        Given::Nothing => (None, None),
        Given::First => (mass, None),
        Given::Second => {
            let (front, rear) = (section.needed("scale_front", front), section.needed("scale_rear", rear));
            let (Some(front), Some(rear)) = (front, rear) else { return (None, None) };
            let end = tube.map(|tube| tube.length);
            let start = Length::from_millimetres(0.0).ok();
            weigh(section, (front, rear), (front_position.or(start), rear_position.or(end)))
        }
    }
}

fn weigh(
    section: &Section<'_, '_>,
    (front, rear): (Mass, Mass),
    (front_position, rear_position): (Option<Length>, Option<Length>),
) -> (Option<Mass>, Option<Length>) {
    if front.grams() + rear.grams() <= 0.0 {
        let fault =
            Fault::new("out-of-range", "both scales show nothing", "a mass on the scales", "weigh again");
        section.fault("scale_rear", fault);
        return (None, None);
    }
    let mass = Mass::from_grams(front.grams() + rear.grams()).ok();
    let (Some(front_position), Some(rear_position)) = (front_position, rear_position) else {
        return (mass, None);
    };
    if front_position >= rear_position {
        let found = format!("a rear scale at {}", section.entered(rear_position.millimetres()));
        let allowed = format!("more than {}", section.entered(front_position.millimetres()));
        let hint = "positions are counted from the front joint centre";
        section.fault("scale_rear_position", Fault::new("from-after-to", found, allowed, hint));
        return (mass, None);
    }
    (mass, ScaleReadings { front, rear, front_position, rear_position }.mass_centre())
}

fn read_planes(section: &Section<'_, '_>) -> BalancedIn {
    let choices = [("one plane", BalancedIn::OnePlane), ("two planes", BalancedIn::TwoPlanes)];
    section.choice("balanced_in", &choices).unwrap_or_default()
}

fn read_limit(section: &Section<'_, '_>) -> Option<Criterion> {
    let grade =
        section.text_read_as("grade", ("a grade above zero", "\"G16\""), read_grade).map(Criterion::Grade);
    let amount = section.positive::<UnbalanceAmount>("limit").map(Criterion::OwnLimit);
    match section.either(&["grade"], &["limit"]) {
        Given::Nothing => None,
        Given::First => grade,
        Given::Second => amount,
    }
}

fn read_grade(text: &str) -> Option<Grade> {
    text.parse().ok()
}
