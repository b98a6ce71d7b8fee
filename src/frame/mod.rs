//! The display list: what layout gives and paint takes. Neutral words only: no room that paints needs to know music.
//!
//! A [`Frame`] has a size and items at places counted from its upper left corner, y downwards. Groups nest frames and may
//! carry a [`Tag`] (what it is for a reader), a [`Subject`] (what its ink is about) or a link.

mod drawing;
mod dump;
mod glyphs;
mod inked;
mod scaled;
mod text;
mod uses;

pub use drawing::{Area, Drawing, Layer, Mark, Rule};
pub use glyphs::{Glyph, Glyphs, Row, Small};
pub(crate) use text::said;
pub use uses::{Cluster, Clusters, Uses};

use crate::font::FaceId;
use crate::geom::{Abs, Path, Point, Rect, Segment, Size};
use std::num::NonZeroU32;
use std::sync::Arc;

/// What kind of content a group is, for tagged output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// A heading of a level from 1.
    Heading(u8),
    /// A paragraph.
    Paragraph,
    /// A list.
    List(Marks),
    /// An item of a list.
    ListItem,
    /// What stands before the words of an item: its number, its bullet, the term that it explains.
    Label,
    /// A table.
    Table,
    /// A row of a table.
    TableRow,
    /// A heading cell of a column.
    TableHead,
    /// A heading cell of its row across so many columns: across all of them it heads the rows under it too.
    TableBand(u8),
    /// A cell.
    TableCell,
    /// A quotation.
    Quote,
    /// A picture or a system of music.
    Figure,
    /// A caption.
    Caption,
    /// The table of contents.
    Contents,
    /// An entry of the table of contents or of an index.
    ContentsItem,
    /// Words inside others that are read otherwise than they are printed.
    Span,
    /// A link.
    Link,
    /// Nothing to read: ornaments.
    Artifact,
    /// A running head: nothing to read, but a reader that knows pages may ask for it.
    Header,
    /// A folio, likewise.
    Footer,
}

/// What the items of a list begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Marks {
    /// Nothing, or words of their own.
    #[default]
    None,
    /// Bullets.
    Bullets,
    /// Numbers.
    Numbers,
}

impl Role {
    /// Whether it is left out in reading.
    pub const fn is_aside(self) -> bool {
        matches!(self, Self::Artifact | Self::Header | Self::Footer)
    }
}

/// A tag: role, alternative text, language.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Tag {
    /// What it is.
    pub role: Role,
    /// Which element of the document it is a part of, where pages part one; the same number on all of them.
    pub whole: Option<NonZeroU32>,
    /// Alternative text, required for figures.
    pub alt: Option<Arc<str>>,
    /// Language where it differs from the document's.
    pub lang: Option<Arc<str>>,
}

/// What ink is about, such as `tune:tin-lantern bar:3`; change lists and proofs look things up by it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Subject(pub Arc<str>);

/// Where a link leads.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum LinkTarget {
    /// To an anchor of this name in the document.
    Anchor(Arc<str>),
    /// To an address on the net.
    Url(Arc<str>),
}

/// The ink of a shape or text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Ink {
    /// Full black.
    #[default]
    Black,
    /// Black, per cent (1 to 99).
    Grey(u8),
    /// White paper: covers what is under it.
    Paper,
    /// The second ink, if the book has one; black otherwise.
    Second,
}

/// Glyphs of one face and size on a baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct TextRun {
    /// The face.
    pub face: FaceId,
    /// The type size.
    pub size: Abs,
    /// The ink.
    pub ink: Ink,
    /// What it says, for copying and reading aloud; for music glyphs a short word or empty.
    pub text: Arc<str>,
    /// The glyphs in visual order.
    pub glyphs: Glyphs,
}

/// A stroked outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Line width.
    pub width: Abs,
    /// The ink.
    pub ink: Ink,
    /// Whether ends are round (else butt).
    pub round: bool,
    /// Dash and gap, for dotted and dashed lines.
    pub dash: Option<(Abs, Abs)>,
}

/// A filled or stroked path.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The path.
    pub path: Path,
    /// Fill (nonzero winding), if any.
    pub fill: Option<Ink>,
    /// Stroke, if any.
    pub stroke: Option<Stroke>,
}

/// A raster picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Image {
    /// A name unique by content.
    pub key: Arc<str>,
    /// Pixels across and down.
    pub pixels: (u32, u32),
    /// Grey levels, row by row, one byte a pixel.
    pub grey: Arc<[u8]>,
    /// The size on the page.
    pub size: Size,
}

/// A frame inside a frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// What is in it.
    pub frame: Arc<Frame>,
    /// Its tag.
    pub tag: Option<Tag>,
    /// What it is about.
    pub subject: Option<Subject>,
    /// Where it leads.
    pub link: Option<LinkTarget>,
}

