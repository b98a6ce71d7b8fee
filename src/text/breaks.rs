//! Optimum line breaks over boxes, glue and penalties.
//!
//! Takes items with widths in any one unit, and line lengths in the same unit; gives the set of breaks with the least total
//! demerits. Knows no text and no fonts.
//!
//! Source: D. E. Knuth and M. F. Plass, *Breaking Paragraphs into Lines*, Software: Practice and Experience 11 (1981)
//! 1119-1184: ratio, badness, demerits, fitness classes and the active list are theirs. Beyond the paper: `skip`, a stretch
//! at every line's end for ragged lines, and `overfull`, which lets a last attempt end when nothing fits.

/// A penalty that no break takes.
pub(crate) const NEVER: f64 = f64::INFINITY;
/// A penalty that forces a break.
pub(crate) const ALWAYS: f64 = f64::NEG_INFINITY;

/// One item of a paragraph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Item {
    /// Something of a fixed width.
    Box(f64),
    /// A gap that stretches and shrinks; a break may stand here if a box comes before.
    Glue {
        /// Natural width.
        width: f64,
        /// What it may be stretched by at ratio 1.
        stretch: f64,
        /// What it may be shrunk by at ratio -1.
        shrink: f64,
    },
    /// A place where a break costs `cost` and adds `width`.
    Penalty {
        /// Width added when the break is taken, such as a hyphen's.
        width: f64,
        /// Cost of the break; [`NEVER`] and [`ALWAYS`] are the limits.
        cost: f64,
        /// Whether it is a flagged place (a divided word): two in a row are dear.
        flagged: bool,
    },
}

/// What the breaker is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Demand {
    /// The largest ratio a line may be stretched to.
    pub tolerance: f64,
    /// Demerits for two flagged breaks in a row (alpha in the paper).
    pub flagged: f64,
    /// Demerits for neighbouring lines whose fitness classes are more than one apart (gamma).
    pub fitness: f64,
    /// Stretch at the end of every line: what a ragged line may fall short by at ratio 1.
    pub skip: f64,
    /// Whether a line that can't fit is let through rather than giving up.
    pub overfull: bool,
}

/// One line's end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Break {
    /// Index of the item at which the line is broken.
    pub item: usize,
    /// How far the line is stretched (positive) or shrunk (negative).
    pub ratio: f64,
}

/// The best way found.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Broken {
    /// The line ends in order.
    pub breaks: Vec<Break>,
    /// Total demerits.
    pub demerits: f64,
}

/// Widths summed up to a place.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    width: f64,
    stretch: f64,
    shrink: f64,
}

impl Sums {
    fn add(&mut self, item: &Item) {
        match *item {
            Item::Box(width) => self.width += width,
            Item::Glue { width, stretch, shrink } => {
                self.width += width;
                self.stretch += stretch;
                self.shrink += shrink;
            }
            Item::Penalty { .. } => {}
        }
    }
}

/// A break on the best way to it.
#[derive(Debug, Clone, Copy)]
struct Node {
    item: usize,
    line: usize,
    class: usize,
    flagged: bool,
    /// Sums at the first box after the break.
    after: Sums,
    ratio: f64,
    demerits: f64,
    before: usize,
}

/// A way to the break under look.
#[derive(Debug, Clone, Copy)]
struct Way {
    ratio: f64,
    demerits: f64,
    before: usize,
}

/// Tight, normal, loose, very loose (0 to 3).
pub(crate) fn fitness_class(ratio: f64) -> usize {
    match ratio {
        r if r < -0.5 => 0,
        r if r <= 0.5 => 1,
        r if r <= 1.0 => 2,
        _ => 3,
    }
}

/// Badness and penalty of one line as demerits, without the terms that look at the line before.
fn line_demerits(ratio: f64, cost: f64) -> f64 {
    let badness = 100.0 * ratio.abs().powi(3);
    if cost == ALWAYS {
        (1.0 + badness).powi(2)
    } else if cost < 0.0 {
        (1.0 + badness).powi(2) - cost * cost
    } else {
        (1.0 + badness + cost).powi(2)
    }
}

/// Finds the breaks with the least demerits. `widths` are the line lengths, the last one repeated for ever. `None` when no
/// way keeps within the tolerance. The items must end in a forced break.
pub(crate) fn optimum(items: &[Item], widths: &[f64], demand: &Demand) -> Option<Broken> {
    let start = Node {
        item: usize::MAX,
        line: 0,
        class: 1,
        flagged: false,
        after: Sums::default(),
        ratio: 0.0,
        demerits: 0.0,
        before: usize::MAX,
    };
    let mut search = Search { items, widths, demand, nodes: vec![start], active: vec![0], born: Vec::new() };
    let mut sums = Sums::default();
    for at in 0..items.len() {
        let cost = match items[at] {
            Item::Glue { .. } if at > 0 && matches!(items[at - 1], Item::Box(_)) => Some((0.0, 0.0, false)),
            Item::Penalty { width, cost, flagged } if cost != NEVER => Some((width, cost, flagged)),
            _ => None,
        };
        if let Some((width, cost, flagged)) = cost {
            search.look_at(at, Sums { width: sums.width + width, ..sums }, sums, cost, flagged);
            if search.active.is_empty() {
                return None;
            }
        }
        sums.add(&items[at]);
    }
    search.best_end()
}

struct Search<'a> {
    items: &'a [Item],
    widths: &'a [f64],
    demand: &'a Demand,
    nodes: Vec<Node>,
    /// Breaks that a line may still start from, by line, then place.
    active: Vec<usize>,
    /// Room for the list that is made at every place.
    born: Vec<usize>,
}

