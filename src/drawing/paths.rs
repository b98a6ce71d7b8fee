//! The library's tree into a drawing: every path at its place in points, filled or stroked, within its clips.
//!
//! Strokes that our pages have no pen for (other ends and joins, dashes in more than two lengths, pens pressed flat by a
//! transformation) become filled outlines, by the library's own stroker.

use super::{Kind, Refusal, place_of, refusal};
use crate::frame::{Area, Drawing, Ink, Layer, Mark, Rule, Stroke};
use crate::geom::{Abs, Path, Point, Rect, Segment, Size};
use roxmltree::Document;
use usvg::tiny_skia_path::{self as skia, PathSegment, Transform};

/// A unit of SVG is a ninety-sixth of an inch (CSS Values and Units Level 3, 5.2).
const UNIT: f64 = 72.0 / 96.0;
/// A drawing has at most so many points, outlines of strokes counted: one page of them is two megabytes.
const MOST_POINTS: usize = 100_000;
/// A stroke has at most so many dashes.
const MOST_DASHES: f32 = 20_000.0;
/// Clips are at most so deep inside one another: the states that a page saves must not nest much deeper (ISO 19005-2, 6.1.13).
const MOST_CLIPS: usize = 12;
/// Outlines of strokes are made this much finer than for a screen.
const FINENESS: f32 = 10.0;
/// A pen takes about so many steps on both sides of a bend of one unit, and ten times as many for one a thousand times as large.
const STEPS: f32 = 2.0;
/// The steps are guessed: what is so many times too many is not tried.
const SLACK: f32 = 4.0;
/// No side of a drawing is longer than this or shorter than one over it, in units of SVG: a page is at most 14,400 points long
/// (ISO 32000-1, annex C).
const LONGEST: f32 = 20_000.0;
/// No place of a drawing is farther from its corner than so many times its size.
const FARTHEST: f64 = 100_000.0;
/// The limit of mitres on our pages (ISO 32000-1, table 52).
const MITRE: f32 = 10.0;

/// The drawing of a document that has passed the bounds.
pub(super) fn drawing(document: &Document<'_>) -> Result<Drawing, Refusal> {
    let root = place_of(document.root_element());
    let options = usvg::Options {
        // Nothing is opened: neither an address nor data in the file become a picture.
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    };
    let tree = usvg::Tree::from_xmltree(document, &options).map_err(|error| match error {
        usvg::Error::InvalidSize => {
            refusal(Kind::Bad, root, "has no size", "give it a width and a height, or a viewBox")
        }
        other => {
            refusal(Kind::Bad, root, format!("can't be read: {other}"), "save it anew from the program that drew it")
        }
    })?;
    let (width, height) = (tree.size().width(), tree.size().height());
    if !(width.max(height) <= LONGEST && width.min(height) >= 1.0 / LONGEST) {
        return Err(refusal(
            Kind::Bad,
            root,
            "has a size that no page has",
            "give it a width and a height, or a viewBox",
        ));
    }
    let size = Size::new(unit(width), unit(height));
    let corner = Point::new(size.width, size.height);
    let farthest = size.width.max(size.height) * FARTHEST;
    let mut tracer = Tracer { document, layers: Vec::new(), clips: Vec::new(), points: 0, farthest };
    // What reaches beyond the drawing's own size is cut there (SVG 1.1, 14.3.3).
    let ink = tree.root().abs_stroke_bounding_box();
    if !holds((0.0, 0.0, width, height), ink) {
        let path = Path::rect(Rect::new(Point::default(), corner));
        tracer.clips.push(Area { path, rule: Rule::NonZero });
    }
    tracer.group(tree.root())?;
    if tracer.layers.is_empty() {
        return Err(refusal(Kind::Bad, root, "shows nothing", "see that its shapes have a fill or a stroke"));
    }
    Ok(Drawing { size, layers: tracer.layers })
}

/// Units of SVG as a length.
fn unit(value: f32) -> Abs {
    Abs::pt(f64::from(value) * UNIT)
}

/// Whether all ink lies inside a box of left, top, right, bottom.
fn holds((left, top, right, bottom): (f32, f32, f32, f32), ink: skia::Rect) -> bool {
    const NEAR: f32 = 0.01;
    ink.left() >= left - NEAR && ink.top() >= top - NEAR && ink.right() <= right + NEAR && ink.bottom() <= bottom + NEAR
}

