//! Characters into boxes, glue and penalties, each with what it stands for.
//!
//! The second phase of setting a paragraph. Break opportunities are those of Unicode Standard Annex 14 (crate
//! `unicode-linebreak`, Unicode 15.0) with the divisions of words added.

use super::breaks::{ALWAYS, Item, NEVER};
use super::collect::Paragraph;
use super::contract::{Align, ParagraphLook};
use super::opportunities::line_breaks;
use super::words::{Word, WordId, Words};
use crate::diag::Sink;
use crate::geom::{Abs, Em};
use crate::style::Family;
use std::collections::BTreeSet;
use unicode_segmentation::UnicodeSegmentation;

/// What an item stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Node {
    /// Bytes `from..to` of a word that starts at byte `start` of the paragraph.
    Part { word: WordId, span: usize, start: usize, from: usize, to: usize },
    /// A sign's frame.
    Sign { span: usize },
    /// A gap between words; a narrow one is a box and never stretches.
    Space { span: usize, narrow: bool },
    /// A place where a break is allowed, costly or forbidden; with a hyphen if taken.
    Place { hyphen: bool },
    /// A line end that the author asks for, or the paragraph's.
    End,
    /// The fill before it, and the indent.
    Fill,
}

/// A paragraph ready to be broken.
#[derive(Debug, Default)]
pub(super) struct Itemized {
    pub items: Vec<Item>,
    pub nodes: Vec<Node>,
    /// The places that, taken, leave next to nothing on the last line.
    pub runts: Vec<usize>,
}

impl Itemized {
    fn push(&mut self, item: Item, node: Node) {
        self.items.push(item);
        self.nodes.push(node);
    }
    fn end(&mut self) {
        // Nothing may break between the last word and the fill.
        self.push(Item::Penalty { width: 0.0, cost: NEVER, flagged: false }, Node::Fill);
        self.push(Item::Glue { width: 0.0, stretch: 1e5, shrink: 0.0 }, Node::Fill);
        self.push(Item::Penalty { width: 0.0, cost: ALWAYS, flagged: true }, Node::End);
    }
}

/// Cost of a division (Knuth and Plass 1981 use 50); ragged lines gain less from one, so it costs more there (our choice).
const DIVISION: f64 = 50.0;
const DIVISION_RAGGED: f64 = 150.0;
/// Cost of breaking a word anywhere because it is wider than the column.
const ANYWHERE: f64 = 5000.0;
/// Cost of leaving less than [`SHORT`] on the last line where no other lines can be found (our choice).
const LONELY: f64 = 300.0;
const SHORT: Em = Em::em(2.6);
/// What a space may stretch and shrink by, as shares of its width: Knuth and Plass 1981, glue 6, 3, 2.
pub(super) const STRETCH: f64 = 0.5;
pub(super) const SHRINK: f64 = 1.0 / 3.0;
/// Width of a narrow no-break space, which not every face has.
pub(super) const NARROW_SPACE: Em = Em::em(0.16);

/// How much of a character hangs out at the right end of a line, as a share of its width (common practice, no source).
pub(super) fn hang_right(c: char) -> f64 {
    match c {
        '-' | '\u{2010}' | '.' | ',' => 0.6,
        '”' | '’' | '»' => 0.5,
        ':' | ';' | '\u{2013}' => 0.3,
        '\u{2014}' => 0.2,
        _ => 0.0,
    }
}

/// The same at the left end.
pub(super) fn hang_left(c: char) -> f64 {
    match c {
        '“' | '‘' | '«' => 0.5,
        '(' => 0.2,
        _ => 0.0,
    }
}

pub(super) struct Itemizer<'w, 'a, 'p> {
    pub words: &'w mut Words<'a>,
    pub paragraph: &'p Paragraph<'p>,
    pub look: &'p ParagraphLook,
    pub width: Abs,
    /// Characters that were complained about.
    pub missing: &'w mut BTreeSet<char>,
    out: Itemized,
    opportunities: Vec<usize>,
    /// The first opportunity that has not been passed.
    next: usize,
}

