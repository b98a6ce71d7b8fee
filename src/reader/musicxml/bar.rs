//! The events of one measure: gaps as rests, chords together, tuplets told apart, beams where the file gives none.
//!
//! Source: MusicXML 4.0, note, backup, forward, time-modification.

use super::part::{OpenTuplet, PartReader};
use crate::tune::{Duration, Event, Fraction, NoteValue, Pitch, Sounding, Tune, Tuplet, TupletId};

impl PartReader<'_> {
    /// The length of one division.
    pub fn division(&self) -> Duration {
        Duration(Fraction::ONE.over(self.divisions * Fraction::new(4, 1)))
    }
    /// Times that are nearer to each other than this are one: files with few divisions round tuplets to whole ones. A file that
    /// counts parts of divisions rounds those alone.
    pub fn tolerance(&self) -> Duration {
        if self.decimals { self.division().times(Fraction::new(1, 16)) } else { self.division() }
    }
    /// Rests where the voice has nothing up to the cursor.
    pub fn fill_to(&mut self, to: Duration) {
        if to - self.filled >= self.tolerance() {
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
        let inside = |open: &OpenTuplet| {
            let outer = self.tune.tuplets.get(open.id.0 as usize);
            let holds = |o: &Tuplet| actual > o.actual && actual % o.actual == 0 && normal % o.normal == 0;
            !open.bracketed && outer.is_some_and(holds)
        };
        if self.tuplet.as_ref().is_some_and(inside) {
            self.changed("a tuplet inside another", "one beside it");
        }
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
    /// Tells tuplets by their lengths where the file gives no ratio: events of thirds or fifths of a plain value, one after
    /// another, that make up a plain one together.
    pub fn find_tuplets(&mut self) {
        let mut at = 0;
        while at < self.bar.events.len() {
            let odd = odd_part(self.bar.events[at].duration);
            if odd == 1 || self.bar.events[at].tuplet.is_some() {
                at += 1;
                continue;
            }
            match self.run_of(at, odd) {
                Some((tuplet, end)) => {
                    let id = TupletId(u32::try_from(self.tune.tuplets.len()).unwrap_or(u32::MAX));
                    self.tune.tuplets.push(tuplet);
                    self.bar.events[at..end].iter_mut().for_each(|event| event.tuplet = Some(id));
                    at = end;
                }
                None => {
                    self.changed("a note or rest of a length that no value draws", "several that are near it together");
                    at += 1;
                }
            }
        }
    }
    /// The tuplet that begins at an event, and where it ends; `None` if none can be drawn.
    fn run_of(&self, from: usize, odd: i64) -> Option<(Tuplet, usize)> {
        const MOST: i64 = 15;
        const MOST_EVENTS: usize = 64;
        let actual = u32::try_from(odd).ok().filter(|_| odd <= MOST)?;
        // As many as the next lower power of two, as usual for 3, 5, 6 and 7.
        let normal: u32 = 1 << actual.ilog2();
        let stretch = Fraction::new(actual.into(), normal.into());
        let mut sum = Duration::ZERO;
        for (nth, event) in self.bar.events.iter().enumerate().skip(from).take(MOST_EVENTS) {
            let drawable = NoteValue::exact(event.duration.times(stretch)).is_some();
            (drawable && event.tuplet.is_none()).then_some(())?;
            sum += event.duration;
            if odd_part(sum) == 1 {
                return Some((Tuplet { actual, normal }, nth + 1));
            }
        }
        None
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

/// What is left of a length's denominator without its twos: 1 for sums of plain values.
fn odd_part(length: Duration) -> i64 {
    let den = length.0.den();
    den >> den.trailing_zeros()
}

/// Joins ties to the same pitch of the next event; those that lead nowhere, or come from nowhere, are dropped. Gives the bars
/// where that happened.
pub(super) fn settle_ties(tune: &mut Tune) -> Vec<(usize, &'static str)> {
    let mut lost = Vec::new();
    // The pitches that the event before is tied on from, and its bar.
    let mut before: Vec<Pitch> = Vec::new();
    let places: Vec<(usize, usize)> =
        tune.bars.iter().enumerate().flat_map(|(bar, b)| (0..b.events.len()).map(move |at| (bar, at))).collect();
    for (nth, (bar, at)) in places.iter().copied().enumerate() {
        let next: Vec<Pitch> = places.get(nth + 1).map_or_else(Vec::new, |(bar, at)| {
            tune.bars[*bar].events[*at].notes().iter().map(|note| note.pitch).collect()
        });
        let mut kept = Vec::new();
        if let Sounding::Head { notes, .. } = &mut tune.bars[bar].events[at].sounding {
            for note in notes {
                let comes = before.contains(&note.pitch);
                if note.tied_from_previous && !comes {
                    lost.push((bar, "a tie that comes from no note of its pitch"));
                }
                note.tied_from_previous = comes;
                if note.tied_to_next && !next.contains(&note.pitch) {
                    note.tied_to_next = false;
                    lost.push((bar, "a tie that leads to no note of its pitch"));
                }
                if note.tied_to_next {
                    kept.push(note.pitch);
                }
            }
        }
        before = kept;
    }
    lost
}

/// A rest without a length.
pub(super) fn rest(visible: bool, whole_bar: bool) -> Event {
    Event::blank(Sounding::Rest { visible, whole_bar })
}
