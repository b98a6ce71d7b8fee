//! What stands outermost above a line: bar number, tempo, part labels, segno and coda, jumps, endings.
//!
//! Sources: bar numbers at the beginning of each line but the first; tempo in bold at the metre or first note; endings at
//! one height a line, first endings closed, hooks a space clear of everything (E. Gould, *Behind Bars*, from memory).

use super::canvas::{Canvas, Kind, Label, at, ink_of};
use super::contract::Sign;
use super::job::Job;
use super::lanes;
use super::layout::SystemLayout;
use super::lettering::Area;
use super::sizes::Wording;
use crate::font::{FaceId, Weight};
use crate::geom::Path;
use crate::tune::{Duration, Jump, Landmark, NoteValue, Tempo};

/// Clear distance from ink below: numbers, rows of text.
const NUMBER_GAP: f64 = 0.35;
const GAP: f64 = 0.8;
/// Clear room on both sides.
const BESIDE: f64 = 0.3;
/// Least room between tempi and part labels on one line.
const APART: f64 = 2.0;
/// Lowest baselines above the staff.
const LOWEST: f64 = 5.6;
/// Ending lines: lowest, length of hooks, number inside the hook (right and down).
const ENDING_LOWEST: f64 = 7.4;
pub(super) const HOOK: f64 = 1.7;
/// Clear room under an ending's line and under and beside its hooks.
const OVER_INK: f64 = 1.2;
/// How far an ending's line stands over the lanes of the hand: on a level with the direction band it could be taken for it.
const OVER_LANES: f64 = 0.6;
const HOOK_CLEAR: f64 = 0.4;
pub(super) const NUMBER_IN: (f64, f64) = (0.5, 0.45);
/// An ending's bracket keeps this far inside its barlines at its beginning and its end.
const INSIDE: (f64, f64) = (0.15, 0.35);
/// Size of segno and coda against the font's.
pub(super) const LANDMARK: f64 = 0.62;
/// Note sign in a tempo against the music font's size, for type size 1.
const TEMPO_NOTE: f64 = 0.36;
/// Around the sign between two notes of a beat, for type size 1.
const PLUS_GAP: f64 = 0.15;

fn bold(job: &Job) -> FaceId {
    job.letters.label(Weight::Bold, false)
}

fn semibold(job: &Job) -> FaceId {
    job.letters.label(Weight::Semibold, false)
}

/// The number of the line's first bar, right over the clef, where no lane has ink; none on the first line.
pub(super) fn bar_number(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas) {
    let Some(room) = layout.bars.first().filter(|_| !layout.first) else { return };
    let text = job.score.tune.bars[room.bar].label.to_string();
    let face = job.letters.label(Weight::Regular, false);
    let size = job.size(Wording::BarNumber);
    let width = job.letters.width(face, size, &text);
    let y = canvas.upper.reach(layout.staff_left, width + BESIDE).map_or(LOWEST, |y| y + NUMBER_GAP);
    canvas.bar = None;
    canvas.text(Label::new(Kind::BarNumber, room.bar), face, size, &text, layout.staff_left, y);
    layout.signs.insert(Sign::BarNumber);
}

