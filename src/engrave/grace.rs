//! Grace notes: small heads before a main note, stems up, one with a flag, several under beams.
//!
//! Sources: E. Gould, *Behind Bars* (from memory): about two thirds of the normal size, stems up in a single voice, one
//! grace flagged as an eighth, several beamed as sixteenths, left of the main note's accidental; SMuFL's graceNoteSlash
//! anchors for the stroke. Graces stand as far apart as their fingers and button numbers need.

use super::accidental::{self, EventSigns};
use super::canvas::{Canvas, Kind, Label, at, ink_of};
use super::figure::{Figure, GraceFigure, area_of_head, shape_of, y_of};
use super::heads::Head;
use super::job::Job;
use super::lanes;
use super::layout::GraceAt;
use super::lettering::Area;
use crate::font::Anchor;
use crate::geom::Path;
use crate::tune::{Event, NoteId};
use std::rc::Rc;

/// Size of graces against normal notes.
pub(super) const SCALE: f64 = 0.65;
/// Between the heads of two graces, clear.
const BETWEEN: f64 = 0.45;
/// Between the last grace and what belongs to the main note.
const TO_MAIN: f64 = 0.5;
/// Between the finger or button number of a grace and the next one, growing with the marks: two close ones would read as one
/// number (judged on the page).
const FIGURES_APART: f64 = 0.6;
/// Stems of graces, from the head's staff position.
const STEM: f64 = 2.5;
/// Beams of graces: thickness and pitch, scaled down.
const BEAM: f64 = 0.5 * SCALE;
const BEAM_PITCH: f64 = 0.75 * SCALE;
/// The steepest slant of a grace beam.
const SLANT: f64 = 0.5;
/// Thickness of their stems against normal ones.
const THIN: f64 = 0.85;
/// How far a beam may be moved out to be clear of graces under it.
const MOST_LIFT: f64 = 1.5;
/// Groups with lower notes keep their stems up: the beam would hang far under the staff.
const LOWEST_TURNED: f64 = -1.0;

/// Builds the graces of an event and adds their room to its boxes.
pub(super) fn add(job: &Job, event: &Event, signs: &EventSigns, figure: &mut Figure) {
    if event.graces.is_empty() {
        return;
    }
    let mut right = -figure.left() - TO_MAIN;
    // The left edge of the figure that stands next on the right: figures are as wide as the heads of graces, or wider.
    let own = event.head().and_then(|id| lanes::half_figure(job, id, false));
    let mut next_figure = own.map(|half| figure.width / 2.0 - half);
    let count = event.graces.len();
    let mut boxes = Vec::new();
    let mut graces = Vec::with_capacity(count);
    for (nth, grace) in event.graces.iter().enumerate().rev() {
        let heads: Vec<(f64, Rc<Head>)> = grace
            .notes
            .iter()
            .enumerate()
            .map(|(tone, note)| (y_of(note.pitch), job.letters.head(shape_of(job, grace.id, tone), 2)))
            .collect();
        let width = heads.iter().map(|(_, head)| head.width.raw() * SCALE).fold(0.0, f64::max);
        let low = heads.first().map_or(2.0, |(y, _)| *y);
        let high = heads.last().map_or(2.0, |(y, _)| *y);
        let stem_top = (high + STEM).max(2.0);
        let alone = count == 1;
        if alone {
            // The flag of a single grace needs room where the main note's ink is beside it.
            let flag = ink_of(job.music().glyph("flag8thUp")).scaled(SCALE);
            let beside =
                figure.boxes.iter().filter(|area| area.top > stem_top + flag.bottom - 0.1 && area.bottom < stem_top);
            let nearest = beside.map(|area| area.left).fold(f64::INFINITY, f64::min);
            right = right.min(nearest - flag.right - 0.15);
        }
        let half = lanes::half_figure(job, grace.id, true);
        if let Some((half, edge)) = half.zip(next_figure) {
            right = right.min(edge - FIGURES_APART * job.marks() - half + width / 2.0);
        }
        let x = right - width;
        next_figure = half.map(|half| x + width / 2.0 - half).or(next_figure);
        let areas: Vec<Area> = heads.iter().map(|(y, head)| area_of_head(head).scaled(SCALE).moved(x, *y)).collect();
        let wanted: Vec<_> = heads
            .iter()
            .zip(signs.graces.get(nth).into_iter().flatten())
            .filter_map(|((y, _), sign)| sign.map(|sign| (*y, sign)))
            .collect();
        let ledgers = ledger_lines(low, high);
        let over = job.music().defaults.ledger_extension.raw() * SCALE;
        let ledger = |y: &f64, over: f64| Area::new(x - over, y - 0.08, x + width + over, y + 0.08);
        let obstacles: Vec<Area> = areas.iter().copied().chain(ledgers.iter().map(|y| ledger(y, over - 0.1))).collect();
        let placed = accidental::place(job.music(), &obstacles, &wanted, SCALE);
        boxes.extend(areas.iter().copied());
        boxes.extend(placed.iter().map(|sign| sign.area));
        boxes.extend(ledgers.iter().map(|y| ledger(y, over)));
        boxes.push(Area::new(x + width - job.stem(), low, x + width, stem_top));
        if alone {
            let flag = ink_of(job.music().glyph("flag8thUp")).scaled(SCALE);
            boxes.push(flag.moved(x + width, stem_top));
            if event.graces_slashed {
                boxes.push(slash_area(job).moved(x + width, stem_top));
            }
        }
        let left = placed.iter().map(|sign| sign.area.left).fold(x, f64::min);
        let left = if ledgers.is_empty() { left } else { left.min(x - over) };
        let beams = u8::try_from(grace.value.halvings - 2).unwrap_or(1).clamp(1, 4);
        graces.push(GraceFigure { id: grace.id, x, width, heads, signs: placed, ledgers, beams });
        right = left - BETWEEN;
    }
    graces.reverse();
    figure.boxes.extend(boxes);
    figure.graces = graces;
}

