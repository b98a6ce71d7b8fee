//! Blocks of code: lines as typed, whole and in one size throughout a text; what is too long at the least size goes on below.

use super::blocks::{Before, Inset, Setter};
use super::contract::{Content, Keep, Line, ParagraphLook, SetBlock, steps};
use super::model::{Block, Inline};
use super::turned::{self, Part};
use super::words::MONO_SCALE;
use crate::diag::{Place, Sink};
use crate::frame::{Frame, Role, Tag};
use crate::geom::{Abs, Point, Size};

/// Code of no more lines, and no more than this share of a page, is not parted; longer code has so many lines on either side of a
/// page's end (our choice).
const WHOLE_CODE: usize = 12;
const MOST_WHOLE_CODE: f64 = 0.5;
const LEAST_CODE: u32 = 4;

/// Sizes of code against the text: the usual one, the least that it takes to stay in the column, and the least at all, where the
/// type's own least size lets it (our choice).
const CODE: f64 = 0.86;
const CODE_IN_COLUMN: f64 = 0.74;
const CODE_LEAST: f64 = 0.63;
impl Setter<'_, '_, '_> {
    pub(super) fn code(&mut self, text: &str, place: Place, inset: &Inset, sink: &mut Sink) {
        self.keep_before(Keep::Rather);
        let (width, size, letter) = self.code_fit(text, place, inset, sink);
        let column = std::mem::replace(&mut self.width, width);
        let plain = ParagraphLook { hyphenate: false, size, ..ParagraphLook::cell(self.style()) };
        let room = turned::letters((width - inset.left - inset.right) / letter);
        let parts = turned::lines(text, room);
        let is_turned = parts.iter().any(|part| part.is_turned);
        let mut lines = Vec::new();
        for part in parts {
            let Part { line, text, column, is_turned, is_broken } = part;
            let look = ParagraphLook { indent: letter * column as f64, ..plain.clone() };
            let place = Place { line: place.line + u32::try_from(line).unwrap_or(0), ..place };
            if is_broken {
                let short: String = text.chars().take(24).collect();
                sink.warn(code!("wide-word"), Some(place), format!("`{short}` is wider than its column and is broken"))
                    .hints
                    .push("code goes on below at a blank: shorten the word, or make type or page fit it".into());
            }
            let mut set = self.lines(&[Inline::Code { text, place: Some(place) }], &look, inset, sink);
            if set.is_empty() {
                let frame = Frame::new(Size::new(self.width, steps(self.style(), 1)));
                set.push(Line { frame, width: Abs::ZERO, ratio: 0.0, hyphenated: false });
            }
            if let Some(first) = set.first_mut().filter(|_| is_turned) {
                let sign = turned::sign(letter);
                let x = inset.left + letter * (column as f64 - turned::SIGN_BEFORE);
                let y = first.frame.baseline.unwrap_or_default() - sign.size.height;
                // It says how the line is printed, which nobody need hear.
                first.frame.place_tagged(Point::new(x, y), sign, Tag::new(Role::Artifact));
            }
            lines.extend(set);
        }
        self.width = column;
        let under_heading = self.before == Before::Heading && self.label.is_none();
        let count = lines.len();
        let mut block = SetBlock::new(Content::Lines(lines), Role::Paragraph);
        block.space_before = u32::from(!under_heading);
        // What is short is seen at a glance or not at all: a mark under a letter, a file's last key.
        let short = self.page_height().is_none_or(|page| block.height() <= page * MOST_WHOLE_CODE);
        block.is_turned = is_turned;
        block.may_split = count > WHOLE_CODE || !short;
        (block.least_first, block.least_last) = (LEAST_CODE, LEAST_CODE);
        self.push(block, inset);
        self.before = Before::Other;
    }

    /// The width that lines of code have, their size and the width of one letter. Code that is set in the column has the size of
    /// the whole text's; what is too wide for it takes as much of the page as the page lets it, at no larger size; whole lines,
    /// if that can be, since signs in one line point at letters of another.
    fn code_fit(&mut self, text: &str, place: Place, inset: &Inset, sink: &mut Sink) -> (Abs, Abs, Abs) {
        let (full, letter) = (self.style().size, self.letter(place, sink));
        let fits = |width: Abs| fit(text, width - inset.left - inset.right, letter);
        let least = self.least_code();
        let widest = self.surroundings.widest.unwrap_or(self.width).max(self.width);
        let (width, factor) = match fits(self.width) {
            column if column >= CODE_IN_COLUMN.max(least) => (self.width, column),
            _ => (widest, fits(widest)),
        };
        let factor = factor.min(self.code).clamp(least, CODE.max(least));
        // Letters of one width are set at a share of the size asked for.
        (width, full * factor / MONO_SCALE, letter * factor)
    }

    /// The size of a text's code against the text: as large as the longest line lets it that can stand in the column. A size
    /// for each block would make the same letters now larger, now smaller, by the length of a line.
    pub(super) fn code_of(&mut self, blocks: &[Block], sink: &mut Sink) -> f64 {
        let mut found: Vec<(&str, Place)> = Vec::new();
        gather(blocks, &mut found);
        let Some((_, place)) = found.first() else { return f64::INFINITY };
        let (letter, least) = (self.letter(*place, sink), self.least_code());
        let fits = found.iter().map(|(text, _)| fit(text, self.width, letter));
        fits.filter(|factor| *factor >= CODE_IN_COLUMN.max(least)).fold(f64::INFINITY, f64::min)
    }

    /// The least size of code against the text.
    fn least_code(&self) -> f64 {
        (self.style().smallest / self.style().size).max(CODE_LEAST)
    }

    /// How wide a letter of code is at the size of the text.
    fn letter(&mut self, place: Place, sink: &mut Sink) -> Abs {
        let (full, smallest) = (self.style().size, self.style().smallest);
        let look = ParagraphLook { size: full, hyphenate: false, ..ParagraphLook::cell(self.style()) };
        let letter = self.typesetter.width(&[Inline::Code { text: "0".to_owned(), place: Some(place) }], &look, sink);
        if full * MONO_SCALE >= smallest { letter / MONO_SCALE } else { letter }
    }
}

/// The factor at which the longest line of a text is as wide as `room`, its letters being `letter` wide at factor 1.
fn fit(text: &str, room: Abs, letter: Abs) -> f64 {
    let longest = text.lines().map(|line| line.chars().count()).max().unwrap_or(0).max(1);
    room / (letter * longest as f64) * 0.999
}

/// The letters of the longest line of all code of a text; 0 where it has none.
pub fn longest_code(blocks: &[Block]) -> usize {
    let mut found = Vec::new();
    gather(blocks, &mut found);
    found.iter().flat_map(|(text, _)| text.lines()).map(|line| line.chars().count()).max().unwrap_or(0)
}

/// All code of a text, that in lists and quotations too.
fn gather<'b>(blocks: &'b [Block], found: &mut Vec<(&'b str, Place)>) {
    for block in blocks {
        match block {
            Block::Code { text, place } => found.push((text, *place)),
            Block::List { items, .. } => items.iter().for_each(|item| gather(item, found)),
            Block::Quote(inner) => gather(inner, found),
            _ => {}
        }
    }
}
