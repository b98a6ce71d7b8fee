//! What engraving takes and gives.

use crate::fingering::Plan;
use crate::frame::Frame;
use crate::geom::Abs;
use crate::instrument::{Instrument, RowAt};
use crate::tune::{NoteId, Onset, Tune};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A counting syllable under the music.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Count {
    /// Index into the tune's bars.
    pub bar: usize,
    /// From the bar's start.
    pub onset: Onset,
    /// The syllable.
    pub syllable: String,
}

/// What is to be engraved.
#[derive(Debug, Clone, Copy)]
pub struct Score<'a> {
    /// The author's short name of the tune; subjects of its ink begin with it.
    pub id: &'a str,
    /// The music.
    pub tune: &'a Tune,
    /// How it is played; `None` gives a plain melody staff with oval heads and no lanes.
    pub plan: Option<&'a Plan>,
    /// The box it is played on; `None` only without a plan.
    pub instrument: Option<&'a Instrument>,
    /// Counting syllables; empty for none.
    pub counts: &'a [Count],
}

impl<'a> Score<'a> {
    /// The music without the graces that its plan leaves out.
    pub(super) fn printed(&self) -> Cow<'a, Tune> {
        self.plan.map_or(Cow::Borrowed(self.tune), |plan| plan.without_left_out(self.tune))
    }
}

/// A sign that the key explains. Plain notation that any reader of music knows is here too, since a tutor's learner may not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// The head of a row.
    RowHead(RowAt),
    /// Bellows pulled: the filled band, an arrow or the word, by the look in use.
    Pull,
    /// Bellows pushed.
    Push,
    /// The hold bar unbroken, or the author's character: reversal.
    Reversal,
    /// The hold bar cut, or the author's character: replay.
    Replay,
    /// A place of the hand.
    Place,
    /// A finger over a head.
    Finger,
    /// A button number.
    Button,
    /// A boxed button number: inner row.
    BoxedButton,
    /// Air in.
    AirOpen,
    /// Air out.
    AirClose,
    /// A bass letter.
    Bass,
    /// A chord letter.
    Chord,
    /// A line after a letter: held.
    LeftHold,
    /// A thin stem on a letter: not on the beat.
    LeftStem,
    /// A chord symbol over the staff.
    ChordSymbol,
    /// Counting.
    Count,
    /// Tie.
    Tie,
    /// Slur.
    Slur,
    /// Repeat signs.
    Repeat,
    /// Bracketed endings.
    Ending,
    /// A pick-up bar.
    PickUp,
    /// A triplet or other tuplet number.
    Tuplet,
    /// Grace notes.
    Grace,
    /// Staccato.
    Staccato,
    /// Accent.
    Accent,
    /// Tenuto.
    Tenuto,
    /// Fermata.
    Fermata,
    /// Breath comma.
    Breath,
    /// Two strokes through the top line: everything stops.
    Caesura,
    /// Trill.
    Trill,
    /// Turn.
    Turn,
    /// Mordents.
    Mordent,
    /// Roll.
    Roll,
    /// A short line up into a head.
    Slide,
    /// Segno.
    Segno,
    /// Coda.
    Coda,
    /// D.C., D.S. or Fine.
    Jump,
    /// A bar's number.
    BarNumber,
    /// A sharp, flat or natural before a note.
    Accidental,
}

/// Where a bar stands in its system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarExtent {
    /// Index into the tune's bars.
    pub bar: usize,
    /// Its left edge from the frame's left edge.
    pub left: Abs,
    /// Its right edge.
    pub right: Abs,
}

/// One line of music.
#[derive(Debug, Clone, PartialEq)]
pub struct System {
    /// The ink; its width is the width asked for, its top is the highest and its bottom the lowest ink, each bar's ink in a
    /// group whose subject is `tune:ID bar:LABEL`.
    pub frame: Arc<Frame>,
    /// The top staff line from the frame's top.
    pub staff_top: Abs,
    /// The bottom staff line from the frame's top.
    pub staff_bottom: Abs,
    /// White between the bottom staff line and the highest letter of the left hand; `None` where it has none.
    pub to_letters: Option<Abs>,
    /// The bars, left to right.
    pub bars: Vec<BarExtent>,
    /// The heads and graces in it.
    pub notes: Vec<NoteId>,
    /// The heads and graces with fingers over them.
    pub fingers: Vec<NoteId>,
    /// How many events of its first bar stand on the line before.
    pub after: usize,
    /// How many events of its last bar stand on it or before it, where the bar goes on on the next line.
    pub until: Option<usize>,
    /// The signs it used.
    pub signs: BTreeSet<Sign>,
    /// How far it may move up into the white of the system before it in the tune, from where their boxes touch, before their
    /// ink is as near as the boxes would let the nearest ink be; zero for the first.
    pub nests: Abs,
}
