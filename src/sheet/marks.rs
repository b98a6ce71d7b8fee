//! Marks outside the trim: crop marks, registration targets, the slug line.
//!
//! Distances: *common practice, no source*, but for the length of crop marks (6 mm: Ghent Workgroup, read second-hand).

use super::PressLook;
use super::look::LENGTH;
use crate::font::{Cut, FaceChoice, Features, Fonts, TextFamily, Weight};
use crate::frame::{Frame, Item, Shape, Stroke, TextRun};
use crate::geom::{Abs, Path, Point, Rect};
use crate::page::PageBoxes;

/// Weight of marks.
const LINE: Abs = Abs::pt(0.25);
/// Radius of a registration target; its cross reaches half as far again.
const TARGET: Abs = Abs::mm(1.5);
/// Type size of the slug.
const SLUG: Abs = Abs::pt(6.0);
/// The least share of that size at which the slug is still read; below it the title is cut.
const LEAST: f64 = 0.6;
/// Dashes of a fold mark.
const FOLD: (Abs, Abs) = (Abs::pt(2.0), Abs::pt(2.0));
/// Dots of a score mark.
const DOTS: (Abs, Abs) = (Abs::pt(0.5), Abs::pt(1.5));

/// The marks of a side, from the medium's upper left corner; `label` ends the slug.
pub(super) fn marks(boxes: &PageBoxes, look: &PressLook, label: &str, fonts: &Fonts) -> Frame {
    let mut frame = Frame::new(boxes.media);
    if look.crop_marks {
        crop(&mut frame, &boxes.trim, look);
    }
    rest(&mut frame, boxes, look, label, fonts, Abs::ZERO);
    frame
}

/// Where an imposed sheet is cut and folded, from the medium's upper left corner.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Guides {
    /// Upright cuts.
    pub(super) cut_x: Vec<Abs>,
    /// Level cuts.
    pub(super) cut_y: Vec<Abs>,
    /// Upright folds.
    pub(super) fold_x: Vec<Abs>,
    /// Level folds.
    pub(super) fold_y: Vec<Abs>,
    /// Upright scores: lines along which a cover opens.
    pub(super) score_x: Vec<Abs>,
}

/// The marks of an imposed side.
pub(super) fn imposed(boxes: &PageBoxes, guides: &Guides, look: &PressLook, label: &str, fonts: &Fonts) -> Frame {
    guided(boxes, guides, look, (label, Abs::mm(12.0)), fonts)
}

/// A tick for each cut, a dashed one for each fold, a dotted one for each score, in the margins outside the bleed; the label ends
/// the slug, and the targets stand so far beside the middle, where a fold may be marked.
pub(super) fn guided(
    boxes: &PageBoxes,
    guides: &Guides,
    look: &PressLook,
    (label, beside): (&str, Abs),
    fonts: &Fonts,
) -> Frame {
    let mut frame = Frame::new(boxes.media);
    let off = look.offset();
    if look.crop_marks {
        let trim = &boxes.trim;
        for (places, dash) in [(&guides.cut_x, None), (&guides.fold_x, Some(FOLD)), (&guides.score_x, Some(DOTS))] {
            for x in places {
                for (y, to) in [(trim.min.y, -1.0), (trim.max.y, 1.0)] {
                    let near = y + off * to;
                    tick(&mut frame, Point::new(*x, near), Point::new(*x, near + LENGTH * to), dash, look);
                }
            }
        }
        for (places, dash) in [(&guides.cut_y, None), (&guides.fold_y, Some(FOLD))] {
            for y in places {
                for (x, to) in [(trim.min.x, -1.0), (trim.max.x, 1.0)] {
                    let near = x + off * to;
                    tick(&mut frame, Point::new(near, *y), Point::new(near + LENGTH * to, *y), dash, look);
                }
            }
        }
    }
    rest(&mut frame, boxes, look, label, fonts, beside);
    frame
}

fn tick(frame: &mut Frame, from: Point, to: Point, dash: Option<(Abs, Abs)>, look: &PressLook) {
    stroke(frame, &Path::open(&[from, to]), dash, look);
}

