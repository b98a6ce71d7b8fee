//! A cover on its sheets: back, spine and front side by side round a glued or a stapled book, two leaves for other bindings.
//!
//! Takes the parts of a cover and how wide the spine is; gives a document of those parts and the sides that they stand on, seen
//! from outside. Distances are *common practice, no source*: a fold is true to 1 mm, so words keep 1.5 mm from it and a ground
//! runs over the spine whole; a glued cover is scored beside its spine, where it opens. Words of a spine run from head to foot, as
//! ISO 6357 has them (from memory).

use super::marks::{self, Guides};
use super::plain::boxes;
use super::spine::TITLE;
use super::{Placement, PressLook, Sheet, Turn};
use crate::font::Fonts;
use crate::frame::{Frame, Ink};
use crate::geom::{Abs, Point, Rect, Size};
use crate::page::{Cover, Document, Identity, Page, PageRecord, SheetKind, Side, SpineWords};
use crate::style::Binding;

/// What a cover is made from.
#[derive(Debug, Clone)]
pub struct Wrapping<'a> {
    /// Its parts.
    pub cover: &'a Cover,
    /// Who it is: no book, so that nothing is compared with it by mistake.
    pub identity: Identity,
    /// How the book is bound.
    pub binding: Binding,
    /// How wide the spine of a glued book is.
    pub spine: Abs,
    /// Bleed and marks.
    pub look: &'a PressLook,
}

/// A cover on its sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Wrapped {
    /// Its parts as pages.
    pub document: Document,
    /// Its sides.
    pub sheets: Vec<Sheet>,
    /// Which words stand on the spine, or why none; nothing where there is no spine to print on.
    pub on_spine: Option<String>,
}

/// Least distance of words from the folds of a spine.
const CLEAR: Abs = Abs::mm(1.5);
/// Distance of the words of a spine from head and foot.
const ENDS: Abs = Abs::mm(12.0);
/// Between title and author.
const BETWEEN: Abs = Abs::mm(8.0);
/// The smallest letters on a spine.
const SMALLEST: Abs = Abs::pt(7.0);
/// The letters of a spine are no larger, and on a thin one no smaller than it lets them be.
const LARGEST: Abs = Abs::pt(20.0);
/// On a spine with room to spare letters are so large against its width, but no smaller than [`READABLE`] (our choice).
const SHARE: f64 = 0.42;
const READABLE: Abs = Abs::pt(9.0);
/// Distance of the score from the spine.
const SCORE: Abs = Abs::mm(6.0);
/// From the outermost line at the spine to the target beside it.
const BESIDE: Abs = Abs::mm(12.0);

/// Puts a cover on its sheets.
pub fn wrap(of: &Wrapping<'_>, fonts: &Fonts) -> Wrapped {
    let mut parts = Parts { document: Document::default(), of };
    parts.document.identity = of.identity.clone();
    parts.document.manifest.identity = of.identity.clone();
    let page = of.cover.front.size;
    match of.binding {
        Binding::Perfect => parts.around(page, of.spine, fonts),
        Binding::Saddle => parts.around(page, Abs::ZERO, fonts),
        Binding::Comb | Binding::Wire | Binding::Ring | Binding::None => parts.leaves(page, fonts),
    }
}

struct Parts<'a> {
    document: Document,
    of: &'a Wrapping<'a>,
}