/// The box of the stroke through a grace's stem and flag, from the stem's end.
fn slash_area(job: &Job) -> Area {
    let flag = job.music().glyph("flag8thUp");
    let corner = |anchor| flag.anchor(anchor).map_or((0.0, 0.0), |p| (p.x.raw(), p.y.raw()));
    let (sw, ne) = (corner(Anchor::SlashSW), corner(Anchor::SlashNE));
    Area::new(sw.0 - 0.15, sw.1 - 0.1, ne.0, ne.1 + 0.1).scaled(SCALE)
}

/// Whether graces inside a group with stems up would stand so far in its beam that the beam could not rise clear of them:
/// then the stems of the group go down (common practice where low notes have high graces; no source).
pub(super) fn above_beam(events: &[Event], group: &[usize]) -> bool {
    let events = || group.iter().map(|n| &events[*n]);
    if events().all(|event| event.graces.is_empty()) {
        return false;
    }
    let notes = || events().flat_map(|event| event.notes()).map(|note| y_of(note.pitch));
    let high = notes().fold(f64::NEG_INFINITY, f64::max);
    let low = notes().fold(f64::INFINITY, f64::min);
    let beams = events().map(super::grouping::flags).max().unwrap_or(1);
    let inner = high + super::stem::LENGTH - super::beam::depth(beams);
    let graces = events().skip(1).flat_map(|event| &event.graces).flat_map(|grace| &grace.notes);
    let top = graces.map(|note| (y_of(note.pitch) + STEM).max(2.0)).fold(f64::NEG_INFINITY, f64::max);
    low >= LOWEST_TURNED && top + super::beam::CLEAR - inner > MOST_LIFT
}

/// The box of the graces of a column, relative to it; `None` without graces.
pub(super) fn extent(job: &Job, figure: &Figure, slashed: bool) -> Option<Area> {
    let (first, last) = (figure.graces.first()?, figure.graces.last()?);
    let heads = figure.graces.iter().flat_map(|grace| &grace.heads);
    let low = heads.map(|(y, head)| y + head.bounds.min.y.raw() * SCALE).fold(f64::INFINITY, f64::min);
    let (mut top, mut right) = (f64::NEG_INFINITY, last.stem_right());
    if let [grace] = &figure.graces[..] {
        let end = (grace.high() + STEM).max(2.0);
        let flag = ink_of(job.music().glyph("flag8thUp")).scaled(SCALE).moved(right, end);
        top = top.max(end).max(flag.top);
        right = flag.right;
        if slashed {
            let stroke = slash_area(job).moved(last.stem_right(), end);
            (top, right) = (top.max(stroke.top), right.max(stroke.right));
        }
    } else {
        let line = stem_line(&figure.graces, job.stem() * THIN);
        top = top.max(line.at(first.stem_right())).max(line.at(last.stem_right()));
    }
    let all = Area::new(first.x, low, right, top);
    let signs = figure.graces.iter().flat_map(|grace| &grace.signs).map(|sign| sign.area);
    Some(signs.fold(all, Area::union))
}

fn ledger_lines(low: f64, high: f64) -> Vec<f64> {
    let below = (1..).map(|n| -f64::from(n)).take_while(|y| *y >= low - 0.01);
    let above = (5..).map(f64::from).take_while(|y| *y <= high + 0.01);
    below.chain(above).collect()
}

