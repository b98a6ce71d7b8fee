//! Signs on heads and rests: articulations, ornaments, fermatas, breath marks, loudness.
//!
//! Sources: staccato and tenuto beside the head, in spaces inside the staff; accents outside it; then ornaments, the fermata
//! outermost above (E. Gould, *Behind Bars*, from memory). Glyphs "above" stand on their baseline, "below" hang from it
//! (SMuFL, "Articulation").

use super::canvas::{Canvas, Kind, Label, at, ink_of};
use super::contract::Sign;
use super::curve::Curve;
use super::figure::Figure;
use super::job::Job;
use super::layout::{StemWay, SystemLayout};
use super::lettering::Area;
use super::notes::StemEnds;
use crate::font::Anchor;
use crate::geom::{Path, Space};
use crate::style::FingerLook;
use crate::tune::Mark;

/// Clear distance of a mark from the ink it stands over.
const GAP: f64 = 0.4;
/// From a head's staff position to a mark outside the staff.
const OFF_HEAD: f64 = 0.85;
/// The lowest y of signs above the staff.
const ABOVE: f64 = 4.6;
/// A caesura cuts the top line, from the middle of the space under it upwards (E. Gould, *Behind Bars*, from memory).
const CAESURA_Y: f64 = 3.25;
/// Breath marks stand on this line, and at this part of the way to the next column.
const BREATH_Y: f64 = 4.2;
const BREATH_PART: f64 = 0.7;
/// The line of loudness signs: at most this high.
const LOUDNESS_Y: f64 = -2.6;
/// How far loudness letters reach over their line.
const LOUDNESS_UP: f64 = 1.1;
/// Height of a crescendo wedge's opening.
const WEDGE: f64 = 1.1;
/// From a loudness letter to a wedge.
const WEDGE_GAP: f64 = 0.5;
/// Half the width and the height of the arc that means a roll.
const ROLL: (f64, f64) = (0.95, 0.75);

/// Marks beside heads: what slurs go round.
pub(super) fn near(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas, figures: &[Figure], ends: &StemEnds) {
    for index in 0..layout.columns.len() {
        let figure = &figures[layout.columns[index].number];
        let event = &job.score.tune.bars[figure.bar].events[figure.event];
        canvas.bar = Some(figure.bar);
        let up = figure.way == StemWay::Down;
        for mark in [Mark::Staccato, Mark::Wedge, Mark::Tenuto, Mark::Accent] {
            if event.marks.contains(&mark) && !figure.heads.is_empty() {
                beside(job, layout, canvas, figure, index, mark, up, ends[index]);
            }
        }
    }
}

#[expect(clippy::too_many_arguments, reason = "a mark is its head, its place and its side")]
fn beside(
    job: &Job,
    layout: &mut SystemLayout,
    canvas: &mut Canvas,
    figure: &Figure,
    index: usize,
    mark: Mark,
    up: bool,
    _stem_end: f64,
) {
    let (above, below, sign) = match mark {
        Mark::Staccato => ("articStaccatoAbove", "articStaccatoBelow", Sign::Staccato),
        Mark::Wedge => ("articStaccatissimoWedgeAbove", "articStaccatissimoWedgeBelow", Sign::Staccato),
        Mark::Tenuto => ("articTenutoAbove", "articTenutoBelow", Sign::Tenuto),
        _ => ("articAccentAbove", "articAccentBelow", Sign::Accent),
    };
    let name = if up { above } else { below };
    let side = if up { 1.0 } else { -1.0 };
    let column = &layout.columns[index];
    let scale = job.marks().min(1.4);
    let ink = ink_of(job.music().glyph(name)).scaled(scale);
    let (height, middle) = (ink.top - ink.bottom, (ink.left + ink.right) / 2.0);
    let centre = column.centre();
    let head = if up { figure.high() } else { figure.low() };
    let (low, high) = (centre - (ink.right - ink.left) / 2.0, centre + (ink.right - ink.left) / 2.0);
    let skyline = if up { &canvas.upper } else { &canvas.lower };
    let reach = skyline.reach(low, high).map_or(head * side, |y| y * side);
    // Small marks stand in the middle of spaces inside the staff; all others outside it.
    let small = height < 0.6;
    let on_line = (head - head.floor()).abs() < 0.25;
    let inside = head + side * if on_line { 1.5 } else { 1.0 };
    let free = reach <= head * side + 0.62;
    let y = if small && free && (0.3..=3.7).contains(&inside) {
        inside * side
    } else {
        let bare = if free { head * side + OFF_HEAD } else { reach + GAP };
        let staff = if up { 4.0 } else { 0.0 };
        let outside = if small && free { bare } else { bare.max(staff + 0.4) };
        outside.max(if free && (bare..bare + height).contains(&staff) { staff + 0.3 } else { outside }) + height / 2.0
    };
    let origin = y * side - (ink.top + ink.bottom) / 2.0;
    canvas.glyph(Label::new(Kind::Articulation, figure.number), name, centre - middle, origin, scale);
    layout.signs.insert(sign);
}

