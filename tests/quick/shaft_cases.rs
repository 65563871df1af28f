//! Published figures about the shaft itself: critical speeds, tubes, joints, runout.

use balance_tests::cases::run_room;
use balance_tests::shaft_answers::answer;

#[test]
fn every_case_about_the_shaft_holds() {
    let counts = run_room("shaft", answer).unwrap_or_else(|faults| panic!("{}", faults.join("\n")));
    assert!(counts.values().sum::<usize>() >= 50, "{counts:?}");
    assert!(counts["textbook"] >= 6, "{counts:?}");
}
