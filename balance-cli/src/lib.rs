//! The program `balance`: reads files, talks, draws.

pub mod args;
pub mod draw;
pub mod exit;
pub mod files;
pub mod help;
pub mod outcome;
pub mod print;
pub mod streams;

/// Runs the program with the process's own arguments and streams.
#[must_use]
pub fn main() -> std::process::ExitCode {
    std::process::ExitCode::SUCCESS
}
