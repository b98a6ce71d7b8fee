//! The program: parses its arguments, runs, and turns the outcome into an exit status.

use std::process::ExitCode;

/// Books are made of very many small parts, which this allocator hands out and takes back sooner than the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The exit status of a fault of the machine.
const FAULT: i32 = 2;

fn main() -> ExitCode {
    // Where no memory is left the standard library says so and aborts: that is a fault of the machine and ends as all of them do.
    // Where this cannot be had, the abort stays one.
    let always = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(true));
    let _ = signal_hook::flag::register_conditional_shutdown(signal_hook::consts::SIGABRT, FAULT, always);
    // A bound on the size of files (`ulimit -f`) is an error of writing like a full disk, and no end in the middle of a file.
    #[cfg(unix)]
    let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, std::sync::Arc::default());
    boxwright::cli::run(std::env::args_os())
}
