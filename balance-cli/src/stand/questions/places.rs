//! Where weights go and where the stand reads, along the shaft.

use balance_core::job::Job;

use super::Known;
use super::question::{Kind, Question};
use crate::files::job_edit::Spot;
use crate::typed::Habits;

pub fn planes(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let names: Vec<&str> = job.setup.planes.iter().map(|plane| plane.name.as_str()).collect();
    let open = job.setup.planes.iter().any(|plane| plane.position.is_none());
    open.then(|| along(job, "planes", "correction_plane", "Where weights go", &names))
}

pub fn sensors(known: &Known) -> Option<Question> {
    let job = &known.file.job;
    let names: Vec<&str> = job.setup.sensors.iter().map(|sensor| sensor.name.as_str()).collect();
    let open = job.setup.sensors.iter().any(|sensor| sensor.position.is_none());
    open.then(|| along(job, "sensors", "sensor", "Where the sensors sit", &names))
}

fn along(job: &Job, name: &'static str, section: &'static str, what: &str, names: &[&str]) -> Question {
    let shop = Habits::of(job);
    let example = example(job, name == "planes", names.len(), shop);
    let words = format!(
        "{what} ({}), in {} from the front joint, such as {example}:",
        names.join(", "),
        shop.pick("mm", "inches")
    );
    let question = Question::new(name, section, "position", Kind::Lengths(shop.length_unit()), words);
    let spot = |at| Spot { section, number: Some(at), key: "position" };
    Question { spots: (0..names.len()).map(spot).collect(), ..question }
}

/// As many places as are asked for, evenly along the tube: near its ends for weights, at its ends for sensors.
fn example(job: &Job, inside: bool, count: usize, shop: Habits) -> String {
    let tube = job.measures.tube.as_ref().map(|tube| tube.length.millimetres());
    let length = tube.unwrap_or(1385.0) / shop.pick(1.0, 25.4);
    let margin = if inside { shop.pick(95.0, 3.75) } else { 0.0 };
    let last = (length - margin).max(margin);
    let place = |at: usize| {
        let share = if count > 1 { at as f64 / (count - 1) as f64 } else { 0.0 };
        let place = margin + share * (last - margin);
        shop.pick(place.round(), (place * 4.0).round() / 4.0).to_string()
    };
    (0..count).map(place).collect::<Vec<String>>().join(" ")
}
