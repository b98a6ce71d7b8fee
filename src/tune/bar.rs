//! A tune as written: bars of events with everything an engraver needs.

use super::address::{Address, BarLabel, NoteId};
use super::harmony::ChordSymbol;
use super::marks::{Annotation, Jump, Landmark, Lyric, Mark};
use super::pitch::{Accidental, KeySignature, Pitch};
use super::time::{Duration, Fraction, Meter, Onset};
use crate::diag::Place;
use smallvec::SmallVec;
use thin_vec::ThinVec;

/// Who made a tune and where it is from, as the file says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Credits {
    /// Composers, one entry a name line.
    pub composer: Vec<String>,
    /// Where it is from (a region).
    pub origin: Vec<String>,
    /// Where it was collected or printed.
    pub source: Vec<String>,
    /// Who wrote the file down.
    pub transcription: Vec<String>,
    /// A rights statement.
    pub rights: Vec<String>,
    /// Remarks, history, book, discography: anything else, as `label: text`.
    pub notes: Vec<String>,
}

/// A tempo: words, a beat and a rate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tempo {
    /// Text before the figures.
    pub before: Option<String>,
    /// The parts of the beat (one, or several to be summed); empty when the file gives words only.
    pub beat: Vec<Duration>,
    /// Beats a minute; `None` when the file gives words only.
    pub bpm: Option<u32>,
    /// Text after the figures.
    pub after: Option<String>,
}

impl Tempo {
    /// Whole notes a minute, if the tempo has figures.
    pub fn wholes_a_minute(&self) -> Option<Fraction> {
        let beat: Duration = self.beat.iter().copied().sum();
        let bpm = self.bpm.filter(|bpm| *bpm > 0)?;
        (!beat.is_zero()).then(|| beat.0 * Fraction::new(bpm.into(), 1))
    }
}

/// What a barline looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum BarlineStyle {
    /// Nothing stands there.
    #[default]
    None,
    /// One thin line.
    Single,
    /// Two thin lines.
    Double,
    /// Thin, then thick: the end.
    Final,
    /// Thick, then thin.
    HeavyLight,
    /// Dotted or dashed.
    Dotted,
    /// Counted but not drawn.
    Invisible,
}

/// One side of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Barline {
    /// The lines.
    pub style: BarlineStyle,
    /// On a right side: the music up to here is played this many times in all (2 for a plain repeat sign); 0 for none.
    pub repeat_end: u8,
    /// On a left side: a repeat starts here.
    pub repeat_start: bool,
}

/// A bracketed ending that starts at a bar.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Ending {
    /// The passes on which it is played, ascending, from 1.
    pub passes: Vec<u8>,
    /// Index of the last bar it covers, in [`Tune::bars`].
    pub last_bar: usize,
    /// Whether its bracket is closed at the right (a repeat sign or the end follows).
    pub closed: bool,
}

/// The value of a note or rest as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct NoteValue {
    /// Halvings of a whole note: -1 breve, 0 whole, 1 half, 2 quarter, 3 eighth, up to 8.
    pub halvings: i8,
    /// Augmentation dots.
    pub dots: u8,
}