struct Tracer<'d, 'i> {
    document: &'d Document<'i>,
    layers: Vec<Layer>,
    clips: Vec<Area>,
    points: usize,
    farthest: Abs,
}

impl Tracer<'_, '_> {
    /// A refusal at the element of an id, or at the first that says a word where the library no longer knows which it was.
    fn part(&self, id: &str, word: &str, what: &str, hint: &'static str) -> Refusal {
        let nodes = || self.document.descendants().filter(roxmltree::Node::is_element);
        let says = |node: &roxmltree::Node<'_, '_>| {
            node.attributes().any(|it| it.name().contains(word) || it.value().contains(word))
        };
        let by_id = || (!id.is_empty()).then(|| nodes().find(|node| node.attribute("id") == Some(id))).flatten();
        let node = by_id().or_else(|| nodes().find(says)).unwrap_or_else(|| self.document.root_element());
        refusal(Kind::Part, place_of(node), format!("has {what} in it, which is not set"), hint)
    }

    fn group(&mut self, group: &usvg::Group) -> Result<(), Refusal> {
        if group.opacity().get() <= 0.0 {
            return Ok(());
        }
        let id = group.id();
        if group.opacity().get() < 1.0 {
            return Err(self.half(id));
        }
        if group.mask().is_some() || !group.filters().is_empty() {
            return Err(self.part(id, "mask", "a mask or a filter", "draw it without"));
        }
        if group.blend_mode() != usvg::BlendMode::Normal {
            return Err(self.part(id, "blend", "ink that mixes with what is under it", "give it one grey of its own"));
        }
        let before = self.clips.len();
        if let Some(clip) = group.clip_path() {
            let mut areas = Vec::new();
            let base = group.abs_transform().pre_concat(clip.transform());
            let is_simple = clip.clip_path().is_none() && shapes(clip.root(), base, &mut areas);
            match (is_simple, areas.len()) {
                (true, 0) => return Ok(()),
                (true, 1) => {}
                _ => {
                    let hint = "make one path of what it is cut with";
                    return Err(self.part(id, "clip", "a part that several shapes cut", hint));
                }
            }
            self.clips.extend(areas.into_iter().filter(|area| !is_needless(area, group.abs_stroke_bounding_box())));
            if self.clips.len() > MOST_CLIPS {
                return Err(self.part(id, "clip", "too many clips inside one another", "take them apart"));
            }
        }
        for child in group.children() {
            match child {
                usvg::Node::Group(inner) => self.group(inner)?,
                usvg::Node::Path(path) => self.path(path)?,
                usvg::Node::Image(image) => {
                    return Err(self.part(image.id(), "image", "a picture", "give the picture by itself"));
                }
                usvg::Node::Text(text) => {
                    return Err(self.part(text.id(), "text", "text", "convert the text to paths"));
                }
            }
        }
        self.clips.truncate(before);
        Ok(())
    }

    fn is_near(&self, numbers: &[Abs]) -> bool {
        // A number that is none is nowhere.
        numbers.iter().all(|number| number.abs() <= self.farthest)
    }

    /// A refusal at the element of an id, or at the drawing itself.
    fn far(&self, id: &str) -> Refusal {
        let mut nodes = self.document.descendants().filter(roxmltree::Node::is_element);
        let by_id = if id.is_empty() { None } else { nodes.find(|node| node.attribute("id") == Some(id)) };
        let node = by_id.unwrap_or_else(|| self.document.root_element());
        let hint = "see whether its width, its height and its viewBox are meant so";
        refusal(Kind::Bad, place_of(node), "has a shape farther out than any page", hint)
    }

    fn many(&self) -> Refusal {
        let root = place_of(self.document.root_element());
        let hint = "draw it with fewer points, or save it as a PNG of 300 pixels to the inch";
        refusal(Kind::Bad, root, format!("has more than {MOST_POINTS} points"), hint)
    }

    fn half(&self, id: &str) -> Refusal {
        self.part(id, "opacity", "half-transparent ink", "give it full opacity and a lighter grey")
    }

