//! The program `balance`.

fn main() -> std::process::ExitCode {
    balance_cli::main()
}
