//! What every part of a book is set with: the book, the faces, the scale, the words, the type area.

use super::drawn::HandLines;
use super::fill::Area;
use super::flow::{self, Piece};
use super::scale::{Named, Scale};
use super::words::{Words, words};
use crate::book::{Book, Colour};
use crate::diag::{Place, Sink};
use crate::font::{Features, Fonts};
use crate::frame::{Frame, Ink, Role, Tag};
use crate::geom::Abs;
use crate::text::{Block, Inline, Line, ParagraphLook, SetBlock, Surroundings, Typesetter};
use std::num::NonZeroU32;

/// What parts are set with; nothing changes after it is made, but that drawings are put by.
pub(super) struct Setting<'a> {
    /// The book.
    pub book: &'a Book,
    /// The scale of type.
    pub scale: Scale<'a>,
    /// The words of the book's language.
    pub words: &'static Words,
    /// The height of the column in whole steps, and the step.
    pub area: Area,
    /// The width of the type area, which music takes.
    pub width: Abs,
    /// The width of the text column.
    pub measure: Abs,
    /// Hand lines, each drawn once.
    pub hands: HandLines,
}

/// Characters in a line of text: RNIB and common practice want 60 to 70.
const CHARACTERS: f64 = 66.0;
/// Ordinary English, for the average width of a character.
const SAMPLE: &str =
    "the bellows turn where the left hand asks for it, and the right hand finds the same note on the other row";

impl<'a> Setting<'a> {
    /// For one book.
    pub fn new(book: &'a Book, fonts: &'a Fonts) -> Self {
        let titles = if book.press.spot == Colour::None { Ink::Black } else { Ink::Second };
        let scale = Scale { fonts, style: &book.text, titles };
        let area = book.page.type_area();
        let step = book.text.leading;
        let steps = ((area.height / step) + 1e-6).floor().max(1.0);
        let face = fonts.text(scale.choice(Named::Text));
        let sample = fonts.width(face, SAMPLE, Features::default()).at(book.text.size);
        let measure = sample / SAMPLE.chars().count() as f64 * CHARACTERS;
        Self {
            book,
            scale,
            words: words(&book.language),
            area: Area { height: step * steps, step },
            width: area.width,
            measure: measure.min(area.width),
            hands: HandLines::default(),
        }
    }
    /// The faces.
    pub const fn fonts(&self) -> &'a Fonts {
        self.scale.fonts
    }
    /// Whether the book is in large print: 16 points or more (RNIB, *See it right*, from memory).
    pub fn is_large(&self) -> bool {
        self.book.text.size >= Abs::pt(16.0)
    }
    /// A number of steps.
    pub fn steps(&self, count: f64) -> Abs {
        self.area.step * count
    }
    /// A height rounded up to whole steps.
    pub fn whole_steps(&self, height: Abs) -> Abs {
        self.area.step * ((height / self.area.step) - 1e-6).ceil().max(0.0)
    }
    /// The distance from a line's top to its baseline.
    pub fn baseline(&self) -> Abs {
        crate::text::baseline(&self.book.text)
    }
    /// One paragraph of plain words as pieces, two lines at least on either side of a page break.
    pub fn paragraph(&self, named: Named, words: &str, comp: &mut Compositor<'_>) -> Vec<Piece> {
        let tag = (comp.number(), Tag::new(Role::Paragraph));
        self.tagged_lines(named, words, self.measure, tag, comp)
    }
    /// One paragraph in a column of a width, under a tag.
    pub fn tagged_lines(
        &self,
        named: Named,
        words: &str,
        width: Abs,
        tag: (u64, Tag),
        comp: &mut Compositor<'_>,
    ) -> Vec<Piece> {
        self.lines_in(&self.scale.look(named), words, width, tag, comp)
    }
    /// The same in a look of its own.
    pub fn lines_in(
        &self,
        look: &ParagraphLook,
        words: &str,
        width: Abs,
        tag: (u64, Tag),
        comp: &mut Compositor<'_>,
    ) -> Vec<Piece> {
        let lines = comp.set(&[Inline::text(words)], look, width);
        let frames = lines.into_iter().map(|line| line.frame).collect();
        flow::lines(frames, (2, 2), true).into_iter().map(|piece| piece.tagged(tag.0, tag.1.clone())).collect()
    }
}

