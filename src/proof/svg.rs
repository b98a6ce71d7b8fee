//! Frames into SVG: one match over their items.
//!
//! Takes a frame and the fonts; gives SVG text, and what it refers to. Glyphs are references to outlines that stand once in the file,
//! in font units; over them lies the text itself, unseen, so that a browser finds and copies it.

use super::{escaped, number, picture};
use crate::font::{FaceId, Fonts};
use crate::frame::{
    Drawing as Foreign, Frame, Group, Image, Ink, Item, LinkTarget, Mark, Role, Rule, Shape, Stroke, Tag, TextRun,
};
use crate::geom::{Path, Point, Segment};
use crate::page::Document;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

/// The glyphs and pictures that a file refers to.
#[derive(Debug, Default)]
pub(super) struct Used {
    glyphs: BTreeSet<(FaceId, u16)>,
    pictures: BTreeSet<Arc<str>>,
}

impl Used {
    /// Adds what the drawing of a frame refers to.
    pub(super) fn absorb(&mut self, frame: &Frame) {
        for (_, item) in frame.items() {
            match item {
                Item::Text(run) if is_seen(run) => {
                    self.glyphs.extend(run.glyphs.iter().map(|glyph| (run.face, glyph.id)));
                }
                Item::Image(image) if picture::is_whole(image.pixels, &image.grey) => {
                    self.pictures.insert(image.key.clone());
                }
                Item::Group(group) => self.absorb(&group.frame),
                _ => {}
            }
        }
    }
}

/// Whether a run has anything to draw.
fn is_seen(run: &TextRun) -> bool {
    run.size.raw() > 0.0 && !run.glyphs.is_empty()
}

/// One page's SVG without its outer element; links lead to the pages of `anchors`.
pub(super) fn draw(frame: &Frame, fonts: &Fonts, anchors: &BTreeMap<Arc<str>, usize>) -> String {
    let mut pen = Pen { fonts, anchors, body: String::new() };
    pen.frame(frame, Point::default());
    pen.body
}

/// The hidden element with all outlines and pictures.
pub(super) fn definitions(used: &Used, document: &Document, fonts: &Fonts, out: &mut String) {
    out.push_str("<svg class=\"stock\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n");
    for (face, glyph) in &used.glyphs {
        let units = f64::from(fonts.face(*face).units_per_em);
        let outline = fonts.outline(*face, *glyph).map(|p| Point::new(p.x * units, p.y * units));
        let _ = write!(out, "<path id=\"{}\" d=\"", glyph_name(*face, *glyph));
        path_data(&outline, out);
        out.push_str("\"/>\n");
    }
    let mut wanted = used.pictures.clone();
    let mut found = Vec::new();
    for page in &document.pages {
        pictures(&page.frame, &mut wanted, &mut found);
    }
    let step = picture::step(found.iter().map(|image| image.pixels));
    for image in found {
        let (pixels, grey) = picture::smaller(image.pixels, &image.grey, step);
        let Some(png) = picture::png(pixels, &grey) else { continue };
        out.push_str("<image id=\"");
        picture_name(&image.key, out);
        out.push_str("\" width=\"1\" height=\"1\" preserveAspectRatio=\"none\" href=\"data:image/png;base64,");
        picture::base64(&png, out);
        out.push_str("\"/>\n");
    }
    out.push_str("</defs></svg>\n");
}

/// Finds every picture of a frame that is still wanted, and takes it off the list.
fn pictures<'f>(frame: &'f Frame, wanted: &mut BTreeSet<Arc<str>>, found: &mut Vec<&'f Image>) {
    for (_, item) in frame.items() {
        match item {
            Item::Image(image) if wanted.remove(&image.key) => found.push(image),
            Item::Group(group) if !wanted.is_empty() => pictures(&group.frame, wanted, found),
            _ => {}
        }
    }
}

fn glyph_name(face: FaceId, glyph: u16) -> String {
    format!("g{}-{glyph}", face.index())
}

/// A name for a picture's key that any HTML may hold.
fn picture_name(key: &str, out: &mut String) {
    out.push_str("i-");
    for byte in key.bytes() {
        if byte.is_ascii_alphanumeric() {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "_{byte:02x}");
        }
    }
}

/// Start and factor of the hash FNV-1a in 64 bits (published by its authors, Fowler, Noll and Vo).
const FNV: (u64, u64) = (0xcbf2_9ce4_8422_2325, 0x100_0000_01b3);

struct Pen<'a> {
    fonts: &'a Fonts,
    anchors: &'a BTreeMap<Arc<str>, usize>,
    body: String,
}

