//! A shaft too heavy for the shop's box: the guided entry says so after the check run, and does not ask for the same
//! check run again and again. The shaft is the invented one of the demo, the box is too small for it.

use std::fmt::Write as _;
use std::path::Path;

use balance_tests::program::{balance, balance_with};
use serde_json::Value;

#[test]
fn where_nothing_in_the_box_helps_it_is_said_and_nothing_is_asked_for_ever() {
    let depot = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data/depot");
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("WP-0417");
    std::fs::create_dir_all(&job).expect("a folder");
    for file in ["WP-0417/job.toml", "WP-0417/runout.csv"] {
        std::fs::copy(depot.join(file), folder.path().join(file)).expect("a copy");
    }
    // Pieces of 5 g only, one to a plane.
    let shop = std::fs::read_to_string(depot.join("shop.toml")).expect("the shop's file");
    let shop: Vec<&str> = shop.split("\n\n").filter(|part| !part.contains("mass = \"1")).collect();
    let shop = shop.join("\n\n") + "\n[weld]\nbead_mass = \"1.0 g\"\nmost_per_plane = 1\ngap = \"3 mm\"\n";
    std::fs::write(folder.path().join("shop.toml"), shop).expect("a shop");
    let demo = std::fs::read_to_string(depot.join("WP-0417/runs.csv")).expect("runs");
    let mut runs: String =
        demo.lines().filter(|line| !line.starts_with("4,")).flat_map(|line| [line, "\n"]).collect();
    std::fs::write(job.join("runs.csv"), &runs).expect("runs");

    // The advised piece in each plane, and the readings forecast for them.
    let said = balance(["correct".as_ref(), "--json".as_ref(), job.as_os_str()]);
    let answer: Value = serde_json::from_str(&said.answer).unwrap_or_else(|_| panic!("{said:?}"));
    assert_eq!(answer["advice"], "hold");
    let number = |value: &Value| value.as_f64().expect("a number");
    let weight = |plane: usize| {
        let own = &answer["planes"][plane]["weights"][0];
        format!("{},{},1", number(&own["mass_g"]), number(&own["angle_deg"]))
    };
    let reading = |sensor: usize| {
        let own = &answer["sensors"][sensor]["predicted"];
        format!("{:.2},{:.0}", number(&own["amplitude"]), number(&own["phase_deg"]))
    };
    writeln!(runs, "4,check,1800,{},,,,{},{},{}", weight(0), weight(1), reading(0), reading(1))
        .expect("a row");
    std::fs::write(job.join("runs.csv"), &runs).expect("runs");

    let said = balance_with(["stand".as_ref(), job.as_os_str()], "\n\n\n\n\n");
    assert!(said.answer.contains("TOO MUCH IS LEFT"), "{said:?}");
    assert!(said.answer.contains("None of the weights in the box would improve it"), "{said:?}");
    assert!(said.answer.contains("What would help:"), "{said:?}");
    assert!(!said.answer.contains("There is nothing to put on"), "{said:?}");
    assert_eq!(std::fs::read_to_string(job.join("runs.csv")).expect("runs"), runs);
}
