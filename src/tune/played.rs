//! The order in which the bars of a tune are played.
//!
//! Takes a tune as written, gives its bars as they come: repeats of any count, endings, parts in their order, jumps. Sources:
//! ABC 2.1 §4.8 to §4.10 (repeats, endings), §3.1.9 (parts). That repeats are not taken again after a jump, and that the last
//! ending is played then, is common practice, no source.

use super::bar::{BarlineStyle, Tune};
use super::marks::{Jump, Landmark};

/// One bar as it comes in playing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Passage {
    /// Index into [`Tune::bars`].
    pub bar: usize,
    /// Which time this bar is played, from 1.
    pub pass: u32,
}

/// No tune is followed for more bars than this; a longer one is cut there.
const MOST_PASSAGES: usize = 100_000;

/// The bars in played order: repeats, endings and jumps followed, parts in their order. Bounded by
/// `MOST_PASSAGES`.
pub fn played(tune: &Tune) -> Vec<Passage> {
    let mut walk =
        Walk { tune, totals: totals(tune), opened: opened(tune), passes: vec![0; tune.bars.len()], order: Vec::new() };
    let parts = part_runs(tune);
    if parts.is_empty() {
        walk.run(0, tune.bars.len(), None, true);
    } else {
        let first = tune.bars.iter().position(|bar| bar.part.is_some()).unwrap_or(0);
        walk.run(0, first, None, false);
        for (from, to, times) in parts {
            walk.part(from, to, times);
        }
    }
    walk.order
}

/// The parts in played order: first bar, bar after the last, times in a row.
fn part_runs(tune: &Tune) -> Vec<(usize, usize, u32)> {
    let mut runs: Vec<(usize, usize, u32)> = Vec::new();
    for label in &tune.part_order {
        let Some(from) = tune.bars.iter().position(|bar| bar.part.as_ref() == Some(label)) else { continue };
        let after = tune.bars.iter().enumerate().skip(from + 1).find(|(_, bar)| bar.part.is_some());
        let to = after.map_or(tune.bars.len(), |(at, _)| at);
        match runs.last_mut() {
            Some(run) if run.0 == from => run.2 += 1,
            _ => runs.push((from, to, 1)),
        }
    }
    runs
}

/// For each bar of a group of endings, how many passes the group has; 0 elsewhere.
fn totals(tune: &Tune) -> Vec<u8> {
    let mut totals = vec![0; tune.bars.len()];
    let mut at = 0;
    while at < tune.bars.len() {
        let from = at;
        let mut total = 0;
        while let Some(ending) = tune.bars.get(at).and_then(|bar| bar.ending.as_ref()) {
            let last = ending.last_bar.clamp(at, tune.bars.len() - 1);
            total = ending.passes.iter().copied().max().unwrap_or(1).max(total);
            total = total.max(tune.bars[last].right.repeat_end);
            at = last + 1;
        }
        if at == from {
            at += 1;
        } else {
            totals[from..at].fill(total);
        }
    }
    totals
}

/// Which bars belong to an ending at whose beginning a repeat begins: it goes on after the ending.
fn opened(tune: &Tune) -> Vec<bool> {
    let mut opened = vec![false; tune.bars.len()];
    for (at, bar) in tune.bars.iter().enumerate().filter(|(_, bar)| bar.left.repeat_start) {
        if let Some(ending) = &bar.ending {
            opened[at..=ending.last_bar.clamp(at, tune.bars.len() - 1)].fill(true);
        }
    }
    opened
}

struct Walk<'a> {
    tune: &'a Tune,
    totals: Vec<u8>,
    opened: Vec<bool>,
    passes: Vec<u32>,
    order: Vec<Passage>,
}

