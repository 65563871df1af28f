//! Published worked examples and open data, from runs to masses.

use balance_tests::cases::run_room;
use balance_tests::correction_answers::answer;

#[test]
fn every_case_from_runs_to_masses_holds() {
    let counts = run_room("correction", answer).unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    assert!(counts.values().sum::<usize>() >= 6, "{counts:?}");
}