    fn ink(&self, id: &str, paint: &usvg::Paint, opacity: usvg::Opacity) -> Result<Option<Ink>, Refusal> {
        if opacity.get() <= 0.0 {
            return Ok(None);
        }
        if opacity.get() < 1.0 {
            return Err(self.half(id));
        }
        match paint {
            usvg::Paint::Color(colour) => Ok(Some(tint(*colour))),
            _ => Err(self.part(id, "url(", "a gradient or a pattern", "fill with one grey")),
        }
    }

    fn path(&mut self, path: &usvg::Path) -> Result<(), Refusal> {
        if !path.is_visible() {
            return Ok(());
        }
        let before = path.data().bounds().transform(path.abs_transform());
        if before.is_none_or(|ink| !self.is_near(&[ink.left(), ink.top(), ink.right(), ink.bottom()].map(unit))) {
            return Err(self.far(path.id()));
        }
        let mut marks = Vec::new();
        if let Some(fill) = path.fill()
            && let Some(ink) = self.ink(path.id(), fill.paint(), fill.opacity())?
            && let Some(data) = path.data().clone().transform(path.abs_transform())
        {
            marks.push(Mark::Fill(Area { path: traced(&data), rule: rule(fill.rule()) }, ink));
        }
        if let Some(stroke) = path.stroke()
            && let Some(ink) = self.ink(path.id(), stroke.paint(), stroke.opacity())?
        {
            marks.extend(stroked(path, stroke, ink).map_err(|fault| match fault {
                TooMany::Dashes => self.part(path.id(), "dash", "a line of too many dashes", "make the dashes longer"),
                TooMany::Steps => self.many(),
            })?);
        }
        let corners = |mark: &Mark| match mark {
            Mark::Fill(area, _) => area.path.ink(),
            Mark::Stroke(line, _) => line.ink(),
        };
        for mark in &marks {
            let pen = if let Mark::Stroke(_, pen) = mark { pen.width } else { Abs::ZERO };
            let Some(ink) = corners(mark) else { continue };
            if !self.is_near(&[ink.min.x, ink.min.y, ink.max.x, ink.max.y, pen]) {
                return Err(self.far(path.id()));
            }
        }
        if path.paint_order() == usvg::PaintOrder::StrokeAndFill {
            marks.reverse();
        }
        for mark in marks {
            self.mark(mark)?;
        }
        Ok(())
    }

    fn mark(&mut self, mark: Mark) -> Result<(), Refusal> {
        let is_same = self.layers.last().is_some_and(|layer| layer.clips == self.clips);
        self.points += match &mark {
            Mark::Fill(area, _) => area.path.segments.len(),
            Mark::Stroke(path, _) => path.segments.len(),
        };
        if !is_same {
            self.points += self.clips.iter().map(|clip| clip.path.segments.len()).sum::<usize>();
            self.layers.push(Layer { clips: self.clips.clone(), marks: Vec::new() });
        }
        if self.points > MOST_POINTS {
            return Err(self.many());
        }
        self.layers.last_mut().expect("a layer was just seen or put there").marks.push(mark);
        Ok(())
    }
}

/// Gathers the shapes of a clip; false if they are cut themselves.
fn shapes(group: &usvg::Group, at: Transform, out: &mut Vec<Area>) -> bool {
    group.children().iter().all(|child| match child {
        usvg::Node::Group(inner) => inner.clip_path().is_none() && shapes(inner, at.pre_concat(inner.transform()), out),
        usvg::Node::Path(path) => {
            if path.is_visible()
                && let Some(fill) = path.fill()
                && let Some(data) = path.data().clone().transform(at)
            {
                out.push(Area { path: traced(&data), rule: rule(fill.rule()) });
            }
            true
        }
        _ => true,
    })
}

/// Whether a clip is an upright rectangle that holds all ink anyway.
fn is_needless(area: &Area, ink: skia::Rect) -> bool {
    let [Segment::Move(a), Segment::Line(b), Segment::Line(c), Segment::Line(d), Segment::Close] =
        area.path.segments[..]
    else {
        return false;
    };
    let upright = (a.y == b.y && b.x == c.x && c.y == d.y && d.x == a.x)
        || (a.x == b.x && b.y == c.y && c.x == d.x && d.y == a.y);
    let inside = Rect::new(a, c);
    let far = |value: f32| unit(value);
    let slack = Abs::pt(0.01);
    upright
        && far(ink.left()) >= inside.min.x - slack
        && far(ink.top()) >= inside.min.y - slack
        && far(ink.right()) <= inside.max.x + slack
        && far(ink.bottom()) <= inside.max.y + slack
}

