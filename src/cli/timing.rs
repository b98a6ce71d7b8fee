//! How long the stages took, for `--verbose`. Only `cli` may look at a clock.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

/// A stopwatch with named laps.
#[derive(Debug)]
pub struct Clock {
    last: Instant,
    laps: Vec<(&'static str, Duration)>,
}

impl Clock {
    /// Starts now.
    pub fn new() -> Self {
        Self { last: Instant::now(), laps: Vec::new() }
    }
    /// Ends a lap.
    pub fn mark(&mut self, name: &'static str) {
        let now = Instant::now();
        self.laps.push((name, now - self.last));
        self.last = now;
    }
    /// A line a lap.
    pub fn report(&self) -> String {
        let mut out = String::new();
        for (name, time) in &self.laps {
            let _ = writeln!(out, "  {name:<28} {:>8.1} ms", time.as_secs_f64() * 1000.0);
        }
        out
    }
}
