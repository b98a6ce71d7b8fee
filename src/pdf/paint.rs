//! One sheet side into a content stream, with what the file needs beside it: links, anchors, structure.
//!
//! One match over the items of a frame. Knows no music: roles, links and inks are all it asks about.

use super::content::{Code, Content, Paint, Pen};
use super::leaves::{Leaf, Placed};
use super::operand::{push_literal, text_bytes};
use super::options::PdfError;
use super::stamps::Stamps;
use super::structure::{Kid, Tree};
use super::tagging::{Open, Tagger, Under};
use super::typeset::{Clusters, Typeset};
use crate::font::FaceId;
use crate::frame::{Drawing, Frame, Group, Image, Ink, Item, LinkTarget, Mark, Role, Rule, Shape, Stroke, TextRun};
use crate::geom::{Abs, Point, Rect};
use crate::page::Document;
use crate::sheet::{Placement, Sheet};
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
    let Painter { content, links, anchors, tagger, .. } = painter;
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
    turned_about: Option<(Abs, Abs)>,
}

impl Default for Place {
    fn default() -> Self {
        Self { at: Point::default(), scale: 1.0, turned_about: None }
    }
}

impl Place {
    /// A place of the page on the side.
    fn on_side(&self, p: Point) -> Point {
        let p = match self.turned_about {
            Some((width, height)) => Point::new(width - p.x, height - p.y),
            None => p,
        };
        self.at + Point::new(p.x * self.scale, p.y * self.scale)
    }
}

/// Where the words of an element last ended.
#[derive(Debug, Clone, Copy)]
struct LastWords {
    node: usize,
    face: FaceId,
    size: Abs,
    paint: Paint,
    /// The end of the last run on its baseline.
    end: Point,
    /// Whether what follows on another line, or at a distance, is another word.
    parts: bool,
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
    last: Option<LastWords>,
    /// Ink gathered to be painted together.
    leaves: Vec<Placed<'a>>,
    /// Glyphs gathered to be shown together, and how far below the baseline they stand.
    codes: Vec<Code>,
    lift: Abs,
    /// Where in its run the first glyph stands that was shown at a place of its own; what follows is counted from it.
    start: Option<Abs>,
}