impl NoteValue {
    /// A value without dots.
    pub const fn plain(halvings: i8) -> Self {
        Self { halvings, dots: 0 }
    }
    /// Its length outside tuplets.
    pub fn duration(self) -> Duration {
        let base = match self.halvings {
            h if h < 0 => Fraction::new(1 << (-h).min(8), 1),
            h => Fraction::new(1, 1 << h.min(20)),
        };
        let dots = i64::from(self.dots.min(8));
        Duration(base * Fraction::new((1 << (dots + 1)) - 1, 1 << dots))
    }
    /// The one value of at most three dots that lasts exactly `duration`, if there is one.
    pub fn exact(duration: Duration) -> Option<Self> {
        let (num, den) = (duration.0.num(), duration.0.den());
        // With its dots a value lasts 1, 3, 7 or 15 times a power of two.
        let dots = match num.checked_shr(num.trailing_zeros()) {
            Some(1) => 0,
            Some(3) => 1,
            Some(7) => 2,
            Some(15) => 3,
            _ => return None,
        };
        let halvings = i64::from(den.trailing_zeros()) - i64::from(num.trailing_zeros()) - i64::from(dots);
        let halvings = i8::try_from(halvings).ok().filter(|halvings| (-1..=8).contains(halvings))?;
        (den.count_ones() == 1).then_some(Self { halvings, dots })
    }
    /// The notes that together last `duration`, for a beat that no single one has: dotted and plain ones, the longest first
    /// (five eighths are a dotted quarter and a quarter). Empty for lengths that notes outside tuplets cannot make up.
    pub fn sum(duration: Duration) -> Vec<Self> {
        const MOST: usize = 6;
        if let Some(value) = Self::exact(duration) {
            return vec![value];
        }
        // Single dots: a beat is counted in twos and threes.
        let mut values: Vec<Self> =
            (-1..=8).flat_map(|halvings| (0..=1).map(move |dots| Self { halvings, dots })).collect();
        values.sort_by_key(|value| (std::cmp::Reverse(value.dots > 0), std::cmp::Reverse(value.duration())));
        let mut all = Vec::new();
        let mut rest = duration;
        while !rest.is_zero() {
            let fits = |value: &&Self| value.duration() <= rest;
            let Some(next) = Self::exact(rest)
                .filter(|value| value.dots <= 1)
                .or_else(|| values.iter().find(fits).copied())
                .filter(|_| all.len() < MOST)
            else {
                return Vec::new();
            };
            rest = Duration(rest.0 - next.duration().0);
            all.push(next);
        }
        all
    }
}

/// One pitch of a head.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Note {
    /// The sounding, spelt pitch.
    pub pitch: Pitch,
    /// The sign written before it in the source, if any (the engraver decides what is printed).
    pub written_sign: Option<Accidental>,
    /// Whether it is tied to the same pitch of the next head.
    pub tied_to_next: bool,
    /// Whether it continues a tie.
    pub tied_from_previous: bool,
}

/// The pitches of a head, lowest first. Nearly all heads have one, so it lies in the event itself.
pub type Notes = SmallVec<[Note; 2]>;

/// A grace note: takes no time of the bar.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Grace {
    /// Its id.
    pub id: NoteId,
    /// Its pitches, lowest first; more than one for a grace chord.
    pub notes: Notes,
    /// Its value as drawn.
    pub value: NoteValue,
}

/// What an event sounds.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Sounding {
    /// A head: one note or a chord, lowest pitch first, at least one.
    Head {
        /// Its id.
        id: NoteId,
        /// Its pitches, lowest first.
        notes: Notes,
    },
    /// A rest.
    Rest {
        /// Whether it is drawn.
        visible: bool,
        /// Whether it fills a whole bar (drawn as a bar rest, centred); the number of bars it stands for is one, since
        /// readers expand multi-bar rests; [`Bar::rest_run`] tells the engraver what to draw together.
        whole_bar: bool,
    },
}

/// A tuplet of a tune, as an index into [`Tune::tuplets`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TupletId(pub u32);

/// `actual` notes in the time of `normal`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tuplet {
    /// The printed number.
    pub actual: u32,
    /// The time of how many.
    pub normal: u32,
}

/// A head or rest in a bar. A book has tens of thousands, and most have no list: an empty one is a pointer wide.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// From the start of the bar.
    pub onset: Onset,
    /// How long it sounds, tuplets applied.
    pub duration: Duration,
    /// As drawn.
    pub value: NoteValue,
    /// What sounds.
    pub sounding: Sounding,
    /// Grace notes before it.
    pub graces: ThinVec<Grace>,
    /// Whether the grace notes are slashed.
    pub graces_slashed: bool,
    /// Signs on it.
    pub marks: ThinVec<Mark>,
    /// Free texts.
    pub annotations: ThinVec<Annotation>,
    /// Chord symbols at its onset.
    pub chord_symbols: ThinVec<ChordSymbol>,
    /// One entry a verse; `None` where the verse has no syllable here.
    pub lyrics: ThinVec<Option<Lyric>>,
    /// Whether the source writes it without a gap after the previous event (beams follow it).
    pub beamed_to_previous: bool,
    /// The tuplet it belongs to (innermost).
    pub tuplet: Option<TupletId>,
    /// Where it stands in the source.
    pub place: Option<Place>,
}

