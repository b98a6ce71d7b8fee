//! The program: parses its arguments, runs, and turns the outcome into an exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    boxwright::cli::run(std::env::args_os())
}
