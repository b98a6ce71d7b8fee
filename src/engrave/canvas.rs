//! The ink of one system while it is being set: music glyphs, texts and paths in staff spaces, y upwards from the bottom
//! staff line, each with a label that says what it is. At the end it becomes a frame.
//!
//! Takes ink with places, gives a frame and the two edges of the ink. Everything that is put on it raises the edges at
//! once, so what comes later can stand clear of it. Knows no music.

use super::heads::{Head, HeadInk};
use super::lettering::{Area, Lettering, Word};
use super::outline::Outline;
use super::skyline::Skyline;
use crate::font::{FaceId, MusicGlyph};
use crate::frame::{Frame, Glyph, Glyphs, Group, Ink as Colour, Item, Shape, Stroke, Subject, TextRun};
use crate::geom::{Abs, Path, Point, Rect, Segment, Size, Sp, Space};
use std::rc::Rc;
use std::sync::Arc;

/// What a piece of ink is. Pieces of one kind and owner belong together; a test holds all others apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Kind {
    Staff,
    Clef,
    Key,
    Meter,
    Barline,
    Head,
    Ledger,
    Stem,
    Flag,
    Beam,
    Accidental,
    Dot,
    Rest,
    Grace,
    Tie,
    Slur,
    Tuplet,
    Articulation,
    Ornament,
    Fermata,
    Breath,
    Dynamic,
    Annotation,
    Finger,
    Place,
    Direction,
    Air,
    HoldBar,
    Button,
    Words,
    Left,
    Count,
    ChordSymbol,
    Tempo,
    Part,
    Ending,
    Jump,
    BarNumber,
}

/// What a piece of ink is, and whose: for note-bound ink the event's number in the tune, else any number that tells pieces
/// apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Label {
    /// What it is.
    pub(super) kind: Kind,
    /// Whose it is.
    pub(super) of: usize,
}

impl Label {
    /// A label.
    pub(super) const fn new(kind: Kind, of: usize) -> Self {
        Self { kind, of }
    }
}

/// One piece of ink.
#[derive(Debug, Clone)]
pub(super) struct Ink {
    /// What it is and whose.
    pub(super) label: Label,
    /// The bar it belongs to (index into the tune); `None` for ink of the whole line.
    pub(super) bar: Option<usize>,
    /// The box of the ink, in staff spaces.
    pub(super) area: Area,
    what: What,
}

#[derive(Debug, Clone)]
enum What {
    Glyph {
        id: u16,
        advance: f64,
        x: f64,
        y: f64,
        scale: f64,
        says: &'static str,
    },
    Text {
        face: FaceId,
        size: f64,
        word: Rc<Word>,
        x: f64,
        y: f64,
    },
    /// The box of the ink itself, black.
    Rect,
    /// A drawn head.
    Head {
        head: Rc<Head>,
        x: f64,
        y: f64,
        scale: f64,
    },
    Fill(Path<Space>),
    Stroke {
        path: Path<Space>,
        width: f64,
        dash: Option<(f64, f64)>,
        round: bool,
    },
}

/// The ink of a system, and its edges.
#[derive(Debug)]
pub(super) struct Canvas<'a> {
    letters: &'a Lettering<'a>,
    /// The length of the line.
    pub(super) width: f64,
    inks: Vec<Ink>,
    /// The upper edge of all ink so far.
    pub(super) upper: Skyline,
    /// The lower edge.
    pub(super) lower: Skyline,
    /// The bar that ink put on from now belongs to.
    pub(super) bar: Option<usize>,
}

