//! The plans of single tunes, timed on one core: 32 bars, 400 bars, and 400 bars on bellows that are too small for them.
//!
//! Prints a table beside the budgets; asserts nothing.

use crate::{invent, micros};
use boxwright::book;
use boxwright::diag::{Sink, Sources};
use boxwright::fingering::{Plan, plan};
use std::time::Instant;

/// How often each tune is planned; the quickest counts.
const RUNS: usize = 9;

/// A tune to be timed.
struct Case {
    name: &'static str,
    bars: usize,
    repeated: bool,
    /// A full bellows in seconds; nothing for bellows that are not looked at.
    seconds: Option<f64>,
}

const CASES: [Case; 7] = [
    Case { name: "32 bars in four repeated parts (at most 1 ms)", bars: 32, repeated: true, seconds: Some(9.0) },
    Case {
        name: "400 bars in fifty repeated parts, bellows left out (at most 20 ms)",
        bars: 400,
        repeated: true,
        seconds: None,
    },
    Case {
        name: "400 bars straight through, bellows left out (at most 20 ms)",
        bars: 400,
        repeated: false,
        seconds: None,
    },
    Case { name: "400 bars in fifty repeated parts, bellows of 9 s", bars: 400, repeated: true, seconds: Some(9.0) },
    Case {
        name: "400 bars in fifty repeated parts, bellows of 3 s (at most 200 ms)",
        bars: 400,
        repeated: true,
        seconds: Some(3.0),
    },
    Case {
        name: "400 bars straight through, bellows of 3 s (at most 200 ms)",
        bars: 400,
        repeated: false,
        seconds: Some(3.0),
    },
    Case {
        name: "400 bars straight through, bellows of 0.4 s (at most 200 ms)",
        bars: 400,
        repeated: false,
        seconds: Some(0.4),
    },
];

/// Prints the table.
pub fn table() {
    println!(
        "\n| the plan of one tune on one core | time | notes | air points | bellows run out |\n| --- | ---: | ---: | ---: | --- |"
    );
    for case in &CASES {
        let (micros, plan) = quickest(case);
        let runs_out = if plan.bellows.runs_out.is_some() { "reported" } else { "no" };
        let (notes, air) = (plan.notes.len(), plan.bellows.air.len());
        println!("| {} | {:.2} ms | {notes} | {air} | {runs_out} |", case.name, micros / 1e3);
    }
}

fn quickest(case: &Case) -> (f64, Plan) {
    let text = tune(case.bars, case.repeated);
    let mut instrument = book::builtin_box("dg-21-third").expect("the box is built in");
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |_: &str| Ok::<_, String>(text.clone().into_bytes());
    let entry = book::read_tune("long.yaml", &instrument, None, None, &mut files, &mut sources, &mut sink)
        .expect("the invented tune reads");
    instrument.bellows.seconds = case.seconds.unwrap_or(0.0);
    let mut best = (f64::INFINITY, Plan::default());
    for _ in 0..RUNS {
        let start = Instant::now();
        let plan = plan(&entry.tune, &instrument, &entry.request, &mut Sink::default());
        let time = micros(start);
        if time < best.0 {
            best = (time, plan);
        }
    }
    best
}

/// The file of a march in G of so many bars (a multiple of eight), in repeated parts of eight bars or written straight through.
fn tune(bars: usize, repeated: bool) -> String {
    let mut music = invent::parts_of(&mut invent::Dice::new(7), &invent::DANCES[1], &invent::HOMES[0], bars / 8);
    if !repeated {
        music = music.replace("|:", "").replace(":|", "|");
    }
    format!(
        "title: Long March\nid: long\nmusic: |\n  M:4/4\n  L:1/8\n  Q:1/4=100\n  K:G\n{music}left-hand:\n  pattern: auto\n"
    )
}
