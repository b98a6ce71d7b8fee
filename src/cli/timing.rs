//! The stages of a command: how long each took, for `--verbose`, and on a terminal a line that says what is being done when
//! it takes longer than a second. Only `cli` may look at a clock.

use std::fmt::Write as _;
use std::io::{IsTerminal, Write};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// What is over sooner says nothing.
const PATIENCE: Duration = Duration::from_secs(1);
/// How often the line is written anew.
const TICK: Duration = Duration::from_millis(200);

/// A stopwatch with named stages.
#[derive(Debug)]
pub struct Clock {
    now: Option<(&'static str, Instant)>,
    laps: Vec<(&'static str, Duration)>,
    line: Option<Line>,
}

impl Clock {
    /// A clock at rest. `shows`: whether it may write its line on a terminal.
    pub fn new(shows: bool) -> Self {
        let able =
            shows && std::io::stderr().is_terminal() && std::env::var_os("TERM").is_none_or(|term| term != "dumb");
        Self { now: None, laps: Vec::new(), line: able.then(Line::new) }
    }
    /// A stage begins; the one before is over.
    pub fn enter(&mut self, stage: &'static str) {
        self.lap();
        self.now = Some((stage, Instant::now()));
        if let Some(line) = &mut self.line {
            line.say(stage);
        }
    }
    /// The last stage is over: the line goes, so that something else can be written.
    pub fn rest(&mut self) {
        self.lap();
        if let Some(line) = &mut self.line {
            line.clear();
        }
    }
    fn lap(&mut self) {
        if let Some((stage, since)) = self.now.take() {
            self.laps.push((stage, since.elapsed()));
        }
    }
    /// A line a stage, and their sum.
    pub fn report(&self) -> String {
        let mut out = String::new();
        let mut row = |name: &str, time: Duration| {
            let _ = writeln!(out, "  {name:<28} {:>8.1} ms", time.as_secs_f64() * 1000.0);
        };
        for (name, time) in &self.laps {
            row(name, *time);
        }
        row("together", self.laps.iter().map(|(_, time)| *time).sum());
        out
    }
}

/// The line on the terminal, written by a thread of its own while the stages work.
#[derive(Debug)]
struct Line {
    shared: Arc<(Mutex<Shown>, Condvar)>,
    writer: Option<JoinHandle<()>>,
}

/// What the writer is to show.
#[derive(Debug, Default)]
struct Shown {
    stage: &'static str,
    over: bool,
}

impl Line {
    fn new() -> Self {
        Self { shared: Arc::default(), writer: None }
    }
    fn say(&mut self, stage: &'static str) {
        let mut shown = self.shared.0.lock().unwrap_or_else(PoisonError::into_inner);
        (shown.stage, shown.over) = (stage, false);
        drop(shown);
        if self.writer.is_none() {
            let shared = Arc::clone(&self.shared);
            // Where no thread can be had there is no line; the work goes on.
            self.writer = std::thread::Builder::new().spawn(move || write_line(&shared)).ok();
        }
    }
    fn clear(&mut self) {
        self.shared.0.lock().unwrap_or_else(PoisonError::into_inner).over = true;
        self.shared.1.notify_all();
        if let Some(writer) = self.writer.take() {
            // A writer that failed has left nothing to wait for.
            let _ = writer.join();
        }
    }
}

impl Drop for Line {
    fn drop(&mut self) {
        self.clear();
    }
}

/// Writes the line from the first second on, until the stages are over; then takes it away.
fn write_line(shared: &(Mutex<Shown>, Condvar)) {
    let began = Instant::now();
    let mut written = false;
    let mut shown = shared.0.lock().unwrap_or_else(PoisonError::into_inner);
    while !shown.over {
        let wait = if began.elapsed() < PATIENCE { PATIENCE - began.elapsed() } else { TICK };
        (shown, _) =
            shared.1.wait_timeout_while(shown, wait, |shown| !shown.over).unwrap_or_else(PoisonError::into_inner);
        if !shown.over && began.elapsed() >= PATIENCE {
            let text = format!("\r\u{1b}[K{} \u{2026} {} s", shown.stage, began.elapsed().as_secs());
            // A terminal that has gone away is no fault of ours.
            let _ = std::io::stderr().lock().write_all(text.as_bytes());
            written = true;
        }
    }
    if written {
        let _ = std::io::stderr().lock().write_all(b"\r\x1b[K");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stages_are_listed_in_order_with_their_sum() {
        let mut clock = Clock::new(false);
        clock.enter("reading");
        clock.enter("plans");
        clock.rest();
        clock.rest();
        let names: Vec<_> =
            clock.report().lines().map(|line| line.split_whitespace().next().unwrap_or("").to_owned()).collect();
        assert_eq!(names, ["reading", "plans", "together"]);
    }

    #[test]
    fn a_line_that_is_cleared_at_once_leaves_no_writer() {
        let mut line = Line::new();
        line.say("reading");
        line.say("plans");
        line.clear();
        assert!(line.writer.is_none());
    }
}
