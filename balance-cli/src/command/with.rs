//! Weights typed on the command line: `--with front=10@287,15@329`.

use balance_core::correction::weights::GivenWeight;
use balance_core::shaft::CorrectionPlane;

use crate::files::Problem;
use crate::files::nearest::nearest;
use crate::typed::{Habits, TypedWeight, weights};

/// Reads `front=10@287,15@329`, every fault at once.
pub fn given_weights(
    texts: &[String],
    planes: &[CorrectionPlane],
    habits: Habits,
) -> Result<Vec<GivenWeight>, Vec<Problem>> {
    let (mut given, mut problems) = (Vec::new(), Vec::new());
    for text in texts {
        if let Some(problem) = unknown_place(text, planes) {
            problems.push(problem);
            continue;
        }
        match weights(text, planes, habits) {
            Ok(found) => given.extend(found.into_iter().map(at_the_planes_radius)),
            Err(words) => problems.push(
                Problem::of_file("with", "--with", format!("`{}`: {words}", text.trim()))
                    .allowing(allowed(planes, habits)),
            ),
        }
    }
    if problems.is_empty() { Ok(given) } else { Err(problems) }
}

fn at_the_planes_radius(weight: TypedWeight) -> GivenWeight {
    GivenWeight { plane: weight.plane, mass: weight.mass, angle: weight.angle, radius: None }
}

/// The fault of a name before the `=` that is not a place.
fn unknown_place(text: &str, planes: &[CorrectionPlane]) -> Option<Problem> {
    let (name, _) = text.split_once('=')?;
    let name = name.trim();
    if planes.iter().any(|plane| plane.name.to_lowercase() == name.to_lowercase()) {
        return None;
    }
    let names: Vec<&str> = planes.iter().map(|plane| plane.name.as_str()).collect();
    let hint = nearest(name, names.iter().copied()).map(|near| format!("did you mean `{near}`?"));
    let problem = Problem::of_file("with", "--with", format!("there is no place `{name}`"));
    Some(problem.allowing(names.join(", ")).hinting(hint))
}

fn allowed(planes: &[CorrectionPlane], habits: Habits) -> String {
    let place = planes.first().map_or("front", |plane| plane.name.as_str());
    let examples = habits.pick(["10@287,15@329", "0.35oz@258mm"], ["0.5@297", "10g@9 1/16in"]);
    format!(
        "PLACE=MASS@ANGLE or MASS@TAPE, masses in {} unless a unit is given, for example {place}={} or \
        \"{place}={}\"",
        habits.weight_unit(),
        examples[0],
        examples[1]
    )
}
