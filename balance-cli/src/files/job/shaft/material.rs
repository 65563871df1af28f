//! `[tube] material` and the figures that go with it.

use balance_core::job::TubeMaterial;
use balance_core::quantity::{Density, Stress};
use balance_core::shaft::{Material, Weldability};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Section};

pub(super) fn read(document: &Document<'_>) -> TubeMaterial {
    let section = document.section("tube");
    let name = section.text("material");
    let modulus = section.positive::<Stress>("elastic_modulus");
    let density = section.positive::<Density>("density");
    let poisson = read_poisson(&section);
    let weldable = section.choice(
        "weldable",
        &[("yes", Weldability::Ready), ("by procedure", Weldability::ByProcedure), ("no", Weldability::No)],
    );
    let known = name.as_deref().and_then(Material::named);
    let own = modulus.is_some() || density.is_some();
    let material = match known {
        Some(known) if !own => Some(known),
        known => {
            if known.is_none() && own {
                section.needed_key("elastic_modulus");
                section.needed_key("density");
            }
            let modulus = modulus.or(known.as_ref().map(|known| known.elastic_modulus));
            let density = density.or(known.as_ref().map(|known| known.density));
            let usual = known.as_ref().map_or(STEEL_POISSON, |known| known.poisson_ratio);
            let label = name.as_deref().unwrap_or("your own");
            modulus.zip(density).and_then(|(modulus, density)| {
                let stated = Material::stated(label, modulus, density, poisson.unwrap_or(usual)).ok()?;
                let weldability = known.map_or(Weldability::Unknown, |known| known.weldability);
                Some(Material { weldability, ..stated })
            })
        }
    };
    match (material, name) {
        (Some(material), _) => TubeMaterial::Known(Material {
            weldability: weldable.unwrap_or(material.weldability),
            poisson_ratio: poisson.unwrap_or(material.poisson_ratio),
            ..material
        }),
        (None, Some(name)) => TubeMaterial::NotInTable(name),
        (None, None) => TubeMaterial::NotStated,
    }
}

/// Poisson's ratio of most steels; it changes the shear of a beam, and little else.
const STEEL_POISSON: f64 = 0.29;

fn read_poisson(section: &Section<'_, '_>) -> Option<f64> {
    let ratio = section.number("poisson_ratio")?;
    if ratio <= 0.5 {
        return Some(ratio);
    }
    let fault =
        Fault::new("out-of-range", format!("a Poisson ratio of {ratio}"), "0 to 0.5", "steel has 0.29");
    section.fault("poisson_ratio", fault);
    None
}
