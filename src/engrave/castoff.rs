//! Which bars share a line.
//!
//! Takes pieces with their room, gives lines by dynamic programming over all legal breaks with one cost function. Knows no
//! ink.
//!
//! Sources: breaking lines of music by dynamic programming after W. A. Hegazy and J. S. Gourlay, *Optimal line breaking in
//! music* (1987), itself after D. E. Knuth and M. F. Plass, *Breaking paragraphs into lines* (1981); the costs are our own,
//! judged on printed pages: even systems, phrases of four bars whole, one a line or two on every line, no lone last bar.

use super::job::Job;
use super::measure::Piece;
use super::signature::{self, Prefix};
use super::spacing::{self, Gap};
use crate::tune::{BarlineStyle, Duration, Tune};

/// The factor on durations that lines should have.
pub(super) const IDEAL: f64 = 1.4;
/// Cost of a line stretched or squeezed by a factor e against the ideal.
const UNEVEN: f64 = 120.0;
/// Squeezed lines cost more than stretched ones.
const SQUEEZED: f64 = 2.0;
/// A line that does not fit at all.
const OVERFULL: f64 = 1e6;
/// Breaks: inside a phrase of four after its second bar, elsewhere inside it, inside an ending, inside a tie or slur.
const HALF_PHRASE: f64 = 20.0;
const IN_PHRASE: f64 = 40.0;
const IN_ENDING: f64 = 12.0;
const IN_CURVE: f64 = 3.0;
/// Breaks that are welcome: after a repeat or double bar, where the source ends a line.
const AFTER_SECTION: f64 = -4.0;
const AT_HINT: f64 = -6.0;
/// A part that ends inside a line: a learner looks for its beginning at the beginning of a line.
const MID_SECTION: f64 = 12.0;
/// A last line of one bar.
const LONE_BAR: f64 = 60.0;
/// A last line that stays short: more the shorter it is.
const SHORT_LAST: f64 = 20.0;
/// A last line at least so full is stretched to the full width.
const FULL_ENOUGH: f64 = 0.7;
/// A learner loses her place in a line of many bars: from the sixth bar on, each costs. Where every line is two whole phrases,
/// which begin at one place down the page, it costs no more than a sixth bar.
const MANY_BARS: f64 = 14.0;
const MANY: usize = 5;
/// Inside a split bar.
const IN_BAR: f64 = 200.0;

/// A line: its pieces, first and one past the last.
pub(super) type Line = std::ops::Range<usize>;

/// What a piece of line would look like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fit {
    /// Factor on its stretches that fills the width; `None` when it does not fit.
    pub(super) factor: Option<f64>,
    /// Part of the width that it fills at the ideal factor.
    pub(super) fill: f64,
}

/// What lines cost.
#[derive(Debug)]
pub(super) struct Costs {
    /// Break after each piece.
    breaks: Vec<f64>,
    /// How many parts end before each piece, and in all.
    sections: Vec<usize>,
    /// The same of phrases of four bars.
    phrases: Vec<usize>,
    /// Widths of clef, key and metre by the piece that begins the line.
    prefixes: Vec<f64>,
    width: f64,
    most_bars: usize,
}

