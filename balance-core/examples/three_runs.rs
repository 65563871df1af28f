//! Ideal masses from an initial run and one trial in each plane. Invented readings.

#![expect(clippy::print_stdout, reason = "an example shows its answer")]

use balance_core::answer::{Advice, Case, solve};
use balance_core::job::Job;
use balance_core::run::{PlacedMass, Run, RunKind, RunSet, SensorReading};
use balance_core::shaft::PlaneId;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::builder()
        .correction_plane("front", "95 mm", "45.95 mm")
        .correction_plane("rear", "1290 mm", "45.95 mm")
        .sensor("front", "0 mm", "mm/s")
        .sensor("rear", "1385 mm", "mm/s")
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
    if let Advice::Ideal(ideal) = answer.advice() {
        for (plane, own) in answer.runs.setup().planes.iter().zip(&ideal.correction.planes) {
            let grams = own.add.gram_millimetres() / plane.lever();
            println!("{}: {grams:.1} g at {:.0} deg", plane.name, own.add.angle().degrees_in_turn());
        }
    }
    Ok(())
}
