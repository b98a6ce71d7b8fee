//! Broken items into lines of glyphs: spaces set, punctuation hung, words placed.
//!
//! The last phase of setting a paragraph; `runs.rs` joins what it places.

use super::breaks::Broken;
use super::collect::Paragraph;
use super::contract::{Align, Line, ParagraphLook};
use super::itemize::{Itemized, NARROW_SPACE, Node, SHRINK, STRETCH, hang_left, hang_right};
use super::runs::Runs;
use super::words::{WordId, Words};
use crate::geom::{Abs, Size};
use crate::style::Family;

/// Spaces stretched beyond this look worse than a ragged line, which is set instead (our choice).
const MOST_RATIO: f64 = 6.0;

/// One thing on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Atom {
    /// A word or part of one, shaped as it stands on the line.
    Word { word: WordId, span: usize, divided: bool },
    /// A sign's frame.
    Sign { span: usize },
    /// A gap with its natural width; narrow ones and those of code keep it.
    Space { span: usize, narrow: bool, stretches: bool, width: Abs },
}

/// A word whose parts are being joined: word, span, where it starts, first and last byte.
type OpenWord = Option<(WordId, usize, usize, usize, usize)>;

pub(super) struct Composer<'w, 'a, 'p> {
    pub words: &'w mut Words<'a>,
    pub paragraph: &'p Paragraph<'p>,
    pub look: &'p ParagraphLook,
    /// The column.
    pub width: Abs,
    /// Height of a line, and its baseline from its top.
    pub height: Abs,
    pub baseline: Abs,
}

