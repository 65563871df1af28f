//! The program, so that tests in this package can start it as a separate process.

fn main() -> std::process::ExitCode {
    balance_cli::main()
}
