//! Writes `tests/VERIFICATION.md` from the case files and the figures that the checks saved when they last
//! ran.

use std::path::Path;
use std::process::ExitCode;

use balance_tests::verification::text;

#[expect(clippy::print_stderr, reason = "a tool of the project tells what went wrong")]
fn main() -> ExitCode {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("VERIFICATION.md");
    let written =
        text().and_then(|text| std::fs::write(&file, text).map_err(|fault| vec![fault.to_string()]));
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(faults) => {
            eprintln!("{}", faults.join("\n"));
            ExitCode::FAILURE
        }
    }
}