impl<'a> Canvas<'a> {
    /// An empty canvas for a line of `width`.
    pub(super) fn new(letters: &'a Lettering<'a>, width: f64) -> Self {
        Self {
            letters,
            width,
            inks: Vec::with_capacity(512),
            upper: Skyline::upper(width),
            lower: Skyline::lower(width),
            bar: None,
        }
    }
    /// Shaped texts and faces.
    pub(super) const fn letters(&self) -> &'a Lettering<'a> {
        self.letters
    }
    /// All ink so far.
    pub(super) fn inks(&self) -> &[Ink] {
        &self.inks
    }
    fn put(&mut self, label: Label, area: Area, what: What) -> Area {
        self.upper.add(area.left, area.right, area.top);
        self.lower.add(area.left, area.right, area.bottom);
        self.inks.push(Ink { label, bar: self.bar, area, what });
        area
    }
    /// A glyph of the music font with its origin at (`x`, `y`), `scale` times its normal size.
    pub(super) fn glyph(&mut self, label: Label, name: &'static str, x: f64, y: f64, scale: f64) -> Area {
        self.spoken(label, name, x, y, scale, "")
    }
    /// A music glyph that copying and reading aloud give as `says`.
    pub(super) fn spoken(
        &mut self,
        label: Label,
        name: &'static str,
        x: f64,
        y: f64,
        scale: f64,
        says: &'static str,
    ) -> Area {
        let glyph = self.letters.fonts().music().glyph(name);
        let area = ink_of(glyph).scaled(scale).moved(x, y);
        let what = What::Glyph { id: glyph.id, advance: glyph.advance.raw(), x, y, scale, says };
        self.put(label, area, what)
    }
    /// A text of type size `size` (staff spaces) whose baseline begins at (`x`, `y`).
    pub(super) fn text(&mut self, label: Label, face: FaceId, size: f64, text: &str, x: f64, y: f64) -> Area {
        let word = self.letters.word(face, text);
        let area = word.ink.scaled(size).moved(x, y);
        self.put(label, area, What::Text { face, size, word, x, y })
    }
    /// A filled rectangle.
    pub(super) fn rect(&mut self, label: Label, area: Area) -> Area {
        self.put(label, area, What::Rect)
    }
    /// A notehead with its origin at (`x`, `y`), `scale` times its normal size.
    pub(super) fn head(&mut self, label: Label, head: &Rc<Head>, x: f64, y: f64, scale: f64) -> Area {
        match head.ink {
            HeadInk::Glyph(name) => self.glyph(label, name, x, y, scale),
            HeadInk::Path(_) => {
                let ink = &head.bounds;
                let area = Area::new(ink.min.x.raw(), ink.min.y.raw(), ink.max.x.raw(), ink.max.y.raw());
                self.put(label, area.scaled(scale).moved(x, y), What::Head { head: Rc::clone(head), x, y, scale })
            }
        }
    }
    /// A filled path.
    pub(super) fn fill(&mut self, label: Label, path: Path<Space>) -> Area {
        let area = area_of(&path);
        self.put(label, area, What::Fill(path))
    }
    /// A filled lens or other curve: like [`Canvas::fill`], but the edges of the ink follow the curve and not its box.
    /// `slices` are thin boxes that cover it.
    pub(super) fn curve(&mut self, label: Label, path: Path<Space>, slices: &[Area]) {
        let area = area_of(&path);
        for slice in slices {
            self.upper.add(slice.left, slice.right, slice.top);
            self.lower.add(slice.left, slice.right, slice.bottom);
        }
        self.inks.push(Ink { label, bar: self.bar, area, what: What::Fill(path) });
    }
    /// A stroked curve, its edges as for [`Canvas::curve`].
    pub(super) fn stroked_curve(
        &mut self,
        label: Label,
        path: Path<Space>,
        width: f64,
        dash: Option<(f64, f64)>,
        slices: &[Area],
    ) {
        let area = area_of(&path);
        for slice in slices {
            self.upper.add(slice.left, slice.right, slice.top);
            self.lower.add(slice.left, slice.right, slice.bottom);
        }
        self.inks.push(Ink { label, bar: self.bar, area, what: What::Stroke { path, width, dash, round: true } });
    }
    /// A stroked path.
    pub(super) fn stroke(&mut self, label: Label, path: Path<Space>, width: f64, dash: Option<(f64, f64)>) -> Area {
        let bare = area_of(&path);
        let half = width / 2.0;
        let area = Area::new(bare.left - half, bare.bottom - half, bare.right + half, bare.top + half);
        self.put(label, area, What::Stroke { path, width, dash, round: false })
    }
    /// Ink that does not count for the edges: staff lines.
    pub(super) fn ground(&mut self, label: Label, area: Area) {
        self.inks.push(Ink { label, bar: None, area, what: What::Rect });
    }
    /// Takes the staff lines out of `area`: they stop around words that stand among them.
    pub(super) fn part_staff(&mut self, area: Area) {
        let mut parts = Vec::new();
        let crosses = |ink: &Ink| {
            let a = &ink.area;
            let beside = a.bottom < area.top && area.bottom < a.top;
            ink.label.kind == Kind::Staff && beside && a.left < area.right && area.left < a.right
        };
        for ink in self.inks.iter_mut().filter(|ink| crosses(ink)) {
            let whole = ink.area;
            ink.area.right = area.left.max(whole.left);
            let rest = Area { left: area.right.min(whole.right), ..whole };
            parts.push(Ink { area: rest, ..ink.clone() });
        }
        // They stay under all other ink.
        self.inks.splice(0..0, parts);
    }
    /// The highest and lowest ink.
    pub(super) fn extent(&self) -> (f64, f64) {
        let top = self.inks.iter().map(|ink| ink.area.top).fold(4.0, f64::max);
        let bottom = self.inks.iter().map(|ink| ink.area.bottom).fold(0.0, f64::min);
        (top, bottom)
    }
    /// The finished frame, `width` wide; ink of a bar goes into a group about `subject(bar)` whose left edge is `left(bar)`.
    pub(super) fn into_frame(
        self,
        space: Abs,
        width: Abs,
        bars: &[(usize, f64, f64)],
        id: &str,
        labels: &[String],
    ) -> Frame {
        let (top, bottom) = self.extent();
        let height = space * (top - bottom);
        let mut frame = Frame::new(Size::new(width, height));
        frame.baseline = Some(space * top);
        let face = self.letters.fonts().music_face();
        let mut of_bars: Vec<Frame> =
            bars.iter().map(|(_, left, right)| Frame::new(Size::new(space * (right - left), height))).collect();
        let slot_of = |ink: &Ink| ink.bar.and_then(|bar| bars.iter().position(|(index, _, _)| *index == bar));
        let mut counts = vec![0; bars.len()];
        for ink in &self.inks {
            if let Some(slot) = slot_of(ink) {
                counts[slot] += 1;
            }
        }
        frame.reserve(self.inks.len() - counts.iter().sum::<usize>() + bars.len());
        for (of_bar, count) in of_bars.iter_mut().zip(counts) {
            of_bar.reserve(count);
        }
        for ink in self.inks {
            let slot = slot_of(&ink);
            let origin = slot.map_or(0.0, |slot| bars[slot].1);
            let target = slot.map_or(&mut frame, |slot| &mut of_bars[slot]);
            let page = |x: f64, y: f64| Point::new(space * (x - origin), space * (top - y));
            let path_on = |path: &Path<Space>| path.map(|p| page(p.x.raw(), p.y.raw()));
            match ink.what {
                What::Glyph { id, advance, x, y, scale, says } => {
                    let size = space * (4.0 * scale);
                    let advance = space * (advance * scale);
                    let glyphs = Glyphs::one(id, advance);
                    let run = TextRun { face, size, ink: Colour::Black, text: self.letters.said(says), glyphs };
                    target.push(page(x, y), Item::Text(run));
                }
                What::Text { face, size, word, x, y } => {
                    target.push(page(x, y), Item::Text(run_of(&word, face, space * size)));
                }
                What::Rect => {
                    let Area { left, bottom, right, top } = ink.area;
                    target.fill_rect(Rect::new(page(left, top), page(right, bottom)), Colour::Black);
                }
                What::Head { head, x, y, scale } => {
                    if let Some(shape) = self.letters.head_shape(&head, space * scale) {
                        target.push(page(x, y), Item::Stamp(shape));
                    }
                }
                What::Fill(path) => target.fill(Point::default(), path_on(&path), Colour::Black),
                What::Stroke { path, width, dash, round } => {
                    let dash = dash.map(|(on, off)| (space * on, space * off));
                    let stroke = Stroke { width: space * width, ink: Colour::Black, round, dash };
                    let shape = Shape { path: path_on(&path), fill: None, stroke: Some(stroke) };
                    target.push(Point::default(), Item::Shape(shape.into()));
                }
            }
        }
        for ((_, left, _), (content, label)) in bars.iter().zip(of_bars.into_iter().zip(labels)) {
            let subject = Some(Subject(format!("tune:{id} bar:{label}").into()));
            let group = Group { frame: content.shared(), tag: None, subject, link: None };
            frame.push(Point::new(space * *left, Abs::ZERO), Item::Group(group.into()));
        }
        frame
    }
    /// The ink inside `area` as a frame of that size, without groups: for signs that stand alone. The baseline is that of
    /// the canvas's own zero.
    pub(super) fn cut(self, space: Abs, area: Area) -> Frame {
        let mut whole = self.into_frame(space, space * (area.right - area.left), &[], "", &[]);
        let up = whole.baseline.unwrap_or_default() - space * area.top;
        whole.shift(Point::new(space * -area.left, -up));
        whole.baseline = Some(space * area.top);
        whole.size.height = space * (area.top - area.bottom);
        whole
    }
    /// The edges as the page wants them, y downwards from the highest ink.
    pub(super) fn outline(&self, space: Abs) -> Outline {
        let (top, bottom) = self.extent();
        let turned =
            |line: &Skyline| line.steps().iter().map(|(l, r, y)| (space * *l, space * *r, space * (top - y))).collect();
        Outline { upper: turned(&self.upper), lower: turned(&self.lower), height: space * (top - bottom) }
    }
}