impl Pen<'_> {
    fn frame(&mut self, frame: &Frame, origin: Point) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            match item {
                Item::Text(run) => self.run(run, at),
                Item::Shape(shape) => self.shape(shape, at),
                Item::Stamp(shape) => self.shape(shape, at),
                Item::Rect(rect, ink) => self.shape(&Shape::filled(*rect, *ink), at),
                Item::Image(image) => self.image(image, at),
                Item::Drawing(drawing) => self.foreign(drawing, at),
                Item::Group(group) => self.group(group, at),
                Item::Anchor(_) => {}
            }
        }
    }

    fn group(&mut self, group: &Group, at: Point) {
        let link = group.link.as_ref().and_then(|link| self.address(link));
        if let Some(address) = &link {
            self.body.push_str("<a href=\"");
            escaped(address, &mut self.body);
            self.body.push_str("\" rel=\"noopener noreferrer\">");
        }
        let named = group.tag.as_ref().is_some_and(|tag| open_tag(tag, &mut self.body));
        self.frame(&group.frame, at);
        if named {
            self.body.push_str("</g>");
        }
        if link.is_some() {
            self.body.push_str("</a>");
        }
        if named || link.is_some() {
            self.body.push('\n');
        }
    }

    /// Where a link leads: a page of this file, or an address on the net of a kind that a book may print.
    fn address(&self, link: &LinkTarget) -> Option<String> {
        match link {
            LinkTarget::Anchor(name) => self.anchors.get(name).map(|page| format!("#page-{}", page + 1)),
            LinkTarget::Url(url) => {
                ["https://", "http://", "mailto:"].iter().any(|start| url.starts_with(start)).then(|| url.to_string())
            }
        }
    }

    fn run(&mut self, run: &TextRun, at: Point) {
        if !is_seen(run) {
            return;
        }
        let units = f64::from(self.fonts.face(run.face).units_per_em);
        let scale = run.size.raw() / units;
        let out = &mut self.body;
        out.push_str("<g aria-hidden=\"true\"");
        fill(run.ink, out);
        out.push_str(" transform=\"translate(");
        number(at.x.raw(), out);
        out.push(' ');
        number(at.y.raw(), out);
        let _ = write!(out, ")scale({scale:.6} -{scale:.6})\">");
        for glyph in run.glyphs.iter() {
            let _ = write!(out, "<use href=\"#{}\"", glyph_name(run.face, glyph.id));
            // In font units, y upwards; whole units are finer than print.
            for (name, value) in [("x", glyph.x.raw() / scale), ("y", -glyph.y.raw() / scale)] {
                if value.abs() >= 0.5 {
                    let _ = write!(out, " {name}=\"{}\"", value.round());
                }
            }
            out.push_str("/>");
        }
        let out = &mut self.body;
        out.push_str("</g>");
        // Music glyphs are told by the text of their figure.
        if run.face != self.fonts.music_face() && !run.text.trim().is_empty() {
            out.push_str("<text x=\"");
            number(at.x.raw(), out);
            out.push_str("\" y=\"");
            number(at.y.raw(), out);
            out.push_str("\" font-size=\"");
            number(run.size.raw(), out);
            out.push_str("\" textLength=\"");
            number(run.width().raw().max(0.01), out);
            out.push_str("\" lengthAdjust=\"spacingAndGlyphs\">");
            escaped(&run.text, out);
            out.push_str("</text>");
        }
        self.body.push('\n');
    }

    fn shape(&mut self, shape: &Shape, at: Point) {
        let out = &mut self.body;
        out.push_str("<path aria-hidden=\"true\"");
        match shape.fill {
            Some(ink) => fill(ink, out),
            None => out.push_str(" fill=\"none\""),
        }
        if let Some(stroke) = &shape.stroke {
            pen(stroke, out);
        }
        out.push_str(" d=\"");
        path_data(&shape.path.moved(at), out);
        out.push_str("\"/>\n");
    }

    /// A drawing by another hand. What cuts a layer is named by what it is, so that the same name on two pages does no harm.
    fn foreign(&mut self, drawing: &Foreign, at: Point) {
        let out = &mut self.body;
        for layer in &drawing.layers {
            for clip in &layer.clips {
                let mut data = format!("clip-rule=\"{}\" d=\"", rule(clip.rule));
                path_data(&clip.path.moved(at), &mut data);
                let name = data.bytes().fold(FNV.0, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(FNV.1));
                let _ = write!(out, "<clipPath id=\"c{name:016x}\"><path {data}\"/></clipPath>");
                let _ = write!(out, "<g clip-path=\"url(#c{name:016x})\">");
            }
            for mark in &layer.marks {
                out.push_str("<path aria-hidden=\"true\"");
                let path = match mark {
                    Mark::Fill(area, ink) => {
                        fill(*ink, out);
                        let _ = write!(out, " fill-rule=\"{}\"", rule(area.rule));
                        &area.path
                    }
                    Mark::Stroke(path, stroke) => {
                        out.push_str(" fill=\"none\"");
                        pen(stroke, out);
                        path
                    }
                };
                out.push_str(" d=\"");
                path_data(&path.moved(at), out);
                out.push_str("\"/>\n");
            }
            for _ in &layer.clips {
                out.push_str("</g>\n");
            }
        }
    }

    fn image(&mut self, image: &Image, at: Point) {
        if !picture::is_whole(image.pixels, &image.grey) {
            return;
        }
        let out = &mut self.body;
        out.push_str("<use href=\"#");
        picture_name(&image.key, out);
        out.push_str("\" transform=\"translate(");
        number(at.x.raw(), out);
        out.push(' ');
        number(at.y.raw(), out);
        let _ = write!(out, ")scale({:.4} {:.4})\"/>", image.size.width.raw(), image.size.height.raw());
    }
}

