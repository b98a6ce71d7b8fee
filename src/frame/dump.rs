//! The text form of a frame, one item a line, for tests.

use super::{Area, Drawing, Frame, Item, LinkTarget, Mark, Rule, Shape};
use crate::geom::{Path, Point, Segment};
use std::fmt::Write as _;

impl Frame {
    /// One item a line: place in points with three decimals, kind, what it is; groups indent.
    pub fn dump(&self) -> String {
        let mut out = String::new();
        dump_into(self, Point::default(), 0, &mut out);
        out
    }
}

fn dump_into(frame: &Frame, origin: Point, depth: usize, out: &mut String) {
    for (at, item) in frame.items() {
        let at = origin + *at;
        let _ = write!(out, "{:indent$}{:.3} {:.3} ", "", at.x.raw(), at.y.raw(), indent = depth * 2);
        match item {
            Item::Text(run) => {
                let ids: Vec<_> = run.glyphs.iter().map(|g| g.id.to_string()).collect();
                let _ = writeln!(
                    out,
                    "text face{} {:.3} {:?} [{}]",
                    run.face.index(),
                    run.size.raw(),
                    run.text,
                    ids.join(" ")
                );
            }
            Item::Shape(shape) => {
                let _ = writeln!(out, "shape {}", describe(shape));
            }
            Item::Stamp(shape) => {
                let _ = writeln!(out, "stamp {}", describe(shape));
            }
            Item::Rect(rect, ink) => {
                let _ = writeln!(out, "shape {}", describe(&Shape::filled(*rect, *ink)));
            }
            Item::Image(image) => {
                let _ =
                    writeln!(out, "image {} {:.3} x {:.3}", image.key, image.size.width.raw(), image.size.height.raw());
            }
            Item::Drawing(drawing) => {
                let Drawing { size, layers } = &**drawing;
                let _ = writeln!(out, "drawing {:.3} x {:.3}", size.width.raw(), size.height.raw());
                for (clips, mark) in layers.iter().flat_map(|layer| layer.marks.iter().map(|mark| (&layer.clips, mark)))
                {
                    let _ = writeln!(out, "{:indent$}{}", "", describe_mark(clips, mark), indent = depth * 2 + 2);
                }
            }
            Item::Anchor(name) => {
                let _ = writeln!(out, "anchor {name}");
            }
            Item::Group(group) => {
                let _ = write!(out, "group {:.3} x {:.3}", group.frame.size.width.raw(), group.frame.size.height.raw());
                if let Some(tag) = &group.tag {
                    let _ = write!(out, " {:?}", tag.role);
                    if let Some(alt) = &tag.alt {
                        let _ = write!(out, " alt {alt:?}");
                    }
                }
                if let Some(subject) = &group.subject {
                    let _ = write!(out, " about {:?}", subject.0);
                }
                match &group.link {
                    Some(LinkTarget::Anchor(name)) => {
                        let _ = write!(out, " to {name}");
                    }
                    Some(LinkTarget::Url(url)) => {
                        let _ = write!(out, " to <{url}>");
                    }
                    None => {}
                }
                out.push('\n');
                dump_into(&group.frame, at, depth + 1, out);
            }
        }
    }
}

fn describe(shape: &Shape) -> String {
    let mut text = String::new();
    if let Some(ink) = shape.fill {
        let _ = write!(text, "fill {ink:?} ");
    }
    if let Some(stroke) = shape.stroke {
        let _ = write!(text, "stroke {:.3} {:?} ", stroke.width.raw(), stroke.ink);
    }
    text + &describe_path(&shape.path)
}

fn describe_mark(clips: &[Area], mark: &Mark) -> String {
    let rule = |area: &Area| if area.rule == Rule::EvenOdd { "even-odd " } else { "" };
    let mut text = String::new();
    for clip in clips {
        let _ = write!(text, "within {}{} ", rule(clip), describe_path(&clip.path));
    }
    match mark {
        Mark::Fill(area, ink) => {
            let _ = write!(text, "fill {ink:?} {}{}", rule(area), describe_path(&area.path));
        }
        Mark::Stroke(path, stroke) => {
            let shape = Shape { path: path.clone(), fill: None, stroke: Some(*stroke) };
            let _ = write!(text, "{}{}", describe(&shape), if stroke.round { " round" } else { "" });
            if let Some((dash, gap)) = stroke.dash {
                let _ = write!(text, " dash {:.3} {:.3}", dash.raw(), gap.raw());
            }
        }
    }
    text
}

fn describe_path(path: &Path) -> String {
    let mut text = String::new();
    for segment in &path.segments {
        let _ = match segment {
            Segment::Move(p) => write!(text, "M{:.3},{:.3} ", p.x.raw(), p.y.raw()),
            Segment::Line(p) => write!(text, "L{:.3},{:.3} ", p.x.raw(), p.y.raw()),
            Segment::Cubic(a, b, c) => write!(
                text,
                "C{:.3},{:.3},{:.3},{:.3},{:.3},{:.3} ",
                a.x.raw(),
                a.y.raw(),
                b.x.raw(),
                b.y.raw(),
                c.x.raw(),
                c.y.raw()
            ),
            Segment::Close => write!(text, "Z "),
        };
    }
    text.trim_end().to_owned()
}
