//! Words and letters on music, shaped once a tune: faces by the look, glyphs, widths and ink boxes; and heads, drawn once.
//!
//! Takes a text and a face, gives it shaped in ems. Knows no places.

use super::heads::{Head, HeadInk, close_head, head};
use crate::font::{Cut, FaceChoice, FaceId, Fonts, ShapedText, TextFamily, Weight};
use crate::frame::{Ink, Shape, said};
use crate::geom::{Abs, Point};
use crate::style::{EngravingStyle, Family, HeadShape};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

/// A box in staff spaces (or in ems where said), y upwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    /// Left edge.
    pub(super) left: f64,
    /// Lower edge.
    pub(super) bottom: f64,
    /// Right edge.
    pub(super) right: f64,
    /// Upper edge.
    pub(super) top: f64,
}

impl Area {
    /// A box from its four edges.
    pub(super) const fn new(left: f64, bottom: f64, right: f64, top: f64) -> Self {
        Self { left, bottom, right, top }
    }
    /// The box moved.
    pub(super) fn moved(self, x: f64, y: f64) -> Self {
        Self::new(self.left + x, self.bottom + y, self.right + x, self.top + y)
    }
    /// The box seen larger or smaller from its origin.
    pub(super) fn scaled(self, by: f64) -> Self {
        Self::new(self.left * by, self.bottom * by, self.right * by, self.top * by)
    }
    /// The smallest box holding both.
    pub(super) fn union(self, other: Self) -> Self {
        Self::new(
            self.left.min(other.left),
            self.bottom.min(other.bottom),
            self.right.max(other.right),
            self.top.max(other.top),
        )
    }
}

/// A shaped text, in ems.
#[derive(Debug)]
pub(super) struct Word {
    /// What it says.
    pub(super) text: Arc<str>,
    /// Its glyphs in visual order.
    pub(super) shaped: Arc<ShapedText>,
    /// Sum of advances.
    pub(super) width: f64,
    /// The box of its ink; of no size where it has none.
    pub(super) ink: Area,
}

/// A drawn head as it stands on the page where a staff space has a size.
type HeadShapeAt = (Rc<Head>, Abs, Arc<Shape>);

/// Shapes texts, each once.
#[derive(Debug)]
pub(super) struct Lettering<'a> {
    fonts: &'a Fonts,
    family: TextFamily,
    /// Factor on thicknesses of lines.
    lines: f64,
    /// By face.
    words: RefCell<Vec<BTreeMap<Arc<str>, Rc<Word>>>>,
    heads: RefCell<BTreeMap<(HeadShape, i8, bool), Rc<Head>>>,
    shapes: RefCell<Vec<HeadShapeAt>>,
    /// The few words that signs say.
    said: RefCell<Vec<Arc<str>>>,
    /// Signs that their face lacks: a box stands for each.
    missing: RefCell<BTreeSet<char>>,
}

