//! Rounding: jobs made of random numbers, against 60-digit arithmetic on the same inputs.

use balance_tests::manufactured::{Errors, run};
use balance_tests::record::record;

/// The number of jobs; `BALANCE_JOBS` sets more (`.ci/run` uses 10 000).
fn jobs() -> u64 {
    std::env::var("BALANCE_JOBS").ok().and_then(|text| text.parse().ok()).unwrap_or(1000)
}

/// Recomputed here in 60 digits by normal equations: no error is larger than 30 times the give or take that the
/// program itself states for reading noise of 2⁻⁵³.
#[test]
fn rounding_stays_below_thirty_times_what_one_rounding_of_the_readings_does() {
    let found = run(0, jobs());
    assert!(found.len() >= 1000, "only {} jobs", found.len());
    let mut told = format!("{} jobs, multiples of the stated give or take, median and worst:", found.len());
    for (name, of) in [
        ("masses", (|errors| errors.masses) as fn(&Errors) -> f64),
        ("coefficients", |errors| errors.coefficients),
        ("readings", |errors| errors.readings),
    ] {
        let mut ratios: Vec<f64> = found.iter().map(|(_, _, errors)| of(errors)).collect();
        ratios.sort_by(f64::total_cmp);
        told += &format!(" {name} {:.2} and {:.1};", ratios[ratios.len() / 2], ratios[ratios.len() - 1]);
    }
    println!("{told}");
    record("rounding", &told);
    for (seed, shape, errors) in &found {
        let worst = errors.worst();
        assert!(worst <= 30.0, "seed {seed}: {errors:?} in {shape:?}");
    }
}