/// Tempo marks and part labels, on one line, or on a second one where there is no room beside each other. The tempo that a
/// tune begins with stands in the line of facts under its title, and is not said twice.
pub(super) fn tempo(job: &Job, layout: &SystemLayout, canvas: &mut Canvas) {
    let tune = job.score.tune;
    let mut items: Vec<(usize, f64, &Tempo)> = Vec::new();
    let mut parts: Vec<(usize, f64, &str)> = Vec::new();
    for (nth, room) in layout.bars.iter().enumerate() {
        let bar = &tune.bars[room.bar];
        let begins = layout.columns.get(room.first).is_some_and(|column| column.event == 0);
        let x = if nth == 0 { layout.prefix_right - 1.5 } else { room.left };
        let x = if nth == 0 && bar.part.is_some() { 0.0 } else { x };
        if let Some(part) = bar.part.as_deref().filter(|_| begins) {
            parts.push((room.bar, x, part));
        }
        let said = |tempo: &&Tempo| room.bar == 0 && tune.tempo.as_ref() == Some(*tempo);
        if let Some(own) = bar.tempo.as_deref().filter(|tempo| begins && !said(tempo)) {
            let first = layout.columns.get(room.first).map_or(room.music, |column| column.x);
            let after = parts
                .last()
                .filter(|(bar, ..)| *bar == room.bar)
                .map(|(_, x, text)| x + job.letters.width(bold(job), job.size(Wording::Part), text) + 1.8);
            let x = if room.bar == 0 { layout.prefix_right - 1.6 } else { first };
            items.push((room.bar, after.map_or(x, |after| after.max(x)), own));
        }
    }
    let size = job.size(Wording::Tempo);
    let mut labels: Vec<Over> = Vec::new();
    for (bar, x, tempo) in items {
        let right = tempo_parts(job, tempo, x, size, &mut |_| {});
        labels.push(Over { bar, left: x, right, what: What::Tempo(tempo) }.within(layout.width));
    }
    for (bar, x, text) in parts {
        let right = x + job.letters.width(bold(job), job.size(Wording::Part), text) + 1.0;
        labels.push(Over { bar, left: x, right, what: What::Part(text) }.within(layout.width));
    }
    labels.sort_by(|a, b| a.left.total_cmp(&b.left));
    let (mut near, mut far): (Vec<Over>, Vec<Over>) = (Vec::new(), Vec::new());
    for label in labels {
        // A tempo stays beside the label of its part, in whichever line that found room.
        let beside = far.last().is_some_and(|before| before.bar == label.bar && matches!(before.what, What::Part(_)));
        let free = near.last().is_none_or(|before| before.right + APART <= label.left);
        if free && !beside { &mut near } else { &mut far }.push(label);
    }
    let (near, far) = parts_together(near, far);
    // A part's frame reaches under its line.
    let extra = |label: &Over| if matches!(label.what, What::Part(_)) { 0.4 } else { 0.0 };
    let lowest = LOWEST.max(lanes::top(canvas) + GAP);
    for row in [near, far] {
        let reach = |label: &Over| {
            canvas.upper.reach(label.left - BESIDE, label.right + BESIDE).map(|y| y + GAP + extra(label))
        };
        let baseline = row.iter().filter_map(reach).fold(lowest, f64::max);
        for label in row {
            canvas.bar = Some(label.bar);
            match label.what {
                What::Tempo(tempo) => draw_tempo(job, canvas, tempo, label, size, baseline),
                What::Part(text) => draw_part(job, canvas, text, label, baseline),
            }
        }
    }
}

/// Moves part labels, with the tempi beside them, to the second row where another part stands there: all parts of a line at
/// one height, as long as they find room there.
fn parts_together<'a>(near: Vec<Over<'a>>, mut far: Vec<Over<'a>>) -> (Vec<Over<'a>>, Vec<Over<'a>>) {
    let part = |label: &Over| matches!(label.what, What::Part(_));
    if !far.iter().any(part) {
        return (near, far);
    }
    let moving: Vec<usize> = near.iter().filter(|label| part(label)).map(|label| label.bar).collect();
    let (up, near): (Vec<Over>, Vec<Over>) = near.iter().partition(|label| moving.contains(&label.bar));
    let apart = |a: &Over, b: &Over| a.right + APART <= b.left || b.right + APART <= a.left;
    if up.iter().all(|label| far.iter().all(|other| apart(label, other))) {
        far.extend(up);
        (near, far)
    } else {
        let mut near = near;
        near.extend(up);
        (near, far)
    }
}

/// A tempo or part label with its extent.
#[derive(Debug, Clone, Copy)]
struct Over<'a> {
    bar: usize,
    left: f64,
    right: f64,
    what: What<'a>,
}

impl Over<'_> {
    /// The label moved to the left where it would reach over the line's end.
    fn within(self, width: f64) -> Self {
        let back = (self.right - width).clamp(0.0, self.left.max(0.0));
        Self { left: self.left - back, right: self.right - back, ..self }
    }
}

