//! The order in which the bars of a tune are played.

use super::bar::Tune;

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
/// [`MOST_PASSAGES`].
pub fn played(tune: &Tune) -> Vec<Passage> {
    let mut passes = vec![0u32; tune.bars.len()];
    let mut order = Vec::new();
    let mut start = 0;
    let mut bar = 0;
    let mut time = 1u8;
    while bar < tune.bars.len() && order.len() < MOST_PASSAGES {
        if tune.bars[bar].left.repeat_start && start != bar {
            (start, time) = (bar, 1);
        }
        if let Some(ending) = &tune.bars[bar].ending
            && !ending.passes.contains(&time)
        {
            bar = ending.last_bar + 1;
            continue;
        }
        passes[bar] += 1;
        order.push(Passage { bar, pass: passes[bar] });
        let times = tune.bars[bar].right.repeat_end;
        if times > time {
            time += 1;
            bar = start;
        } else {
            if times > 0 {
                (start, time) = (bar + 1, 1);
            }
            bar += 1;
        }
    }
    order
}