/// A colour as black: the luma of its values as they stand in the file (ITU-R BT.709), as pictures have it.
fn tint(colour: usvg::Color) -> Ink {
    let luma = 0.2126 * f64::from(colour.red) + 0.7152 * f64::from(colour.green) + 0.0722 * f64::from(colour.blue);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a per cent between 0 and 100")]
    match (100.0 - luma / 2.55).round().clamp(0.0, 100.0) as u8 {
        0 => Ink::Paper,
        100 => Ink::Black,
        black => Ink::Grey(black),
    }
}

const fn rule(rule: usvg::FillRule) -> Rule {
    match rule {
        usvg::FillRule::NonZero => Rule::NonZero,
        usvg::FillRule::EvenOdd => Rule::EvenOdd,
    }
}

fn at(point: skia::Point) -> Point {
    Point::new(unit(point.x), unit(point.y))
}

/// A path in points; quadratic curves are raised to cubic ones, control points two thirds of the way.
fn traced(path: &skia::Path) -> Path {
    let mut last = Point::default();
    let towards = |from: Point, to: Point| {
        Point::new(from.x + (to.x - from.x) * (2.0 / 3.0), from.y + (to.y - from.y) * (2.0 / 3.0))
    };
    let mut segments = Vec::with_capacity(path.len());
    for segment in path.segments() {
        let (new, end) = match segment {
            PathSegment::MoveTo(p) => (Segment::Move(at(p)), at(p)),
            PathSegment::LineTo(p) => (Segment::Line(at(p)), at(p)),
            PathSegment::QuadTo(a, p) => {
                let (a, p) = (at(a), at(p));
                (Segment::Cubic(towards(last, a), towards(p, a), p), p)
            }
            PathSegment::CubicTo(a, b, p) => (Segment::Cubic(at(a), at(b), at(p)), at(p)),
            PathSegment::Close => (Segment::Close, last),
        };
        segments.push(new);
        last = end;
    }
    Path { segments }
}

/// A line has more dashes than a page can show, or its outline more points than a drawing may have.
enum TooMany {
    Dashes,
    Steps,
}

/// The mark of a stroke; none where nothing of it shows.
fn stroked(path: &usvg::Path, stroke: &usvg::Stroke, ink: Ink) -> Result<Option<Mark>, TooMany> {
    let place = path.abs_transform();
    let pen = stroke.to_tiny_skia();
    let fineness = skia::PathStroker::compute_resolution_scale(&place) * FINENESS;
    let scale = even_scale(place);
    let mut data = path.data().clone();
    let mut dash = None;
    if let Some(lengths) = stroke.dasharray() {
        let round: f32 = lengths.iter().sum();
        if length(&data) / round * lengths.len() as f32 > MOST_DASHES {
            return Err(TooMany::Dashes);
        }
        match (lengths, scale) {
            ([on, off], Some(scale)) if stroke.dashoffset() == 0.0 => {
                dash = Some((unit(on * scale), unit(off * scale)))
            }
            _ => {
                let dashes = skia::StrokeDash::new(lengths.to_vec(), stroke.dashoffset());
                match dashes.map(|dashes| data.dash(&dashes, fineness)) {
                    // A pattern of no length is a plain line (SVG 1.1, 11.4).
                    None => {}
                    Some(Some(dashed)) => data = dashed,
                    Some(None) => return Ok(None),
                }
            }
        }
    }
    let round = pen.line_cap == skia::LineCap::Round && pen.line_join == skia::LineJoin::Round;
    let butt = pen.line_cap == skia::LineCap::Butt
        && pen.line_join == skia::LineJoin::Miter
        && is_blunt(&data, pen.miter_limit);
    if let Some(scale) = scale.filter(|_| round || butt) {
        let width = unit(pen.width * scale);
        let stroke = Stroke { width, ink, round, dash };
        return Ok(data.transform(place).map(|data| Mark::Stroke(traced(&data), stroke)));
    }
    if let Some(dashes) = dash.and_then(|_| skia::StrokeDash::new(stroke.dasharray()?.to_vec(), stroke.dashoffset())) {
        match data.dash(&dashes, fineness) {
            Some(dashed) => data = dashed,
            None => return Ok(None),
        }
    }
    if outline_steps(&data, fineness) > MOST_POINTS as f32 * SLACK {
        return Err(TooMany::Steps);
    }
    let outline =
        data.stroke(&skia::Stroke { dash: None, ..pen }, fineness).and_then(|outline| outline.transform(place));
    Ok(outline.map(|outline| Mark::Fill(Area { path: traced(&outline), rule: Rule::NonZero }, ink)))
}