impl Search<'_> {
    fn width(&self, line: usize) -> f64 {
        self.widths.get(line).or(self.widths.last()).copied().unwrap_or(0.0)
    }
    /// Lines from here on are all as long, so breaks on different lines compete.
    fn group(&self, line: usize) -> usize {
        line.min(self.widths.len().saturating_sub(1))
    }

    fn look_at(&mut self, at: usize, end: Sums, sums: Sums, cost: f64, flagged: bool) {
        let mut active = std::mem::take(&mut self.active);
        let mut born = std::mem::take(&mut self.born);
        let mut ways: [Option<Way>; 4] = [None; 4];
        let mut group = None;
        let mut last_dropped = None;
        let mut kept = 0;
        let mut seen = 0;
        while seen < active.len() {
            let node = &self.nodes[active[seen]];
            let ratio = self.ratio(node, end);
            if self.widths.len() == 1 && ratio > self.demand.tolerance && cost != ALWAYS {
                // Later starts make shorter lines still: nobody after this one is in reach yet.
                break;
            }
            let own = self.group(node.line);
            if group.is_some_and(|group| group != own) {
                self.bear(&mut ways, at, sums, flagged, &mut born);
            }
            group = Some(own);
            if (-1.0..=self.demand.tolerance).contains(&ratio) {
                self.compete(&mut ways, active[seen], ratio, cost, flagged);
            }
            if ratio >= -1.0 && cost != ALWAYS {
                active[kept] = active[seen];
                kept += 1;
            } else {
                last_dropped = Some(active[seen]);
            }
            seen += 1;
        }
        active.drain(kept..seen);
        self.bear(&mut ways, at, sums, flagged, &mut born);
        if active.is_empty()
            && born.is_empty()
            && self.demand.overfull
            && let Some(last) = last_dropped
        {
            // Nothing fits: the line from the latest break ends here, however it looks.
            let ratio = self.ratio(&self.nodes[last], end).clamp(-1.0, 1e6);
            self.compete(&mut ways, last, ratio, cost, flagged);
            self.bear(&mut ways, at, sums, flagged, &mut born);
        }
        active.append(&mut born);
        if self.widths.len() > 1 {
            active.sort_by_key(|node| self.group(self.nodes[*node].line));
        }
        self.active = active;
        self.born = born;
    }

    fn ratio(&self, node: &Node, end: Sums) -> f64 {
        let room = self.width(node.line) - (end.width - node.after.width);
        if room > 0.0 {
            let stretch = end.stretch - node.after.stretch + self.demand.skip;
            if stretch > 0.0 { room / stretch } else { f64::INFINITY }
        } else if room < 0.0 {
            let shrink = end.shrink - node.after.shrink;
            // A hair over the width is still the width: sums of floats are not exact.
            if room > -1e-9 {
                0.0
            } else if shrink > 0.0 {
                room / shrink
            } else {
                f64::NEG_INFINITY
            }
        } else {
            0.0
        }
    }

    fn compete(&self, ways: &mut [Option<Way>; 4], active: usize, ratio: f64, cost: f64, flagged: bool) {
        let node = &self.nodes[active];
        let class = fitness_class(ratio);
        let mut demerits = node.demerits + line_demerits(ratio.min(1e6), cost);
        if flagged && node.flagged {
            demerits += self.demand.flagged;
        }
        if class.abs_diff(node.class) > 1 {
            demerits += self.demand.fitness;
        }
        if ways[class].is_none_or(|way| demerits < way.demerits) {
            ways[class] = Some(Way { ratio, demerits, before: active });
        }
    }

    fn bear(&mut self, ways: &mut [Option<Way>; 4], at: usize, sums: Sums, flagged: bool, born: &mut Vec<usize>) {
        let found = std::mem::take(ways);
        let Some(least) = found.iter().flatten().map(|way| way.demerits).min_by(f64::total_cmp) else { return };
        let after = self.after(at, sums);
        for (class, way) in found.into_iter().enumerate() {
            // A way dearer than the best one by more than a change of class costs can never win later.
            if let Some(way) = way
                && way.demerits <= least + self.demand.fitness
            {
                born.push(self.nodes.len());
                self.nodes.push(Node {
                    item: at,
                    line: self.nodes[way.before].line + 1,
                    class,
                    flagged,
                    after,
                    ratio: way.ratio,
                    demerits: way.demerits,
                    before: way.before,
                });
            }
        }
    }

    /// Sums at the first box after a break: glue and penalties there vanish.
    fn after(&self, at: usize, mut sums: Sums) -> Sums {
        for (index, item) in self.items.iter().enumerate().skip(at) {
            match item {
                Item::Box(_) => break,
                Item::Penalty { cost, .. } if *cost == ALWAYS && index > at => break,
                _ => sums.add(item),
            }
        }
        sums
    }

    fn best_end(&self) -> Option<Broken> {
        let end = self.items.len() - 1;
        let best = self
            .active
            .iter()
            .copied()
            .filter(|node| self.nodes[*node].item == end)
            .min_by(|a, b| self.nodes[*a].demerits.total_cmp(&self.nodes[*b].demerits))?;
        let mut breaks = Vec::new();
        let mut node = best;
        while let Some(found) = self.nodes.get(node).filter(|found| found.item != usize::MAX) {
            breaks.push(Break { item: found.item, ratio: found.ratio });
            node = found.before;
        }
        breaks.reverse();
        Some(Broken { breaks, demerits: self.nodes[best].demerits })
    }
}

#[cfg(test)]
#[path = "breaks_tests.rs"]
mod tests;
