//! `[[joint]]`: the universal joints of the driveline, front to rear.

use balance_core::job::DrivelineJoint;
use balance_core::quantity::{Angle, Length, Mass};
use balance_core::shaft::{JointSize, TrainJoint, Tube, YokeSize};

use super::build::on_tube;
use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Given, Section};

pub(super) fn read(document: &Document<'_>, tube: Option<&Tube>) -> Vec<DrivelineJoint> {
    document.sections("joint").iter().map(|section| read_joint(section, tube)).collect()
}

fn read_joint(section: &Section<'_, '_>, tube: Option<&Tube>) -> DrivelineJoint {
    DrivelineJoint {
        name: section.text("name"),
        position: on_tube(section, "position", tube),
        bend: read_bend(section),
        spline_teeth: read_teeth(section),
        series: section.text("series"),
        centre_to_shoulder: section.positive::<Length>("centre_to_shoulder"),
        mass: section.positive::<Mass>("mass"),
    }
}

fn read_bend(section: &Section<'_, '_>) -> Option<TrainJoint> {
    let angle = bent(section, "angle");
    let plane = section.quantity::<Angle>("plane");
    let plan = bent(section, "plan");
    let side = bent(section, "side");
    let phase = section.quantity::<Angle>("phase").unwrap_or(Angle::ZERO);
    let joint = match section.either(&["angle", "plane"], &["plan", "side"]) {
        Given::Nothing => return None,
        Given::First => TrainJoint {
            plane: plane.unwrap_or(Angle::ZERO),
            ..TrainJoint::in_phase(section.needed("angle", angle)?)
        },
        Given::Second => {
            let (plan, side) = (section.needed("plan", plan), section.needed("side", side));
            TrainJoint::from_views(plan?, side?)
        }
    };
    Some(TrainJoint { yoke_twist: phase, ..joint })
}

/// `[[joint_size]]`: what the yokes on both sides of a joint take.
pub(in crate::files::job) fn read_sizes(document: &Document<'_>) -> Vec<JointSize> {
    let yoke = |section: &Section<'_, '_>, cap: &'static str, width: &'static str| {
        let cap_diameter = section.needed(cap, section.positive::<Length>(cap));
        let width = section.needed(width, section.positive::<Length>(width));
        Some(YokeSize { cap_diameter: cap_diameter?, width: width? })
    };
    let read = |section: &Section<'_, '_>| {
        let joint = section.needed("joint", section.text("joint"));
        let shaft_yoke = yoke(section, "shaft_cap", "shaft_width");
        let other_yoke = yoke(section, "other_cap", "other_width");
        Some(JointSize { joint: joint?, shaft_yoke: shaft_yoke?, other_yoke: other_yoke? })
    };
    document.sections("joint_size").iter().filter_map(read).collect()
}

/// A joint angle: a universal joint works below 45 degrees.
fn bent(section: &Section<'_, '_>, key: &'static str) -> Option<Angle> {
    let angle = section.quantity::<Angle>(key)?;
    if angle.degrees().abs() < MOST_BEND {
        return Some(angle);
    }
    let found = format!("a joint bent by {} deg", angle.degrees());
    let hint = "the angle is the change of direction from one shaft to the next: 0 deg when they are in line";
    section.fault(key, Fault::new("joint-angle", found, "less than 45 deg", hint));
    None
}

/// In degrees: beyond this neither the formulas nor the joint work.
const MOST_BEND: f64 = 45.0;

fn read_teeth(section: &Section<'_, '_>) -> Option<u32> {
    let teeth = section.count("spline_teeth")?;
    if (4..=200).contains(&teeth) {
        return u32::try_from(teeth).ok();
    }
    let found = format!("a spline with {teeth} teeth");
    section.fault("spline_teeth", Fault::new("out-of-range", found, "4 to 200", "count them on the stub"));
    None
}
