//! The shaft's mass, speed, grade and tube.

use super::Known;
use super::question::{Kind, Question};
use crate::files::job_edit::Spot;
use crate::typed::Habits;

pub fn mass(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let shop = Habits::of(job);
    let words = shop.pick(
        "Mass of the whole shaft in kg, such as 14.2:",
        "Weight of the whole shaft in lb, such as 31.3:",
    );
    let kind = Kind::Masses(shop.shaft_unit());
    job.measures.mass.is_none().then(|| Question::new("mass", "shaft", "mass", kind, words))
}

pub fn service_speed(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let words = "Highest speed it can ever reach in the machine in rpm, such as 2600:";
    let question = || Question::new("service", "shaft", "service_speed", Kind::Speeds, words);
    job.measures.service_speed.is_none().then(question)
}

pub fn grade(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let words = "Balance grade, such as 16 for G16:";
    job.measures.limit.is_none().then(|| Question::new("grade", "shaft", "grade", Kind::Grade, words))
}

pub fn tube(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let shop = Habits::of(job);
    let words = shop.pick(
        "Tube in mm: outside, wall, length joint to joint, such as 88.9 2.4 1385:",
        "Tube in inches: outside, wall, length joint to joint, such as 3.5 .095 54-1/2:",
    );
    let question = Question::new("tube", "tube", "", Kind::Lengths(shop.length_unit()), words);
    let keys = ["outer_diameter", "wall", "length"];
    let spots = keys.map(|key| Spot { section: "tube", number: None, key }).to_vec();
    job.measures.tube.is_none().then_some(Question { spots, ..question })
}

pub fn material(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let words = "Is the tube of weldable steel? 1 = yes:";
    let question = || Question::new("material", "tube", "material", Kind::Yes("steel"), words);
    (job.measures.tube.is_some() && job.shaft.material.name().is_none()).then(question)
}
