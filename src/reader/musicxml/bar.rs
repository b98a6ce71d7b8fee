//! The events of one measure: gaps as rests, chords together, tuplets told apart, beams where the file gives none.
//!
//! Source: MusicXML 4.0, note, backup, forward, time-modification.

use super::part::{OpenTuplet, PartReader};
use crate::tune::{Duration, Event, Fraction, NoteValue, Sounding, Tune, Tuplet, TupletId};

impl PartReader<'_> {
    /// The length of one division.
    pub fn division(&self) -> Duration {
        Duration(Fraction::ONE.over(self.divisions * Fraction::new(4, 1)))
    }
    /// Rests where the voice has nothing up to the cursor.
    pub fn fill_to(&mut self, to: Duration) {
        // Less than a division is the rounding of tuplets in files with few divisions.
        if to - self.filled >= self.division() {
            let rest = Event { duration: to - self.filled, ..rest(false, false) };
            self.bar.events.push(rest);
            self.filled = to;
        }
    }
    /// Fills the bar up to its end; a bar where the voice is silent is a bar of rest.
    pub fn fill_to_end(&mut self) {
        let end = self.furthest;
        if self.bar.events.is_empty() && self.filled.is_zero() {
            if !end.is_zero() {
                self.bar.events.push(Event { duration: end, ..rest(true, false) });
                self.filled = end;
            }
        } else {
            self.fill_to(end);
        }
    }
    /// Which tuplet a note belongs to that is drawn as `drawn`; `bracket` tells of the file's own start and stop.
    pub fn tuplet_of(&mut self, ratio: Option<(u32, u32)>, drawn: Duration, bracket: (bool, bool)) -> Option<TupletId> {
        let Some((actual, normal)) = ratio else {
            self.tuplet = None;
            return None;
        };
        let same = |open: &OpenTuplet| {
            !bracket.0 && self.tune.tuplets.get(open.id.0 as usize) == Some(&Tuplet { actual, normal })
        };
        let mut open = self.tuplet.filter(same).unwrap_or_else(|| {
            let id = TupletId(u32::try_from(self.tune.tuplets.len()).unwrap_or(u32::MAX));
            OpenTuplet { id, drawn: Duration::ZERO, least: drawn, bracketed: bracket.0 }
        });
        if open.id.0 as usize == self.tune.tuplets.len() {
            self.tune.tuplets.push(Tuplet { actual, normal });
        }
        open.drawn += drawn;
        open.least = open.least.min(drawn);
        // Whole when it holds `actual` of one plain value, none less than its least.
        let share = open.drawn.times(Fraction::new(1, actual.into()));
        let plain = NoteValue::exact(share).is_some_and(|value| value.dots == 0);
        let whole = if open.bracketed { bracket.1 } else { bracket.1 || (plain && share >= open.least) };
        self.tuplet = (!whole).then_some(open);
        Some(open.id)
    }
    /// Whether a note is beamed to the one before where the file has no beams: both short, in one beat.
    pub fn beamed_by_beat(&self, drawn: Duration) -> bool {
        let quarter = Duration::new(1, 4);
        let Some(last) = self.bar.events.last() else { return false };
        let short = drawn < quarter && last.duration < quarter && last.head().is_some();
        let inside = !self.filled.0.remainder(self.meter.beat().0).is_zero();
        short && inside
    }
}

/// Joins ties to the same pitch of the next event; those that lead nowhere are dropped. Gives the bars where that happened.
pub(super) fn settle_ties(tune: &mut Tune) -> Vec<usize> {
    let mut lost = Vec::new();
    let places: Vec<(usize, usize)> =
        tune.bars.iter().enumerate().flat_map(|(bar, b)| (0..b.events.len()).map(move |at| (bar, at))).collect();
    for (nth, (bar, at)) in places.iter().copied().enumerate() {
        if !tune.bars[bar].events[at].notes().iter().any(|note| note.tied_to_next) {
            continue;
        }
        let next = places.get(nth + 1).copied();
        let mut joined = Vec::new();
        if let Some((bar, at)) = next
            && let Sounding::Head { notes, .. } = &mut tune.bars[bar].events[at].sounding
        {
            for note in notes.iter_mut() {
                joined.push(note.pitch);
                note.tied_from_previous = true;
            }
        }
        let mut kept = Vec::new();
        if let Sounding::Head { notes, .. } = &mut tune.bars[bar].events[at].sounding {
            for note in notes.iter_mut().filter(|note| note.tied_to_next) {
                note.tied_to_next = joined.contains(&note.pitch);
                if note.tied_to_next {
                    kept.push(note.pitch);
                } else {
                    lost.push(bar);
                }
            }
        }
        if let Some((bar, at)) = next
            && let Sounding::Head { notes, .. } = &mut tune.bars[bar].events[at].sounding
        {
            notes.iter_mut().for_each(|note| note.tied_from_previous = kept.contains(&note.pitch));
        }
    }
    lost
}

/// A rest without a length.
pub(super) fn rest(visible: bool, whole_bar: bool) -> Event {
    Event::blank(Sounding::Rest { visible, whole_bar })
}
