//! Weights from a box, with the places where they go. Invented readings.

#![expect(clippy::print_stdout, reason = "an example shows its answer")]

use balance_core::answer::{Advice, Case, solve};
use balance_core::job::Job;
use balance_core::run::{PlacedMass, Run, RunKind, RunSet, SensorReading};
use balance_core::shaft::PlaneId;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::builder()
        .mass("14.2 kg")
        .service_speed("2600 rpm")
        .grade("G16")
        .tube("88.9 mm", "2.4 mm", "1385 mm")
        .material("steel")
        .correction_plane("front", "95 mm", "45.95 mm")
        .correction_plane("rear", "1290 mm", "45.95 mm")
        .sensor("front", "0 mm", "mm/s")
        .sensor("rear", "1385 mm", "mm/s")
        .reading_noise(0.02, 0.02)
        .weight("5 g", "15 mm", "3 mm")
        .weight("10 g", "25 mm", "3 mm")
        .weight("15 g", "25 mm", "3 mm")
        .build()
        .map_err(|faults| format!("{faults:?}"))?;
    let trial = |plane| PlacedMass::grams(PlaneId::new(plane), 20.0, 90.0);
    let runs = vec![
        Run::new("1", RunKind::Initial, vec![], SensorReading::shown(&[(5.29, 230.0), (3.24, 69.0)])?),
        Run::new("2", RunKind::Trial, vec![trial(0)?], SensorReading::shown(&[(8.68, 211.0), (3.56, 49.0)])?),
        Run::new(
            "3",
            RunKind::Trial,
            vec![trial(1)?],
            SensorReading::shown(&[(5.34, 241.0), (4.38, 124.0)])?,
        ),
    ];
    let set = RunSet::new(job.setup.clone(), runs).map_err(|faults| format!("{faults:?}"))?;
    let answer = solve(&Case::new("WP-0417", job, set))?;
    match answer.advice() {
        Advice::Hold(hold) => {
            for plane in &hold.plan.planes {
                for weight in &plane.weights {
                    let angle = weight.angle.degrees_in_turn();
                    println!("{}: hold {} at {angle:.0} deg", plane.name, weight.piece.mass);
                }
            }
            println!("chance to meet the limit: {:?}", hold.ahead.chance);
        }
        other => println!("no weights: {}", other.word()),
    }
    Ok(())
}