/// About how many points the outline of a stroke has: two for each line, and more for each bend the larger and the finer it is.
fn outline_steps(path: &skia::Path, fineness: f32) -> f32 {
    let mut last = skia::Point::zero();
    let mut steps = 0.0;
    for segment in path.segments() {
        let (size, end) = match segment {
            PathSegment::MoveTo(p) | PathSegment::LineTo(p) => (0.0, p),
            PathSegment::QuadTo(a, p) => (last.distance(a).max(last.distance(p)), p),
            PathSegment::CubicTo(a, b, p) => (last.distance(a).max(last.distance(b)).max(last.distance(p)), p),
            PathSegment::Close => (0.0, last),
        };
        steps += 2.0 + STEPS * (size * fineness).cbrt();
        last = end;
    }
    steps
}

/// By how much a transformation scales, if by as much in every direction.
fn even_scale(place: Transform) -> Option<f32> {
    let (one, other) = (place.sx.hypot(place.ky), place.kx.hypot(place.sy));
    let slant = place.sx * place.kx + place.ky * place.sy;
    let is_even = (one - other).abs() <= 1e-3 * one.max(other) && slant.abs() <= 1e-3 * one * other;
    is_even.then_some((one * other).sqrt())
}

/// At most the length of a path: that of the lines through its points.
fn length(path: &skia::Path) -> f32 {
    path.points().windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// Whether the corners of a path end alike under its own limit of mitres and under that of our pages. A mitre is as long as the
/// pen is wide, over the cosine of half the turn (ISO 32000-1, 8.4.3.5).
fn is_blunt(path: &skia::Path, limit: f32) -> bool {
    let (low, high) = (limit.min(MITRE), limit.max(MITRE));
    let alike = |from: skia::Point, to: skia::Point| {
        let cosine = (from.x * to.x + from.y * to.y).clamp(-1.0, 1.0);
        let mitre = 1.0 / ((1.0 + cosine) / 2.0).max(1e-9).sqrt();
        mitre < low * 0.999 || mitre > high * 1.001
    };
    let mut first: Option<skia::Point> = None;
    let mut before: Option<skia::Point> = None;
    let (mut start, mut last) = (skia::Point::zero(), skia::Point::zero());
    for segment in path.segments() {
        let points: &[skia::Point] = match &segment {
            PathSegment::MoveTo(p) => {
                (first, before, start, last) = (None, None, *p, *p);
                continue;
            }
            PathSegment::LineTo(p) => &[*p],
            PathSegment::QuadTo(a, p) => &[*a, *p],
            PathSegment::CubicTo(a, b, p) => &[*a, *b, *p],
            PathSegment::Close => &[start],
        };
        let way = std::iter::once(last).chain(points.iter().copied());
        let steps: Vec<_> = way.clone().zip(way.skip(1)).filter_map(|(from, to)| direction(from, to)).collect();
        if let (Some(begins), Some(ends)) = (steps.first(), steps.last()) {
            if before.is_some_and(|before| !alike(before, *begins)) {
                return false;
            }
            first = first.or(Some(*begins));
            before = Some(*ends);
        }
        last = points[points.len() - 1];
        if segment == PathSegment::Close {
            if let (Some(before), Some(first)) = (before, first)
                && !alike(before, first)
            {
                return false;
            }
            (first, before) = (None, None);
        }
    }
    true
}

/// The direction from one point to another, of length 1.
fn direction(from: skia::Point, to: skia::Point) -> Option<skia::Point> {
    let mut way = to - from;
    way.normalize().then_some(way)
}