impl Costs {
    /// Costs for lines of `width`.
    pub(super) fn new(job: &Job, pieces: &[Piece], width: f64) -> Self {
        let tune = job.score.tune;
        let most_bars = job.style.most_bars.map_or(usize::MAX, |most| most.max(1) as usize);
        let mut widths = PrefixWidths::default();
        let prefixes = pieces.iter().map(|piece| widths.of(job, prefix_at(tune, piece))).collect();
        let Breaks { costs, parts, phrases } = breaks(tune, pieces);
        Self { breaks: costs, sections: counted(&parts), phrases: counted(&phrases), prefixes, width, most_bars }
    }
    /// The width of clef, key and metre before a piece.
    pub(super) fn prefix(&self, piece: usize) -> f64 {
        self.prefixes[piece]
    }
    /// How the pieces of a line would fit; `gaps` is room to work in.
    pub(super) fn fit(&self, pieces: &[Piece], line: Line, gaps: &mut Vec<Gap>) -> Fit {
        let fixed = self.fixed(pieces, line.clone());
        collect_gaps(pieces, line, gaps);
        let room = self.width - fixed;
        let natural: f64 = gaps.iter().map(|gap| gap.at(IDEAL)).sum();
        Fit { factor: spacing::factor(gaps, room), fill: (natural + fixed) / self.width.max(1e-6) }
    }
    /// The room of a line that never stretches.
    pub(super) fn fixed(&self, pieces: &[Piece], line: Line) -> f64 {
        let last = line.end - 1;
        let mut fixed = self.prefixes[line.start] + pieces[line.start].line_head;
        for n in line.clone() {
            if n > line.start {
                fixed += pieces[n].head;
            }
            fixed += if n == last { pieces[n].end + pieces[n].courtesy } else { pieces[n].joint };
        }
        fixed
    }
    /// What a line costs; infinite when it is against the rules.
    pub(super) fn line(&self, pieces: &[Piece], line: Line, gaps: &mut Vec<Gap>) -> f64 {
        let bars = bars_of(&pieces[line.clone()]);
        let last = line.end == pieces.len();
        if line.len() > 1 && bars > self.most_bars {
            return f64::INFINITY;
        }
        let fit = self.fit(pieces, line.clone(), gaps);
        let inside = self.sections[line.end - 1] - self.sections[line.start];
        let parted = MID_SECTION * inside as f64;
        let breaking = if last { 0.0 } else { self.breaks[line.end - 1] };
        let Some(factor) = fit.factor else {
            return if line.len() > 1 { f64::INFINITY } else { OVERFULL + breaking };
        };
        let lone = if last && line.len() == 1 && line.start > 0 { LONE_BAR } else { 0.0 };
        if last && fit.fill < FULL_ENOUGH {
            return SHORT_LAST * (1.0 - fit.fill) + lone + parted;
        }
        let off = (factor.max(0.05) / IDEAL).ln();
        let side = if off < 0.0 { SQUEEZED } else { 1.0 };
        UNEVEN * side * off * off + breaking + lone + parted + MANY_BARS * bars.saturating_sub(MANY) as f64
    }
    /// What a line costs at the least, found without spacing it: the sums of its gaps say how far it is squeezed if no
    /// clearance holds, and clearances only squeeze it more. 0 for a line that is not squeezed, infinite for one too full.
    fn at_least(&self, pieces: &[Piece], line: Line, sums: Gap) -> f64 {
        let room = self.width - self.fixed(pieces, line.clone());
        if sums.clearance > room + 1e-3 {
            return f64::INFINITY;
        }
        let factor = room / sums.stretch;
        if sums.stretch <= 0.0 || factor >= IDEAL {
            return 0.0;
        }
        let off = (factor.max(0.05) / IDEAL).ln();
        let breaking = if line.end == pieces.len() { 0.0 } else { self.breaks[line.end - 1] };
        UNEVEN * SQUEEZED * off * off + breaking + MANY_BARS * bars_of(&pieces[line]).saturating_sub(MANY) as f64
    }
    /// Whether a phrase ends before a piece.
    fn ends_phrase(&self, end: usize) -> bool {
        end > 0 && self.phrases[end] > self.phrases[end - 1]
    }
    /// Lines of two whole phrases each, with what they cost; `None` where a phrase is left over.
    fn by_two_phrases(&self, pieces: &[Piece], gaps: &mut Vec<Gap>) -> Option<(Vec<Line>, f64)> {
        let ends = (1..=pieces.len()).filter(|end| self.ends_phrase(*end));
        let (mut lines, mut start, mut cost) = (Vec::new(), 0, 0.0);
        for end in ends.skip(1).step_by(2) {
            let over = bars_of(&pieces[start..end]).saturating_sub(MANY);
            cost += self.line(pieces, start..end, gaps) - MANY_BARS * over.saturating_sub(1) as f64;
            lines.push(start..end);
            start = end;
        }
        (start == pieces.len() && cost.is_finite()).then_some((lines, cost))
    }
}

/// Stretches and clearances of gaps, each summed.
fn total(gaps: &[Gap]) -> Gap {
    gaps.iter().fold(Gap { stretch: 0.0, clearance: 0.0 }, |all, gap| Gap {
        stretch: all.stretch + gap.stretch,
        clearance: all.clearance + gap.clearance,
    })
}

