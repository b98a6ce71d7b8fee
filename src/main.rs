//! The program: parses its arguments, runs, and turns the outcome into an exit status.

use std::process::ExitCode;

/// Books are made of very many small parts, which this allocator hands out and takes back sooner than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    boxwright::cli::run(std::env::args_os())
}