impl Event {
    /// The head's id, `None` for rests.
    pub const fn head(&self) -> Option<NoteId> {
        match &self.sounding {
            Sounding::Head { id, .. } => Some(*id),
            Sounding::Rest { .. } => None,
        }
    }
    /// The head's notes, lowest first; empty for rests.
    pub fn notes(&self) -> &[Note] {
        match &self.sounding {
            Sounding::Head { notes, .. } => notes,
            Sounding::Rest { .. } => &[],
        }
    }
}

/// One bar as written (or one half of a bar that a repeat sign splits).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// Its printed number.
    pub label: BarLabel,
    /// From the start of the tune as written.
    pub onset: Onset,
    /// How long its events are together.
    pub length: Duration,
    /// Its left side.
    pub left: Barline,
    /// Its right side.
    pub right: Barline,
    /// An ending that starts here.
    pub ending: Option<Ending>,
    /// A metre that starts here.
    pub meter: Option<Meter>,
    /// A key that starts here.
    pub key: Option<Box<KeySignature>>,
    /// A tempo that starts here.
    pub tempo: Option<Box<Tempo>>,
    /// The label of a part that starts here.
    pub part: Option<String>,
    /// Marks that jumps refer to.
    pub landmarks: ThinVec<Landmark>,
    /// A jump ordered at its end.
    pub jump: Option<Jump>,
    /// Signs on its right barline.
    pub barline_marks: ThinVec<Mark>,
    /// When this bar is the first of several whole-bar rests written as one: how many.
    pub rest_run: u32,
    /// Whether the source ends a line after it (a hint for line breaks).
    pub line_ends: bool,
    /// Heads and rests in order.
    pub events: Vec<Event>,
    /// Where it starts in the source.
    pub place: Option<Place>,
}

/// A slur from one head to another (graces count as heads here).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Slur {
    /// Where it starts.
    pub from: NoteId,
    /// Where it ends.
    pub to: NoteId,
    /// Whether it is dotted.
    pub dotted: bool,
}

/// A tune as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tune {
    /// The title; empty if the file gives none.
    pub title: String,
    /// Further titles.
    pub other_titles: Vec<String>,
    /// Reference number in its file.
    pub number: Option<u32>,
    /// Who and where from.
    pub credits: Credits,
    /// The kind of dance, as the file says.
    pub rhythm: Option<String>,
    /// The key at the start.
    pub key: KeySignature,
    /// The metre at the start.
    pub meter: Meter,
    /// The unit note length of the source, for writing it back.
    pub unit: Duration,
    /// The tempo at the start.
    pub tempo: Option<Tempo>,
    /// The bars in written order; none is empty of events.
    pub bars: Vec<Bar>,
    /// The tuplets that events refer to.
    pub tuplets: Vec<Tuplet>,
    /// The slurs.
    pub slurs: Vec<Slur>,
    /// Labels hung before the verses (`1.`), one entry a verse, empty where none.
    pub verse_labels: Vec<String>,
    /// Words printed below the tune, one entry a line.
    pub words: Vec<String>,
    /// The order of the parts if the file gives one, expanded: labels in played order.
    pub part_order: Vec<String>,
    /// Addresses by id: `addresses[id.index()]`.
    pub addresses: Vec<Address>,
    /// Where it starts in the source.
    pub place: Option<Place>,
}

