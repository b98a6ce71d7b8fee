//! Bars with more ink than a line: broken into pieces that fit, with a warning.
//!
//! Takes pieces, gives pieces none of which is wider than a line where that can be helped; breaks between beams and tuplets
//! if possible, else inside them. No note is lost.

use super::castoff::PrefixWidths;
use super::figure::Figure;
use super::job::Job;
use super::measure::{self, Piece};
use super::signature::Prefix;
use super::spacing::Gap;
use crate::diag::Sink;

/// Room kept free of a line's length when a bar is broken: barline, courtesy signs.
const SPARE: f64 = 2.0;

/// Breaks the pieces that are wider than a line of `width`.
pub(super) fn split(job: &Job, figures: &[Figure], pieces: Vec<Piece>, width: f64, sink: &mut Sink) -> Vec<Piece> {
    let tune = job.score.tune;
    let mut all = Vec::with_capacity(pieces.len());
    let mut prefixes = PrefixWidths::default();
    for piece in pieces {
        let prefix = Prefix { key: tune.key_at(piece.bar), meter: Some(tune.meter_at(piece.bar)) };
        let fixed = prefixes.of(job, prefix) + piece.line_head + piece.end + piece.courtesy;
        let room = (width - fixed - SPARE).max(width * 0.3);
        let needed: f64 = piece.line_lead.clearance + clearances(&piece.gaps[1..]);
        if piece.run > 1 || needed <= room + SPARE {
            all.push(piece);
            continue;
        }
        let parts = parts(job, figures, &piece, room);
        let bar = &tune.bars[piece.bar];
        let message = format!("bar {} has more notes than a line holds; it is set on {} lines", bar.label, parts.len());
        let place = bar.place.or_else(|| bar.events.iter().find_map(|event| event.place)).or(tune.place);
        sink.warn(code!("bar-wider-than-line"), place, message)
            .hints
            .push("write it as several bars, or choose a smaller `staff` size".into());
        all.extend(parts);
    }
    all
}

fn clearances(gaps: &[Gap]) -> f64 {
    gaps.iter().map(|gap| gap.clearance).sum()
}

fn parts(job: &Job, figures: &[Figure], piece: &Piece, room: f64) -> Vec<Piece> {
    let count = piece.last - piece.first;
    let mut parts = Vec::new();
    let mut start = 0;
    while start < count {
        // Gap n + 1 stands after figure n of the piece.
        let mut used = piece.line_lead.clearance.max(figures[piece.first + start].left() + 1.0);
        let mut end = start;
        let mut best = None;
        while end < count {
            used += piece.gaps[end + 1].clearance;
            if used > room && end > start {
                break;
            }
            end += 1;
            if end < count && may_break(job, figures, piece.first + end) {
                best = Some(end);
            }
        }
        if end < count {
            end = best.filter(|best| *best > start).unwrap_or(end);
        }
        let range = piece.first + start..piece.first + end;
        let mut part = measure::piece(job, figures, piece.bar, 1, range);
        part.gaps[1..].copy_from_slice(&piece.gaps[start + 1..=end]);
        parts.push(part);
        start = end;
    }
    parts
}

/// Whether a line may break before a figure without cutting a beam or tuplet.
fn may_break(job: &Job, figures: &[Figure], number: usize) -> bool {
    let (before, after) = (&figures[number - 1], &figures[number]);
    let events = &job.score.tune.bars[after.bar].events;
    let tuplet = events[after.event].tuplet;
    (after.beam.is_none() || after.beam != before.beam) && (tuplet.is_none() || tuplet != events[before.event].tuplet)
}
