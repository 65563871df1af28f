//! Sentences about the shaft before it spins.

use super::at_most;
use crate::caution::{Bound, NoCriticalSpeed};
use crate::quantity::{Mass, Speed, Units, shown};

pub(super) const MATERIAL_UNKNOWN: &str =
    "Material not stated: assumed to be steel. Another material changes critical speed, mass and welding.";
pub(super) const MASS_UNKNOWN: &str =
    "The mass is not known, so no limit for what is left can be worked out from a grade.";
pub(super) const MASS_CENTRE_NOT_USED: &str = "The mass centre is not used for a shaft with parts: each \
                                              part's limit is shared equally between its two supports.";
pub(super) const SERVICE_SPEED_NOT_STATED: &str =
    "Service speed not stated, so not checked: state the highest speed it can ever reach.";
pub(super) const SPEED_NOT_CHECKED: &str =
    "No speed is stated, so whether the shaft may run at it was not checked.";
pub(super) const BEARING_TAKEN_STIFF: &str = "The steady bearing is assumed to be stiff: a bearing in rubber lowers the critical speed. State its stiffness.";
pub(super) const STEADY_BEARING_ASSUMED: &str = "No steady bearing is stated: a stiff one is assumed where the parts meet. Rubber lowers the critical speed.";
pub(super) const RUNOUT_NOT_CHECKED: &str =
    "Runout not checked: a bent tube can be balanced at one speed and shake at another.";
pub(super) const RUNOUT_BEYOND_LIMIT: &str = "The runout is over its limit: straighten the shaft first.";
pub(super) const RUNOUT_NEEDS_LENGTH: &str =
    "The runout readings were not used: their positions are not known without the tube's length.";

pub(super) fn material_not_in_table(name: &str) -> String {
    format!("Nothing is known of `{name}`: state its elastic_modulus and density under [tube].")
}

/// Kilograms to ten grams, or pounds.
fn shaft_mass(units: Units, mass: Mass) -> String {
    shown::kilograms(units, mass.kilograms())
}

pub(super) fn mass_estimated(units: Units, mass: Mass, ends_counted: bool) -> String {
    let ends = if ends_counted { "" } else { " Yokes and joints are not counted." };
    format!("Not weighed: {} estimated from tube and ends.{ends} Weigh it.", shaft_mass(units, mass))
}

pub(super) fn mass_disagrees(units: Units, [weighed, estimated]: [Mass; 2], let_pass: &Bound) -> String {
    format!(
        "Weighed {}, but tube and ends come to {}: check the scale, the tube size and the material (a \
        difference of {:.0} % is allowed, {}).",
        shaft_mass(units, weighed),
        shaft_mass(units, estimated),
        let_pass.value * 100.0,
        let_pass.basis
    )
}

pub(super) fn mass_far_off(units: Units, stated: Mass, usual: Mass) -> String {
    let times = stated.grams() / usual.grams();
    format!(
        "The mass is given as {}, but tube and ends come to about {} ({:.1} times apart): the mass, its \
        unit, the tube's size or its material is wrong. The limit depends on the mass: weigh again.",
        shaft_mass(units, stated),
        shaft_mass(units, usual),
        times.max(1.0 / times)
    )
}

pub(super) fn parts_do_not_add_up(units: Units, [whole, parts]: [Mass; 2], let_pass: Mass) -> String {
    format!(
        "The parts add up to {}, the shaft to {} (a difference of {} is allowed). The limits are those of \
        the parts: weigh again.",
        shaft_mass(units, parts),
        shaft_mass(units, whole),
        shaft_mass(units, let_pass)
    )
}

pub(super) fn below_reach(reached: Speed, stated: Speed) -> String {
    format!(
        "The drive can reach {:.0} rpm, more than the service speed of {:.0} rpm: the grade and the \
        margin hold only up to the stated speed.",
        reached.rpm(),
        stated.rpm()
    )
}

pub(super) fn critical_speed_not_checked(why: &NoCriticalSpeed) -> String {
    let reason = match why {
        NoCriticalSpeed::AtSpeed { speed, purpose } => {
            return format!(
                "Critical speed not checked: tube unknown. Whether it may run at {:.0} rpm ({purpose}) is \
                not known.",
                speed.rpm()
            );
        }
        NoCriticalSpeed::NoJob => "there is no job file".into(),
        NoCriticalSpeed::TubeUnknown => "the tube is not known".into(),
        NoCriticalSpeed::NotABeam { faults } => faults.join("; "),
    };
    format!(
        "CRITICAL SPEED NOT CHECKED: {reason}. The speed at which this shaft becomes dangerous is not \
            known."
    )
}

