//! The program `balance`: reads files, talks, draws.

pub mod archive;
pub mod command;

/// Runs the program with the process's own arguments and streams.
#[must_use]
pub fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