/// A line of a mark, in each ink that is printed.
fn stroke(frame: &mut Frame, path: &Path, dash: Option<(Abs, Abs)>, look: &PressLook) {
    for ink in look.mark_inks() {
        let stroke = Some(Stroke { width: LINE, ink: *ink, round: false, dash });
        frame.push(Point::default(), Item::Shape(Box::new(Shape { path: path.clone(), fill: None, stroke })));
    }
}

/// Targets and slug; `beside` moves the targets off the middle, where a fold mark may stand.
fn rest(frame: &mut Frame, boxes: &PageBoxes, look: &PressLook, label: &str, fonts: &Fonts, beside: Abs) {
    if look.registration_marks {
        targets(frame, &boxes.trim, look, beside);
    }
    if look.has_marks() && !look.slug.is_empty() {
        let end = if look.slug_end.is_empty() { String::new() } else { format!("  {}", look.slug_end) };
        slug(frame, &boxes.trim, look.offset(), (&look.slug, &format!("{end} \u{b7} {label}")), fonts);
    }
}

fn crop(frame: &mut Frame, trim: &Rect, look: &PressLook) {
    let off = look.offset();
    for (x, to_x) in [(trim.min.x, -1.0), (trim.max.x, 1.0)] {
        for (y, to_y) in [(trim.min.y, -1.0), (trim.max.y, 1.0)] {
            let near = x + off * to_x;
            tick(frame, Point::new(near, y), Point::new(near + LENGTH * to_x, y), None, look);
            let near = y + off * to_y;
            tick(frame, Point::new(x, near), Point::new(x, near + LENGTH * to_y), None, look);
        }
    }
}

fn targets(frame: &mut Frame, trim: &Rect, look: &PressLook, beside: Abs) {
    let middle = Point::new((trim.min.x + trim.max.x) / 2.0 + beside, (trim.min.y + trim.max.y) / 2.0 + beside);
    let away = look.offset() + Abs::mm(3.0);
    for centre in [
        Point::new(middle.x, trim.min.y - away),
        Point::new(middle.x, trim.max.y + away),
        Point::new(trim.min.x - away, middle.y),
        Point::new(trim.max.x + away, middle.y),
    ] {
        target(frame, centre, look);
    }
}

/// A registration target: a circle with a cross, where the inks have to meet.
fn target(frame: &mut Frame, centre: Point, look: &PressLook) {
    stroke(frame, &Path::circle(centre, TARGET), None, look);
    let reach = TARGET * 1.6;
    tick(frame, Point::new(centre.x - reach, centre.y), Point::new(centre.x + reach, centre.y), None, look);
    tick(frame, Point::new(centre.x, centre.y - reach), Point::new(centre.x, centre.y + reach), None, look);
}

/// The line of words: what may be cut, and what follows it whole.
fn slug(frame: &mut Frame, trim: &Rect, off: Abs, (title, end): (&str, &str), fonts: &Fonts) {
    let face =
        fonts.text(FaceChoice { family: TextFamily::Sans, weight: Weight::Regular, italic: false, cut: Cut::Text });
    // Between the left crop mark and the target in the middle of the foot; smaller where the words are many.
    let room = trim.width() / 2.0 - Abs::mm(8.0);
    let width = |words: &str| fonts.width(face, words, Features::default()).at(SLUG);
    let share = |words: &str| room.to_pt() / width(words).to_pt().max(1.0);
    let whole = format!("{title}{end}");
    let words =
        if share(&whole) < LEAST { cut(title, |title| share(&format!("{title}{end}")) >= LEAST) + end } else { whole };
    let run = TextRun::shaped(fonts, face, SLUG * share(&words).min(1.0), &words, Features::default());
    let at = Point::new(trim.min.x + Abs::mm(4.0), trim.max.y + off + Abs::mm(4.0));
    frame.push(at, Item::Text(run));
}

/// The longest beginning of some words that fits, with dots in the place of the rest; the dots alone where none does.
fn cut(words: &str, fits: impl Fn(&str) -> bool) -> String {
    let dotted = |end: usize| format!("{}\u{2026}", words[..end].trim_end());
    let ends: Vec<usize> = words.char_indices().map(|(at, _)| at).collect();
    let fitting = ends.partition_point(|end| fits(&dotted(*end)));
    dotted(ends.get(fitting.saturating_sub(1)).copied().unwrap_or(0))
}
