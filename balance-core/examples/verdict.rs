//! Whether a shaft meets its grade, from the check run after welding. Invented readings.

#![expect(clippy::print_stdout, reason = "an example shows its answer")]

use balance_core::answer::{Case, solve};
use balance_core::influence::Which;
use balance_core::job::Job;
use balance_core::run::{PlacedMass, Run, RunKind, RunSet, SensorReading};
use balance_core::shaft::PlaneId;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::builder()
        .mass("14.2 kg")
        .service_speed("2600 rpm")
        .grade("G16")
        .tube("88.9 mm", "2.4 mm", "1385 mm")
        .correction_plane("front", "95 mm", "45.95 mm")
        .correction_plane("rear", "1290 mm", "45.95 mm")
        .sensor("front", "0 mm", "mm/s")
        .sensor("rear", "1385 mm", "mm/s")
        .reading_noise(0.02, 0.02)
        .build()
        .map_err(|faults| format!("{faults:?}"))?;
    let on = |masses: &[(usize, f64, f64)]| -> Result<Vec<PlacedMass>, _> {
        masses
            .iter()
            .map(|&(plane, grams, degrees)| PlacedMass::grams(PlaneId::new(plane), grams, degrees))
            .collect()
    };
    let runs = vec![
        Run::new("1", RunKind::Initial, vec![], SensorReading::shown(&[(5.29, 230.0), (3.24, 69.0)])?),
        Run::new(
            "2",
            RunKind::Trial,
            on(&[(0, 20.0, 90.0)])?,
            SensorReading::shown(&[(8.68, 211.0), (3.56, 49.0)])?,
        ),
        Run::new(
            "3",
            RunKind::Trial,
            on(&[(1, 20.0, 90.0)])?,
            SensorReading::shown(&[(5.34, 241.0), (4.38, 124.0)])?,
        ),
        Run::new(
            "4",
            RunKind::Check,
            on(&[(0, 16.0, 333.0), (0, 11.0, 277.0), (1, 11.0, 192.0)])?,
            SensorReading::shown(&[(0.16, 321.0), (0.44, 96.0)])?,
        ),
    ];
    let set = RunSet::new(job.setup.clone(), runs).map_err(|faults| format!("{faults:?}"))?;
    let answer = solve(&Case::new("WP-0417", job, set))?;
    let judged = answer.verdict_on(Which::Now)?;
    println!("{}", judged.decision.word());
    for plane in &judged.deciding().verdict.planes {
        let (left, allowed) = (plane.residual.gram_millimetres(), plane.permissible);
        println!("{}: {left:.0} g.mm left, allowed {allowed:.0}", plane.name);
    }
    Ok(())
}