fn of_critical(speed: Speed, purpose: &str, critical: Speed) -> String {
    format!(
        "{:.0} rpm ({purpose}) is {:.2} of the critical speed, {} rpm",
        speed.rpm(),
        speed.rpm() / critical.rpm(),
        shown::found_speed(critical)
    )
}

pub(super) fn near_critical_speed(speed: Speed, purpose: &str, critical: Speed) -> String {
    format!("{}. The shaft can fail violently; no override.", of_critical(speed, purpose, critical))
}

pub(super) fn beyond_margin(speed: Speed, purpose: &str, critical: Speed, limit: &Bound) -> String {
    format!("{}; at most {:.2} ({}).", of_critical(speed, purpose, critical), limit.value, limit.basis)
}

pub(super) fn beyond_stand_speed(speed: Speed, limit: Speed) -> String {
    format!("{:.0} rpm is beyond the stand's limit of {:.0} rpm.", speed.rpm(), limit.rpm())
}

pub(super) fn not_rigid_enough(ratio: f64, limit: &Bound) -> String {
    format!(
        "At {ratio:.2} of its critical speed the shaft is not rigid enough for two-plane work alone (limit {:.2}, {}). Straighten it and balance it as near to service speed as stand and shaft allow.",
        limit.value, limit.basis
    )
}

pub(super) fn elastic(returning_share: f64) -> String {
    let percent = returning_share * 100.0;
    format!(
        "Of a bow balanced out at the stand speed {percent:.0} % comes back at service speed. The verdict \
        holds only at the speed of the measurement."
    )
}

pub(super) fn rides_on_bearing(critical: Speed) -> String {
    format!(
        "The lowest critical speed, {} rpm, is the shaft moving on its soft bearing, not bending. The \
        rubber damps this, but the figure is only as good as the stated stiffness.",
        shown::found_speed(critical)
    )
}

pub(super) fn runout_over_limit(units: Units, position: f64, [reading, limit]: [f64; 2]) -> String {
    let inches = shown::length(Units::Us, position);
    let fine = |millimetres: f64| shown::fine_length(units, millimetres);
    format!(
        "Runout at {} is {} total indicator reading; the limit is {}.",
        units.show(format!("{position:.0} mm"), inches),
        fine(reading),
        fine(limit)
    )
}

pub(super) fn straighten_first(units: Units, [explained, permissible]: [f64; 2]) -> String {
    let amount = |own: f64| {
        units.show(format!("{} g·mm", shown::figures(own, 0)), format!("{} oz·in", shown::ounce_inches(own)))
    };
    format!(
        "Straighten first: the runout alone explains {} at one end, more than the {} allowed there. \
        Weights would only hide a bow that comes back with speed.",
        amount(explained),
        amount(permissible)
    )
}

pub(super) fn joint_angle_small(joint: usize, degrees: f64, limit: &Bound) -> String {
    format!(
        "Joint {joint} at {degrees:.2}° hardly moves its needles; it should be at least {}° ({}).",
        limit.value, limit.basis
    )
}

pub(super) fn joint_angle_large(joint: usize, degrees: f64, limit: &Bound) -> String {
    format!("Joint {joint} at {degrees:.2}° will not run smoothly; {}.", at_most(limit, "°"))
}

pub(super) fn yokes_out_of_phase(joint: usize, degrees: f64, limit: &Bound) -> String {
    format!(
        "The yokes before joint {joint} are {degrees:.1}° out of phase; {}. Was the slip assembled one \
        tooth out?",
        at_most(limit, "°")
    )
}

pub(super) fn joint_angles_differ(degrees: f64, limit: &Bound) -> String {
    format!("The two joint angles differ by {degrees:.2}°; {}.", at_most(limit, "°"))
}

pub(super) fn shaken(who: &str, radians_per_second_squared: f64, limit: &Bound) -> String {
    format!(
        "{who} is shaken with {radians_per_second_squared:.0} rad/s² twice a turn; {}.",
        at_most(limit, " rad/s²")
    )
}

pub(super) fn piece_shaken(driving: bool, radians_per_second_squared: f64, limit: &Bound) -> String {
    let when = if driving { "Driving" } else { "Coasting" };
    shaken(&format!("{when}, a piece between the joints"), radians_per_second_squared, limit)
}

pub(super) fn not_checked(runout: bool, points: &[String]) -> String {
    let mut open = Vec::new();
    if runout {
        open.push("runout".to_owned());
    }
    if !points.is_empty() {
        open.push(format!("{} (inspection)", points.join(", ")));
    }
    format!("Not checked: {}.", open.join("; "))
}