/// What parted elements are called begins here where a part has named them itself; below, where pages part pieces.
pub(super) const NAMED_IN_PARTS: u32 = 1 << 31;

/// What sets parts: a typesetter that remembers shaped words, tag numbers that no other part uses, complaints.
pub(super) struct Compositor<'a> {
    setter: Typesetter<'a>,
    number: u64,
    /// The part, and how many parted elements it has named.
    part: usize,
    named: u16,
    /// Where the author wrote what is being set, for words that have no place of their own.
    at: Option<Place>,
    /// Complaints of these parts.
    pub sink: Sink,
}

impl<'a> Compositor<'a> {
    /// With a typesetter.
    pub fn new(setter: Typesetter<'a>) -> Self {
        Self { setter, number: 0, part: 0, named: 0, at: None, sink: Sink::default() }
    }
    /// Gives back the typesetter and the complaints.
    pub fn finish(self) -> (Typesetter<'a>, Sink) {
        (self.setter, self.sink)
    }
    /// Goes over to the part of this index, which the author has asked for at a place.
    pub fn begin_part(&mut self, index: usize, at: Option<Place>) {
        self.number = (index as u64) << 32;
        (self.part, self.named) = (index, 0);
        self.at = at;
    }
    /// Sets what the author wrote at another place, if it has one.
    pub fn at<T>(&mut self, place: Option<Place>, work: impl FnOnce(&mut Self) -> T) -> T {
        let part = self.at;
        self.at = place.or(part);
        let out = work(self);
        self.at = part;
        out
    }
    /// Sets a text of the program's own, whose places are in no file of the author's: complaints stand where it was asked for.
    pub fn own_text<T>(&mut self, work: impl FnOnce(&mut Self) -> T) -> T {
        let others = std::mem::take(&mut self.sink);
        let out = work(self);
        let own = std::mem::replace(&mut self.sink, others);
        self.sink.absorb(own.placed(|_| self.at));
        out
    }
    /// Has the typesetter work; what has no place stands where the author wrote what is being set.
    fn placed<T>(&mut self, work: impl FnOnce(&mut Typesetter<'a>, &mut Sink) -> T) -> T {
        let mut own = Sink::default();
        let out = work(&mut self.setter, &mut own);
        self.sink.absorb(own.placed(|item| item.place.or(self.at)));
        out
    }
    /// A tag number that was never given out.
    pub fn number(&mut self) -> u64 {
        self.number += 1;
        self.number
    }
    /// What an element is called whose parts stand in several columns; no other is called so. `None` in a book of so many that
    /// there is no name left.
    pub fn parted(&mut self) -> Option<NonZeroU32> {
        let part = u32::try_from(self.part).ok().filter(|part| *part < NAMED_IN_PARTS >> 16)?;
        self.named = self.named.checked_add(1)?;
        NonZeroU32::new(NAMED_IN_PARTS | part << 16 | u32::from(self.named))
    }
    /// Sets words into lines of a width.
    pub fn set(&mut self, inlines: &[Inline], look: &ParagraphLook, width: Abs) -> Vec<Line> {
        self.placed(|setter, sink| setter.set(inlines, look, width, sink))
    }
    /// One line of words as wide as it comes out.
    pub fn label(&mut self, words: &str, look: &ParagraphLook) -> Frame {
        self.placed(|setter, sink| setter.label(words, look, sink))
    }
    /// Sets blocks into a column of a width.
    pub fn set_blocks(&mut self, blocks: &[Block], around: &Surroundings<'_>, width: Abs) -> Vec<SetBlock> {
        self.placed(|setter, sink| setter.set_blocks(blocks, around, width, sink))
    }
}
