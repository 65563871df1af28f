//! All details together.

use balance_core::job::ShaftDetails;
use balance_core::shaft::Tube;

use super::{build, drive, joints, limits, material, relength, state};
use crate::files::toml_reader::Document;

/// Everything but the inspection and the dial indicator's readings, which are in a separate file.
pub(in crate::files::job) fn read(document: &Document<'_>, tube: Option<&Tube>) -> ShaftDetails {
    ShaftDetails {
        material: material::read(document),
        sections: build::read_sections(document, tube),
        ends: build::read_ends(document, tube),
        steady_bearings: build::read_steady_bearings(document, tube),
        joints: joints::read(document, tube),
        reached: drive::read(document),
        relength: relength::read(document),
        yoke_changes: relength::read_yoke_changes(document),
        runout: Vec::new(),
        inspection: state::read_inspection(document),
        overruling: state::read_override(document),
        limits: limits::read(document),
    }
}