/// The graces as lanes see them, for a column at `x`.
pub(super) fn placed(figure: &Figure, x: f64) -> Vec<GraceAt> {
    let at = |grace: &GraceFigure| GraceAt { id: grace.id, x: x + grace.x, width: grace.width, y: grace.high() };
    figure.graces.iter().map(at).collect()
}

/// Draws the graces of a column at `x`.
pub(super) fn draw(job: &Job, canvas: &mut Canvas, figure: &Figure, x: f64, slashed: bool) {
    if figure.graces.is_empty() {
        return;
    }
    let label = Label::new(Kind::Grace, figure.number);
    let over = job.music().defaults.ledger_extension.raw() * SCALE;
    let ledger = job.music().defaults.ledger.raw() * job.lines() / 2.0;
    for grace in &figure.graces {
        let here = x + grace.x;
        for y in &grace.ledgers {
            canvas.rect(label, Area::new(here - over, y - ledger, here + grace.width + over, y + ledger));
        }
        for (y, head) in &grace.heads {
            let left = here + grace.width - head.width.raw() * SCALE;
            canvas.head(label, head, left, *y, SCALE);
        }
        for sign in &grace.signs {
            canvas.glyph(Label::new(Kind::Accidental, figure.number), sign.name, x + sign.x, sign.y, SCALE);
        }
    }
    let thick = job.stem() * THIN;
    let stem = |canvas: &mut Canvas, grace: &GraceFigure, end: f64| {
        let start = grace.heads.first().map_or(0.0, |(y, head)| y + head.stem_up.y.raw() * SCALE);
        let right = x + grace.stem_right();
        canvas.rect(label, Area::new(right - thick, start, right, end));
    };
    if let [grace] = &figure.graces[..] {
        let end = (grace.high() + STEM).max(2.0);
        stem(canvas, grace, end);
        let left = x + grace.stem_right() - thick;
        canvas.glyph(label, "flag8thUp", left, end, SCALE);
        let flag = job.music().glyph("flag8thUp");
        if slashed && let (Some(sw), Some(ne)) = (flag.anchor(Anchor::SlashSW), flag.anchor(Anchor::SlashNE)) {
            let point = |p: crate::geom::Point<_>| at(left + p.x.raw() * SCALE, end + p.y.raw() * SCALE);
            canvas.stroke(label, Path::open(&[point(sw), point(ne)]), thick, None);
        }
        return;
    }
    beamed(canvas, figure, x, thick, &stem);
}

/// The line at which the stems of several graces end, relative to their column.
struct StemLine {
    left: f64,
    base: f64,
    slope: f64,
}

impl StemLine {
    fn at(&self, x: f64) -> f64 {
        self.base + self.slope * (x - self.left)
    }
}

fn stem_line(graces: &[GraceFigure], thick: f64) -> StemLine {
    let (Some(first), Some(last)) = (graces.first(), graces.last()) else {
        return StemLine { left: 0.0, base: 2.0, slope: 0.0 };
    };
    let (left, right) = (first.stem_right() - thick, last.stem_right());
    let slant = ((last.high() - first.high()) / 3.0).clamp(-SLANT, SLANT);
    let slope = slant / (right - left).max(0.1);
    // The beam clears every head by a stem, and reaches the middle line.
    let base = graces
        .iter()
        .map(|grace| grace.high() + STEM - slope * (grace.stem_right() - left))
        .fold(2.0 - slant.min(0.0), f64::max);
    StemLine { left, base, slope }
}

fn beamed(canvas: &mut Canvas, figure: &Figure, x: f64, thick: f64, stem: &dyn Fn(&mut Canvas, &GraceFigure, f64)) {
    let label = Label::new(Kind::Grace, figure.number);
    let (Some(first), Some(last)) = (figure.graces.first(), figure.graces.last()) else { return };
    let (left, right) = (x + first.stem_right() - thick, x + last.stem_right());
    let stems = stem_line(&figure.graces, thick);
    let line = |at_x: f64| stems.at(at_x - x);
    for grace in &figure.graces {
        stem(canvas, grace, line(x + grace.stem_right()));
    }
    let beams = figure.graces.iter().map(|grace| grace.beams).min().unwrap_or(2);
    for n in 0..beams {
        let down = f64::from(n) * BEAM_PITCH;
        let path = Path::polygon(&[
            at(left, line(left) - down),
            at(right, line(right) - down),
            at(right, line(right) - down - BEAM),
            at(left, line(left) - down - BEAM),
        ]);
        canvas.fill(label, path);
    }
}

/// The middle and the lowest head of a grace, for slurs that begin or end at it.
pub(super) fn slur_end(figure: &Figure, id: NoteId) -> Option<(f64, f64)> {
    let grace = figure.graces.iter().find(|grace| grace.id == id)?;
    Some((grace.x + grace.width / 2.0, grace.low()))
}
