//! The scale of type: a few named styles, all from the edition's text style, and single-line labels set in them.
//!
//! Nothing comes out smaller than the style's smallest size. Large print has no italics and no serif labels of its own
//! accord: it simply gives another style.

use crate::font::{Cut, FaceChoice, Features, Fonts, TextFamily, Weight};
use crate::frame::{Frame, Ink, Item, Tag, TextRun};
use crate::geom::{Abs, Em, Point, Size};
use crate::style::{Family, TextStyle};
use crate::text::{Align, ParagraphLook};

/// A named style.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Named {
    /// The book's title on its title page.
    BookTitle,
    /// A chapter's or a part's title.
    ChapterTitle,
    /// A tune's title.
    TuneTitle,
    /// A heading in a part.
    Heading,
    /// Running text.
    Text,
    /// Running text, bold.
    Strong,
    /// Small text: imprint, notes, sources.
    Small,
    /// Facts and labels in the sans.
    Label,
    /// Labels that lead: bar numbers, heads of columns.
    LabelStrong,
    /// Running heads and folios.
    Running,
}

/// Share of the text size, weight, whether in the label family, cut. The ratios are ours: a scale of few sizes, each about a
/// fifth to a quarter apart near the text size, and doubled steps above it.
const fn design(named: Named) -> (f64, Weight, bool, Cut) {
    match named {
        Named::BookTitle => (3.6, Weight::Semibold, false, Cut::Display),
        Named::ChapterTitle => (2.1, Weight::Semibold, false, Cut::Display),
        Named::TuneTitle => (1.75, Weight::Semibold, false, Cut::Display),
        Named::Heading => (1.2, Weight::Semibold, false, Cut::Text),
        Named::Text => (1.0, Weight::Regular, false, Cut::Text),
        Named::Strong => (1.0, Weight::Bold, false, Cut::Text),
        Named::Small => (0.84, Weight::Regular, false, Cut::SmallText),
        Named::Label => (0.82, Weight::Regular, true, Cut::Text),
        Named::LabelStrong => (0.82, Weight::Bold, true, Cut::Text),
        Named::Running => (0.82, Weight::Regular, true, Cut::Text),
    }
}

/// The named styles of one edition.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale<'a> {
    /// The faces.
    pub fonts: &'a Fonts,
    /// The edition's text style.
    pub style: &'a TextStyle,
    /// The ink of titles and headings: the second one where the book has two.
    pub titles: Ink,
}

/// One line of words, its origin at the left end of its baseline.
#[derive(Debug, Clone)]
pub(super) struct Label {
    /// The runs and their places from the origin.
    runs: Vec<(Point, TextRun)>,
    /// How wide it is.
    pub width: Abs,
}