/// How many bars the eye sees in a line: a rest of several bars counts as two.
fn bars_of(pieces: &[Piece]) -> usize {
    pieces.iter().map(|piece| piece.run.min(2)).sum()
}

/// Widths of what stands before lines, the last one kept: a tune has few keys and metres, and every bar could begin a line.
#[derive(Debug, Default)]
pub(super) struct PrefixWidths<'a> {
    last: Option<(Prefix<'a>, f64)>,
}

impl<'a> PrefixWidths<'a> {
    /// The width of a prefix of the tune.
    pub(super) fn of(&mut self, job: &Job, prefix: Prefix<'a>) -> f64 {
        let meter = |prefix: &Prefix<'a>| prefix.meter.map(std::ptr::from_ref);
        if let Some((known, width)) = &self.last
            && std::ptr::eq(known.key, prefix.key)
            && meter(known) == meter(&prefix)
        {
            return *width;
        }
        let width = signature::prefix_width(job, prefix);
        self.last = Some((prefix, width));
        width
    }
}

/// What stands before a line that begins with a piece.
pub(super) fn prefix_at<'a>(tune: &'a Tune, piece: &Piece) -> Prefix<'a> {
    let bar = &tune.bars[piece.bar];
    let meter =
        if piece.bar == 0 && piece.opens { Some(tune.meter_at(0)) } else { bar.meter.as_ref().filter(|_| piece.opens) };
    Prefix { key: tune.key_at(piece.bar), meter }
}

/// The gaps of a line.
pub(super) fn collect_gaps(pieces: &[Piece], line: Line, gaps: &mut Vec<Gap>) {
    gaps.clear();
    for (n, piece) in pieces[line].iter().enumerate() {
        let lead = if n == 0 { piece.line_lead } else { piece.gaps[0] };
        gaps.push(lead);
        gaps.extend_from_slice(&piece.gaps[1..]);
    }
}

/// The lines with the least cost; of equals, those whose last line is longest. Where those would part phrases, lines of two phrases
/// each stand instead if they cost less.
pub(super) fn lines(pieces: &[Piece], costs: &Costs) -> Vec<Line> {
    let count = pieces.len();
    let mut best = vec![(f64::INFINITY, 0usize); count + 1];
    best[0] = (0.0, 0);
    let mut gaps = Vec::new();
    let sums: Vec<Gap> = pieces.iter().map(|piece| total(&piece.gaps[1..])).collect();
    for end in 1..=count {
        // The pieces after the first of the line.
        let mut after = Gap { stretch: 0.0, clearance: 0.0 };
        for start in (0..end).rev() {
            if start + 1 < end {
                let least = costs.at_least(pieces, start..end, total(&[pieces[start].line_lead, sums[start], after]));
                if least.is_infinite() {
                    break;
                }
                if best[start].0 + least > best[end].0 + 1e-6 {
                    after = total(&[pieces[start].gaps[0], sums[start], after]);
                    continue;
                }
            }
            after = total(&[pieces[start].gaps[0], sums[start], after]);
            let cost = costs.line(pieces, start..end, &mut gaps);
            if cost.is_infinite() {
                // Longer lines only get fuller.
                break;
            }
            let total = best[start].0 + cost;
            if total < best[end].0 - 1e-9 || best[end].0.is_infinite() {
                best[end] = (total, start);
            }
        }
    }
    let mut lines = Vec::new();
    let mut end = count;
    while end > 0 {
        let start = best[end].1;
        lines.push(start..end);
        end = start;
    }
    lines.reverse();
    if lines.iter().all(|line| costs.ends_phrase(line.end)) {
        return lines;
    }
    match costs.by_two_phrases(pieces, &mut gaps) {
        Some((by_two, cost)) if cost < best[count].0 => by_two,
        _ => lines,
    }
}

/// What is known of a break after each piece.
struct Breaks {
    /// Its cost.
    costs: Vec<f64>,
    /// Whether a part of the tune ends there.
    parts: Vec<bool>,
    /// Whether a phrase of four bars ends there, or a part or the tune with its last one.
    phrases: Vec<bool>,
}

