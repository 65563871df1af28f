//! Reads the output of `balance job FOLDER` and answers it with the library alone: the same lines as `balance
//! correct --json` and `balance verify --json`.

#![expect(clippy::print_stdout, reason = "an example shows its answer")]
#![expect(clippy::print_stderr, reason = "and what stands in the way")]

use std::io::{Read, stdin};

use balance_core::answer::{Case, json, solve};
use balance_core::influence::Which;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    stdin().read_to_string(&mut text)?;
    for line in text.lines() {
        let case: Case = serde_json::from_str(line)?;
        match solve(&case) {
            Ok(answer) => {
                println!("{}", json::correction(&answer));
                if let Ok(verdict) = json::verdict(&answer, Which::Now) {
                    println!("{verdict}");
                }
            }
            Err(unsolved) => eprintln!("{unsolved}"),
        }
    }
    Ok(())
}
