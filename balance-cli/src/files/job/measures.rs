//! The shaft's mass, speed, limit and tube.

use balance_core::quantity::{Length, Mass, Speed, UnbalanceAmount};
use balance_core::shaft::{ScaleReadings, Tube};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Given, Section};

/// How much may be left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// A balance quality grade (ISO 21940-11), in mm/s: 16 for G16.
    Grade(f64),
    /// The shop's own, per tolerance plane.
    Amount(UnbalanceAmount),
}

/// `[shaft]` and `[tube]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Measures {
    /// The whole shaft's mass, weighed.
    pub mass: Option<Mass>,
    /// Its mass centre, from the front joint centre.
    pub mass_centre: Option<Length>,
    /// The highest speed it can ever reach.
    pub service_speed: Option<Speed>,
    /// Grade, or the shop's own limit.
    pub limit: Option<Limit>,
    /// The welded tube.
    pub tube: Option<Tube>,
    /// What the tube is made of, as the user says it.
    pub material: Option<String>,
}

impl Measures {
    pub(super) fn read(document: &Document<'_>) -> Self {
        let (tube, material) = read_tube(document);
        let section = document.section("shaft");
        let (mass, scale_centre) = read_mass(&section, tube.as_ref());
        let stated_centre = section.quantity::<Length>("mass_centre");
        Self {
            mass,
            mass_centre: stated_centre.or(scale_centre),
            service_speed: section.positive::<Speed>("service_speed"),
            limit: read_limit(&section),
            tube,
            material,
        }
    }
}

fn read_tube(document: &Document<'_>) -> (Option<Tube>, Option<String>) {
    let section = document.section("tube");
    let needed = |key| section.needed(key, section.positive::<Length>(key));
    let (outer, wall, length) = (needed("outer_diameter"), needed("wall"), needed("length"));
    let material = section.text("material");
    let (Some(outer_diameter), Some(wall), Some(length)) = (outer, wall, length) else {
        return (None, material);
    };
    let radius = outer_diameter.millimetres() / 2.0;
    let shown = |millimetres: f64| (millimetres * 1000.0).round() / 1000.0;
    if wall.millimetres() >= radius {
        let found =
            format!("a wall of {} mm in a tube of radius {} mm", shown(wall.millimetres()), shown(radius));
        let hint = "the wall is the sheet's thickness, not the inner diameter";
        section.fault("wall", Fault::new("wall-too-thick", found, "less than half the outer diameter", hint));
        return (None, material);
    }
    (Some(Tube { outer_diameter, wall, length }), material)
}

/// The mass, and the mass centre if two scales tell it: they stand under the joint centres unless said otherwise.
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
        let found = format!("a rear scale at {} mm", rear_position.millimetres());
        let allowed = format!("more than {} mm", front_position.millimetres());
        let hint = "positions are counted from the front joint centre";
        section.fault("scale_rear_position", Fault::new("from-after-to", found, allowed, hint));
        return (mass, None);
    }
    (mass, ScaleReadings { front, rear, front_position, rear_position }.mass_centre())
}

fn read_limit(section: &Section<'_, '_>) -> Option<Limit> {
    let grade =
        section.text_read_as("grade", ("a grade above zero", "\"G16\""), read_grade).map(Limit::Grade);
    let amount = section.positive::<UnbalanceAmount>("limit").map(Limit::Amount);
    match section.either(&["grade"], &["limit"]) {
        Given::Nothing => None,
        Given::First => grade,
        Given::Second => amount,
    }
}

fn read_grade(text: &str) -> Option<f64> {
    let number = text.strip_prefix(['G', 'g']).unwrap_or(text).trim().parse::<f64>().ok()?;
    (number.is_finite() && number > 0.0).then_some(number)
}
