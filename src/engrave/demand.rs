//! Room for what stands in rows outside the staff: words, chord symbols, lanes; and for ties under graces. Widens the gaps between columns so that
//! neighbours of a row do not touch.

use super::figure::Figure;
use super::job::Job;
use super::layout::Demand;
use super::measure::Piece;
use super::spacing::{self, Gap};
use super::{harmony, lanes, tie, words};

/// A demand at its place: the gap right after its column, and how far into that gap it stands.
struct Spot {
    gap: usize,
    part: f64,
    /// From the column to the demand's own middle.
    offset: f64,
}

/// Widens the gaps of the pieces for all rows.
pub(super) fn widen(job: &Job, pieces: &mut [Piece], figures: &[Figure]) {
    let mut demands = lanes::demands(job, figures);
    words::demands(job, &mut demands);
    harmony::demands(job, &mut demands);
    tie::demands(job, figures, &mut demands);
    if demands.is_empty() {
        return;
    }
    demands.sort_by_key(|demand| (demand.row, demand.bar, demand.onset));
    let mut flat = Flat::new(pieces);
    let mut before: Option<(Demand, Spot)> = None;
    for (n, demand) in demands.iter().enumerate() {
        let Some(spot) = flat.spot(job, pieces, figures, demand) else { continue };
        if let Some((other, from)) = before.take().filter(|(other, _)| other.row == demand.row) {
            flat.rod(&from, &spot, other.right + demand.left + from.offset - spot.offset);
        }
        // The last of a bar stays on its line if the line ends there.
        let last = demands.get(n + 1).is_none_or(|next| next.row != demand.row || next.bar != demand.bar);
        if last && let Some(end) = flat.bar_end(pieces, demand.bar) {
            flat.rod(&spot, &Spot { gap: end, part: 0.0, offset: 0.0 }, demand.right + spot.offset);
        }
        before = Some((*demand, spot));
    }
    flat.give_back(pieces);
}

/// All gaps of a tune in one row, barlines and heads of bars as gaps that never stretch.
struct Flat {
    gaps: Vec<Gap>,
    fixed: Vec<bool>,
    /// For each piece, the index of its first gap.
    starts: Vec<usize>,
}

impl Flat {
    fn new(pieces: &[Piece]) -> Self {
        let mut flat = Self { gaps: Vec::new(), fixed: Vec::new(), starts: Vec::new() };
        for piece in pieces {
            flat.push(Gap { stretch: 0.0, clearance: piece.head }, true);
            flat.starts.push(flat.gaps.len());
            for gap in &piece.gaps {
                flat.push(*gap, false);
            }
            flat.push(Gap { stretch: 0.0, clearance: piece.joint }, true);
        }
        flat
    }
    fn push(&mut self, gap: Gap, fixed: bool) {
        self.gaps.push(gap);
        self.fixed.push(fixed);
    }
    fn spot(&self, job: &Job, pieces: &[Piece], figures: &[Figure], demand: &Demand) -> Option<Spot> {
        let nth = pieces.partition_point(|piece| piece.bar <= demand.bar).checked_sub(1)?;
        let piece = &pieces[nth];
        if piece.run > 1 || piece.bar != demand.bar {
            return None;
        }
        let events = &job.score.tune.bars[piece.bar].events;
        let after = events.partition_point(|event| event.onset <= demand.onset);
        let first = self.starts[nth];
        let Some(index) = after.checked_sub(1) else { return Some(Spot { gap: first, part: 0.0, offset: 0.0 }) };
        let event = &events[index];
        let figure = &figures[piece.first + index];
        let part = (demand.onset - event.onset).over(event.duration).to_f64().clamp(0.0, 1.0);
        let half = figure.width / 2.0;
        // Time after the last column runs from its middle to the barline.
        let offset = if piece.first + index + 1 == piece.last { half * (1.0 - part) } else { half };
        // Column `index` stands before gap `index + 1` of its piece.
        Some(Spot { gap: first + index + 1, part, offset })
    }
    /// The index of the gap at which the bar's barline begins.
    fn bar_end(&self, pieces: &[Piece], bar: usize) -> Option<usize> {
        let nth = pieces.partition_point(|piece| piece.bar <= bar).checked_sub(1)?;
        (pieces[nth].bar == bar).then(|| self.starts[nth] + pieces[nth].gaps.len())
    }
    /// Keeps two spots `needed` apart.
    fn rod(&mut self, from: &Spot, to: &Spot, needed: f64) {
        let end = to.gap + usize::from(to.part > 0.0);
        if end <= from.gap {
            return;
        }
        let range = from.gap..end.min(self.gaps.len());
        let mut needed = needed;
        let mut shares = Vec::with_capacity(range.len());
        for n in range.clone() {
            let mut share = 1.0;
            if n == from.gap {
                share -= from.part;
            }
            if n == to.gap {
                share -= 1.0 - to.part;
            }
            if self.fixed[n] {
                needed -= self.gaps[n].clearance;
                share = 0.0;
            }
            shares.push(share.max(0.0));
        }
        spacing::widen(&mut self.gaps[range], &shares, needed);
    }
    fn give_back(&self, pieces: &mut [Piece]) {
        for (piece, start) in pieces.iter_mut().zip(&self.starts) {
            for (n, gap) in piece.gaps.iter_mut().enumerate() {
                gap.clearance = gap.clearance.max(self.gaps[start + n].clearance);
            }
        }
    }
}