/// Opens a group with the role and name of its tag; false where the tag says nothing that HTML could say.
fn open_tag(tag: &Tag, out: &mut String) -> bool {
    let role = match tag.role {
        Role::Heading(_) => "heading",
        Role::Paragraph => "paragraph",
        Role::List(_) | Role::Contents => "list",
        Role::ListItem | Role::ContentsItem => "listitem",
        Role::Table => "table",
        Role::TableRow => "row",
        Role::TableHead => "columnheader",
        Role::TableBand(_) => "rowheader",
        Role::TableCell => "cell",
        Role::Quote => "blockquote",
        Role::Figure => "img",
        Role::Caption => "caption",
        // What is read instead of the letters needs a role that takes a name.
        Role::Span => "img",
        Role::Artifact | Role::Header | Role::Footer => {
            out.push_str("<g aria-hidden=\"true\">");
            return true;
        }
        // The link itself is an element; a label is read as what it says.
        Role::Link | Role::Label => return false,
    };
    let _ = write!(out, "<g role=\"{role}\"");
    if let Role::Heading(level) = tag.role {
        let _ = write!(out, " aria-level=\"{}\"", level.max(1));
    }
    for (name, value) in [("aria-label", &tag.alt), ("lang", &tag.lang)] {
        if let Some(value) = value {
            let _ = write!(out, " {name}=\"");
            escaped(value, out);
            out.push('"');
        }
    }
    out.push('>');
    true
}

/// How a stroke is drawn.
fn pen(stroke: &Stroke, out: &mut String) {
    out.push_str(" stroke=\"");
    out.push_str(&colour(stroke.ink));
    let _ = write!(out, "\" stroke-width=\"{:.3}\"", stroke.width.raw());
    if stroke.round {
        out.push_str(" stroke-linecap=\"round\" stroke-linejoin=\"round\"");
    }
    if let Some((dash, gap)) = stroke.dash {
        let _ = write!(out, " stroke-dasharray=\"{:.3} {:.3}\"", dash.raw(), gap.raw());
    }
}

const fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::NonZero => "nonzero",
        Rule::EvenOdd => "evenodd",
    }
}

/// The fill of an ink; black is what SVG fills with anyway.
fn fill(ink: Ink, out: &mut String) {
    if ink != Ink::Black {
        out.push_str(" fill=\"");
        out.push_str(&colour(ink));
        out.push('"');
    }
}

/// An ink on the screen. The second ink is a blue of our own, whatever the press will use.
fn colour(ink: Ink) -> String {
    match ink {
        Ink::Black => "#000".into(),
        Ink::Grey(percent) => {
            let level = 255 - u32::from(percent.min(100)) * 255 / 100;
            format!("#{level:02x}{level:02x}{level:02x}")
        }
        Ink::Paper => "#fff".into(),
        Ink::Second => "#1f5a8a".into(),
    }
}

fn path_data<U: Copy + PartialEq>(path: &Path<U>, out: &mut String) {
    let point = |p: &Point<U>, out: &mut String| {
        number(p.x.raw(), out);
        out.push(' ');
        number(p.y.raw(), out);
    };
    for segment in &path.segments {
        match segment {
            Segment::Move(p) => {
                out.push('M');
                point(p, out);
            }
            Segment::Line(p) => {
                out.push('L');
                point(p, out);
            }
            Segment::Cubic(a, b, c) => {
                out.push('C');
                point(a, out);
                out.push(' ');
                point(b, out);
                out.push(' ');
                point(c, out);
            }
            Segment::Close => out.push('Z'),
        }
    }
}
