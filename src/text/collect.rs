//! Inlines into one run of characters with spans: which font, which place, which link.
//!
//! The first phase of setting a paragraph. Emphasis becomes italics or a heavier weight here, and French spacing is put in.

use super::contract::ParagraphLook;
use super::model::Inline;
use super::words::{Font, MONO_SCALE};
use crate::diag::Place;
use crate::font::Weight;
use crate::frame::{Frame, LinkTarget};
use crate::geom::Abs;
use crate::style::{Family, TextStyle};
use std::collections::BTreeMap;
use std::ops::Range;

/// Stands for a sign in the text, so that break classes see a letter (class XX, resolved to AL by UAX 14).
const SIGN: char = '\u{e000}';

/// A stretch of one font.
#[derive(Debug, Clone)]
pub(super) struct Span<'a> {
    pub range: Range<usize>,
    pub font: Font,
    pub place: Option<Place>,
    /// Index into [`Paragraph::links`].
    pub link: Option<usize>,
    /// The frame of a sign; the text is then one placeholder.
    pub sign: Option<(&'a str, &'a Frame)>,
}

/// A paragraph as characters.
#[derive(Debug, Default)]
pub(super) struct Paragraph<'a> {
    pub text: String,
    pub spans: Vec<Span<'a>>,
    pub links: Vec<LinkTarget>,
}

impl Paragraph<'_> {
    /// The place of a byte offset of the text, as near as the inline's own place tells.
    pub fn place(&self, span: usize, offset: usize) -> Option<Place> {
        let span = &self.spans[span];
        let before = self.text.get(span.range.start..offset).map_or(0, |text| text.chars().count());
        span.place.map(|place| Place { column: place.column + u32::try_from(before).unwrap_or(0), ..place })
    }
}

pub(super) fn collect<'a>(
    inlines: &[Inline],
    look: &ParagraphLook,
    style: &TextStyle,
    signs: Option<&'a BTreeMap<String, Frame>>,
) -> Paragraph<'a> {
    let font = Font {
        family: look.family,
        weight: look.weight,
        italic: look.italic && style.italics,
        cut: look.cut,
        old_style: look.old_style,
        tabular: look.tabular,
        // Code is set smaller only where it does not fall below the least size of the book.
        reduced: (look.size * MONO_SCALE + Abs::pt(1e-6)) >= style.smallest,
    };
    let french = style.language.to_ascii_lowercase().starts_with("fr");
    let mut collector =
        Collector { paragraph: Paragraph::default(), italics: style.italics, french, signs, link: None };
    collector.run(inlines, font);
    collector.paragraph
}

struct Collector<'a> {
    paragraph: Paragraph<'a>,
    italics: bool,
    french: bool,
    signs: Option<&'a BTreeMap<String, Frame>>,
    link: Option<usize>,
}

impl Collector<'_> {
    fn run(&mut self, inlines: &[Inline], font: Font) {
        for inline in inlines {
            match inline {
                Inline::Text { text, place } if self.french => self.push(&french_spacing(text), font, *place),
                Inline::Text { text, place } => self.push(text, font, *place),
                Inline::Code { text, place } => {
                    self.push(text, Font { family: Family::Mono, tabular: false, old_style: false, ..font }, *place);
                }
                Inline::Emphasis(inner) => self.run(inner, self.emphasis(font)),
                Inline::Strong(inner) => self.run(inner, Font { weight: Weight::Bold, ..font }),
                Inline::Link { target, inlines } => {
                    self.paragraph.links.push(target.clone());
                    let outer = self.link.replace(self.paragraph.links.len() - 1);
                    self.run(inlines, font);
                    self.link = outer;
                }
                Inline::LineBreak => self.push("\n", font, None),
                // A fact that was not filled in has been complained about; its braces stand.
                Inline::Fact { text, place } => self.push(&format!("{{{text}}}"), font, Some(*place)),
                Inline::Sign { word, place } => self.sign(word, font, *place),
            }
        }
    }

    /// Italics turn upright inside italics; where italics are not allowed a heavier weight says it.
    const fn emphasis(&self, font: Font) -> Font {
        if self.italics {
            return Font { italic: !font.italic, ..font };
        }
        let weight = match font.weight {
            Weight::Regular => Weight::Semibold,
            Weight::Semibold | Weight::Bold => Weight::Bold,
        };
        Font { weight, ..font }
    }

    fn push(&mut self, text: &str, font: Font, place: Option<Place>) {
        if text.is_empty() {
            return;
        }
        let start = self.paragraph.text.len();
        self.paragraph.text.push_str(text);
        let range = start..self.paragraph.text.len();
        self.paragraph.spans.push(Span { range, font, place, link: self.link, sign: None });
    }

    fn sign(&mut self, word: &str, font: Font, place: Option<Place>) {
        match self.signs.and_then(|signs| signs.get_key_value(word)) {
            Some((word, frame)) => {
                let start = self.paragraph.text.len();
                self.paragraph.text.push(SIGN);
                let range = start..self.paragraph.text.len();
                let sign = Some((word.as_str(), frame));
                self.paragraph.spans.push(Span { range, font, place, link: self.link, sign });
            }
            None => self.push(word, font, place),
        }
    }
}

/// Spaces of French typography: a narrow one before `; ! ?` and inside quotation marks, a word space before `:`, none of them
/// a place for a break; quotation marks become guillemets.
///
/// Source: common practice (Imprimerie nationale's habit), from memory.
fn french_spacing(text: &str) -> String {
    const NARROW: char = '\u{202f}';
    const FIXED: char = '\u{a0}';
    let mut out = String::with_capacity(text.len() + 8);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let ends = chars.peek().is_none_or(|next| next.is_whitespace() || matches!(next, '»' | '”' | ')'));
        let space = match c {
            ';' | '!' | '?' if ends => Some(NARROW),
            ':' if ends => Some(FIXED),
            '»' | '”' => Some(NARROW),
            _ => None,
        };
        if let Some(space) = space
            && out.chars().next_back().is_some_and(|before| !matches!(before, '!' | '?' | NARROW | FIXED))
        {
            while out.ends_with(' ') {
                out.pop();
            }
            out.push(space);
        }
        match c {
            '«' | '“' => {
                out.push('«');
                out.push(NARROW);
                while chars.next_if(|next| matches!(next, ' ' | '\u{a0}' | '\u{202f}')).is_some() {}
            }
            '”' => out.push('»'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn french_gets_its_spaces() {
        assert_eq!(french_spacing("Tirez ! Puis : “là”?"), "Tirez\u{202f}! Puis\u{a0}: «\u{202f}là\u{202f}»\u{202f}?");
        assert_eq!(french_spacing("à 10:30, https://a"), "à 10:30, https://a");
    }
}