impl Parts<'_> {
    /// Takes in a part; gives its number.
    fn add(&mut self, frame: Frame, label: &str, side: Side) -> usize {
        self.document.pages.push(Page { frame, label: label.to_owned(), side, kind: SheetKind::Cover });
        self.document.manifest.pages.push(PageRecord { label: label.to_owned(), digest: String::new() });
        self.document.pages.len() - 1
    }
    /// The ground under a side, if there is one.
    fn ground(&mut self, area: Rect) -> Option<Placement> {
        if !self.of.cover.ground {
            return None;
        }
        let mut frame = Frame::new(Size::new(area.width(), area.height()));
        frame.fill_rect(Rect::new(Point::default(), Point::new(area.width(), area.height())), Ink::Second);
        let label = format!("ground {}", self.document.pages.len() + 1);
        Some(Placement::upright(self.add(frame, &label, Side::Recto), area.min))
    }

    /// One side round the book, from the left: back, spine, front.
    fn around(mut self, page: Size, spine: Abs, fonts: &Fonts) -> Wrapped {
        let look = self.of.look;
        let trim = Size::new(page.width * 2.0 + spine, page.height);
        let boxes = boxes(trim, look);
        let Rect { min, max } = boxes.trim;
        let folds = (min.x + page.width, min.x + page.width + spine);
        let mut pages: Vec<Placement> = self.ground(boxes.bleed).into_iter().collect();
        let back = self.add(self.of.cover.back.clone(), "back", Side::Verso);
        let clip = Rect { max: Point::new(folds.0, boxes.bleed.max.y), ..boxes.bleed };
        pages.push(Placement { clip: Some(clip), ..Placement::upright(back, min) });
        let (words, on_spine) = self.on_spine(Rect::new(Point::new(folds.0, min.y), Point::new(folds.1, max.y)));
        pages.extend(words);
        let front = self.add(self.of.cover.front.clone(), "front", Side::Recto);
        let clip = Rect { min: Point::new(folds.1, boxes.bleed.min.y), ..boxes.bleed };
        pages.push(Placement { clip: Some(clip), ..Placement::upright(front, Point::new(folds.1, min.y)) });
        let is_glued = spine > Abs::ZERO;
        let guides = Guides {
            cut_x: vec![min.x, max.x],
            cut_y: vec![min.y, max.y],
            fold_x: if is_glued { vec![folds.0, folds.1] } else { vec![folds.0] },
            fold_y: Vec::new(),
            score_x: if is_glued { vec![folds.0 - SCORE, folds.1 + SCORE] } else { Vec::new() },
        };
        let beside = if is_glued { spine / 2.0 + SCORE + BESIDE } else { BESIDE };
        let marks = marks::guided(&boxes, &guides, look, ("cover", beside), fonts);
        let sheets = vec![Sheet { boxes, pages, marks, label: "cover".to_owned(), paper: 0 }];
        Wrapped { document: self.document, sheets, on_spine: is_glued.then_some(on_spine) }
    }

    /// Two leaves, printed on their outsides: front, its empty back, the empty front of the last leaf, back.
    fn leaves(mut self, page: Size, fonts: &Fonts) -> Wrapped {
        let look = self.of.look;
        let sides = [
            ("front", Side::Recto),
            ("inside front", Side::Verso),
            ("inside back", Side::Recto),
            ("back", Side::Verso),
        ];
        let mut sheets = Vec::new();
        for (nth, (label, side)) in sides.into_iter().enumerate() {
            let boxes = boxes(page, look);
            let frame = match label {
                "front" => Some(self.of.cover.front.clone()),
                "back" => Some(self.of.cover.back.clone()),
                _ => None,
            };
            let mut pages = Vec::new();
            if let Some(frame) = frame {
                pages.extend(self.ground(boxes.bleed));
                pages.push(Placement::upright(self.add(frame, label, side), boxes.trim.min));
            }
            let marks = marks::marks(&boxes, look, &format!("cover, {label}"), fonts);
            sheets.push(Sheet { boxes, pages, marks, label: label.to_owned(), paper: nth / 2 });
        }
        Wrapped { document: self.document, sheets, on_spine: None }
    }

    /// The words of the spine in its area, and what is said of them.
    fn on_spine(&mut self, area: Rect) -> (Vec<Placement>, String) {
        let Some(words) = &self.of.cover.spine else { return (Vec::new(), "none, as the book asks".to_owned()) };
        if area.width().to_mm() < TITLE - 1e-6 {
            return (Vec::new(), format!("none: {:.1} mm are too thin for them", area.width().to_mm()));
        }
        let length = area.height() - ENDS * 2.0;
        let Some(fit) = Fit::of(words, area.width(), length) else {
            return (Vec::new(), format!("none: the title is longer than {:.0} mm in letters of 7 pt", length.to_mm()));
        };
        let mut pages = vec![self.lying(&words.title, fit.scale, "spine, title", area, area.min.y + ENDS)];
        let said = match words.author.as_ref().filter(|_| fit.with_author) {
            Some(author) => {
                let top = area.max.y - ENDS - author.size.width * fit.scale;
                pages.push(self.lying(author, fit.scale, "spine, author", area, top));
                "title and author"
            }
            None => "the title",
        };
        (pages, format!("{said}, from head to foot, {:.1} pt", (words.size * fit.scale).to_pt()))
    }

    /// Words lying in the middle of the spine, from `top` downwards.
    fn lying(&mut self, words: &Frame, scale: f64, label: &str, area: Rect, top: Abs) -> Placement {
        let x = area.min.x + (area.width() - words.size.height * scale) / 2.0;
        let page = self.add(words.clone(), label, Side::Recto);
        Placement { turn: Turn::Quarter, scale, ..Placement::upright(page, Point::new(x, top)) }
    }
}

