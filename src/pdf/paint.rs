//! One sheet side into a content stream, with what the file needs beside it: links, anchors, structure.
//!
//! One match over the items of a frame. Knows no music: roles, links and inks are all it asks about.

mod text;

use super::content::{Code, Content, Paint, Pen};
use super::leaves::{Leaf, Placed};
use super::options::PdfError;
use super::stamps::Stamps;
use super::structure::{Kid, Tree};
use super::tagging::{Open, Tagger, Under};
use super::typeset::Typeset;
use crate::frame::{Drawing, Frame, Group, Image, Ink, Item, LinkTarget, Mark, Role, Rule, Shape, Stroke};
use crate::geom::{Abs, Point, Rect, Size};
use crate::page::Document;
use crate::sheet::{Placement, Sheet, Turn};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What every side needs to know.
#[derive(Debug, Clone, Copy)]
pub(super) struct Painting<'a> {
    /// The pages.
    pub(super) document: &'a Document,
    /// The faces.
    pub(super) typeset: &'a Typeset,
    /// The names of the pictures by key.
    pub(super) images: &'a BTreeMap<Arc<str>, String>,
    /// The forms of shapes that stand in many places.
    pub(super) stamps: &'a Stamps,
    /// Whether content is tagged and linked.
    pub(super) tagged: bool,
    /// Whether the second ink is a spot colour.
    pub(super) spot: bool,
}

/// A link on a side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Link {
    /// Its area on the side, y downwards.
    pub(super) area: Rect,
    /// Where it leads.
    pub(super) target: LinkTarget,
    /// Its element in the side's tree.
    pub(super) node: usize,
}

/// One painted side.
#[derive(Debug)]
pub(super) struct Side {
    /// The operators.
    pub(super) content: Vec<u8>,
    /// The links.
    pub(super) links: Vec<Link>,
    /// The anchors with their places on the side.
    pub(super) anchors: Vec<(Arc<str>, Point)>,
    /// The structure.
    pub(super) tree: Tree,
}

/// Paints one side.
/// The operators go into `buffer`, which is emptied first.
pub(super) fn paint<'a>(sheet: &'a Sheet, with: Painting<'a>, buffer: Vec<u8>) -> Result<Side, PdfError> {
    let mut painter = Painter {
        with,
        content: Content::new(sheet.boxes.media.height, with.spot, buffer),
        place: Place::default(),
        links: Vec::new(),
        anchors: Vec::new(),
        tagger: Tagger::default(),
        open: Open::Nothing,
        silent: false,
        last: None,
        leaves: Vec::new(),
        codes: Vec::new(),
        lift: Abs::ZERO,
        start: None,
        uncounted: false,
    };
    for placement in &sheet.pages {
        let page = with
            .document
            .pages
            .get(placement.page)
            .ok_or_else(|| PdfError::NoSuchPage { sheet: sheet.label.clone(), page: placement.page })?;
        painter.page(placement, &page.frame, sheet.boxes.media.height);
    }
    painter.frame(&sheet.marks, Point::default(), Under::Aside(Role::Artifact));
    painter.close();
    let Painter { content, links, anchors, tagger, uncounted, .. } = painter;
    if uncounted {
        return Err(PdfError::Audit {
            sheet: sheet.label.clone(),
            fault: "it shows a glyph that no face has in the file".into(),
        });
    }
    let (content, sound) = content.finish();
    if !sound {
        return Err(PdfError::NotANumber { sheet: sheet.label.clone() });
    }
    let mut tree = tagger.tree;
    tree.nodes.shrink_to_fit();
    // Most hold one thing, and a growing list begins with room for four.
    tree.nodes.iter_mut().for_each(|node| node.kids.shrink_to_fit());
    Ok(Side { content, links, anchors, tree })
}

/// How a page lies on the side.
#[derive(Debug, Clone, Copy)]
struct Place {
    at: Point,
    scale: f64,
    turn: Turn,
    /// The page's own size.
    size: Size,
}

impl Default for Place {
    fn default() -> Self {
        Self { at: Point::default(), scale: 1.0, turn: Turn::None, size: Size::default() }
    }
}

impl Place {
    /// A place of the page on the side.
    fn on_side(&self, p: Point) -> Point {
        let Size { width, height } = self.size;
        let p = match self.turn {
            Turn::None => p,
            Turn::Half => Point::new(width - p.x, height - p.y),
            Turn::Quarter => Point::new(height - p.y, p.x),
        };
        self.at + Point::new(p.x * self.scale, p.y * self.scale)
    }
}

