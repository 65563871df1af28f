//! Why the weights fall short, and what would help, in words.

use balance_core::correction::weights::{Cause, Help, Shortfall, WeightPlan};
use balance_core::quantity::Mass;

use super::units;
use crate::view::View;

/// One paragraph for each plane that falls short.
pub fn shortfalls(view: &View<'_>, plan: &WeightPlan) -> Vec<String> {
    plan.planes
        .iter()
        .filter_map(|plane| Some(sentence(view, &plane.name, plane.shortfall.as_ref()?)))
        .collect()
}

fn sentence(view: &View<'_>, plane: &str, short: &Shortfall) -> String {
    let shop = view.units();
    let causes: Vec<String> = short.causes.iter().map(|cause| cause_words(view, cause)).collect();
    let helps: Vec<String> = short.helps.iter().map(|help| help_words(view, help)).collect();
    let would_help =
        if helps.is_empty() { String::new() } else { format!(" What would help: {}.", helps.join(", or ")) };
    format!(
        "{}: the best weights leave {} where at most {} should be left, because {}.{would_help}",
        plane.to_uppercase(),
        units::unbalance(shop, short.left.gram_millimetres()),
        units::unbalance_number(shop, short.limit.gram_millimetres()),
        causes.join(" and ")
    )
}

fn cause_words(view: &View<'_>, cause: &Cause) -> String {
    match cause {
        Cause::EmptyBox => "the box is empty".into(),
        Cause::PiecesTooSmall { reach } => format!(
            "even the largest pieces together make only {}",
            units::unbalance(view.units(), reach.gram_millimetres())
        ),
        Cause::PiecesTooCoarse => "the pieces are too big or too far apart in size".into(),
        Cause::NoRoom { sectors, welded } => {
            let mut way: Vec<String> = sectors.clone();
            way.extend(welded_words(view, welded));
            format!("{} in the way", in_the_way(&way))
        }
        Cause::BoxRunsOut => "the box has too few of the right weights".into(),
        Cause::TooFewWeights => "one more weight is needed".into(),
        Cause::PlaneFull { welded } => {
            format!("the most weights allowed are already on: {}", welded_words(view, welded).join(" and "))
        }
    }
}

fn help_words(view: &View<'_>, help: &Help) -> String {
    let shop = view.units();
    match help {
        Help::BiggerWeight { at_least } => {
            format!("a weight of at least {}", units::mass(shop, at_least.grams()))
        }
        Help::SmallerWeight { about } => {
            format!("a weight of about {}, or a bar to cut from", units::mass(shop, about.grams()))
        }
        Help::FreeSector { reasons } => format!("room at {}", reasons.join(" and ")),
        Help::MoveWelded { welded } => format!("taking off {}", welded_words(view, welded).join(" and ")),
        Help::MoreOf { masses } => {
            let of: Vec<String> = masses.iter().map(|mass: &Mass| units::stamped(shop, *mass)).collect();
            format!("more weights of {}", of.join(", "))
        }
        Help::MoreWeights { most_per_plane } => format!("{most_per_plane} weights in this place"),
        Help::StraightenFirst => "straightening the shaft first".into(),
    }
}

fn in_the_way(names: &[String]) -> String {
    match names {
        [] => "something is".into(),
        [one] => format!("{one} is"),
        several => format!("{} are", several.join(" and ")),
    }
}

fn welded_words(view: &View<'_>, welded: &[usize]) -> Vec<String> {
    let weights = welded.iter().filter_map(|&index| view.answer.welded_before.get(index));
    weights
        .map(|weight| {
            format!("the {} at {}", units::stamped(view.units(), weight.mass), units::angle(weight.angle))
        })
        .collect()
}
