//! `[[section]]`, `[[end]]` and `[[steady_bearing]]`: how the shaft is built along its length.

use balance_core::quantity::{Length, Mass, Stiffness};
use balance_core::shaft::{Material, PointMass, Restraint, ShaftSection, Support, Tube};

use crate::files::nearest::{did_you_mean, listed};
use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Section};

pub(super) fn read_sections(document: &Document<'_>, tube: Option<&Tube>) -> Vec<ShaftSection> {
    let mut found: Vec<ShaftSection> = Vec::new();
    for section in document.sections("section") {
        let Some(read) = read_section(&section, tube) else { continue };
        if let Some(before) = found.last().filter(|before| read.from < before.to) {
            let words = format!(
                "`{}` begins at {} inside `{}`",
                read.name,
                section.entered(read.from.millimetres()),
                before.name
            );
            let allowed = format!("{} or more", section.entered(before.to.millimetres()));
            let hint = "list them front to rear; the tube fills the gaps between sections";
            section.fault("from", Fault::new("sections-overlap", words, allowed, hint));
            continue;
        }
        found.push(read);
    }
    found
}

fn read_section(section: &Section<'_, '_>, tube: Option<&Tube>) -> Option<ShaftSection> {
    let name = section.needed("name", section.text("name"));
    let from = section.needed("from", section.quantity::<Length>("from"));
    let to = section.needed("to", on_tube(section, "to", tube));
    let outer = section.needed("outer_diameter", section.positive::<Length>("outer_diameter"));
    let inner = section.quantity::<Length>("inner_diameter").or(Length::from_millimetres(0.0).ok());
    let material = read_material(section);
    let (from, to, outer_diameter, inner_diameter) = (from?, to?, outer?, inner?);
    let at = |length: Length| section.entered(length.millimetres());
    let mut good = true;
    if from >= to {
        let found = format!("a section from {} to {}", at(from), at(to));
        let allowed = format!("more than {}", at(from));
        section.fault("to", Fault::new("from-after-to", found, allowed, "were from and to swapped?"));
        good = false;
    }
    if inner_diameter >= outer_diameter {
        let found = format!("a bore of {}", at(inner_diameter));
        let allowed = format!("less than the outer diameter, {}", at(outer_diameter));
        let hint = "leave `inner_diameter` out for a solid stub";
        section.fault("inner_diameter", Fault::new("bore-too-wide", found, allowed, hint));
        good = false;
    }
    good.then_some(ShaftSection { name: name?, from, to, outer_diameter, inner_diameter, material })
}

fn read_material(section: &Section<'_, '_>) -> Option<Material> {
    let name = section.text("material")?;
    let material = Material::named(&name);
    if material.is_none() {
        let names = Material::names();
        let hint = did_you_mean(&name, names.iter().copied())
            .unwrap_or_else(|| "leave the line out if it is the tube's material".into());
        let found = format!("`{name}` is not in the table of materials");
        section.fault("material", Fault::new("unknown-material", found, listed(names), hint));
    }
    material
}

pub(super) fn read_ends(document: &Document<'_>, tube: Option<&Tube>) -> Vec<(String, PointMass)> {
    let read = |section: &Section<'_, '_>| {
        let name = section.needed("name", section.text("name"));
        let position = section.needed("position", on_tube(section, "position", tube));
        let mass = section.needed("mass", section.positive::<Mass>("mass"));
        let inertia =
            section.text_read_as("rotary_inertia", ("an inertia in kg.m2", "\"0.004 kg.m2\""), |text| {
                text.strip_suffix("kg.m2")?
                    .trim()
                    .parse::<f64>()
                    .ok()
                    .filter(|value| value.is_finite() && *value >= 0.0)
            });
        let rotary_inertia = inertia.unwrap_or(0.0);
        Some((name?, PointMass { position: position?, mass: mass?, rotary_inertia }))
    };
    document.sections("end").iter().filter_map(read).collect()
}

pub(super) fn read_steady_bearings(document: &Document<'_>, tube: Option<&Tube>) -> Vec<Support> {
    let read = |section: &Section<'_, '_>| {
        let position = section.needed("position", on_tube(section, "position", tube));
        let stiffness = section.positive::<Stiffness>("stiffness");
        let restraint = stiffness.map_or(Restraint::Pinned, Restraint::Elastic);
        Some(Support { position: position?, restraint })
    };
    document.sections("steady_bearing").iter().filter_map(read).collect()
}

/// A position between the joint centres.
pub(super) fn on_tube(section: &Section<'_, '_>, key: &'static str, tube: Option<&Tube>) -> Option<Length> {
    let position = section.quantity::<Length>(key)?;
    let Some(tube) = tube.filter(|tube| position > tube.length) else { return Some(position) };
    let found = format!("{} is beyond the rear joint centre", section.entered(position.millimetres()));
    let allowed = format!("0 to {}", section.entered(tube.length.millimetres()));
    let hint = "positions are counted from the front joint centre";
    section.fault(key, Fault::new("beyond-tube", found, allowed, hint));
    None
}