impl<'w, 'a, 'p> Itemizer<'w, 'a, 'p> {
    pub fn new(
        words: &'w mut Words<'a>,
        paragraph: &'p Paragraph<'p>,
        look: &'p ParagraphLook,
        width: Abs,
        missing: &'w mut BTreeSet<char>,
    ) -> Self {
        let opportunities = line_breaks(&paragraph.text);
        Self { words, paragraph, look, width, missing, out: Itemized::default(), opportunities, next: 0 }
    }

    pub fn run(mut self, sink: &mut Sink) -> Itemized {
        if self.look.indent > Abs::ZERO {
            self.out.push(Item::Box(self.look.indent.raw()), Node::Fill);
        }
        for span in 0..self.paragraph.spans.len() {
            self.span(span, sink);
        }
        self.keep_last_word();
        self.out.end();
        self.out
    }

    /// A last line of one short word, or of the end of a divided one, is dear: it looks like a mistake.
    fn keep_last_word(&mut self) {
        let out = &mut self.out;
        let short = SHORT.at(self.look.size).raw();
        let (mut at, mut rest) = (out.items.len(), 0.0);
        while at > 0 && rest < short {
            at -= 1;
            match &mut out.items[at] {
                Item::Box(width) => rest += *width,
                Item::Penalty { cost, .. } if *cost == ALWAYS => return,
                Item::Penalty { cost, .. } if *cost < NEVER => {
                    *cost = cost.max(LONELY);
                    out.runts.push(at);
                }
                Item::Penalty { .. } => {}
                Item::Glue { width, .. } => {
                    rest += *width;
                    if at > 0 && !matches!(out.items[at - 1], Item::Penalty { .. }) {
                        out.items.insert(at, Item::Penalty { width: 0.0, cost: LONELY, flagged: false });
                        out.nodes.insert(at, Node::Place { hyphen: false });
                        out.runts.iter_mut().for_each(|runt| *runt += 1);
                        out.runts.push(at);
                    }
                }
            }
        }
    }

    /// Whether the annex allows a break before byte `offset`; asked for in ascending order.
    fn may_break(&mut self, offset: usize) -> bool {
        self.skip_to(offset);
        self.opportunities.get(self.next).is_some_and(|at| *at == offset)
    }

    /// Moves on to the first opportunity at or after `offset`.
    fn skip_to(&mut self, offset: usize) {
        while self.opportunities.get(self.next).is_some_and(|at| *at < offset) {
            self.next += 1;
        }
    }

    fn span(&mut self, nth: usize, sink: &mut Sink) {
        let paragraph = self.paragraph;
        let span = &paragraph.spans[nth];
        let text = paragraph.text.as_str();
        self.words.font(span.font);
        if let Some((_, frame)) = span.sign {
            self.joint(span.range.start);
            self.out.push(Item::Box(frame.size.width.raw()), Node::Sign { span: nth });
            return;
        }
        let mut at = span.range.start;
        while at < span.range.end {
            let rest = &text[at..span.range.end];
            let blank = |c: char| matches!(c, ' ' | '\t' | '\n' | '\r' | '\u{a0}' | '\u{202f}');
            let word = rest.find(blank).unwrap_or(rest.len());
            if word > 0 {
                self.word(nth, at, &rest[..word], sink);
                at += word;
                continue;
            }
            let gap = rest.chars().next().expect("the rest is not empty");
            match gap {
                '\n' => self.out.end(),
                '\u{202f}' => self
                    .out
                    .push(Item::Box(NARROW_SPACE.at(self.look.size).raw()), Node::Space { span: nth, narrow: true }),
                _ => self.space(nth, at + gap.len_utf8(), gap == '\u{a0}'),
            }
            at += gap.len_utf8();
        }
    }

    /// Between two things that touch: a break only where the annex has one.
    fn joint(&mut self, offset: usize) {
        let touching = matches!(self.out.nodes.last(), Some(Node::Part { .. } | Node::Sign { .. }));
        if touching && self.may_break(offset) {
            self.out.push(Item::Penalty { width: 0.0, cost: 0.0, flagged: false }, Node::Place { hyphen: false });
        }
    }