struct Painter<'a> {
    with: Painting<'a>,
    content: Content,
    place: Place,
    links: Vec<Link>,
    anchors: Vec<(Arc<str>, Point)>,
    tagger: Tagger,
    open: Open,
    /// Whether a span that says nothing is open inside the marked content.
    silent: bool,
    last: Option<text::LastWords>,
    /// Ink gathered to be painted together.
    leaves: Vec<Placed<'a>>,
    /// Glyphs gathered to be shown together, and how far below the baseline they stand.
    codes: Vec<Code>,
    lift: Abs,
    /// Where in its run the first glyph stands that was shown at a place of its own; what follows is counted from it.
    start: Option<Abs>,
    /// Whether a glyph was shown that was not counted when the faces were made ready.
    uncounted: bool,
}

impl<'a> Painter<'a> {
    fn page(&mut self, placement: &Placement, frame: &'a Frame, media: Abs) {
        let size = frame.size;
        if let Some(clip) = placement.clip {
            self.close();
            self.content.clip(clip.min, clip.max);
        }
        if placement.turn != Turn::None || placement.scale != 1.0 {
            let Placement { at, scale, turn, .. } = *placement;
            let matrix = match turn {
                Turn::None => [scale, 0.0, 0.0, scale, at.x.to_pt(), (media - at.y - size.height * scale).to_pt()],
                Turn::Half => [-scale, 0.0, 0.0, -scale, (at.x + size.width * scale).to_pt(), (media - at.y).to_pt()],
                Turn::Quarter => [0.0, -scale, scale, 0.0, at.x.to_pt(), (media - at.y).to_pt()],
            };
            self.place = Place { at, scale, turn, size };
            self.close();
            let outer = self.content.enter(matrix, size.height);
            self.frame(frame, Point::default(), Under::Page);
            self.close();
            self.content.leave(outer);
            self.place = Place::default();
        } else {
            self.frame(frame, placement.at, Under::Page);
        }
        if placement.clip.is_some() {
            self.close();
            self.content.unclip();
        }
    }

