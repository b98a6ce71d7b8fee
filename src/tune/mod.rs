//! What is played, in exact musical time, and the order in which it is played. Knows no paper and no buttons.
//!
//! A [`Tune`] is bars of events as written. A *head* is what an author counts as one note of a bar: a note or a chord, tied
//! ones too. Heads and grace notes get a [`NoteId`] when the tune is read; authors speak in [`Address`]es.

mod address;
mod bar;
mod blank;
mod harmony;
mod marks;
mod pitch;
mod played;
mod time;
mod transpose;

pub use address::{Address, BarLabel, NoteId};
pub use bar::{
    Bar, Barline, BarlineStyle, Credits, Ending, Event, Grace, Note, NoteValue, Notes, Slur, Sounding, Tempo, Tune,
    Tuplet, TupletId,
};
pub use harmony::{ChordQuality, ChordSymbol, SymbolPart};
pub use marks::{Annotation, Jump, Landmark, Lyric, Mark, Placement, Syllable};
pub use pitch::{Accidental, KeySignature, Mode, Pitch, PitchClass, Step};
pub use played::{Passage, played};
pub use time::{Duration, Fraction, Meter, Onset};
pub use transpose::Interval;

/// A tune has at most so many verses under its notes: more leave no room for another line on a page.
pub const MOST_VERSES: usize = 16;

/// Lists of one in most places.
pub use smallvec::{SmallVec, smallvec};
/// Lists that are empty in most places.
pub use thin_vec::{ThinVec, thin_vec};
