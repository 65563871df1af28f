//! A mass or a grade that is stated and yet can hardly be right.

use std::sync::Arc;

use balance_core::answer::{CheckMemory, limits};
use balance_core::caution::Caution;
use balance_core::grade::Criterion;
use balance_core::grade::GRADES;
use balance_core::job::Job;

use super::Known;
use super::question::{Enter, Kind, Question};
use crate::print::text::units;
use crate::typed::Habits;

/// Asks back when the mass is more than twice or less than half of what tube and ends come to: a digit too many, or pounds
/// for kilograms.
pub fn mass(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let shop = Habits::of(job);
    let (stated, usual, beyond_doubt) = far_off(job)?;
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
fn far_off(job: &Arc<Job>) -> Option<(f64, f64, bool)> {
    let known = limits(job, &job.setup.planes).ok();
    let before = CheckMemory::default().check(job, None, known.as_ref())?;
    before.cautions.iter().find_map(|caution| match caution {
        Caution::MassFarOff { stated, usual, beyond_doubt } => {
            Some((stated.kilograms(), usual.kilograms(), *beyond_doubt))
        }
        _ => None,
    })
}

/// The grades that drive shafts are balanced to, finest and coarsest: G6.3 to G40 [common practice, no source; the
/// standard's table names G16 and G40 for them].
const OF_SHAFTS: [f64; 2] = [6.3, 40.0];

/// Asks back when the grade is none of the standard's, or none that a drive shaft has.
pub fn grade(known: &Known) -> Option<Question> {
    let Some(Criterion::Grade(grade)) = known.file.job.measures.limit else { return None };
    let value = grade.millimetres_per_second();
    let listed = GRADES.iter().any(|row| (row.millimetres_per_second / value - 1.0).abs() < 1e-6);
    if listed && (OF_SHAFTS[0]..=OF_SHAFTS[1]).contains(&value) {
        return None;
    }
    let doubt = if listed {
        format!("Really? {grade} is not what drive shafts are balanced to; usual are G6.3, G16 and G40.")
    } else {
        format!("Really? {grade} is no grade of ISO 21940-11; for drive shafts there are G6.3, G16 and G40.")
    };
    let words = "1 = it is right, or the grade again, such as 16:";
    let question = Question::new("grade doubt", "shaft", "grade", Kind::Grade, words);
    Some(Question { before: vec![doubt], enter: Enter::AsksAgain, ..question })
}