/// Marks above the staff and breath marks, after slurs and tuplets.
pub(super) fn far(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas, figures: &[Figure]) {
    for index in 0..layout.columns.len() {
        let column = layout.columns[index].clone();
        let figure = &figures[column.number];
        let event = &job.score.tune.bars[figure.bar].events[figure.event];
        canvas.bar = Some(figure.bar);
        for mark in &event.marks {
            let (name, sign, kind) = match mark {
                Mark::Marcato => ("articMarcatoAbove", Sign::Accent, Kind::Articulation),
                Mark::Trill => ("ornamentTrill", Sign::Trill, Kind::Ornament),
                Mark::Turn => ("ornamentTurn", Sign::Turn, Kind::Ornament),
                Mark::InvertedTurn => ("ornamentTurnInverted", Sign::Turn, Kind::Ornament),
                Mark::LowerMordent => ("ornamentMordent", Sign::Mordent, Kind::Ornament),
                Mark::UpperMordent => ("ornamentShortTrill", Sign::Mordent, Kind::Ornament),
                Mark::UpBow => ("stringsUpBow", Sign::Accent, Kind::Ornament),
                Mark::DownBow => ("stringsDownBow", Sign::Accent, Kind::Ornament),
                _ => continue,
            };
            over(job, canvas, Label::new(kind, figure.number), name, column.centre());
            if !matches!(mark, Mark::UpBow | Mark::DownBow) {
                layout.signs.insert(sign);
            }
        }
        if event.marks.contains(&Mark::Roll) {
            roll(job, canvas, figure, column.centre());
            layout.signs.insert(Sign::Roll);
        }
        if event.marks.contains(&Mark::Slide) && !figure.heads.is_empty() {
            slide(canvas, figure, column.x);
            layout.signs.insert(Sign::Slide);
        }
        finger(job, layout, canvas, &event.marks, figure, column.centre());
        if event.marks.contains(&Mark::Fermata) {
            over(job, canvas, Label::new(Kind::Fermata, figure.number), "fermataAbove", column.centre());
            layout.signs.insert(Sign::Fermata);
        }
        if event.marks.contains(&Mark::FermataBelow) {
            under(job, canvas, Label::new(Kind::Fermata, figure.number), "fermataBelow", column.centre());
            layout.signs.insert(Sign::Fermata);
        }
        breath(job, layout, canvas, &event.marks, index);
    }
    for room in layout.bars.clone() {
        canvas.bar = Some(room.bar);
        let marks = &job.score.tune.bars[room.bar].barline_marks;
        let (label, x) = (Label::new(Kind::Fermata, usize::MAX - room.bar), f64::midpoint(room.barline, room.right));
        if marks.contains(&Mark::Fermata) {
            over(job, canvas, label, "fermataAbove", x);
            layout.signs.insert(Sign::Fermata);
        }
        if marks.contains(&Mark::FermataBelow) {
            under(job, canvas, label, "fermataBelow", x);
            layout.signs.insert(Sign::Fermata);
        }
    }
}

/// Puts a glyph over all ink at `x`, centred there, or as near as the ends of the line let it.
fn over(job: &Job, canvas: &mut Canvas, label: Label, name: &'static str, x: f64) -> Area {
    let scale = job.marks().min(1.4);
    let ink = ink_of(job.music().glyph(name)).scaled(scale);
    let half = (ink.right - ink.left) / 2.0;
    let x = x.min(canvas.width - half).max(half);
    let reach = canvas.upper.reach(x - half, x + half).map_or(ABOVE, |y| (y + GAP).max(ABOVE));
    canvas.glyph(label, name, x - half - ink.left, reach - ink.bottom, scale)
}