    fn space(&mut self, span: usize, after: usize, fixed: bool) {
        // Spaces at a line's start vanish, and several are one, but for those of code, where they hold columns.
        let after_space = matches!(self.out.nodes.last(), Some(Node::Space { .. }));
        let is_code = self.paragraph.spans[span].font.family == Family::Mono;
        if !(is_code && after_space)
            && matches!(self.out.nodes.last(), None | Some(Node::Space { .. } | Node::End | Node::Fill))
        {
            return;
        }
        let width = self.words.space(self.paragraph.spans[span].font).at(self.look.size).raw();
        // Spaces of code hold its columns and are typed by readers: none is wider than another.
        let stretches = self.look.align == Align::Justified && !is_code;
        let (stretch, shrink) = if stretches { (width * STRETCH, width * SHRINK) } else { (0.0, 0.0) };
        let rest = self.paragraph.text[after..].trim_start_matches([' ', '\t']);
        if fixed || !self.may_break(self.paragraph.text.len() - rest.len()) {
            self.out.push(Item::Penalty { width: 0.0, cost: NEVER, flagged: false }, Node::Place { hyphen: false });
        } else if let Some(hang) = self.hang_before().filter(|hang| *hang > 0.0) {
            self.out.push(Item::Penalty { width: -hang, cost: 0.0, flagged: false }, Node::Place { hyphen: false });
        }
        self.out.push(Item::Glue { width, stretch, shrink }, Node::Space { span, narrow: false });
    }

    /// How much of the last character would hang out if the line ended here.
    fn hang_before(&self) -> Option<f64> {
        if self.look.align != Align::Justified {
            return None;
        }
        let Some(Node::Part { word, to, .. }) = self.out.nodes.last() else { return None };
        let word = self.words.get(*word);
        let share = hang_right(word.text[..*to].chars().next_back()?);
        (share > 0.0).then(|| word.last_advance().at(self.look.size).raw() * share)
    }

    fn word(&mut self, span: usize, start: usize, text: &str, sink: &mut Sink) {
        self.joint(start);
        let font = self.paragraph.spans[span].font;
        let word = self.words.word(font, text);
        self.complain_of_missing(span, start, word, sink);
        let mut places = self.places(start, word, font.family == Family::Mono);
        self.break_if_too_wide(span, start, word, &mut places, sink);
        let hyphen = self.words.hyphen(font).at(self.look.size).raw();
        let hyphen = if self.look.align == Align::Justified { hyphen * (1.0 - hang_right('-')) } else { hyphen };
        let mut from = (0, Em::ZERO);
        for place in places {
            self.part(word, span, start, from, (place.offset, place.width));
            let penalty = match place.kind {
                Kind::Division => {
                    let cost = if self.look.align == Align::Justified { DIVISION } else { DIVISION_RAGGED };
                    Item::Penalty { width: hyphen, cost, flagged: true }
                }
                Kind::AfterHyphen => Item::Penalty { width: 0.0, cost: DIVISION, flagged: true },
                Kind::Plain => Item::Penalty { width: 0.0, cost: 0.0, flagged: false },
                Kind::Anywhere => Item::Penalty { width: 0.0, cost: ANYWHERE, flagged: false },
            };
            self.out.push(penalty, Node::Place { hyphen: place.kind == Kind::Division });
            from = (place.offset, place.width);
        }
        let width = self.words.get(word).width;
        self.part(word, span, start, from, (text.len(), width));
    }

    fn part(&mut self, word: WordId, span: usize, start: usize, from: (usize, Em), to: (usize, Em)) {
        let width = (to.1 - from.1).at(self.look.size).raw();
        self.out.push(Item::Box(width), Node::Part { word, span, start, from: from.0, to: to.0 });
    }

