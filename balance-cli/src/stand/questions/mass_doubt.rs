//! A mass that tube and ends speak against: a digit too many, or pounds for kilograms.

use std::sync::Arc;

use balance_core::answer::{CheckMemory, limits};
use balance_core::caution::Caution;
use balance_core::job::Job;

use super::question::{Enter, Kind, Question};
use crate::files::JobFile;
use crate::print::text::units;
use crate::typed::Habits;

/// Asks back when the mass is more than twice or less than half of what tube and ends come to.
pub fn mass_far_off(file: &JobFile) -> Option<Question> {
    let job = &file.job;
    let shop = Habits::of(job);
    let (stated, usual, beyond_doubt) = far_off(&file.job)?;
    let times = (stated / usual).max(usual / stated);
    let mass = |kilograms: f64| units::kilograms(shop.units, kilograms);
    let mut before = vec![format!(
        "Really? The mass is given as {}, but tube and ends come to about {} ({times:.1} times apart). A digit too many? \
         {}",
        mass(stated),
        mass(usual),
        shop.pick("Pounds instead of kilograms?", "Kilograms instead of pounds?"),
    )];
    if beyond_doubt {
        before.push(
            "Unless mass or tube are put right there will be no verdict: the limit rests on the mass.".into(),
        );
    }
    let words = format!("1 = it is right, or the mass again in {}:", shop.shaft_unit());
    let question = Question::new("mass doubt", "shaft", "mass", Kind::Masses(shop.shaft_unit()), words);
    Some(Question { before, enter: Enter::AsksAgain, ..question })
}

/// Mass and usual mass in kg, and whether they are so far apart that no verdict is given.
fn far_off(job: &Job) -> Option<(f64, f64, bool)> {
    let known = limits(job, &job.setup.planes).ok();
    let before = CheckMemory::default().check(&Arc::new(job.clone()), None, known.as_ref())?;
    before.cautions.iter().find_map(|caution| match caution {
        Caution::MassFarOff { stated, usual, beyond_doubt } => {
            Some((stated.kilograms(), usual.kilograms(), *beyond_doubt))
        }
        _ => None,
    })
}
