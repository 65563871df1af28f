//! `[service]`: the highest speed the drive can reach.

use balance_core::job::ReachedSpeed;
use balance_core::quantity::{Length, Speed};
use balance_core::shaft::{Drive, RoadSpeed, service_speed};

use super::number::above_zero;
use crate::files::toml_reader::{Document, Given};

pub(super) fn read(document: &Document<'_>) -> Option<ReachedSpeed> {
    let section = document.section("service");
    let engine_speed = section.positive::<Speed>("engine_speed");
    let gearbox_ratio = above_zero(&section, "gearbox_ratio");
    let transfer_ratio = above_zero(&section, "transfer_ratio");
    let road_speed = section.positive::<RoadSpeed>("road_speed");
    let rolling_radius = section.positive::<Length>("rolling_radius");
    let axle_ratio = above_zero(&section, "axle_ratio");
    let engine = ["engine_speed", "gearbox_ratio", "transfer_ratio"];
    let drive = match section.either(&engine, &["road_speed", "rolling_radius", "axle_ratio"]) {
        Given::Nothing => return None,
        Given::First => {
            let engine_speed = section.needed("engine_speed", engine_speed);
            let gearbox_ratio = section.needed("gearbox_ratio", gearbox_ratio);
            let transfer_ratio = section.needed("transfer_ratio", transfer_ratio);
            Drive::Engine {
                engine_speed: engine_speed?,
                gearbox_ratio: gearbox_ratio?,
                transfer_ratio: transfer_ratio?,
            }
        }
        Given::Second => {
            let road_speed = section.needed("road_speed", road_speed);
            let rolling_radius = section.needed("rolling_radius", rolling_radius);
            let axle_ratio = section.needed("axle_ratio", axle_ratio);
            Drive::Road { road_speed: road_speed?, rolling_radius: rolling_radius?, axle_ratio: axle_ratio? }
        }
    };
    service_speed(&drive).ok().map(|speed| ReachedSpeed { drive, speed })
}
