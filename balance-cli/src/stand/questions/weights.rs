//! The box of weights: without it the answers give only ideal masses.

use balance_core::shaft::WeldOn;

use super::Known;
use super::question::{Kind, Question};
use crate::files::job_edit::Spot;
use crate::typed::Habits;

pub fn masses(known: &Known) -> Option<Question> {
    let shop = Habits::of(&known.file.job);
    let words = shop.pick(
        "The box of weights to weld on: their masses in g, such as 5 10 15:",
        "The box of weights to weld on: their masses in oz, such as 0.25 0.5 0.75:",
    );
    let kind = Kind::Pieces(shop.weight_unit());
    let empty = known.file.job.weld_plan.weights.is_empty() && known.own_weights == 0;
    let question = Question::new("box", "weight", "mass", kind, words);
    empty.then_some(Question { for_the_shop: true, ..question })
}

pub fn widths(known: &Known) -> Option<Question> {
    let shop = Habits::of(&known.file.job);
    let words = shop.pick(
        "Their width along the tape in mm, one for all or one for each, such as 25:",
        "Their width along the tape in inches, one for all or one for each, such as 1:",
    );
    of_each(known, "box width", "width", words, |weight| weight.width.is_none())
}

pub fn thicknesses(known: &Known) -> Option<Question> {
    let shop = Habits::of(&known.file.job);
    let words = shop.pick(
        "Their thickness in mm, one for all or one for each, such as 3:",
        "Their thickness in inches, one for all or one for each, such as 1/8:",
    );
    of_each(known, "box thickness", "thickness", words, |weight| weight.thickness.is_none())
}

/// A question about all pieces of the job's own box that do not state something yet.
fn of_each(
    known: &Known,
    name: &'static str,
    key: &'static str,
    words: &str,
    open: fn(&balance_core::shaft::StampedWeight) -> bool,
) -> Option<Question> {
    let weights = &known.file.job.weld_plan.weights;
    if weights.len() != known.own_weights {
        return None;
    }
    let is_open = |weight: &WeldOn| matches!(weight, WeldOn::Stamped(own) if open(own));
    let spots: Vec<Spot> = weights
        .iter()
        .enumerate()
        .filter(|(_, weight)| is_open(weight))
        .map(|(at, _)| Spot { section: "weight", number: Some(at), key })
        .collect();
    let kind = Kind::OneOrEach(Habits::of(&known.file.job).length_unit());
    let question = Question::new(name, "weight", key, kind, words);
    (!spots.is_empty()).then_some(Question { spots, for_the_shop: true, ..question })
}

pub fn bead(known: &Known) -> Option<Question> {
    let shop = Habits::of(&known.file.job);
    let words = shop.pick(
        "What does the weld bead add to each weight, in g, such as 1:",
        "What does the weld bead add to each weight, in oz, such as 0.04:",
    );
    let question = Question::new("bead", "weld", "bead_mass", Kind::Masses(shop.weight_unit()), words);
    let open = !known.file.job.weld_plan.weights.is_empty() && !known.states("weld", "bead_mass");
    open.then_some(Question { for_the_shop: true, ..question })
}