#[cfg(test)]
impl Canvas<'_> {
    /// The outlines of a piece of ink, in staff spaces: what is filled, or the centre line and half width of a stroke.
    pub(super) fn outlines(&self, ink: &Ink) -> (Vec<Path<Space>>, Option<f64>) {
        let fonts = self.letters.fonts();
        let glyph = |face: FaceId, id: u16, size: f64, x: f64, y: f64| {
            fonts.outline(face, id).map(|p| at(x + p.x.raw() * size, y + p.y.raw() * size))
        };
        match &ink.what {
            What::Glyph { id, x, y, scale, .. } => (vec![glyph(fonts.music_face(), *id, 4.0 * scale, *x, *y)], None),
            What::Text { face, size, word, x, y } => {
                let mut pen = *x;
                let mut paths = Vec::new();
                for shaped in &word.shaped.glyphs {
                    let (dx, dy) = (shaped.dx.raw() * size, shaped.dy.raw() * size);
                    paths.push(glyph(*face, shaped.id, *size, pen + dx, y + dy));
                    pen += shaped.advance.raw() * size;
                }
                (paths, None)
            }
            What::Fill(path) => (vec![path.clone()], None),
            What::Rect => {
                let Area { left, bottom, right, top } = ink.area;
                (vec![Path::polygon(&[at(left, bottom), at(right, bottom), at(right, top), at(left, top)])], None)
            }
            What::Head { head, x, y, scale } => match &head.ink {
                HeadInk::Path(path) => (vec![path.map(|p| at(x + p.x.raw() * scale, y + p.y.raw() * scale))], None),
                HeadInk::Glyph(_) => (Vec::new(), None),
            },
            What::Stroke { path, width, .. } => (vec![path.clone()], Some(width / 2.0)),
        }
    }
}