impl<'a> Lettering<'a> {
    /// Nothing shaped yet; labels in the family that the look names.
    pub(super) fn new(fonts: &'a Fonts, style: &EngravingStyle) -> Self {
        let family = match style.labels {
            Family::Serif => TextFamily::Serif,
            Family::Sans => TextFamily::Sans,
            Family::Legible => TextFamily::Legible,
            Family::Mono => TextFamily::Mono,
            Family::Own => TextFamily::Own,
        };
        Self {
            fonts,
            family,
            lines: super::factor::sound(style.lines),
            words: RefCell::default(),
            heads: RefCell::default(),
            shapes: RefCell::default(),
            said: RefCell::default(),
            missing: RefCell::default(),
        }
    }
    /// The faces.
    pub(super) const fn fonts(&self) -> &'a Fonts {
        self.fonts
    }
    /// A face of the family for labels.
    pub(super) fn label(&self, weight: Weight, italic: bool) -> FaceId {
        self.fonts.text(FaceChoice { family: self.family, weight, italic, cut: Cut::SmallText })
    }
    /// The face for sung words and other running text on music: the serif's, except where the look is the legible one.
    pub(super) fn words(&self, weight: Weight, italic: bool) -> FaceId {
        let family = if self.family == TextFamily::Legible { TextFamily::Legible } else { TextFamily::Serif };
        self.fonts.text(FaceChoice { family, weight, italic, cut: Cut::SmallText })
    }
    /// The head of a shape and value, drawn once.
    pub(super) fn head(&self, shape: HeadShape, halvings: i8) -> Rc<Head> {
        self.head_among(shape, halvings, false)
    }
    /// The head of a shape and value, `close` where another stands a third away on its side of the stem.
    pub(super) fn head_among(&self, shape: HeadShape, halvings: i8, close: bool) -> Rc<Head> {
        let key = (shape, halvings.clamp(-1, 2), close);
        let draw = if close { close_head } else { head };
        Rc::clone(
            self.heads.borrow_mut().entry(key).or_insert_with(|| Rc::new(draw(shape, key.1, self.lines, self.fonts))),
        )
    }
    /// A drawn head where a staff space is `space`, its origin at the head's, held once for all its notes; `None` for a head
    /// that is a glyph.
    pub(super) fn head_shape(&self, head: &Rc<Head>, space: Abs) -> Option<Arc<Shape>> {
        let HeadInk::Path(path) = &head.ink else { return None };
        let mut shapes = self.shapes.borrow_mut();
        let known = shapes.iter().find(|(other, size, _)| Rc::ptr_eq(head, other) && *size == space);
        if let Some((_, _, shape)) = known {
            return Some(Arc::clone(shape));
        }
        let path = path.map(|p| Point::new(space * p.x.raw(), space * -p.y.raw()));
        let shape = Arc::new(Shape { path, fill: Some(Ink::Black), stroke: None });
        shapes.push((Rc::clone(head), space, Arc::clone(&shape)));
        Some(shape)
    }
    /// What a sign says, held once for all its places; nothing takes no room.
    pub(super) fn said(&self, says: &'static str) -> Arc<str> {
        let mut all = self.said.borrow_mut();
        if let Some(known) = all.iter().find(|known| &***known == says) {
            return Arc::clone(known);
        }
        let new = said(says);
        all.push(Arc::clone(&new));
        new
    }
    /// The height of capitals in ems.
    pub(super) fn cap_height(&self, face: FaceId) -> f64 {
        self.fonts.face(face).metrics.cap_height.raw()
    }
    /// The height of small letters in ems.
    pub(super) fn x_height(&self, face: FaceId) -> f64 {
        self.fonts.face(face).metrics.x_height.raw()
    }
    /// A text in a face, with lining figures.
    pub(super) fn word(&self, face: FaceId, text: &str) -> Rc<Word> {
        let index = usize::from(face.index());
        if let Some(word) = self.words.borrow().get(index).and_then(|known| known.get(text)) {
            return Rc::clone(word);
        }
        let shaped = self.fonts.shaped(face, text);
        let ink = shaped.ink.map_or(Area::new(0.0, 0.0, 0.0, 0.0), |ink| {
            Area::new(ink.min.x.raw(), ink.min.y.raw(), ink.max.x.raw(), ink.max.y.raw())
        });
        self.missing.borrow_mut().extend(lacking(&shaped, text));
        let text: Arc<str> = text.into();
        let word = Rc::new(Word { text: Arc::clone(&text), width: shaped.width.raw(), shaped, ink });
        let mut words = self.words.borrow_mut();
        if words.len() <= index {
            words.resize_with(index + 1, BTreeMap::new);
        }
        words[index].insert(text, Rc::clone(&word));
        word
    }
    /// The advance width of a text at a type size, both in staff spaces.
    pub(super) fn width(&self, face: FaceId, size: f64, text: &str) -> f64 {
        self.word(face, text).width * size
    }
    /// The signs of all texts so far that their faces lack.
    pub(super) fn missing(&self) -> BTreeSet<char> {
        self.missing.borrow().clone()
    }
}

/// The signs of a shaped text that have no glyph; what shows nothing needs none.
fn lacking<'t>(shaped: &'t ShapedText, text: &'t str) -> impl Iterator<Item = char> + 't {
    let boxes = shaped.glyphs.iter().filter(|glyph| glyph.id == 0);
    let signs = boxes.filter_map(|glyph| text.get(usize::try_from(glyph.cluster).ok()?..)?.chars().next());
    signs.filter(
        |sign| !matches!(sign, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'),
    )
}