impl Tune {
    /// Leaves off all words to be sung, those under the notes and those below the tune.
    pub fn leave_words(&mut self) {
        self.words = Vec::new();
        for event in self.bars.iter_mut().flat_map(|bar| &mut bar.events) {
            event.lyrics = ThinVec::new();
        }
    }
    /// How many heads and graces it has; ids run below it.
    pub fn note_count(&self) -> usize {
        self.addresses.len()
    }
    /// The author's name of a note.
    pub fn address(&self, id: NoteId) -> Address {
        self.addresses[id.index()]
    }
    /// The note an author names.
    pub fn find(&self, address: Address) -> Option<NoteId> {
        let index = self.addresses.iter().position(|a| *a == address)?;
        u32::try_from(index).ok().map(NoteId)
    }
    /// The index of a bar by its printed number.
    pub fn bar_index(&self, label: BarLabel) -> Option<usize> {
        self.bars.iter().position(|bar| bar.label == label)
    }
    /// The metre in force at a bar.
    pub fn meter_at(&self, bar: usize) -> &Meter {
        self.bars[..=bar.min(self.bars.len().saturating_sub(1))]
            .iter()
            .rev()
            .find_map(|bar| bar.meter.as_ref())
            .unwrap_or(&self.meter)
    }
    /// The key in force at a bar.
    pub fn key_at(&self, bar: usize) -> &KeySignature {
        self.bars[..=bar.min(self.bars.len().saturating_sub(1))]
            .iter()
            .rev()
            .find_map(|bar| bar.key.as_deref())
            .unwrap_or(&self.key)
    }
    /// Gives every grace and head its id in written order and fills [`Tune::addresses`]; readers call it once, at the end.
    /// Slurs are given by the readers' provisional ids, which must already be in that same order.
    pub fn number_notes(&mut self) {
        self.addresses.clear();
        for bar in &mut self.bars {
            let mut note = 0;
            for event in &mut bar.events {
                if let Sounding::Head { .. } = event.sounding {
                    note += 1;
                }
                let next = note.max(1);
                for (nth, grace) in event.graces.iter_mut().enumerate() {
                    grace.id = NoteId(u32::try_from(self.addresses.len()).expect("readers bound the number of notes"));
                    let grace = u32::try_from(nth + 1).ok();
                    self.addresses.push(Address { bar: bar.label, note: next, grace });
                }
                if let Sounding::Head { id, .. } = &mut event.sounding {
                    *id = NoteId(u32::try_from(self.addresses.len()).expect("readers bound the number of notes"));
                    self.addresses.push(Address { bar: bar.label, note, grace: None });
                }
            }
        }
        self.addresses.shrink_to_fit();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_and_durations_agree() {
        assert_eq!(NoteValue::exact(Duration::new(3, 8)), Some(NoteValue { halvings: 2, dots: 1 }));
        assert_eq!(NoteValue::exact(Duration::new(7, 16)), Some(NoteValue { halvings: 2, dots: 2 }));
        assert_eq!(NoteValue::exact(Duration::new(5, 16)), None);
        for odd in [Duration::ZERO, Duration::new(1, 12), Duration::new(4, 1), Duration::new(1, 512)] {
            assert_eq!(NoteValue::exact(odd), None, "{odd}");
        }
        for (halvings, dots) in (-1..=8).flat_map(|halvings| (0..=3).map(move |dots| (halvings, dots))) {
            let value = NoteValue { halvings, dots };
            assert_eq!(NoteValue::exact(value.duration()), Some(value));
        }
        assert_eq!(NoteValue::plain(-1).duration(), Duration::new(2, 1));
    }

    #[test]
    fn beats_that_no_note_has_are_sums() {
        let of = |num, den| {
            NoteValue::sum(Duration::new(num, den)).into_iter().map(|v| v.duration().to_string()).collect::<Vec<_>>()
        };
        assert_eq!(of(3, 8), ["3/8"]);
        assert_eq!(of(5, 8), ["3/8", "1/4"]);
        assert_eq!(of(9, 8), ["3/4", "3/8"]);
        assert_eq!(of(5, 16), ["3/16", "1/8"]);
        assert_eq!(of(11, 8), ["3/4", "3/8", "1/4"]);
        assert_eq!(of(1, 3), [""; 0]);
        assert_eq!(of(0, 1), [""; 0]);
    }
}
