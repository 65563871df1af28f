//! Where weights go, where the limit holds, where the stand reads, and the parts of the shaft.

use balance_core::grade::default_tolerance_planes;
use balance_core::quantity::{Length, Mass};
use balance_core::shaft::{CorrectionPlane, Part, PlaneId, Sensor, Shows, TolerancePlane, Tube, WeldOn};

use crate::files::limits;
use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Percent, Section};

/// All places along the shaft.
pub(super) struct Places {
    pub(super) planes: Vec<CorrectionPlane>,
    pub(super) tolerance_planes: Vec<TolerancePlane>,
    pub(super) sensors: Vec<Sensor>,
    pub(super) parts: Vec<Part>,
}

impl Places {
    pub(super) fn read(
        document: &Document<'_>,
        tube: Option<&Tube>,
        bearings: &[Length],
        weights: &[WeldOn],
    ) -> Self {
        let planes = read_planes(document, tube, usual_radius(tube, weights));
        let names: Vec<String> = planes.iter().map(|plane| plane.name.clone()).collect();
        let sensors = read_sensors(document, &names);
        let parts = read_parts(document, tube);
        let stated = read_tolerance_planes(document, tube);
        let tolerance_planes = if stated.is_empty() {
            default_tolerance_planes(tube, &parts, bearings, &sensors)
        } else {
            stated
        };
        Self { planes, tolerance_planes, sensors, parts }
    }

    pub(super) fn plane_names(&self) -> Vec<String> {
        self.planes.iter().map(|plane| plane.name.clone()).collect()
    }
}

/// The tube's radius and half the mean thickness of the weights.
fn usual_radius(tube: Option<&Tube>, weights: &[WeldOn]) -> Option<Length> {
    let thicknesses: Vec<f64> = weights.iter().filter_map(thickness).map(Length::millimetres).collect();
    let mean =
        if thicknesses.is_empty() { 0.0 } else { thicknesses.iter().sum::<f64>() / thicknesses.len() as f64 };
    Length::from_millimetres((tube?.outer_diameter.millimetres() + mean) / 2.0).ok()
}

fn thickness(weight: &WeldOn) -> Option<Length> {
    match weight {
        WeldOn::Stamped(weight) => weight.thickness,
        WeldOn::Bar(bar) => Some(bar.section().thickness),
    }
}

fn read_planes(document: &Document<'_>, tube: Option<&Tube>, radius: Option<Length>) -> Vec<CorrectionPlane> {
    let sections = document.sections_up_to("correction_plane", limits::PLANES);
    let mut order = Order::new(tube);
    let mut planes = Vec::new();
    for section in &sections {
        let name = order.name(section, "correction plane");
        let plane = CorrectionPlane {
            name: name.clone().unwrap_or_default(),
            position: order.position(section, "position"),
            radius: section.positive::<Length>("radius").or(radius),
            trial_radius: section.positive::<Length>("trial_radius"),
        };
        if name.is_some() {
            planes.push(plane);
        }
    }
    planes
}

fn read_tolerance_planes(document: &Document<'_>, tube: Option<&Tube>) -> Vec<TolerancePlane> {
    let sections = document.sections("tolerance_plane");
    let mut order = Order::new(tube);
    sections
        .iter()
        .filter_map(|section| {
            let name = order.name(section, "tolerance plane");
            let position = section.needed("position", order.position(section, "position"));
            Some(TolerancePlane { name: name?, position: position? })
        })
        .collect()
}

fn read_sensors(document: &Document<'_>, planes: &[String]) -> Vec<Sensor> {
    let sections = document.sections_by_name("sensor", limits::SENSORS);
    let mut names = Vec::new();
    sections
        .iter()
        .filter_map(|section| {
            let name = unique_name(section, "sensor", &mut names);
            let position = section.quantity::<Length>("position");
            let weight = read_weight(section);
            let shows = read_shows(section, planes);
            let crosstalk = read_crosstalk(section, shows);
            Some(Sensor { position, weight, shows, crosstalk, ..Sensor::vibration(&name?, "") })
        })
        .collect()
}

fn read_weight(section: &Section<'_, '_>) -> Option<f64> {
    let weight = section.number("weight")?;
    if weight > 0.0 {
        return Some(weight);
    }
    let hint = "leave a sensor that should not count out of the job file";
    section.fault("weight", Fault::new("out-of-range", "a weight of zero", "above zero", hint));
    None
}

fn read_shows(section: &Section<'_, '_>, planes: &[String]) -> Shows {
    let shows: Option<fn(PlaneId) -> Shows> = section.choice(
        "shows",
        &[
            ("vibration", (|_| Shows::Vibration) as fn(PlaneId) -> Shows),
            ("unbalance", |plane| Shows::Unbalance { plane }),
            ("correction", |plane| Shows::Correction { plane }),
        ],
    );
    let plane = section.one_of("plane", "correction plane", planes).map(PlaneId::new);
    match shows {
        Some(shows) if shows(PlaneId::new(0)) != Shows::Vibration => {
            section.needed("plane", plane).map_or(Shows::Vibration, shows)
        }
        _ => {
            if plane.is_some() {
                let hint = "add shows = \"unbalance\" or shows = \"correction\", or remove `plane`";
                let found = "`plane` for a sensor that shows vibration";
                section.fault("plane", Fault::new("plane-without-shows", found, "only with `shows`", hint));
            }
            Shows::Vibration
        }
    }
}