impl Composer<'_, '_, '_> {
    pub fn lines(&mut self, itemized: &Itemized, broken: &Broken) -> Vec<Line> {
        let mut from = 0;
        let mut lines = Vec::with_capacity(broken.breaks.len());
        for end in &broken.breaks {
            let hyphenated = itemized.nodes[end.item] == Node::Place { hyphen: true };
            let atoms = self.atoms(&itemized.nodes[from..end.item], hyphenated);
            let last = itemized.nodes[end.item] == Node::End;
            lines.push(self.line(&atoms, from == 0, last, hyphenated));
            from = end.item + 1;
        }
        lines
    }

    /// What stands on a line of these nodes, parts of one word joined and shaped as they stand.
    fn atoms(&mut self, nodes: &[Node], hyphenated: bool) -> Vec<Atom> {
        let mut atoms = Vec::new();
        let mut open: OpenWord = None;
        for node in nodes {
            if let Node::Part { word, span, start, from, to } = *node {
                match &mut open {
                    Some((_, _, known, _, end)) if *known == start => *end = to,
                    _ => {
                        self.close(&mut open, false, &mut atoms);
                        open = Some((word, span, start, from, to));
                    }
                }
                continue;
            }
            if matches!(node, Node::Sign { .. } | Node::Space { .. }) {
                self.close(&mut open, false, &mut atoms);
            }
            match *node {
                Node::Sign { span } => atoms.push(Atom::Sign { span }),
                // A gap that begins a line has vanished with the break.
                Node::Space { span, narrow } if !atoms.is_empty() => {
                    let font = self.paragraph.spans[span].font;
                    let space = if narrow { NARROW_SPACE } else { self.words.space(font) };
                    let stretches = !narrow && font.family != Family::Mono;
                    atoms.push(Atom::Space { span, narrow, stretches, width: space.at(self.look.size) });
                }
                _ => {}
            }
        }
        self.close(&mut open, hyphenated, &mut atoms);
        while matches!(atoms.last(), Some(Atom::Space { .. })) {
            atoms.pop();
        }
        atoms
    }

    fn close(&mut self, open: &mut OpenWord, hyphen: bool, atoms: &mut Vec<Atom>) {
        let Some((word, span, _, from, to)) = open.take() else { return };
        let whole = self.words.get(word);
        let word = if from == 0 && to == whole.text.len() && !hyphen {
            word
        } else {
            let text = format!("{}{}", &whole.text[from..to], if hyphen { "-" } else { "" });
            self.words.word(self.paragraph.spans[span].font, &text)
        };
        atoms.push(Atom::Word { word, span, divided: hyphen });
    }

    fn line(&self, atoms: &[Atom], first: bool, last: bool, hyphenated: bool) -> Line {
        let indent = if first { self.look.indent } else { Abs::ZERO };
        let natural: Abs = atoms.iter().map(|atom| self.atom_width(atom)).sum();
        let (left, right) = self.hangs(atoms);
        let room = self.width + left + right - indent;
        let ratio = self.ratio(atoms, room - natural, last);
        let share = if ratio < 0.0 { SHRINK * ratio } else { STRETCH * ratio };
        let stretched: Abs = atoms.iter().filter_map(stretchable).map(|width| width * share).sum();
        let width = natural + stretched;
        let mut x = match self.look.align {
            Align::Left | Align::Justified => indent - left,
            Align::Right => self.width - width,
            Align::Centre => (self.width - width) * 0.5,
        };
        let mut runs = Runs::new(self.words, self.paragraph, self.look, self.baseline);
        for atom in atoms {
            let own = self.atom_width(atom);
            match *atom {
                Atom::Word { word, span, divided } => runs.word(x, span, self.words.get(word), divided),
                Atom::Sign { span } => runs.sign(x, span),
                Atom::Space { span, stretches: true, width, .. } => {
                    runs.space(x, span, ' ', width * (1.0 + share));
                    x += width * share;
                }
                Atom::Space { span, narrow, width, .. } => {
                    runs.space(x, span, if narrow { '\u{202f}' } else { ' ' }, width);
                }
            }
            x += own;
        }
        let mut frame = runs.finish(Size::new(self.width, self.height));
        frame.baseline = Some(self.baseline);
        Line { frame, width: width + indent - left - right, ratio, hyphenated }
    }

    fn ratio(&self, atoms: &[Atom], extra: Abs, last: bool) -> f64 {
        if self.look.align != Align::Justified {
            return 0.0;
        }
        let gaps: Abs = atoms.iter().filter_map(stretchable).sum();
        if gaps <= Abs::ZERO {
            0.0
        } else if extra < Abs::ZERO {
            (extra / (gaps * SHRINK)).max(-1.0)
        } else if last {
            0.0
        } else {
            Some(extra / (gaps * STRETCH)).filter(|ratio| *ratio <= MOST_RATIO).unwrap_or(0.0)
        }
    }

    fn atom_width(&self, atom: &Atom) -> Abs {
        match *atom {
            Atom::Word { word, .. } => self.words.get(word).width.at(self.look.size),
            Atom::Sign { span } => self.paragraph.spans[span].sign.map_or(Abs::ZERO, |(_, frame)| frame.size.width),
            Atom::Space { width, .. } => width,
        }
    }

    /// How much the first and last characters hang out of the column.
    fn hangs(&self, atoms: &[Atom]) -> (Abs, Abs) {
        let left = match (self.look.align, atoms.first()) {
            (Align::Left | Align::Justified, Some(Atom::Word { word, .. })) => {
                let word = self.words.get(*word);
                let share = word.text.chars().next().map_or(0.0, hang_left);
                word.first_advance().at(self.look.size) * share
            }
            _ => Abs::ZERO,
        };
        let right = match (self.look.align, atoms.last()) {
            (Align::Justified, Some(Atom::Word { word, .. })) => {
                let word = self.words.get(*word);
                let share = word.text.chars().next_back().map_or(0.0, hang_right);
                word.last_advance().at(self.look.size) * share
            }
            _ => Abs::ZERO,
        };
        (left, right)
    }
}

const fn stretchable(atom: &Atom) -> Option<Abs> {
    match atom {
        Atom::Space { stretches: true, width, .. } => Some(*width),
        _ => None,
    }
}