impl Scale<'_> {
    /// The size of a style, never under the smallest allowed; titles shrink towards the text where the text is large, so that
    /// they don't shout (large print's own guidelines ask for heads only a fifth larger than text: ACB 2022, 22 to 18 pt).
    pub fn size(&self, named: Named) -> Abs {
        let (share, ..) = design(named);
        let text = self.style.size;
        let share = if text > Abs::pt(14.0) && share > 1.0 { 1.0 + (share - 1.0) * 0.45 } else { share };
        (text * share).max(self.style.smallest)
    }
    /// The face of a style.
    pub fn choice(&self, named: Named) -> FaceChoice {
        let (_, weight, is_label, cut) = design(named);
        let family = text_family(if is_label { self.style.labels } else { self.style.family });
        FaceChoice { family, weight, italic: false, cut }
    }
    /// The ink of a style.
    pub const fn ink(&self, named: Named) -> Ink {
        match named {
            Named::BookTitle | Named::ChapterTitle | Named::TuneTitle | Named::Heading => self.titles,
            _ => Ink::Black,
        }
    }
    /// A style for paragraphs.
    pub fn look(&self, named: Named) -> ParagraphLook {
        let (_, weight, is_label, cut) = design(named);
        let size = self.size(named);
        ParagraphLook {
            family: if is_label { self.style.labels } else { self.style.family },
            weight,
            italic: false,
            cut,
            size,
            steps: self.steps(named),
            align: if self.style.justified && named == Named::Text { Align::Justified } else { Align::Left },
            indent: Abs::ZERO,
            hyphenate: self.style.hyphenate && matches!(named, Named::Text | Named::Small),
            old_style: matches!(named, Named::Text | Named::Small),
            tabular: false,
            ink: self.ink(named),
        }
    }
    /// How many steps of the grid one line of a style takes.
    pub fn steps(&self, named: Named) -> u32 {
        // A line needs 1.15 of its size at least, or descenders and ascenders touch.
        let steps = (self.size(named) * 1.15 / self.style.leading).ceil();
        (steps as u32).max(1)
    }
    /// One line of words.
    pub fn label(&self, named: Named, words: &str) -> Label {
        self.label_at(named, self.size(named), words)
    }
    /// One line of words in a size of its own.
    pub fn label_at(&self, named: Named, size: Abs, words: &str) -> Label {
        let choice = self.choice(named);
        let (mut runs, mut x) = (Vec::new(), Abs::ZERO);
        for (is_sign, part) in split_signs(words) {
            let run = if is_sign {
                // The text faces lack sharps and flats; the music face's are centred on their line, so they are raised.
                let run =
                    TextRun::shaped(self.fonts, self.fonts.music_face(), size * SIGN_SIZE, part, Features::default());
                x += Em::em(0.03).at(size);
                runs.push((Point::new(x, -Em::em(SIGN_RISE).at(size)), run));
                x += Em::em(0.04).at(size);
                &runs.last().expect("a run was just pushed").1
            } else {
                let face = self.fonts.text_for(choice, part);
                let run = TextRun::shaped(self.fonts, face, size, part, Features::default());
                runs.push((Point::new(x, Abs::ZERO), run));
                &runs.last().expect("a run was just pushed").1
            };
            x += run.width();
        }
        Label { runs, width: x }
    }
    /// One line of words with figures of one width, for tables.
    pub fn figures(&self, named: Named, words: &str) -> Label {
        let face = self.fonts.text_for(self.choice(named), words);
        let features = Features { tabular: true, ..Features::default() };
        let run = TextRun::shaped(self.fonts, face, self.size(named), words, features);
        let width = run.width();
        Label { runs: vec![(Point::default(), run)], width }
    }
    /// Height of the capitals of a style.
    pub fn cap_height(&self, named: Named) -> Abs {
        self.fonts.face(self.fonts.text(self.choice(named))).metrics.cap_height.at(self.size(named))
    }
    /// One line of words cut short with an ellipsis where it would be wider than `room`.
    pub fn label_within(&self, named: Named, words: &str, room: Abs) -> Label {
        if words.chars().nth(MOST_CHARACTERS).is_none() {
            let label = self.label(named, words);
            if label.width.fits(room) {
                return label;
            }
        }
        // Halving finds the longest beginning that fits; no label needs more characters than this to be too wide.
        let chars: Vec<char> = words.chars().take(MOST_CHARACTERS).collect();
        let cut = |count: usize| {
            let text: String = chars[..count].iter().collect();
            self.label(named, &format!("{}…", text.trim_end()))
        };
        let (mut fits, mut over) = (0, chars.len());
        while over - fits > 1 {
            let middle = usize::midpoint(fits, over);
            if cut(middle).width.fits(room) { fits = middle } else { over = middle }
        }
        cut(fits)
    }
}

/// Labels are at most so long.
const MOST_CHARACTERS: usize = 400;

/// Size of sharps and flats against the words around them, and their rise in ems.
const SIGN_SIZE: f64 = 0.9;
/// See [`SIGN_SIZE`].
const SIGN_RISE: f64 = 0.34;

/// Parts of a text that are, and are not, sharps, flats and naturals.
fn split_signs(words: &str) -> Vec<(bool, &str)> {
    let is_sign = |c: char| matches!(c, '♯' | '♭' | '♮');
    let mut parts = Vec::new();
    let mut start = 0;
    let mut last = None;
    for (at, c) in words.char_indices() {
        let sign = is_sign(c);
        if last.is_some_and(|last| last != sign) {
            parts.push((!sign, &words[start..at]));
            start = at;
        }
        last = Some(sign);
    }
    if let Some(sign) = last {
        parts.push((sign, &words[start..]));
    }
    parts
}

/// The font room's name of a style's family.
pub(super) const fn text_family(family: Family) -> TextFamily {
    match family {
        Family::Serif => TextFamily::Serif,
        Family::Sans => TextFamily::Sans,
        Family::Legible => TextFamily::Legible,
        Family::Mono => TextFamily::Mono,
        Family::Own => TextFamily::Own,
    }
}

impl Label {
    /// Puts the label with the left end of its baseline at a place.
    pub fn put(self, frame: &mut Frame, at: Point) {
        for (offset, run) in self.runs {
            frame.push(at + offset, Item::Text(run));
        }
    }
    /// The same under a tag, in a box as high as its type over the baseline.
    pub fn put_tagged(self, frame: &mut Frame, at: Point, tag: Tag) {
        let height = self.runs.iter().map(|(_, run)| run.size).fold(Abs::ZERO, Abs::max);
        let mut words = Frame::new(Size::new(self.width, height));
        self.put(&mut words, Point::new(Abs::ZERO, height));
        frame.place_tagged(Point::new(at.x, at.y - height), words, tag);
    }
    /// Puts the label with the right end of its baseline at a place.
    pub fn put_right(self, frame: &mut Frame, at: Point) {
        let width = self.width;
        self.put(frame, Point::new(at.x - width, at.y));
    }
    /// Puts the label with the middle of its baseline at a place.
    pub fn put_centred(self, frame: &mut Frame, at: Point) {
        let half = self.width / 2.0;
        self.put(frame, Point::new(at.x - half, at.y));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_split_from_words() {
        assert_eq!(split_signs("F♯ and B♭"), [(false, "F"), (true, "♯"), (false, " and B"), (true, "♭")]);
        assert_eq!(split_signs(""), []);
    }
}