/// How much of another end shows here; only for a stand that separates the ends itself.
fn read_crosstalk(section: &Section<'_, '_>, shows: Shows) -> Option<f64> {
    const MOST: f64 = 0.3;
    let share = section.quantity::<Percent>("crosstalk")?.fraction();
    if shows == Shows::Vibration {
        let hint = "add shows = \"unbalance\" or shows = \"correction\", or remove `crosstalk`";
        let found = "`crosstalk` for a sensor that shows vibration";
        section.fault("crosstalk", Fault::new("crosstalk-without-shows", found, "only with `shows`", hint));
    }
    if share > MOST {
        let found = format!("{:.0} % of the other end", 100.0 * share);
        let allowed = format!("0 to {:.0} %", 100.0 * MOST);
        let hint = "a stand that mixes the ends more than this does not separate them: set it up again";
        section.fault("crosstalk", Fault::new("out-of-range", found, allowed, hint));
    }
    Some(share)
}

fn read_parts(document: &Document<'_>, tube: Option<&Tube>) -> Vec<Part> {
    let sections = document.sections("part");
    let mut order = Order::new(tube);
    sections
        .iter()
        .filter_map(|section| {
            let name = order.name(section, "part");
            let mass = section.needed("mass", section.positive::<Mass>("mass"));
            let from = section.needed("from", section.quantity::<Length>("from"));
            let to = section.needed("to", order.within_tube(section, "to"));
            let part = Part { name: name?, mass: mass?, from: from?, to: to? };
            order.follow(section, &part).then_some(part)
        })
        .collect()
}

/// Names that occur once, positions that go from front to rear and stay on the tube.
struct Order<'t> {
    tube: Option<&'t Tube>,
    names: Vec<String>,
    last: Option<Length>,
}

impl<'t> Order<'t> {
    fn new(tube: Option<&'t Tube>) -> Self {
        Self { tube, names: Vec::new(), last: None }
    }

    fn name(&mut self, section: &Section<'_, '_>, what: &str) -> Option<String> {
        unique_name(section, what, &mut self.names)
    }

    fn position(&mut self, section: &Section<'_, '_>, key: &'static str) -> Option<Length> {
        let position = self.within_tube(section, key)?;
        let at = |position: Length| section.entered(position.millimetres());
        let before = self.last.replace(position);
        if let Some(before) = before.filter(|before| *before >= position) {
            let found = format!("{} comes after {}", at(position), at(before));
            let allowed = format!("more than {}", at(before));
            let hint = "list them front to rear, as they are on the shaft";
            section.fault(key, Fault::new("not-in-order", found, allowed, hint));
        }
        Some(position)
    }

    fn within_tube(&self, section: &Section<'_, '_>, key: &'static str) -> Option<Length> {
        let position = section.quantity::<Length>(key)?;
        if let Some(tube) = self.tube.filter(|tube| position > tube.length) {
            let length = section.entered(tube.length.millimetres());
            let found =
                format!("{} is beyond the rear joint centre", section.entered(position.millimetres()));
            let hint = "positions are counted from the front joint centre";
            section.fault(key, Fault::new("beyond-tube", found, format!("0 to {length}"), hint));
        }
        Some(position)
    }

    /// Whether a part begins before it ends and where the one before it has ended.
    fn follow(&mut self, section: &Section<'_, '_>, part: &Part) -> bool {
        let [from, to] = [part.from, part.to].map(|at| section.entered(at.millimetres()));
        if part.from >= part.to {
            let found = format!("a part from {from} to {to}");
            let allowed = format!("more than {from}");
            section.fault("to", Fault::new("from-after-to", found, allowed, "were from and to swapped?"));
            return false;
        }
        let before = self.last.replace(part.to);
        if let Some(before) = before.filter(|before| *before > part.from) {
            let found = format!("`{}` begins at {from} inside the part before it", part.name);
            let allowed = format!("{} or more", section.entered(before.millimetres()));
            let hint = "begin it where the one before it ends";
            section.fault("from", Fault::new("parts-overlap", found, allowed, hint));
        }
        true
    }
}

fn unique_name(section: &Section<'_, '_>, what: &str, names: &mut Vec<String>) -> Option<String> {
    let name = section.needed("name", section.text("name"))?;
    if names.contains(&name) {
        let found = format!("`{name}` already exists");
        let allowed = format!("a different name for each {what}");
        section.fault("name", Fault::new("duplicate-name", found, allowed, "use front, middle, rear"));
    }
    names.push(name.clone());
    Some(name)
}
