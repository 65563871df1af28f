//! Sentences about a correction and the weights that make it.

use crate::caution::{AssumedWidth, WidthLike};
use crate::quantity::{Length, Mass, UnbalanceAmount, Units, shown};

pub(super) const THIRD_CORRECTION: &str = "This would be the third correction or more. Stop and look for \
                                          the cause before adding another weight: bow, joint play, \
                                          mounting.";
pub(super) const MATERIAL_UNKNOWN: &str =
    "the material of the tube is not stated: there is no welding advice until the job file states it";
pub(super) const MATERIAL_NOT_WELDABLE: &str =
    "there is no welding advice for this material: do not weld; ask the maker how to fix weights";
pub(super) const HEAT_AND_CURRENT: &str = "return clamp on the tube beside the bead, never through a joint, spline, bearing or the stand; bare metal; a closed tube is vented before heat; let it cool all round before the check run; local codes and licensed practice come first";
pub(super) const WEIGHT_WITHOUT_WIDTH: &str = "weights in the box without a width are treated as points: whether they fit side by side is not \
    checked";
pub(super) const PLACE_ERROR_NOT_USED: &str = "without a tube diameter or radius a place error on the \
                                              tape cannot be turned into an angle: weights are chosen \
                                              only by what is left";
pub(super) const BENDING_NOT_JUDGED: &str = "three or more correction planes on one piece: what is left \
                                            is judged where the limit holds, as for a stiff shaft; \
                                            bending in between is not judged";

pub(super) fn many_times_permissible(times: f64) -> String {
    let times = shown::figures(times, 0);
    format!(
        "The correction is {times} times what is permissible. Stop and look for the cause before welding: \
         bow, joint play, mounting, a wrong unit."
    )
}

/// A length as it was stated, or thousandths of an inch.
fn as_stated(units: Units, length: Length) -> String {
    let millimetres = length.millimetres();
    shown::fine_length(units, millimetres)
}

pub(super) fn correction_like_bow(units: Units, reading: f64, limit: Length) -> String {
    format!(
        "a correction this large is what a runout of {} at mid-length would need: measure the runout and \
         straighten first (above {}; common practice)",
        units.show(format!("{reading:.1} mm"), shown::fine_inches(reading)),
        as_stated(units, limit)
    )
}

pub(super) fn thin_wall(units: Units, wall: Length, limit: Length) -> String {
    format!(
        "the wall is {}, under {}: use short beads and little heat, or the wall burns through and bends \
        (common practice)",
        as_stated(units, wall),
        as_stated(units, limit)
    )
}

pub(super) fn total_mass(units: Units, plane: &str, total: Mass, [usual, most]: [Mass; 2]) -> String {
    let (total, usual, most) = (total.grams(), usual.grams(), most.grams());
    let ounces = |grams: f64| shown::ounces(grams);
    format!(
        "{plane}: {} of weights in one plane; the usual maximum is {} (common practice)",
        units.show(format!("{} g", shown::figures(total, 0)), ounces(total)),
        units.show(
            format!("{usual:.0} to {most:.0} g"),
            format!("{} to {}", ounces(usual).trim_end_matches(" oz"), ounces(most))
        )
    )
}

pub(super) fn fall_short(units: Units, plane: &str, left: UnbalanceAmount, limit: UnbalanceAmount) -> String {
    let (left, limit) = (left.gram_millimetres(), limit.gram_millimetres());
    let us = format!("{} where {} oz.in", shown::ounce_inches(left), shown::ounce_inches(limit));
    let metric = format!("{} where {} g.mm", shown::figures(left, 0), shown::figures(limit, 0));
    let amounts = units.show(metric, us);
    format!("{plane}: the best weights leave {amounts} is the most that should be left")
}

/// "front: 16 g at 255 deg is 30 mm wide, as the 15 g of the box".
pub(super) fn width_assumed(units: Units, weights: &[AssumedWidth]) -> String {
    let grams = |mass: Mass| shown::weighed(units, mass.grams());
    let one = |weight: &AssumedWidth| {
        let like = match weight.like {
            WidthLike::Piece(mass) => format!("as the {} of the box", grams(mass)),
            WidthLike::Bar => "as cut from the bar".to_owned(),
            WidthLike::Mass => "from its mass".to_owned(),
        };
        let wide = shown::length(units, weight.width.millimetres());
        let weight = weight_at(units, &weight.plane, weight.mass, weight.degrees);
        format!("{weight} is taken as {wide} wide, {like}")
    };
    format!(
        "The width of weights on the shaft is not stated: {}. Measure before you weld beside them, and \
         state the width.",
        weights.iter().map(one).collect::<Vec<String>>().join("; ")
    )
}

/// "front: 12.5 g at 210 deg".
pub(super) fn weight_at(units: Units, plane: &str, mass: Mass, degrees: f64) -> String {
    format!("{plane}: {} at {degrees:.0} deg", shown::weighed(units, mass.grams()))
}
