//! The program: parses its arguments, runs, and turns the outcome into an exit status.

fn main() {}
