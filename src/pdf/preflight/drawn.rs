//! What the pages of a file draw, gathered by the walk over them.

use super::Verdict;
use super::graphics::{Measure, least};
use super::paths::Edge;
use super::survey::{Page, mm};
use super::walk::Walk;
use lopdf::{Document, ObjectId};
use std::collections::{BTreeMap, BTreeSet};

/// Most findings of one kind that are kept; a report shows fewer.
const KEPT: usize = 20;

/// Whether the program of a font is in the file; of several fonts of one name the worst counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Carried {
    /// It is.
    Whole,
    /// It cannot be unpacked whole, or is too large to.
    Unread,
    /// What stands in its place is no font.
    NoFont,
    /// It is not.
    Absent,
}

/// What is drawn.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawn {
    /// Families of colour spaces, spot inks by name.
    pub(super) colours: BTreeSet<String>,
    /// Spaces by device for which no other space stands: what paints in them has the output condition's colour.
    pub(super) plain: BTreeSet<String>,
    /// Spaces by device that stand for another kind of space, in plain words (ISO 32000-1, 8.6.5.6).
    pub(super) defaults: BTreeSet<String>,
    /// Operators that the standard does not know.
    pub(super) unknown: BTreeSet<String>,
    /// What pages call by a name that leads to nothing, in plain words.
    pub(super) missing: BTreeSet<String>,
    /// Fonts by name, and whether all of that name are embedded.
    pub(super) fonts: BTreeMap<String, Carried>,
    /// Transparency, in plain words.
    pub(super) transparency: BTreeSet<String>,
    /// Transfer curves and halftones that are forbidden, in plain words.
    pub(super) curves: BTreeSet<String>,
    /// Filters of inline images.
    pub(super) filters: BTreeSet<String>,
    /// What some rule forbids and only content shows, in plain words.
    pub(super) oddities: BTreeSet<&'static str>,
    /// What came with PDF 1.5 or later, in plain words.
    pub(super) later: BTreeSet<&'static str>,
    /// Deepest nesting of saved states.
    pub(super) deepest: usize,
    /// The thinnest line or filled rectangle in points.
    pub(super) thinnest: Option<f64>,
    /// Fewest dots an inch of a picture in tones, and its page.
    pub(super) tones: Option<(f64, usize)>,
    /// Fewest dots an inch of a picture in black and white alone, and its page.
    pub(super) bilevel: Option<(f64, usize)>,
    /// Pages with ink that ends too near to the trim, in plain words, and how many there are.
    pub(super) edges: (Vec<String>, usize),
    /// What has ink whose ends are not measured, in plain words.
    pub(super) unmeasured: BTreeSet<String>,
    /// Pages with pictures or shadings in CMYK, whose inks are not told apart.
    pub(super) mixes: BTreeSet<usize>,
    /// Pages with pictures that alone know their colour space.
    pub(super) sealed: BTreeSet<usize>,
    /// Whether any CMYK black is not black alone, or any colour is chromatic.
    pub(super) chromatic: bool,
    /// Whether blend modes outside the standard are used.
    pub(super) odd_blends: BTreeSet<String>,
}

impl Drawn {
    /// Walks all pages of a file of so many bytes; gives also what could not be read.
    pub(super) fn of(file: &Document, bytes: usize, ids: &[ObjectId], pages: &[Page]) -> (Self, Vec<String>) {
        let mut walk = Walk::new(file, bytes);
        for (index, (id, page)) in ids.iter().zip(pages).enumerate() {
            if !walk.page(index + 1, *id, page) {
                break;
            }
        }
        walk.done()
    }

    /// Notes what a page calls and the file does not have.
    pub(super) fn miss(&mut self, page: usize, what: &str, name: &[u8]) {
        if self.missing.len() < KEPT {
            let name = String::from_utf8_lossy(&name[..name.len().min(60)]).escape_debug().to_string();
            self.missing.insert(format!("page {page} calls {what} `{name}`, which is not in the file"));
        }
    }
    /// Notes a page whose content leads to nothing.
    pub(super) fn hollow(&mut self, page: usize) {
        if self.missing.len() < KEPT {
            self.missing.insert(format!("page {page} has content that is not in the file"));
        }
    }
    /// Notes a page that sets text in no font.
    pub(super) fn fontless(&mut self, page: usize) {
        if self.missing.len() < KEPT {
            self.missing.insert(format!("page {page} sets text in no font"));
        }
    }
    /// Notes ink whose end is not measured.
    pub(super) fn unmeasure(&mut self, words: String) {
        if self.unmeasured.len() < KEPT {
            self.unmeasured.insert(words);
        }
    }
    /// Notes a page with a picture or shading in CMYK.
    pub(super) fn mixed(&mut self, page: usize) {
        if self.mixes.len() < KEPT {
            self.mixes.insert(page);
        }
    }
    /// Notes a page with a picture whose colour space is inside it.
    pub(super) fn uncoloured(&mut self, page: usize) {
        if self.sealed.len() < KEPT {
            self.sealed.insert(page);
        }
    }
    /// As a verdict is, but "cannot tell" where a pass rests on colours that are not read.
    pub(super) fn coloured(&self, verdict: Verdict) -> Verdict {
        match (verdict, self.sealed.first()) {
            (Verdict::Pass(_), Some(page)) => {
                Verdict::CannotTell(format!("page {page}: the colour of a picture in JPEG 2000 is not read"))
            }
            (other, _) => other,
        }
    }
    /// Notes an operator that the standard does not know.
    pub(super) fn stranger(&mut self, word: String) {
        if self.unknown.len() < KEPT {
            self.unknown.insert(word);
        }
    }
    /// Adds what was measured on a page.
    pub(super) fn measured(&mut self, page: usize, measure: &Measure, edge: Option<Edge>) {
        // A page begins with a line width of one (ISO 32000-1, table 52).
        for thin in [measure.thinnest, measure.bare].into_iter().flatten() {
            least(&mut self.thinnest, thin);
        }
        for (slot, found) in [(&mut self.tones, measure.tones), (&mut self.bilevel, measure.bilevel)] {
            if let Some(dots) = found
                && slot.is_none_or(|(known, _)| dots < known)
            {
                *slot = Some((dots, page));
            }
        }
        if let Some(Edge { inside, name }) = edge {
            let (words, count) = &mut self.edges;
            *count += 1;
            if words.len() < KEPT {
                let apart = mm(inside.abs());
                words.push(match inside {
                    _ if apart < 0.05 => format!("page {page}: ink ends at the trim, at the {name}"),
                    _ if inside < 0.0 => format!("page {page}: ink ends {apart:.1} mm beyond the trim at the {name}"),
                    _ => format!("page {page}: ink ends {apart:.1} mm inside the trim at the {name}"),
                });
            }
        }
    }
}