/// How many of them hold before each piece, and in all.
fn counted(ends: &[bool]) -> Vec<usize> {
    let mut counts = Vec::with_capacity(ends.len() + 1);
    counts.push(0);
    counts.extend(ends.iter().scan(0, |count, ends| {
        *count += usize::from(*ends);
        Some(*count)
    }));
    counts
}

fn breaks(tune: &Tune, pieces: &[Piece]) -> Breaks {
    let mut costs = Vec::with_capacity(pieces.len());
    let mut parts = Vec::with_capacity(pieces.len());
    let mut phrases = Vec::with_capacity(pieces.len());
    let hinted = tune.bars.iter().filter(|bar| bar.line_ends).count() > 1;
    let over = curves_over_barlines(tune);
    let mut in_section = 0u32;
    let mut ending_until: Option<usize> = None;
    for piece in pieces {
        let last = piece.bar + piece.run - 1;
        let bar = &tune.bars[last];
        if !piece.closes {
            costs.push(IN_BAR);
            parts.push(false);
            phrases.push(false);
            continue;
        }
        for n in piece.bar..=last {
            let here = &tune.bars[n];
            if here.left.repeat_start && !in_section.is_multiple_of(4) {
                in_section = 0;
            }
            let full = tune.meter_at(n).bar_length().unwrap_or(Duration::ZERO);
            let short_start = in_section == 0 && here.length < full;
            if !here.label.second_half && !short_start {
                in_section += 1;
            }
            if let Some(ending) = &here.ending {
                ending_until = Some(ending.last_bar);
            }
        }
        let next = tune.bars.get(last + 1);
        let heavy = |style| matches!(style, BarlineStyle::Double | BarlineStyle::Final | BarlineStyle::HeavyLight);
        let section = bar.right.repeat_end > 0
            || heavy(bar.right.style)
            || next.is_some_and(|next| next.left.repeat_start || heavy(next.left.style) || next.part.is_some());
        let mut cost = match in_section % 4 {
            0 => 0.0,
            2 => HALF_PHRASE,
            _ => IN_PHRASE,
        };
        if ending_until.is_some_and(|until| last < until) {
            cost += IN_ENDING;
        }
        // A first ending and the second one after it like to stand together.
        let between = next.is_some_and(|next| next.ending.is_some()) && ending_until == Some(last);
        parts.push(section && !between);
        let whole = in_section > 0 && in_section.is_multiple_of(4);
        phrases.push((section && !between) || next.is_none() || whole);
        if between {
            cost += IN_ENDING / 2.0;
        } else if section {
            cost = cost.min(0.0) + AFTER_SECTION;
        }
        if hinted && bar.line_ends {
            cost += AT_HINT;
        }
        if over[last] {
            cost += IN_CURVE;
        }
        costs.push(cost);
        if section {
            in_section = 0;
        }
    }
    Breaks { costs, parts, phrases }
}