    /// Where a word may be broken, ascending.
    fn places(&mut self, start: usize, word: WordId, is_code: bool) -> Vec<BreakPlace> {
        self.skip_to(start + 1);
        let word = self.words.get(word);
        // A hyphen at a line's end reads as a division, and a reader who types what is printed would leave it out.
        let whole = is_code && word.width.at(self.look.size) <= self.width;
        let mut places = Vec::new();
        for at in self.opportunities[self.next..].iter().take_while(|at| **at < start + word.text.len()) {
            let offset = at - start;
            let before = word.text[..offset].chars().next_back();
            if whole && before != Some('/') {
                continue;
            }
            let kind = match before {
                Some('\u{ad}') => Kind::Division,
                Some('-' | '\u{2010}' | '/') => Kind::AfterHyphen,
                _ => Kind::Plain,
            };
            places.push(BreakPlace { offset, width: Em::ZERO, kind });
        }
        measure(word, &mut places);
        // A hyphen in code would be taken for a part of it.
        if self.look.hyphenate && !is_code && !word.divisions.is_empty() {
            add_divisions(&mut places, &word.divisions);
        }
        places
    }

    /// A word with a part wider than the column is divided where its language allows, else anywhere.
    fn break_if_too_wide(
        &self,
        span: usize,
        start: usize,
        word: WordId,
        places: &mut Vec<BreakPlace>,
        sink: &mut Sink,
    ) {
        let shaped = self.words.get(word);
        let room = self.width.raw() / self.look.size.raw();
        if shaped.width.raw() <= room || self.widest(places, shaped.width) <= room {
            return;
        }
        add_divisions(places, &shaped.divisions);
        if self.widest(places, shaped.width) > room {
            // Looked for among those that are there already, which are in order.
            let known = |offset: &usize| places.binary_search_by_key(offset, |place| place.offset).is_ok();
            let offsets = shaped.text.grapheme_indices(true).skip(1).map(|(offset, _)| offset);
            let new: Vec<usize> = offsets.filter(|offset| !known(offset)).collect();
            places.extend(new.into_iter().map(|offset| BreakPlace { offset, width: Em::ZERO, kind: Kind::Anywhere }));
            places.sort_by_key(|place| place.offset);
            measure(shaped, places);
        }
        let place = self.paragraph.place(span, start);
        let short: String = shaped.text.chars().take(24).collect();
        sink.warn(code!("wide-word"), place, format!("`{short}` is wider than its column and is broken"))
            .hints
            .push("a soft hyphen (U+00AD) in the word says where it may be divided".into());
    }

    fn widest(&self, places: &[BreakPlace], whole: Em) -> f64 {
        let ends = places.iter().map(|place| place.width).chain(std::iter::once(whole));
        let starts = std::iter::once(Em::ZERO).chain(places.iter().map(|place| place.width));
        ends.zip(starts).map(|(end, start)| (end - start).raw()).fold(0.0, f64::max)
    }

    fn complain_of_missing(&mut self, span: usize, start: usize, word: WordId, sink: &mut Sink) {
        for (offset, c) in &self.words.get(word).missing {
            if self.missing.insert(*c) {
                let place = self.paragraph.place(span, start + offset);
                let code = u32::from(*c);
                sink.warn(
                    code!("missing-glyph"),
                    place,
                    format!("no font of the book has `{c}` (U+{code:04X}); a box stands for it"),
                )
                .hints
                .push("write it in words, or with signs that a font has".into());
            }
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Division,
    AfterHyphen,
    Plain,
    Anywhere,
}

#[derive(Debug, Clone, Copy)]
struct BreakPlace {
    offset: usize,
    width: Em,
    kind: Kind,
}

/// Widths up to each place, in one walk over the glyphs: a word of a megabyte must not cost its square.
fn measure(word: &Word, places: &mut [BreakPlace]) {
    let mut glyphs = word.pieces.iter().flat_map(|piece| &piece.glyphs).peekable();
    let mut width = Em::ZERO;
    for place in places {
        while let Some(glyph) = glyphs.next_if(|glyph| (glyph.cluster as usize) < place.offset) {
            width += glyph.advance;
        }
        place.width = width;
    }
}

fn add_divisions(places: &mut Vec<BreakPlace>, divisions: &[(usize, Em)]) {
    for (offset, width) in divisions {
        if let Err(at) = places.binary_search_by_key(offset, |place| place.offset) {
            places.insert(at, BreakPlace { offset: *offset, width: *width, kind: Kind::Division });
        }
    }
}
