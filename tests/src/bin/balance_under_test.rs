//! The program, so that tests in this package can start it as a process of its own.

fn main() -> std::process::ExitCode {
    balance_cli::main()
}
