//! Weights typed on the command line: `--with front=10@287,15@329`.

use balance_core::correction::weights::GivenWeight;
use balance_core::quantity::{Angle, Mass};
use balance_core::shaft::CorrectionPlane;

use crate::files::Problem;
use crate::files::nearest::nearest;

/// Reads `front=10@287,15@329`, every fault at once.
pub fn given_weights(texts: &[String], planes: &[CorrectionPlane]) -> Result<Vec<GivenWeight>, Vec<Problem>> {
    let (mut given, mut problems) = (Vec::new(), Vec::new());
    for text in texts {
        let Some((name, weights)) = text.split_once('=') else {
            problems.push(wrong_with(text));
            continue;
        };
        let Some(plane) = planes.iter().position(|plane| plane.name == name.trim()) else {
            let names: Vec<&str> = planes.iter().map(|plane| plane.name.as_str()).collect();
            let hint =
                nearest(name.trim(), names.iter().copied()).map(|near| format!("did you mean `{near}`?"));
            let problem = Problem::of_file("with", "--with", format!("there is no place `{}`", name.trim()));
            problems.push(problem.allowing(names.join(", ")).hinting(hint));
            continue;
        };
        for weight in weights.split(',') {
            match given_weight(plane, weight) {
                Some(weight) => given.push(weight),
                None => problems.push(wrong_with(weight)),
            }
        }
    }
    if problems.is_empty() { Ok(given) } else { Err(problems) }
}

fn given_weight(plane: usize, text: &str) -> Option<GivenWeight> {
    let (grams, degrees) = text.split_once('@')?;
    Some(GivenWeight {
        plane,
        mass: Mass::from_grams(grams.trim().parse().ok()?).ok().filter(|mass| mass.grams() > 0.0)?,
        angle: Angle::from_degrees(degrees.trim().parse().ok()?).ok()?,
        radius: None,
    })
}

fn wrong_with(text: &str) -> Problem {
    Problem::of_file("with", "--with", format!("`{}` is no weight at a place", text.trim()))
        .allowing("PLACE=GRAMS@DEGREES, such as front=10@287,15@329")
}