/// Puts a glyph under all ink at `x`, centred.
fn under(job: &Job, canvas: &mut Canvas, label: Label, name: &'static str, x: f64) -> Area {
    let scale = job.marks().min(1.4);
    let ink = ink_of(job.music().glyph(name)).scaled(scale);
    let half = (ink.right - ink.left) / 2.0;
    let reach = canvas.lower.reach(x - half, x + half).map_or(-0.6, |y| (y - GAP).min(-0.6));
    canvas.glyph(label, name, x - half - ink.left, reach - ink.top, scale)
}

fn roll(job: &Job, canvas: &mut Canvas, figure: &Figure, x: f64) {
    let (half, height) = ROLL;
    let reach = canvas.upper.reach(x - half, x + half).map_or(ABOVE, |y| (y + GAP).max(ABOVE));
    let curve = Curve { from: (x - half, reach), to: (x + half, reach), height, side: 1.0 };
    curve.draw(job, canvas, Label::new(Kind::Ornament, figure.number), false);
}

/// A short line up into the head.
fn slide(canvas: &mut Canvas, figure: &Figure, x: f64) {
    let right = x + super::notes::outer_left(figure) + super::figure::ARPEGGIO - 0.25;
    let path = slide_path(right, figure.low());
    canvas.stroke(Label::new(Kind::Ornament, figure.number), path, SLIDE_STROKE, None);
}

/// How thick the line of a slide is, in spaces: about a stem's and a half (our choice, no source).
pub(super) const SLIDE_STROKE: f64 = 0.16;

/// The line of a slide that ends at `right`, just under `y`.
pub(super) fn slide_path(right: f64, y: f64) -> Path<Space> {
    Path::open(&[at(right - 1.0, y - 0.7), at(right, y - 0.1)])
}

/// A finger that the source itself gives, where no plan shows its own.
fn finger(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas, marks: &[Mark], figure: &Figure, x: f64) {
    if job.score.plan.is_some() && job.style.signs.fingers == FingerLook::Above {
        return;
    }
    for mark in marks {
        let Mark::Finger(digit @ 0..=9) = mark else { continue };
        const DIGITS: [&str; 10] = [
            "fingering0",
            "fingering1",
            "fingering2",
            "fingering3",
            "fingering4",
            "fingering5",
            "fingering6",
            "fingering7",
            "fingering8",
            "fingering9",
        ];
        over(job, canvas, Label::new(Kind::Finger, figure.number), DIGITS[usize::from(*digit)], x);
        layout.signs.insert(Sign::Finger);
    }
}

/// Whether nothing but staff lines has ink in an area.
fn is_free(canvas: &Canvas, area: Area) -> bool {
    let meets =
        |ink: Area| ink.left < area.right && area.left < ink.right && ink.bottom < area.top && area.bottom < ink.top;
    !canvas.inks().iter().any(|ink| ink.label.kind != Kind::Staff && meets(ink.area))
}

fn breath(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas, marks: &[Mark], index: usize) {
    let column = &layout.columns[index];
    let next = layout.columns.get(index + 1).filter(|next| next.bar == column.bar).map(|next| next.x);
    let edge = next.or_else(|| layout.bar_box(column.bar).map(|room| room.barline)).unwrap_or(layout.staff_right);
    let x = column.right + (edge - column.right) * BREATH_PART;
    let signs = [(Mark::Breath, "breathMarkComma", Sign::Breath), (Mark::Caesura, "caesura", Sign::Caesura)];
    for (mark, name, sign) in signs {
        if !marks.contains(&mark) {
            continue;
        }
        let ink = ink_of(job.music().glyph(name));
        let width = ink.right - ink.left;
        let left = (x - width / 2.0).min(edge - width - 0.2);
        let over = |least: f64| canvas.upper.reach(left, left + width).map_or(least, |y| (y + 0.2).max(least));
        let (low, high) = (CAESURA_Y - 0.25, CAESURA_Y + ink.top - ink.bottom + 0.25);
        let cuts = mark == Mark::Caesura && is_free(canvas, Area::new(left - 0.25, low, left + width + 0.25, high));
        let y = if cuts { CAESURA_Y } else { over(BREATH_Y) };
        canvas.glyph(Label::new(Kind::Breath, column.number), name, left - ink.left, y - ink.bottom.max(-0.1), 1.0);
        layout.signs.insert(sign);
    }
}

