//! Paragraphs into lines: the phases in order.

use super::breaks::{Broken, Demand, Item, NEVER, optimum};
use super::collect::collect;
use super::compose::Composer;
use super::contract::{Align, Line, ParagraphLook, baseline, steps};
use super::hyphen;
use super::itemize::{Itemized, Itemizer, Node};
use super::model::Inline;
use super::words::Words;
use crate::diag::Sink;
use crate::font::Fonts;
use crate::frame::Frame;
use crate::geom::{Abs, Size};
use crate::style::TextStyle;
use std::collections::{BTreeMap, BTreeSet};

/// Demerits for two divided lines in a row and for neighbours of unlike looseness: Knuth and Plass 1981 print their
/// example with 3000 each.
const EXTRA: f64 = 3000.0;
/// A ragged line may fall short by so many ems at ratio 1 (our choice).
const RAG: f64 = 3.0;

/// Sets text of one style; keeps every word it has shaped. One a thread.
#[derive(Debug)]
pub struct Typesetter<'a> {
    pub(super) style: &'a TextStyle,
    words: Words<'a>,
    missing: BTreeSet<char>,
    pub(super) signs: Option<&'a BTreeMap<String, Frame>>,
}

impl<'a> Typesetter<'a> {
    /// A typesetter for a style.
    pub fn new(fonts: &'a Fonts, style: &'a TextStyle) -> Self {
        let words = Words::new(fonts, hyphen::patterns(&style.language));
        Self { style, words, missing: BTreeSet::new(), signs: None }
    }

    /// The same typesetter with small frames for [`SIGN_WORDS`](super::SIGN_WORDS), with baselines, drawn for the text size;
    /// words without a frame are set as words.
    #[must_use]
    pub fn with_signs(self, signs: &'a BTreeMap<String, Frame>) -> Self {
        Self { signs: Some(signs), ..self }
    }

    /// Forgets which missing characters it has complained of, and no word: whoever takes it over is told again.
    pub fn begin(&mut self) {
        self.missing.clear();
    }

    /// The style it sets in.
    pub const fn style(&self) -> &'a TextStyle {
        self.style
    }

    /// Sets words into lines of `width`; at least one line unless there is nothing to set. Complains of characters that no
    /// font has and of words wider than the column, and sets them all the same.
    pub fn set(&mut self, inlines: &[Inline], look: &ParagraphLook, width: Abs, sink: &mut Sink) -> Vec<Line> {
        let paragraph = collect(inlines, look, self.style, self.signs);
        if paragraph.text.trim().is_empty() {
            return Vec::new();
        }
        let width = width.max(look.size);
        let itemized = Itemizer::new(&mut self.words, &paragraph, look, width, &mut self.missing).run(sink);
        let broken = break_lines(&itemized, look, width);
        let lead = steps(self.style, look.steps.max(1));
        let mut composer = Composer {
            words: &mut self.words,
            paragraph: &paragraph,
            look,
            width,
            height: lead,
            baseline: lead - steps(self.style, 1) + baseline(self.style),
        };
        let lines = composer.lines(&itemized, &broken);
        if lines.iter().any(|line| !line.width.fits(width + look.size * 0.02)) {
            let place = paragraph.spans.iter().find_map(|span| span.place);
            let is_tied = paragraph.text.contains(['\u{a0}', '\u{202f}', '\u{2060}']);
            let (why, hint) = if is_tied {
                ("words are tied by no-break spaces", "put a plain space where the line may break")
            } else {
                ("the column is too narrow for its words", "indent it less, or use fewer columns")
            };
            sink.warn(code!("wide-line"), place, format!("a line is wider than its column: {why}"))
                .hints
                .push(hint.into());
        }
        lines
    }

    /// One line of words as wide as it comes out, for labels; its height and baseline are those of a set line.
    pub fn label(&mut self, text: &str, look: &ParagraphLook, sink: &mut Sink) -> Frame {
        const WIDE: Abs = Abs::pt(1e6);
        let look = ParagraphLook { align: Align::Left, indent: Abs::ZERO, ..look.clone() };
        let Some(line) = self.set(&[Inline::text(text.replace('\n', " "))], &look, WIDE, sink).into_iter().next()
        else {
            return Frame::new(Size::new(Abs::ZERO, steps(self.style, look.steps.max(1))));
        };
        let mut frame = line.frame;
        frame.size.width = line.width;
        frame
    }

    /// The width of words set in one line.
    pub fn width(&mut self, inlines: &[Inline], look: &ParagraphLook, sink: &mut Sink) -> Abs {
        const WIDE: Abs = Abs::pt(1e6);
        let look = ParagraphLook { align: Align::Left, indent: Abs::ZERO, ..look.clone() };
        self.set(inlines, &look, WIDE, sink).iter().map(|line| line.width).fold(Abs::ZERO, Abs::max)
    }
}

/// In a column of fewer ems a short last line is the lesser evil: every other way leaves holes or divides words (our choice).
const NARROW: f64 = 12.0;

/// First without dividing words, then with, then whatever there is; and before all that with more than a short word on the last
/// line, where the others are then no worse than lines may be.
fn break_lines(itemized: &Itemized, look: &ParagraphLook, width: Abs) -> Broken {
    let widths = [width.raw()];
    let justified = look.align == Align::Justified;
    let skip = if justified { 0.0 } else { look.size.raw() * RAG };
    let demand = |tolerance, overfull| Demand { tolerance, flagged: EXTRA, fitness: EXTRA, skip, overfull };
    let undivided = |items: &[Item]| -> Vec<Item> {
        let nodes = items.iter().zip(&itemized.nodes);
        nodes
            .map(|(item, node)| match (item, node) {
                (Item::Penalty { width, flagged, .. }, Node::Place { hyphen: true }) => {
                    Item::Penalty { width: *width, cost: NEVER, flagged: *flagged }
                }
                (item, _) => *item,
            })
            .collect()
    };
    let whole = undivided(&itemized.items);
    let kept = (!itemized.runts.is_empty() && width >= look.size * NARROW)
        .then(|| {
            let mut items = itemized.items.clone();
            for runt in &itemized.runts {
                if let Item::Penalty { cost, .. } = &mut items[*runt] {
                    *cost = NEVER;
                }
            }
            optimum(&undivided(&items), &widths, &demand(1.0, false))
                .or_else(|| optimum(&items, &widths, &demand(2.0, false)))
        })
        .flatten();
    kept.or_else(|| optimum(&whole, &widths, &demand(1.0, false)))
        .or_else(|| optimum(&itemized.items, &widths, &demand(2.0, false)))
        .or_else(|| optimum(&itemized.items, &widths, &demand(8.0, false)))
        .or_else(|| optimum(&itemized.items, &widths, &demand(f64::INFINITY, true)))
        .unwrap_or_else(|| Broken { breaks: Vec::new(), demerits: 0.0 })
}

#[cfg(test)]
#[path = "typesetter_tests.rs"]
mod tests;