/// How the words of a spine come to fit on it.
struct Fit {
    scale: f64,
    with_author: bool,
}

impl Fit {
    /// As large as is well, smaller where the length wants it, and without the author rather than unreadable; `None` where even
    /// the title alone is too long.
    fn of(words: &SpineWords, width: Abs, length: Abs) -> Option<Self> {
        // What the folds leave, for letters from ascender to descender.
        let most = words.size * ((width - CLEAR * 2.0) / words.title.size.height);
        let size = most.min((width * SHARE).clamp(READABLE, LARGEST));
        let both = words.author.as_ref().map(|author| words.title.size.width + author.size.width);
        let fit = |natural: Abs, room: Abs| {
            let fits = words.size * (room / natural.max(Abs::pt(1.0)));
            Some(size.min(fits)).filter(|size| *size >= SMALLEST - Abs::pt(1e-6)).map(|size| size / words.size)
        };
        let with_both = both.and_then(|both| fit(both, length - BETWEEN));
        with_both
            .map(|scale| Self { scale, with_author: true })
            .or_else(|| fit(words.title.size.width, length).map(|scale| Self { scale, with_author: false }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Item;
    use crate::geom::Segment;

    const PAGE: Size = Size::new(Abs::mm(148.0), Abs::mm(210.0));

    fn cover(title: f64, author: Option<f64>, ground: bool) -> Cover {
        let size = Abs::pt(14.0);
        let words = |wide: f64| Frame::new(Size::new(Abs::mm(wide), size * 1.05));
        let spine = SpineWords { title: words(title), author: author.map(words), size };
        Cover { front: Frame::new(PAGE), back: Frame::new(PAGE), spine: Some(spine), ground }
    }
    fn wrapped(cover: &Cover, binding: Binding, spine: f64) -> Wrapped {
        let look = PressLook::press("Demo");
        wrap(
            &Wrapping { cover, identity: Identity::default(), binding, spine: Abs::mm(spine), look: &look },
            &Fonts::embedded(),
        )
    }
    fn labels(of: &Wrapped) -> Vec<&str> {
        let placed = of.sheets[0].pages.iter();
        placed.map(|placement| of.document.pages[placement.page].label.as_str()).collect()
    }
    /// Upright strokes of the marks: how far right of the trim's left edge, in millimetres, and whether solid.
    fn ticks(sheet: &Sheet) -> Vec<(f64, bool)> {
        let strokes = sheet.marks.items().iter().filter_map(|(_, item)| match item {
            Item::Shape(shape) => match shape.path.segments[..] {
                [Segment::Move(from), Segment::Line(to)] => Some((from, to, shape.stroke?.dash)),
                _ => None,
            },
            _ => None,
        });
        let upright = strokes.filter(|(from, to, _)| from.x == to.x && (from.y - to.y).abs() > Abs::mm(5.9));
        let mut found: Vec<_> =
            upright.map(|(from, _, dash)| ((from.x - sheet.boxes.trim.min.x).to_mm(), dash.is_none())).collect();
        found.sort_by(|one, other| one.0.total_cmp(&other.0));
        found.dedup();
        found
    }

    /// A5 and a spine of 10 mm: 148 + 10 + 148 = 306 mm; folds at 148 and 158, scores 6 mm beside them.
    #[test]
    fn a_glued_book_has_back_spine_and_front_on_one_sheet() {
        let wrapped = wrapped(&cover(40.0, Some(20.0), false), Binding::Perfect, 10.0);
        let [sheet] = &wrapped.sheets[..] else { panic!("one side") };
        assert!((sheet.boxes.trim.width().to_mm() - 306.0).abs() < 1e-9);
        assert!((sheet.boxes.media.width.to_mm() - 326.0).abs() < 1e-9);
        assert_eq!(labels(&wrapped), ["back", "spine, title", "spine, author", "front"]);
        let left = |nth: usize| (sheet.pages[nth].at.x - sheet.boxes.trim.min.x).to_mm();
        assert!(left(0).abs() < 1e-9 && (left(3) - 158.0).abs() < 1e-9);
        let wanted = [(0.0, true), (142.0, false), (148.0, false), (158.0, false), (164.0, false), (306.0, true)];
        let found = ticks(sheet);
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        for ((x, solid), (at, is_solid)) in found.into_iter().zip(wanted) {
            assert!((x - at).abs() < 1e-6 && solid == is_solid, "{x} {solid}");
        }
        let (back, front) = (sheet.pages[0].clip.expect("it is clipped"), sheet.pages[3].clip.expect("it is clipped"));
        assert!((front.min.x - back.max.x).is_near(Abs::mm(10.0)));
    }

    /// Common practice: no words under 6 mm; from there on they keep 1.5 mm from either fold and are no smaller than 7 pt.
    #[test]
    fn words_stand_on_a_spine_from_six_millimetres_on() {
        let cover = cover(40.0, Some(20.0), false);
        let thin = wrapped(&cover, Binding::Perfect, 5.9);
        assert_eq!(labels(&thin), ["back", "front"]);
        assert!(thin.on_spine.is_some_and(|said| said.contains("too thin")));
        for width in [6.0, 7.5, 10.0, 25.0, 80.0] {
            let wrapped = wrapped(&cover, Binding::Perfect, width);
            let sheet = &wrapped.sheets[0];
            let fold = sheet.boxes.trim.min.x + PAGE.width;
            let mut down = sheet.boxes.trim.min.y + ENDS;
            for placement in &sheet.pages[1..3] {
                let size = wrapped.document.pages[placement.page].frame.size;
                assert_eq!(placement.turn, Turn::Quarter);
                assert!((fold + CLEAR).fits(placement.at.x), "{width}");
                assert!(
                    (placement.at.x + size.height * placement.scale + CLEAR).fits(fold + Abs::mm(width)),
                    "{width}"
                );
                assert!(14.0 * placement.scale > 6.999, "{width}: {}", placement.scale);
                assert!(down.fits(placement.at.y), "{width}");
                down = placement.at.y + size.width * placement.scale + BETWEEN;
            }
            assert!((down - BETWEEN + ENDS).fits(sheet.boxes.trim.max.y), "{width}");
        }
    }

    /// 186 mm of length hold 40 mm of letters of 14 pt at 6 pt and more; what is longer goes without the author, then without words.
    #[test]
    fn a_long_title_drives_out_the_author_and_then_itself() {
        let said = |title: f64, author: f64| {
            let wrapped = wrapped(&cover(title, Some(author), false), Binding::Perfect, 12.0);
            (wrapped.sheets[0].pages.len(), wrapped.on_spine.expect("it has a spine"))
        };
        let (pages, words) = said(150.0, 100.0);
        assert!(pages == 4 && words.starts_with("title and author"), "{words}");
        let (pages, words) = said(300.0, 100.0);
        assert!(pages == 3 && words.starts_with("the title, from head"), "{words}");
        let (pages, words) = said(400.0, 10.0);
        assert!(pages == 2 && words.starts_with("none: the title is longer"), "{words}");
    }

    #[test]
    fn other_bindings_have_one_fold_or_two_leaves() {
        let cover = cover(40.0, None, true);
        let stapled = wrapped(&cover, Binding::Saddle, 3.0);
        assert!((stapled.sheets[0].boxes.trim.width().to_mm() - 296.0).abs() < 1e-9);
        assert_eq!(labels(&stapled), ["ground 1", "back", "front"]);
        assert_eq!(ticks(&stapled.sheets[0]).iter().filter(|(_, solid)| !solid).count(), 1);
        assert_eq!(stapled.on_spine, None);
        let ground = &stapled.sheets[0].pages[0];
        assert_eq!(ground.at, stapled.sheets[0].boxes.bleed.min);
        assert!((stapled.document.pages[ground.page].frame.size.width.to_mm() - 302.0).abs() < 1e-9);
        for binding in [Binding::Comb, Binding::Wire, Binding::Ring, Binding::None] {
            let leaves = wrapped(&cover, binding, 3.0);
            let counts: Vec<_> = leaves.sheets.iter().map(|sheet| (sheet.pages.len(), sheet.paper)).collect();
            assert_eq!(counts, [(2, 0), (0, 0), (0, 1), (2, 1)]);
            assert!(leaves.sheets.iter().all(|sheet| sheet.boxes == leaves.sheets[0].boxes));
        }
    }
}