#[derive(Debug, Clone, Copy)]
enum What<'a> {
    Tempo(&'a Tempo),
    Part(&'a str),
}

fn draw_tempo(job: &Job, canvas: &mut Canvas, tempo: &Tempo, over: Over, size: f64, baseline: f64) {
    let label = Label::new(Kind::Tempo, over.bar);
    let mut placed = Vec::new();
    tempo_parts(job, tempo, over.left, size, &mut |part| placed.push(part));
    for part in placed {
        match part {
            TempoPart::Text(text, x) => canvas.text(label, bold(job), size, &text, x, baseline),
            TempoPart::Glyph(name, x) => canvas.glyph(label, name, x, baseline + 0.06 * size, size * TEMPO_NOTE),
        };
    }
}

fn draw_part(job: &Job, canvas: &mut Canvas, text: &str, over: Over, baseline: f64) {
    let label = Label::new(Kind::Part, over.bar);
    let area = canvas.text(label, bold(job), job.size(Wording::Part), text, over.left + 0.5, baseline);
    let frame = Area::new(over.left.max(0.07), area.bottom - 0.4, area.right + 0.5, area.top + 0.4);
    let path = Path::polygon(&[
        at(frame.left, frame.bottom),
        at(frame.right, frame.bottom),
        at(frame.right, frame.top),
        at(frame.left, frame.top),
    ]);
    canvas.stroke(label, path, 0.14, None);
}

enum TempoPart {
    Text(String, f64),
    Glyph(&'static str, f64),
}

/// Calls `put` with the parts of a tempo from `x` on; gives the right edge.
fn tempo_parts(job: &Job, tempo: &Tempo, x: f64, size: f64, put: &mut dyn FnMut(TempoPart)) -> f64 {
    let mut x = x;
    if let Some(before) = tempo.before.as_deref().filter(|text| !text.is_empty()) {
        words(job, &mut x, size, format!("{before} "), put);
    }
    if let Some(bpm) = tempo.bpm {
        let quarter = [Duration::new(1, 4)];
        let beats = if tempo.beat.is_empty() { &quarter[..] } else { &tempo.beat };
        for (n, beat) in beats.iter().enumerate() {
            if n > 0 {
                plus(job, &mut x, size, put);
            }
            beat_glyphs(job, *beat, &mut x, size, put);
        }
        words(job, &mut x, size, format!(" = {bpm}"), put);
    }
    if let Some(after) = tempo.after.as_deref().filter(|text| !text.is_empty()) {
        let width = job.letters.width(bold(job), size, after);
        let gap = if tempo.bpm.is_some() || tempo.before.is_some() { 0.35 * size } else { 0.0 };
        put(TempoPart::Text(after.to_owned(), x + gap));
        x += width + gap;
    }
    x
}

/// Words of a tempo from `x` on, which moves behind them.
fn words(job: &Job, x: &mut f64, size: f64, text: String, put: &mut dyn FnMut(TempoPart)) {
    let width = job.letters.width(bold(job), size, &text);
    put(TempoPart::Text(text, *x));
    *x += width;
}

/// The sign between the notes of a beat that no single note has.
fn plus(job: &Job, x: &mut f64, size: f64, put: &mut dyn FnMut(TempoPart)) {
    *x += PLUS_GAP * size;
    words(job, x, size, "+".to_owned(), put);
    *x += PLUS_GAP * size;
}

/// The notes of a beat; the fraction itself where notes outside tuplets cannot make it up.
fn beat_glyphs(job: &Job, beat: Duration, x: &mut f64, size: f64, put: &mut dyn FnMut(TempoPart)) {
    let values = NoteValue::sum(beat);
    if values.is_empty() {
        words(job, x, size, beat.to_string(), put);
    }
    for (n, value) in values.into_iter().enumerate() {
        if n > 0 {
            plus(job, x, size, put);
        }
        note_glyphs(job, value, x, size, put);
    }
}

fn note_glyphs(job: &Job, value: NoteValue, x: &mut f64, size: f64, put: &mut dyn FnMut(TempoPart)) {
    let name = match value.halvings {
        i8::MIN..=-1 => "metNoteDoubleWhole",
        0 => "metNoteWhole",
        1 => "metNoteHalfUp",
        2 => "metNoteQuarterUp",
        3 => "metNote8thUp",
        4 => "metNote16thUp",
        _ => "metNote32ndUp",
    };
    let scale = size * TEMPO_NOTE;
    put(TempoPart::Glyph(name, *x));
    *x += ink_of(job.music().glyph(name)).right * scale;
    for _ in 0..value.dots {
        *x += 0.12 * size;
        put(TempoPart::Glyph("metAugmentationDot", *x));
        *x += ink_of(job.music().glyph("metAugmentationDot")).right * scale;
    }
}

/// Segno and coda over the beginnings of bars; `Fine` and jumps at their ends.
pub(super) fn jumps(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas) {
    let tune = job.score.tune;
    let size = job.size(Wording::Jump);
    let face = semibold(job);
    let scale = LANDMARK * job.marks().min(1.5);
    // Outside the lanes of the hand, like tempi and chord symbols, all along a line.
    let lowest = LOWEST.max(lanes::top(canvas) + GAP);
    for room in layout.bars.clone() {
        let bar = &tune.bars[room.bar];
        canvas.bar = Some(room.bar);
        let columns = &layout.columns[room.first..room.last];
        let begins = columns.first().is_none_or(|column| column.event == 0);
        let ends = columns.last().is_none_or(|column| column.event + 1 == bar.events.len());
        for (mark, name, sign) in [(Landmark::Segno, "segno", Sign::Segno), (Landmark::Coda, "coda", Sign::Coda)] {
            if begins && bar.landmarks.contains(&mark) {
                let ink = ink_of(job.music().glyph(name)).scaled(scale);
                let left = room.left + 0.1;
                let right = left + ink.right - ink.left;
                let y = canvas.upper.reach(left - BESIDE, right + BESIDE).map_or(lowest, |y| lowest.max(y + GAP));
                canvas.spoken(Label::new(Kind::Jump, room.bar), name, left - ink.left, y - ink.bottom, scale, name);
                layout.signs.insert(sign);
            }
        }
        let mut texts: Vec<(&str, Option<&'static str>)> = Vec::new();
        if bar.landmarks.contains(&Landmark::Fine) {
            texts.push(("Fine", None));
        }
        let times = format!("×{}", bar.right.repeat_end);
        let in_ending = tune.bars.iter().enumerate().take(room.bar + 1).any(|(first, other)| {
            other.ending.as_ref().is_some_and(|ending| (first..=ending.last_bar).contains(&room.bar))
        });
        if bar.right.repeat_end > 2 && !in_ending {
            texts.push((&times, None));
        }
        if let Some(jump) = bar.jump {
            texts.push(match jump {
                Jump::DaCapo => ("D.C.", None),
                Jump::DaCapoAlFine => ("D.C. al Fine", None),
                Jump::DaCapoAlCoda => ("D.C. al Coda", None),
                Jump::DalSegno => ("D.S.", None),
                Jump::DalSegnoAlFine => ("D.S. al Fine", None),
                Jump::DalSegnoAlCoda => ("D.S. al Coda", None),
                Jump::ToCoda => ("To Coda", Some("coda")),
            });
        }
        for (text, glyph) in texts.into_iter().filter(|_| ends) {
            let coda = glyph.map(|name| (name, ink_of(job.music().glyph(name)).scaled(size * 0.24)));
            let extra = coda.map_or(0.0, |(_, ink)| ink.right - ink.left + 0.25 * size);
            let width = job.letters.width(face, size, text) + extra;
            // Where a coda or segno follows, both stand on one line.
            let marked = tune.bars.get(room.bar + 1).is_some_and(|next| {
                next.landmarks.contains(&Landmark::Segno) || next.landmarks.contains(&Landmark::Coda)
            });
            let right = if marked { room.barline - 0.3 } else { room.right }.min(layout.width);
            let left = (right - width).max(0.0);
            let y = canvas.upper.reach(left - BESIDE, right + BESIDE).map_or(lowest, |y| lowest.max(y + GAP));
            let label = Label::new(Kind::Jump, room.bar + tune.bars.len());
            canvas.text(label, face, size, text, left, y);
            if let Some((name, ink)) = coda {
                canvas.glyph(label, name, right - ink.right, y - ink.bottom - 0.1 * size, size * 0.24);
            }
            layout.signs.insert(Sign::Jump);
        }
    }
}

/// Brackets over endings, all at one height.
pub(super) fn endings(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas) {
    let tune = job.score.tune;
    let size = job.size(Wording::Ending);
    let face = semibold(job);
    let (Some(first_bar), Some(last_bar)) = (layout.bars.first(), layout.bars.last()) else { return };
    let (first_bar, last_bar) = (first_bar.bar, last_bar.bar);
    let mut spans = Vec::new();
    for (index, bar) in tune.bars.iter().enumerate().take(last_bar + 1) {
        let Some(ending) = &bar.ending else { continue };
        if ending.last_bar < first_bar {
            continue;
        }
        let starts = index >= first_bar;
        let stops = ending.last_bar <= last_bar;
        let left = if starts {
            layout.bar_box(index).map(|room| room.left)
        } else {
            layout.bars.first().map(|room| room.left)
        };
        let right = if stops { layout.bar_box(ending.last_bar).map(|room| room.right) } else { None };
        let right = right.unwrap_or(layout.staff_right);
        let Some(left) = left else { continue };
        spans.push((
            index,
            left + INSIDE.0,
            right - INSIDE.1,
            starts,
            stops && ending.closed,
            number_text(&ending.passes),
        ));
    }
    if spans.is_empty() {
        return;
    }
    let cap = job.letters.cap_height(face) * size;
    let mut y: f64 = ENDING_LOWEST.max(lanes::top(canvas) + OVER_LANES);
    for (_, left, right, starts, ..) in &spans {
        if let Some(reach) = canvas.upper.reach(*left, *right) {
            y = y.max(reach + OVER_INK);
        }
        let number = canvas.upper.reach(*left, left + 2.5 * size);
        if let Some(reach) = number.filter(|_| *starts) {
            y = y.max(reach + NUMBER_IN.1 + cap + 0.5);
        }
    }
    let thick = job.music().defaults.ending_line.raw() * job.lines();
    // Hooks stop short of what stands under their ends.
    let hook = |x: f64| {
        let reach = canvas.upper.reach(x - HOOK_CLEAR, x + HOOK_CLEAR).unwrap_or(0.0);
        HOOK.min(y - reach - HOOK_CLEAR)
    };
    let hooks: Vec<(f64, f64)> = spans.iter().map(|(_, left, right, ..)| (hook(*left), hook(*right))).collect();
    for ((index, left, right, starts, closed, text), (first_hook, last_hook)) in spans.into_iter().zip(hooks) {
        canvas.bar = Some(index.max(first_bar));
        let label = Label::new(Kind::Ending, index);
        let mut points = Vec::new();
        if starts {
            points.push(at(left, y - first_hook));
        }
        points.push(at(left, y));
        points.push(at(right, y));
        if closed {
            points.push(at(right, y - last_hook));
        }
        canvas.stroke(label, Path::open(&points), thick, None);
        if starts {
            canvas.text(label, face, size, &text, left + NUMBER_IN.0, y - NUMBER_IN.1 - cap);
        }
    }
    layout.signs.insert(Sign::Ending);
}

/// `1.`, `1.-3.`, `1. 3.`
fn number_text(passes: &[u8]) -> String {
    match passes {
        [first, .., last] if usize::from(last - first) + 1 == passes.len() && passes.len() > 2 => {
            format!("{first}.\u{2013}{last}.")
        }
        _ => passes.iter().map(|pass| format!("{pass}.")).collect::<Vec<_>>().join(" "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_read_as_ranges() {
        assert_eq!(number_text(&[1]), "1.");
        assert_eq!(number_text(&[1, 2]), "1. 2.");
        assert_eq!(number_text(&[1, 2, 3]), "1.\u{2013}3.");
        assert_eq!(number_text(&[1, 3]), "1. 3.");
    }

    #[test]
    fn the_parts_of_a_line_stand_in_one_row_where_they_find_room() {
        let part = |bar, left, text| Over { bar, left, right: left + 3.0, what: What::Part(text) };
        let tempo = Tempo { before: Some("broadly".into()), beat: Vec::new(), bpm: None, after: None };
        let before = Over { bar: 2, left: 17.0, right: 21.0, what: What::Tempo(&tempo) };
        let (near, far) = parts_together(vec![part(0, 0.0, "A"), before], vec![part(3, 22.0, "B")]);
        assert_eq!((near.len(), far.len()), (1, 2), "A goes up beside B");
        assert_eq!(near[0].bar, 2);
        let (near, far) = parts_together(vec![part(0, 0.0, "A")], vec![part(1, 2.0, "B")]);
        assert_eq!((near.len(), far.len()), (1, 1), "no room beside B");
        let (near, far) = parts_together(vec![part(0, 0.0, "A"), part(1, 20.0, "B")], Vec::new());
        assert_eq!((near.len(), far.len()), (2, 0));
    }
}