impl Walk<'_> {
    /// A part played several times in a row: where its endings are as many, each time is one pass.
    fn part(&mut self, from: usize, to: usize, times: u32) {
        let total = self.totals[from..to].iter().copied().max().unwrap_or(0);
        for time in 1..=times {
            let fixed = u8::try_from(time).ok().filter(|_| times > 1 && u32::from(total) == times);
            self.run(from, to, fixed, false);
        }
    }
    /// Plays bars `from..to`; `fixed` is the pass for all endings, repeats not taken.
    fn run(&mut self, from: usize, to: usize, fixed: Option<u8>, jumps: bool) {
        let bars = &self.tune.bars;
        let (mut bar, mut start, mut open, mut time) = (from, from, false, 1u8);
        let mut jumped: Option<Jump> = None;
        while bar < to && self.order.len() < MOST_PASSAGES {
            let total = self.totals[bar].max(bars[bar].right.repeat_end);
            let (begins, from_here) = (bars[bar].left.repeat_start, start == bar && open);
            // An ending that is itself the beginning of a repeat is chosen once.
            if let Some(ending) = bars[bar].ending.as_ref().filter(|_| !(begins && from_here)) {
                let now = fixed.unwrap_or(if jumped.is_some() { total } else { time });
                if !ending.passes.contains(&now) {
                    bar = ending.last_bar.max(bar) + 1;
                    continue;
                }
            }
            if begins && !from_here {
                if start != bar || self.totals[bar] > 0 {
                    time = 1;
                }
                (start, open) = (bar, true);
            }
            self.passes[bar] += 1;
            self.order.push(Passage { bar, pass: self.passes[bar] });
            if let Some(kind) = jumped {
                if leads_to_fine(kind) && bars[bar].landmarks.contains(&Landmark::Fine) {
                    return;
                }
                if leads_to_coda(kind)
                    && bars[bar].jump == Some(Jump::ToCoda)
                    && let Some(coda) = self.coda(bar)
                {
                    (bar, start, open, time) = (coda, coda, false, 1);
                    continue;
                }
            }
            if self.section_ends(bar) {
                if fixed.is_none() && jumped.is_none() && time < total {
                    (bar, time) = (start, time + 1);
                    continue;
                }
                if bars.get(bar + 1).is_none_or(|next| next.ending.is_none()) {
                    (start, open, time) = (bar + 1, false, 1);
                }
            } else if !open && matches!(bars[bar].right.style, BarlineStyle::Double | BarlineStyle::Final) {
                // A repeat sign without a start leads back to the last double barline.
                (start, time) = (bar + 1, 1);
            }
            if let Some(kind) = bars[bar].jump.filter(|kind| jumps && jumped.is_none() && *kind != Jump::ToCoda) {
                jumped = Some(kind);
                bar = if from_segno(kind) { self.segno(bar) } else { 0 };
                (start, open, time) = (bar, false, 1);
                continue;
            }
            bar += 1;
        }
    }
    /// Whether a repeat sign or the end of an ending stands after a bar.
    fn section_ends(&self, bar: usize) -> bool {
        let bars = &self.tune.bars;
        if bars[bar].right.repeat_end > 0 {
            return true;
        }
        self.totals[bar] > 0
            && !self.opened[bar]
            && (self.totals.get(bar + 1).is_none_or(|next| *next == 0)
                || bars.get(bar + 1).is_some_and(|next| next.ending.is_some()))
    }
    fn segno(&self, before: usize) -> usize {
        let marked = |at: &usize| self.tune.bars[*at].landmarks.contains(&Landmark::Segno);
        (0..=before).rev().find(marked).unwrap_or(0)
    }
    fn coda(&self, after: usize) -> Option<usize> {
        (after + 1..self.tune.bars.len()).find(|at| self.tune.bars[*at].landmarks.contains(&Landmark::Coda))
    }
}

const fn from_segno(kind: Jump) -> bool {
    matches!(kind, Jump::DalSegno | Jump::DalSegnoAlFine | Jump::DalSegnoAlCoda)
}
const fn leads_to_fine(kind: Jump) -> bool {
    !matches!(kind, Jump::DaCapoAlCoda | Jump::DalSegnoAlCoda)
}
const fn leads_to_coda(kind: Jump) -> bool {
    !matches!(kind, Jump::DaCapoAlFine | Jump::DalSegnoAlFine)
}
