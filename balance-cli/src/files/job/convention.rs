//! How the job counts its angles.

use balance_core::run::{Convention, MassAngle, Phase, Turns};

use crate::files::toml_reader::Document;

/// `[convention]`: it counts as stated if it says how phase is counted; a lag or lead also needs
/// `mass_angle`. That the dial shows no phase says nothing of runs that have phases all the same.
pub(super) fn read(document: &Document<'_>) -> Convention {
    let section = document.section("convention");
    let zero_mark = section.text("zero_mark");
    let turns = section.choice(
        "turns",
        &[
            ("clockwise seen from the front", Turns::Clockwise),
            ("counter-clockwise seen from the front", Turns::CounterClockwise),
        ],
    );
    let mass_angle = section.choice(
        "mass_angle",
        &[("against rotation", MassAngle::AgainstRotation), ("with rotation", MassAngle::WithRotation)],
    );
    let phase = section.choice(
        "phase",
        &[
            ("lag", Phase::Lag),
            ("lead", Phase::Lead),
            ("same way as masses", Phase::SameWayAsMasses),
            ("opposite to masses", Phase::OppositeToMasses),
            ("none", Phase::NotShown),
        ],
    );
    if matches!(phase, Some(Phase::Lag | Phase::Lead)) {
        section.needed("mass_angle", mass_angle);
    }
    let unstated = Convention::unstated();
    Convention {
        zero_mark,
        turns,
        mass_angle: mass_angle.unwrap_or(unstated.mass_angle),
        phase: phase.unwrap_or(unstated.phase),
        stated: phase.is_some_and(|phase| phase != Phase::NotShown),
        proved: None,
    }
}