impl<'a> Painter<'a> {
    fn page(&mut self, placement: &Placement, frame: &'a Frame, media: Abs) {
        let size = frame.size;
        if let Some(clip) = placement.clip {
            self.close();
            self.content.clip(clip.min, clip.max);
        }
        if placement.upside_down || placement.scale != 1.0 {
            let scale = placement.scale;
            let matrix = if placement.upside_down {
                let (x, y) = (placement.at.x + size.width * scale, media - placement.at.y);
                [-scale, 0.0, 0.0, -scale, x.to_pt(), y.to_pt()]
            } else {
                let y = media - placement.at.y - size.height * scale;
                [scale, 0.0, 0.0, scale, placement.at.x.to_pt(), y.to_pt()]
            };
            let turned_about = placement.upside_down.then_some((size.width, size.height));
            self.place = Place { at: placement.at, scale, turned_about };
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

    fn text(&mut self, run: &TextRun, at: Point, under: Under) {
        let with = self.with;
        let Some(face) = with.typeset.face(run.face) else { return };
        self.mark(under, true);
        let paint = self.paint(run.ink);
        self.part_words(run, at);
        self.start = None;
        let row = run.glyphs.row();
        for cluster in Clusters::of(run, &row) {
            let says = match cluster.glyphs {
                _ if cluster.text.is_empty() => Says::Nothing,
                [glyph] if face.known(glyph.id).says(cluster.text) => Says::Itself,
                _ => Says::Text,
            };
            if (says == Says::Nothing) != self.silent {
                self.flush(run, paint, at);
                self.start = None;
                self.hush(says == Says::Nothing);
            }
            if says == Says::Text {
                self.flush(run, paint, at);
                self.content.begin_span("Span", &actual_text(cluster.text));
            }
            for (nth, glyph) in cluster.glyphs.iter().enumerate() {
                let lift = row.lift(cluster.first + nth);
                if self.lift != lift {
                    self.flush(run, paint, at);
                    (self.lift, self.start) = (lift, None);
                }
                let known = face.known(glyph.id);
                self.codes.push(Code { code: known.code, x: Abs::pt(f64::from(glyph.x)), width: known.width });
            }
            if says == Says::Text {
                self.flush(run, paint, at);
                self.content.end_span();
            }
        }
        self.flush(run, paint, at);
        self.end_words(run, paint, at);
    }
    /// Shows a space where a run follows another of its element on a new line or at a distance, so that words stay apart
    /// when they are read aloud or copied (ISO 32000-1, 14.8.2.5). A divided word ends in a hyphen and goes on.
    fn part_words(&mut self, run: &TextRun, at: Point) {
        let Some(last) = self.last.take() else { return };
        let new_line = (at.y - last.end.y).abs().to_pt() > 0.5;
        let gap = (at.x - last.end.x).abs().to_pt() > last.size.to_pt() * 0.15;
        let goes_on = run.text.starts_with(char::is_whitespace) || run.text.is_empty();
        if self.open != Open::Node(last.node) || !last.parts || goes_on || !(new_line || gap) {
            return;
        }
        let face = self.with.typeset.face(last.face);
        if let Some((face, code)) = face.and_then(|face| Some((face, face.space()?))) {
            self.hush(false);
            let space = Code { code, x: Abs::ZERO, width: face.width(code) };
            self.content.glyphs(last.face.index(), last.size, last.paint, last.end, &[space]);
        }
    }
    fn end_words(&mut self, run: &TextRun, paint: Paint, at: Point) {
        let Open::Node(node) = self.open else { return };
        if run.text.is_empty() || !self.tagger.is_prose(node) {
            return;
        }
        let end = at + Point::new(run.width(), Abs::ZERO);
        let goes_on = ['-', '\u{AD}', '\u{2010}', '\u{2014}'];
        let parts = !run.text.ends_with(char::is_whitespace) && !run.text.ends_with(goes_on);
        self.last = Some(LastWords { node, face: run.face, size: run.size, paint, end, parts });
    }
    /// Shows the glyphs gathered so far. What a glyph says by itself depends on the whole file, and so does where spans part a
    /// run; where its glyphs stand does not, so that a page of a reprint is drawn as it is in a whole file.
    fn flush(&mut self, run: &TextRun, paint: Paint, at: Point) {
        let Some(first) = self.codes.first().map(|code| code.x) else { return };
        let start = self.start.unwrap_or(first);
        for code in &mut self.codes {
            code.x -= start;
        }
        if self.start.is_some() {
            self.content.more(&self.codes);
        } else {
            let at = at + Point::new(start, self.lift);
            self.content.glyphs(run.face.index(), run.size, paint, at, &self.codes);
            self.start = Some(start);
        }
        self.codes.clear();
    }
}

/// What copying gives for a cluster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Says {
    /// What the face's map says.
    Itself,
    /// Something else, said by a span.
    Text,
    /// Nothing.
    Nothing,
}

/// The property list of what is not read (ISO 32000-1, 14.8.2.2; running heads and folios by ISO 14289-1, 7.8).
const fn aside(role: Role) -> Option<&'static [u8]> {
    match role {
        Role::Header => Some(b"<</Type/Pagination/Subtype/Header>>"),
        Role::Footer => Some(b"<</Type/Pagination/Subtype/Footer>>"),
        _ => None,
    }
}

/// A property list with replacement text (ISO 32000-1, 14.9.4).
fn actual_text(text: &str) -> Vec<u8> {
    let mut out = b"<</ActualText".to_vec();
    push_literal(&mut out, &text_bytes(text));
    out.extend_from_slice(b">>");
    out
}