/// Loudness signs and wedges, all on one line under the staff.
pub(super) fn loudness(job: &Job, layout: &SystemLayout, canvas: &mut Canvas) {
    let marks = |index: usize| {
        let column = &layout.columns[index];
        &job.score.tune.bars[column.bar].events[column.event].marks
    };
    let mut wedges: Vec<(usize, usize, bool)> = Vec::new();
    let mut open: Option<(usize, bool)> = None;
    let mut letters: Vec<(usize, &'static str)> = Vec::new();
    for index in 0..layout.columns.len() {
        for mark in marks(index) {
            match mark {
                Mark::Dynamic(level) => letters.push((index, loudness_name(*level))),
                Mark::CrescendoStart => open = Some((index, true)),
                Mark::DiminuendoStart => open = Some((index, false)),
                Mark::CrescendoEnd | Mark::DiminuendoEnd => {
                    let (start, grows) = open.take().unwrap_or((0, *mark == Mark::CrescendoEnd));
                    wedges.push((start, index, grows));
                }
                _ => {}
            }
        }
    }
    if let Some((start, grows)) = open {
        wedges.push((start, layout.columns.len() - 1, grows));
    }
    // A wedge leads to the next letter and never runs through it.
    for (start, end, _) in &mut wedges {
        let letter = letters.iter().map(|(index, _)| *index).find(|index| index > start && index < end);
        *end = letter.unwrap_or(*end);
    }
    if wedges.is_empty() && letters.is_empty() {
        return;
    }
    let spans = letters
        .iter()
        .map(|(index, name)| {
            let half = job.music().glyph(name).advance.raw() / 2.0 + 0.2;
            let middle = layout.columns[*index].centre();
            (middle - half, middle + half)
        })
        .chain(wedges.iter().map(|(a, b, _)| (layout.columns[*a].x, layout.columns[*b].right)));
    let middle = spans
        .filter_map(|(left, right)| canvas.lower.reach(left, right))
        .fold(LOUDNESS_Y, |y, reach| y.min(reach - GAP - LOUDNESS_UP));
    let mut inks = Vec::new();
    for (index, name) in &letters {
        let column = &layout.columns[*index];
        canvas.bar = Some(column.bar);
        let glyph = job.music().glyph(name);
        let ink = ink_of(glyph);
        // Letters stand under their head by what the eye takes for their middle (SMuFL's opticalCenter).
        let optical = glyph.anchor(Anchor::OpticalCenter).map_or((ink.left + ink.right) / 2.0, |point| point.x.raw());
        let label = Label::new(Kind::Dynamic, column.number);
        let area = canvas.glyph(label, name, column.centre() - optical, middle - 0.4, 1.0);
        inks.push((*index, area.left, area.right));
    }
    for (a, b, grows) in wedges {
        let (first, last) = (&layout.columns[a], &layout.columns[b]);
        canvas.bar = Some(first.bar);
        let after = letters.iter().any(|(index, _)| *index == a);
        let before = letters.iter().any(|(index, _)| *index == b) && b > a;
        let edge = |index: usize| {
            let (_, left, right) = *inks.iter().find(|(letter, ..)| *letter == index).unwrap_or(&(index, 0.0, 0.0));
            (left, right)
        };
        let left = if after { edge(a).1 + WEDGE_GAP } else { first.x };
        let right = if before { edge(b).0 - WEDGE_GAP } else { last.right };
        let right = right.max(left + 1.0);
        let (thin, wide) = if grows { (left, right) } else { (right, left) };
        let half = WEDGE / 2.0;
        let path = Path::open(&[at(wide, middle + half), at(thin, middle), at(wide, middle - half)]);
        canvas.stroke(Label::new(Kind::Dynamic, first.number), path, job.music().defaults.hairpin.raw(), None);
    }
}

const fn loudness_name(level: u8) -> &'static str {
    match level {
        0 => "dynamicPPPP",
        1 => "dynamicPPP",
        2 => "dynamicPP",
        3 => "dynamicPiano",
        4 => "dynamicMP",
        5 => "dynamicMF",
        6 => "dynamicForte",
        7 => "dynamicFF",
        8 => "dynamicFFF",
        9 => "dynamicFFFF",
        _ => "dynamicSforzato",
    }
}
