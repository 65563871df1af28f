//! `[limits]`: the limits the shaft is checked against, each a setting with a default.

use balance_core::quantity::{Angle, Length};
use balance_core::shaft::{Limit, NO_OVERRIDE_FROM, ShaftLimits};

use super::number::above_zero;
use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Section};

pub(super) fn read(document: &Document<'_>) -> ShaftLimits {
    let section = document.section("limits");
    let uses = [("vehicle", ShaftLimits::default()), ("industrial", ShaftLimits::industrial())];
    let mut limits = section.choice("use", &uses).unwrap_or_default();
    let set = |limit: &mut Limit, value: Option<f64>| {
        if let Some(value) = value {
            *limit = Limit::stated(value);
        }
    };
    set(&mut limits.margin_ratio, share(&section, "margin_ratio"));
    set(&mut limits.elastic_from, share(&section, "elastic_from"));
    set(&mut limits.rigid_to, share(&section, "rigid_to"));
    set(&mut limits.runout_ends, millimetres(&section, "runout_ends"));
    set(&mut limits.runout_middle, millimetres(&section, "runout_middle"));
    set(&mut limits.least_joint_angle, degrees(&section, "least_joint_angle"));
    set(&mut limits.most_joint_angle, degrees(&section, "most_joint_angle"));
    set(&mut limits.joint_angle_difference, degrees(&section, "joint_angle_difference"));
    set(&mut limits.phase_error, degrees(&section, "phase_error"));
    set(&mut limits.torsional_acceleration, acceleration(&section, "torsional_acceleration"));
    set(&mut limits.inertia_acceleration, acceleration(&section, "inertia_acceleration"));
    set(&mut limits.mass_difference, above_zero(&section, "mass_difference"));
    limits
}

/// A share of the critical speed.
fn share(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    let value = above_zero(section, key)?;
    if value < NO_OVERRIDE_FROM {
        return Some(value);
    }
    let allowed = format!("less than {NO_OVERRIDE_FROM}");
    let hint = "it is a share of the critical speed: 0.70 for vehicles, 0.65 for industrial shafts";
    section.fault(key, Fault::new("out-of-range", format!("`{key}` of {value}"), allowed, hint));
    None
}

fn millimetres(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    section.positive::<Length>(key).map(Length::millimetres)
}

fn degrees(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    let angle = section.quantity::<Angle>(key)?.degrees();
    if angle > 0.0 {
        return Some(angle);
    }
    let found = format!("`{key}` of {angle} deg");
    section.fault(
        key,
        Fault::new("out-of-range", found, "above zero", "leave the line out for the usual limit"),
    );
    None
}

fn acceleration(section: &Section<'_, '_>, key: &'static str) -> Option<f64> {
    section.text_read_as(key, ("an acceleration in rad/s2", "\"300 rad/s2\""), |text| {
        let number = text.strip_suffix("rad/s2").or_else(|| text.strip_suffix("rad/s²"))?;
        number.trim().parse::<f64>().ok().filter(|value| value.is_finite() && *value > 0.0)
    })
}