/// For each bar, whether a tie or slur goes over its right barline.
fn curves_over_barlines(tune: &Tune) -> Vec<bool> {
    let mut over: Vec<bool> = tune
        .bars
        .iter()
        .map(|bar| bar.events.last().is_some_and(|event| event.notes().iter().any(|note| note.tied_to_next)))
        .collect();
    // Ids run in written order, so a slur goes over each barline between its ends.
    let mut ends: Vec<u32> = Vec::with_capacity(tune.bars.len());
    let mut end = 0;
    for bar in &tune.bars {
        let ids = bar.events.iter().flat_map(|event| event.graces.iter().map(|grace| grace.id).chain(event.head()));
        end = ids.last().map_or(end, |last| last.0 + 1);
        ends.push(end);
    }
    for slur in &tune.slurs {
        let from = ends.partition_point(|end| *end <= slur.from.0);
        let to = ends.partition_point(|end| *end <= slur.to.0);
        for bar in from..to.min(over.len()) {
            over[bar] = true;
        }
    }
    over
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All ways to break, tried one by one.
    fn exhaustive(pieces: &[Piece], costs: &Costs) -> f64 {
        let mut best = f64::INFINITY;
        let mut gaps = Vec::new();
        for mask in 0u32..1 << (pieces.len() - 1) {
            let mut total = 0.0;
            let mut start = 0;
            for end in 1..=pieces.len() {
                if end == pieces.len() || mask & (1 << (end - 1)) != 0 {
                    total += costs.line(pieces, start..end, &mut gaps);
                    start = end;
                }
            }
            best = best.min(total);
        }
        best
    }

    fn made_up(seed: u64, count: usize) -> (Vec<Piece>, Costs) {
        let mut state = seed;
        let mut next = |most: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % most
        };
        let pieces: Vec<Piece> = (0..count)
            .map(|n| {
                let gaps: Vec<Gap> = (0..2 + next(6))
                    .map(|_| Gap { stretch: 1.0 + next(40) as f64 / 10.0, clearance: 1.0 + next(20) as f64 / 10.0 })
                    .collect();
                Piece {
                    bar: n,
                    run: 1,
                    first: n,
                    last: n + 1,
                    opens: true,
                    closes: true,
                    line_lead: Gap { stretch: 1.0, clearance: 1.5 },
                    gaps,
                    head: 0.0,
                    line_head: 0.0,
                    joint: 0.16,
                    end: 0.16,
                    courtesy: 0.0,
                }
            })
            .collect();
        let breaks = (0..count).map(|_| next(30) as f64 - 6.0).collect();
        let sections = counted(&(0..count).map(|_| next(5) == 0).collect::<Vec<bool>>());
        let phrases = vec![0; count + 1];
        let costs = Costs { breaks, sections, phrases, prefixes: vec![5.0; count], width: 50.0, most_bars: usize::MAX };
        (pieces, costs)
    }

    #[test]
    fn no_other_way_to_break_is_cheaper() {
        for seed in 1..40 {
            let (pieces, costs) = made_up(seed, 11);
            let lines = lines(&pieces, &costs);
            let mut gaps = Vec::new();
            let ours: f64 = lines.iter().map(|line| costs.line(&pieces, line.clone(), &mut gaps)).sum();
            let best = exhaustive(&pieces, &costs);
            assert!((ours - best).abs() < 1e-6, "seed {seed}: {ours} against {best}");
            assert_eq!(lines.first().map(|line| line.start), Some(0));
            assert_eq!(lines.last().map(|line| line.end), Some(11));
            assert!(lines.windows(2).all(|pair| pair[0].end == pair[1].start));
        }
    }

    /// Bars that fill a line of four by half, or of eight at the ideal, stand by eight: no phrase begins within a line, and no
    /// line holds twice the bars of another.
    #[test]
    fn short_bars_stand_by_two_phrases_throughout() {
        let bars = |stretch: f64, count: usize| {
            let (mut pieces, mut costs) = made_up(1, count);
            for piece in &mut pieces {
                piece.gaps = vec![Gap { stretch, clearance: 0.5 }];
                piece.line_lead = piece.gaps[0];
            }
            let phrases: Vec<bool> = (1..=count).map(|n| n.is_multiple_of(4)).collect();
            let price = |ends: &bool| if *ends { 0.0 } else { HALF_PHRASE };
            costs.breaks = phrases.iter().map(price).collect();
            (costs.sections, costs.phrases) = (vec![0; count + 1], counted(&phrases));
            lines(&pieces, &costs).iter().map(std::iter::ExactSizeIterator::len).collect::<Vec<_>>()
        };
        assert_eq!(bars(4.8, 16), [8, 8]);
        assert_eq!(bars(4.8, 24), [8, 8, 8]);
        assert_eq!(bars(7.5, 16), [4, 4, 4, 4]);
        assert!(!bars(4.8, 20).contains(&8), "a phrase would be left over");
    }

    #[test]
    fn at_most_so_many_bars_a_line() {
        let (pieces, mut costs) = made_up(7, 9);
        costs.most_bars = 2;
        assert!(lines(&pieces, &costs).iter().all(|line| line.len() <= 2));
    }

    #[test]
    fn a_bar_wider_than_the_line_stands_alone() {
        let (mut pieces, costs) = made_up(3, 5);
        pieces[2].gaps = vec![Gap { stretch: 1.0, clearance: 40.0 }; 3];
        let lines = lines(&pieces, &costs);
        assert!(lines.contains(&(2..3)));
    }
}