    fn frame(&mut self, frame: &'a Frame, origin: Point, under: Under) {
        self.walk(frame, origin, under);
        self.lay(under);
    }
    /// Gathers the ink of a frame and of the groups in it that belong to the same element; others are painted in their turn.
    fn walk(&mut self, frame: &'a Frame, origin: Point, under: Under) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            let leaf = match item {
                Item::Text(run) => Leaf::Text(run),
                Item::Shape(shape) => Leaf::Shape(shape),
                Item::Stamp(shape) => Leaf::Stamp(shape),
                Item::Rect(rect, ink) => Leaf::Rect(*rect, *ink),
                Item::Image(image) => Leaf::Image(image),
                Item::Drawing(drawing) => Leaf::Drawing(drawing),
                Item::Group(group) if self.is_plain(group, under) => {
                    self.walk(&group.frame, at, under);
                    continue;
                }
                Item::Group(group) => {
                    self.lay(under);
                    let inner = self.group(group, at, under);
                    self.frame(&group.frame, at, inner);
                    continue;
                }
                Item::Anchor(name) => {
                    self.anchors.push((name.clone(), self.place.on_side(at)));
                    continue;
                }
            };
            self.leaves.push(Placed::new(at, leaf));
        }
    }
    /// Paints what is gathered. Black upon black is the same in any order, so what is alike is painted together, and words in
    /// their order after the rest; other inks stay between what is under and over them.
    fn lay(&mut self, under: Under) {
        let mut leaves = std::mem::take(&mut self.leaves);
        for stretch in leaves.chunk_by_mut(|one, other| one.turn.is_some() && other.turn.is_some()) {
            if !stretch.is_sorted_by_key(|placed| placed.turn) {
                stretch.sort_by_key(|placed| placed.turn);
            }
            for Placed { at, leaf, .. } in stretch {
                match leaf {
                    Leaf::Text(run) => self.text(run, *at, under),
                    Leaf::Shape(shape) => self.shape(shape, *at, under),
                    Leaf::Rect(rect, ink) => {
                        self.mark(under, false);
                        self.content.bar(*at + rect.min, *at + rect.max, self.paint(*ink));
                    }
                    Leaf::Stamp(shape) => self.stamp(shape, *at, under),
                    Leaf::Image(image) => self.image(image, *at, under),
                    Leaf::Drawing(drawing) => self.drawing(drawing, *at, under),
                }
            }
        }
        // Its room is used again.
        leaves.clear();
        self.leaves = leaves;
    }

    /// Whether the ink of a group belongs to what the group belongs to.
    fn is_plain(&self, group: &Group, under: Under) -> bool {
        !self.with.tagged || matches!(under, Under::Aside(_)) || (group.tag.is_none() && group.link.is_none())
    }
    /// What the ink of a group belongs to.
    fn group(&mut self, group: &Group, at: Point, under: Under) -> Under {
        let inner = Point::new(at.x + group.frame.size.width, at.y + group.frame.size.height);
        let area = Rect::new(self.place.on_side(at), self.place.on_side(inner));
        let mut under = match &group.tag {
            Some(tag) => self.tagger.enter(tag, area, under),
            None => under,
        };
        if let Some(target) = &group.link
            && let Some(node) = self.tagger.link(under)
        {
            under = Under::Node(node);
            self.tagger.tree.nodes[node].kids.push(Kid::Link(self.links.len()));
            self.links.push(Link { area, target: target.clone(), node });
        }
        under
    }

    /// Sees to it that the marked content of an owner is open, and nothing else.
    fn mark(&mut self, under: Under, is_text: bool) {
        if !self.with.tagged {
            return;
        }
        let wanted = self.tagger.owner(under, is_text, self.open);
        if self.open == wanted {
            return;
        }
        self.close();
        match wanted {
            Open::Aside(role) => self.content.begin_marked("Artifact", aside(role)),
            Open::Node(node) => {
                let number = self.tagger.tree.content(node);
                self.content.begin_numbered(self.tagger.tree.nodes[node].kind.name(), number);
            }
            Open::Nothing => {}
        }
        self.open = wanted;
    }
    fn close(&mut self) {
        self.hush(false);
        if self.open != Open::Nothing {
            self.content.end_marked();
            self.open = Open::Nothing;
        }
    }
    /// Opens or closes the span that says nothing when copied.
    fn hush(&mut self, silent: bool) {
        if self.silent != silent {
            if silent {
                self.content.begin_marked("Span", Some(b"<</ActualText()>>"));
            } else {
                self.content.end_marked();
            }
            self.silent = silent;
        }
    }

    fn paint(&self, ink: Ink) -> Paint {
        match ink {
            Ink::Black => Paint::White(0),
            Ink::Grey(black) => Paint::White(100 - black.min(100)),
            Ink::Paper => Paint::White(100),
            Ink::Second if self.with.spot => Paint::Spot,
            Ink::Second => Paint::White(0),
        }
    }

    fn shape(&mut self, shape: &Shape, at: Point, under: Under) {
        self.mark(under, false);
        let (fill, stroke) = self.look(shape);
        self.content.path(at, &shape.path, fill, stroke);
    }
    fn stamp(&mut self, shape: &Arc<Shape>, at: Point, under: Under) {
        let Some(form) = self.with.stamps.form(shape) else { return self.shape(shape, at, under) };
        self.mark(under, false);
        let (fill, stroke) = self.look(shape);
        self.content.form(form, at, fill, stroke);
    }
    fn look(&self, shape: &Shape) -> (Option<Paint>, Option<Pen>) {
        (shape.fill.map(|ink| self.paint(ink)), shape.stroke.map(|stroke| self.pen(stroke)))
    }
    fn pen(&self, stroke: Stroke) -> Pen {
        Pen { width: stroke.width, paint: self.paint(stroke.ink), round: stroke.round, dash: stroke.dash }
    }
    fn drawing(&mut self, drawing: &Drawing, at: Point, under: Under) {
        self.mark(under, false);
        for layer in &drawing.layers {
            for clip in &layer.clips {
                self.content.clip_to(at, &clip.path, clip.rule == Rule::EvenOdd);
            }
            for mark in &layer.marks {
                match mark {
                    Mark::Fill(area, ink) => {
                        self.content.area(at, &area.path, self.paint(*ink), area.rule == Rule::EvenOdd);
                    }
                    Mark::Stroke(path, stroke) => self.content.path(at, path, None, Some(self.pen(*stroke))),
                }
            }
            for _ in &layer.clips {
                self.content.unclip();
            }
        }
    }

    fn image(&mut self, image: &Image, at: Point, under: Under) {
        let with = self.with;
        if let Some(name) = with.images.get(&image.key) {
            self.mark(under, false);
            self.content.image(name, at, at + Point::new(image.size.width, image.size.height));
        }
    }
}

/// The property list of what is not read (ISO 32000-1, 14.8.2.2; running heads and folios by ISO 14289-1, 7.8).
const fn aside(role: Role) -> Option<&'static [u8]> {
    match role {
        Role::Header => Some(b"<</Type/Pagination/Subtype/Header>>"),
        Role::Footer => Some(b"<</Type/Pagination/Subtype/Footer>>"),
        _ => None,
    }
}