fn run_of(word: &Word, face: FaceId, size: Abs) -> TextRun {
    let mut end = Abs::ZERO;
    let glyphs = word.shaped.glyphs.iter().map(|glyph| {
        let x = end + glyph.dx.at(size);
        end += glyph.advance.at(size);
        Glyph { id: glyph.id, x, y: -glyph.dy.at(size), cluster: glyph.cluster }
    });
    let glyphs: Vec<Glyph> = glyphs.collect();
    TextRun { face, size, ink: Colour::Black, text: Arc::clone(&word.text), glyphs: Glyphs::new(glyphs, end) }
}

/// A point in staff spaces.
pub(super) const fn at(x: f64, y: f64) -> Point<Space> {
    Point::new(Sp::sp(x), Sp::sp(y))
}

/// The box of a music glyph's ink.
pub(super) fn ink_of(glyph: &MusicGlyph) -> Area {
    Area::new(glyph.ink.min.x.raw(), glyph.ink.min.y.raw(), glyph.ink.max.x.raw(), glyph.ink.max.y.raw())
}

/// The box of a path's ink.
pub(super) fn area_of(path: &Path<Space>) -> Area {
    // Straight paths are most of the ink, and their box is that of their points.
    let straight = path.segments.iter().all(|segment| !matches!(segment, Segment::Cubic(..)));
    if straight {
        let mut area = Area::new(f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
        for segment in &path.segments {
            if let Segment::Move(p) | Segment::Line(p) = segment {
                let here = Area::new(p.x.raw(), p.y.raw(), p.x.raw(), p.y.raw());
                area = area.union(here);
            }
        }
        return if area.left.is_finite() { area } else { Area::new(0.0, 0.0, 0.0, 0.0) };
    }
    path.ink().map_or(Area::new(0.0, 0.0, 0.0, 0.0), |ink| {
        Area::new(ink.min.x.raw(), ink.min.y.raw(), ink.max.x.raw(), ink.max.y.raw())
    })
}