/// Anything in a frame. A book has millions of these: what is common is small, what is large is boxed.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Text or music glyphs.
    Text(TextRun),
    /// An upright rectangle between two opposite corners, filled: staff lines, barlines, stems, hold bars. The corners are in
    /// the order in which they were drawn.
    Rect(Rect, Ink),
    /// A path.
    Shape(Box<Shape>),
    /// A path that stands in many places, such as a drawn head: held once, and counted from the item's place.
    Stamp(Arc<Shape>),
    /// A picture; the item's place is its upper left corner.
    Image(Box<Image>),
    /// A drawing; the item's place is its upper left corner.
    Drawing(Arc<Drawing>),
    /// A frame in the frame.
    Group(Box<Group>),
    /// A named place that links and contents lead to.
    Anchor(Arc<str>),
}

/// A sized area with items at places.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Frame {
    /// Its size.
    pub size: Size,
    /// The distance from its top to the baseline that it is set by, if it has one.
    pub baseline: Option<Abs>,
    items: Vec<(Point, Item)>,
}

impl Frame {
    /// An empty frame.
    pub const fn new(size: Size) -> Self {
        Self { size, baseline: None, items: Vec::new() }
    }
    /// The items, in painting order.
    #[inline]
    pub fn items(&self) -> &[(Point, Item)] {
        &self.items
    }
    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }
    /// Makes room for so many items more.
    pub fn reserve(&mut self, more: usize) {
        self.items.reserve_exact(more);
    }
    /// Puts an item at a place: a run's baseline start, a shape's origin, a group's upper left corner.
    pub fn push(&mut self, at: Point, item: Item) {
        self.items.push((at, item));
    }
    /// The frame as it is kept: nothing is added to it any more.
    #[must_use]
    pub fn settled(mut self) -> Self {
        self.items.shrink_to_fit();
        self
    }
    /// The same, to be shared.
    pub fn shared(self) -> Arc<Self> {
        Arc::new(self.settled())
    }
    /// Puts a frame at a place, without tag.
    pub fn place(&mut self, at: Point, frame: Frame) {
        self.place_shared(at, frame.shared());
    }
    /// The same of a frame that others hold too.
    pub fn place_shared(&mut self, at: Point, frame: Arc<Self>) {
        self.push(at, Item::Group(Box::new(Group { frame, tag: None, subject: None, link: None })));
    }
    /// Puts a frame at a place with a tag.
    pub fn place_tagged(&mut self, at: Point, frame: Frame, tag: Tag) {
        self.push(
            at,
            Item::Group(Box::new(Group { frame: frame.shared(), tag: Some(tag), subject: None, link: None })),
        );
    }
    /// The same before all that is in it: it is painted, and read, first.
    pub fn place_first(&mut self, at: Point, frame: Frame, tag: Tag) {
        let group = Group { frame: frame.shared(), tag: Some(tag), subject: None, link: None };
        self.items.insert(0, (at, Item::Group(Box::new(group))));
    }
    /// A filled path.
    pub fn fill(&mut self, at: Point, path: Path, ink: Ink) {
        let item = match corners(&path) {
            Some(rect) => Item::Rect(rect, ink),
            None => Item::Shape(Box::new(Shape { path, fill: Some(ink), stroke: None })),
        };
        self.push(at, item);
    }
    /// A filled rectangle.
    pub fn fill_rect(&mut self, rect: Rect, ink: Ink) {
        self.push(Point::default(), Item::Rect(rect, ink));
    }
    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, width: Abs, ink: Ink) {
        let stroke = Stroke { width, ink, round: false, dash: None };
        self.push(
            Point::default(),
            Item::Shape(Box::new(Shape { path: Path::open(&[from, to]), fill: None, stroke: Some(stroke) })),
        );
    }
    /// Moves everything in it by `by`.
    pub fn shift(&mut self, by: Point) {
        for (at, _) in &mut self.items {
            *at = *at + by;
        }
    }
}

impl Shape {
    /// A filled rectangle as a path, its corners in the order given.
    pub fn filled(rect: Rect, ink: Ink) -> Self {
        Self { path: Path::rect(rect), fill: Some(ink), stroke: None }
    }
}

/// The first and the third corner of a path that is a rectangle as [`Path::rect`] makes it.
fn corners(path: &Path) -> Option<Rect> {
    match path.segments[..] {
        [Segment::Move(a), Segment::Line(b), Segment::Line(c), Segment::Line(d), Segment::Close] => {
            (b == Point::new(c.x, a.y) && d == Point::new(a.x, c.y)).then_some(Rect { min: a, max: c })
        }
        _ => None,
    }
}

impl Tag {
    /// A role without further words.
    pub const fn new(role: Role) -> Self {
        Self { role, whole: None, alt: None, lang: None }
    }
    /// A figure with its alternative text.
    pub fn figure(alt: impl Into<Arc<str>>) -> Self {
        Self { alt: Some(alt.into()), ..Self::new(Role::Figure) }
    }
}
