//! Hold bars (reversal and replay) and button numbers, below the staff.
//!
//! One idea: a solid bar from head to head while one button stays in use. Unbroken over a turn of the bellows, the button
//! stays down: reversal. Cut by a gap with a short upright tick at the second note: lift and press again, replay. Nothing
//! where another button is pressed, nor for a plain repeated note. The bar comes from the head *played* before: where that is
//! not (or not always) the one written before, as at an ending, a repeat or where a jump leads, only a short bar leads in.
//!
//! A bar is nearly as thick as a beam. Its lane lies under every beam of the line, so that it never continues one to the eye;
//! so do characters, among which may be strokes.

use super::{BUTTONS_APART, planned, row, under};
use crate::engrave::canvas::{Canvas, Kind, Label};
use crate::engrave::contract::Sign;
use crate::engrave::figure::{Figure, GraceFigure};
use crate::engrave::job::Job;
use crate::engrave::layout::{Column, Demand, SystemLayout};
use crate::engrave::lettering::{Area, Lettering};
use crate::engrave::sizes::{self, Wording};
use crate::fingering::{PlannedNote, Press, Sound};
use crate::font::{FaceId, Weight};
use crate::geom::Path;
use crate::instrument::RowAt;
use crate::style::{ButtonLook, EngravingStyle, SoundingLook};
use crate::tune::NoteId;

/// Thickness of the bar.
pub(in crate::engrave) const BAR: f64 = 0.4;
/// The gap before the second note of a replay.
const GAP: f64 = 1.0;
/// The tick: width and height, which is that of the lane.
const TICK_WIDTH: f64 = 0.22;
const TICK_HEIGHT: f64 = 1.35;
/// The least length of a bar that leads in from elsewhere: its gap and something to be cut from.
const LEAD_IN: f64 = 2.2;
/// How far left of its head's middle a bar keeps clear of ink: the stem of a head goes down there.
const BESIDE_STEM: f64 = 0.8;
/// Clear room over the lane, and its highest place under the staff.
const LANE_GAP: f64 = 0.55;
/// Clear room between the lane and the lowest beam: with the tick's half it leaves five times as much white over a bar as
/// there is between two beams, so that a bar along a beam is not a second one (judged on the page).
const BEAM_GAP: f64 = 0.9;
const LANE_MOST: f64 = -0.75;
const BUTTON_PAD: f64 = 0.16;
const BUTTON_LINE: f64 = 0.12;
const BUTTON_GAP: f64 = 0.6;

/// How the button of the previous head comes into use again at this one.
fn again(note: &PlannedNote) -> Option<Sound> {
    let has = |sound| note.presses.iter().any(|press| press.sound == sound);
    [Sound::Reversal, Sound::Replay].into_iter().find(|sound| has(*sound))
}

/// One hold bar on this system: from x to x, how, the second head's column, and whether its ends lie on this system.
struct Hold {
    from: f64,
    to: f64,
    sound: Sound,
    /// Index of the second head's column; `None` when it stands on the next system.
    second: Option<usize>,
    first_bar: usize,
}

/// Finds all hold bars that touch the system.
fn holds(layout: &SystemLayout) -> Vec<Hold> {
    let mut found = Vec::new();
    for (index, column) in layout.columns.iter().enumerate() {
        let Some(sound) = planned(layout, column).and_then(again) else { continue };
        let start = layout.prefix_right - 0.6;
        let (from, first_bar) = match (before(layout, column), index.checked_sub(1).map(|i| &layout.columns[i])) {
            // The finger may stay, but nothing sounds; the page shows nothing.
            (Before::Rest, _) => continue,
            (_, None) => (start, column.bar),
            (Before::Written, Some(before)) => (before.centre(), before.bar),
            (Before::Elsewhere, Some(_)) => {
                let barline = layout.bar_box(column.bar).map_or(column.x, |room| room.left);
                (barline.min(column.centre() - LEAD_IN).max(start), column.bar)
            }
        };
        found.push(Hold { from, to: column.centre(), sound, second: Some(index), first_bar });
    }
    if let Some((last, sound)) = next_line(layout) {
        found.push(Hold { from: last.centre(), to: layout.staff_right, sound, second: None, first_bar: last.bar });
    }
    found
}

/// What is played before a head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Before {
    /// The head written before it, always.
    Written,
    /// Another one, or not always that one.
    Elsewhere,
    /// There is a rest between.
    Rest,
}

fn before(layout: &SystemLayout, column: &Column) -> Before {
    let elsewhere = column.head.and_then(|id| layout.score.plan?.elsewhere(id));
    let bars = &layout.score.tune.bars;
    let written = match column.event.checked_sub(1) {
        Some(event) => bars[column.bar].events.get(event),
        None => column.bar.checked_sub(1).and_then(|bar| bars[bar].events.last()),
    };
    match elsewhere {
        Some(played) if played.iter().any(|played| played.rest) => Before::Rest,
        Some(_) => Before::Elsewhere,
        None if written.is_some_and(|event| event.head().is_none()) => Before::Rest,
        None => Before::Written,
    }
}

/// The last head of the system when the first head of the next one takes its button up again.
fn next_line<'b>(layout: &'b SystemLayout) -> Option<(&'b Column, Sound)> {
    let last = layout.columns.last().filter(|column| column.head.is_some())?;
    let bars = &layout.score.tune.bars;
    // A bar may go on on the next line.
    let next = bars[last.bar].events.get(last.event + 1).or_else(|| bars.get(last.bar + 1)?.events.first())?;
    let (head, plan) = (next.head()?, layout.score.plan?);
    if plan.elsewhere(head).is_some() {
        return None;
    }
    Some((last, again(plan.note(head)?)?))
}

/// Sets the hold bars, or the author's characters.
pub(super) fn set(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let holds = holds(layout);
    if holds.is_empty() {
        return;
    }
    match &layout.style.signs.sounding {
        SoundingLook::HoldBar => set_bars(layout, canvas, &holds),
        SoundingLook::Characters { reversal, replay } => {
            let face = canvas.letters().label(Weight::Semibold, false);
            let size = sizes::size(layout.style, Wording::Sounding);
            let second = |hold: &Hold| hold.second.map(|index| &layout.columns[index]);
            let spans: Vec<_> = holds.iter().filter_map(second).map(|c| (c.x - 0.3, c.right + 0.3)).collect();
            let top = under(canvas, &spans, LANE_GAP, highest(canvas));
            for (hold, column) in holds.iter().filter_map(|hold| Some((hold, second(hold)?))) {
                let text = if hold.sound == Sound::Reversal { reversal } else { replay };
                let width = canvas.letters().width(face, size, text);
                let cap = canvas.letters().cap_height(face) * size;
                canvas.bar = Some(column.bar);
                let label = Label::new(Kind::HoldBar, column.number);
                canvas.text(label, face, size, text, column.centre() - width / 2.0, top - cap);
            }
        }
    }
    canvas.bar = None;
    for hold in holds {
        layout.signs.insert(if hold.sound == Sound::Reversal { Sign::Reversal } else { Sign::Replay });
    }
}

fn set_bars(layout: &SystemLayout, canvas: &mut Canvas, holds: &[Hold]) {
    let spans: Vec<_> = holds.iter().map(|hold| (hold.from - BESIDE_STEM, hold.to + 0.2)).collect();
    let thick = BAR * layout.style.lines.max(1.0).sqrt();
    let middle = under(canvas, &spans, LANE_GAP, highest(canvas)) - TICK_HEIGHT / 2.0;
    for (index, hold) in holds.iter().enumerate() {
        canvas.bar = Some(hold.first_bar);
        bar(
            canvas,
            Label::new(Kind::HoldBar, index),
            hold.from,
            hold.to,
            middle,
            thick,
            hold.sound,
            hold.second.is_some(),
        );
    }
}

/// The highest top that the lane may have: under the lowest beam of the line.
fn highest(canvas: &Canvas) -> f64 {
    let beams = canvas.inks().iter().filter(|ink| ink.label.kind == Kind::Beam);
    beams.map(|ink| ink.area.bottom - BEAM_GAP).fold(LANE_MOST, f64::min)
}

/// One hold bar; `ends` says whether the second head stands here (else the bar runs on over the line's end).
#[expect(clippy::too_many_arguments, reason = "a bar is its two ends, height, thickness and kind")]
pub(in crate::engrave) fn bar(
    canvas: &mut Canvas,
    label: Label,
    from: f64,
    to: f64,
    middle: f64,
    thick: f64,
    sound: Sound,
    ends: bool,
) {
    let half = thick / 2.0;
    if sound == Sound::Reversal || !ends {
        canvas.rect(label, Area::new(from, middle - half, to, middle + half));
        return;
    }
    // Close notes leave less than a space: the gap then takes half the way.
    let gap = GAP.min((to - from) / 2.0);
    let tick = TICK_WIDTH / 2.0;
    canvas.rect(label, Area::new(from, middle - half, to - gap, middle + half));
    canvas.rect(label, Area::new(to - tick, middle - TICK_HEIGHT / 2.0, to + tick, middle + TICK_HEIGHT / 2.0));
}

/// The measures of one button number.
pub(in crate::engrave) struct ButtonNumber {
    text: String,
    boxed: bool,
    width: f64,
    cap: f64,
    size: f64,
    face: FaceId,
    pad: f64,
}

impl ButtonNumber {
    /// The number of a button; inner-row numbers stand in a thin box, a half row's carry a stroke under them.
    pub(in crate::engrave) fn new(style: &EngravingStyle, letters: &Lettering, at: RowAt, number: u8) -> Self {
        let face = letters.label(Weight::Regular, false);
        let size = sizes::size(style, Wording::Button);
        let text = number.to_string();
        let width = letters.width(face, size, &text);
        let pad = BUTTON_PAD * style.marks;
        Self { text, boxed: at == RowAt::Inner, width, cap: letters.cap_height(face) * size, size, face, pad }
    }
    fn half(&self) -> f64 {
        self.width / 2.0 + if self.boxed { self.pad + BUTTON_LINE } else { 0.0 }
    }
    fn height(&self) -> f64 {
        self.cap + 2.0 * self.pad
    }
    /// Draws it centred on `x` with its top at `top`.
    pub(in crate::engrave) fn draw(&self, canvas: &mut Canvas, label: Label, x: f64, top: f64) {
        let baseline = top - self.pad - self.cap;
        canvas.text(label, self.face, self.size, &self.text, x - self.width / 2.0, baseline);
        if self.boxed {
            let half = self.half() - BUTTON_LINE / 2.0;
            let low = top - self.height();
            let corners = [(x - half, low), (x + half, low), (x + half, top), (x - half, top)];
            canvas.stroke(
                label,
                Path::polygon(&corners.map(|(x, y)| crate::engrave::canvas::at(x, y))),
                BUTTON_LINE,
                None,
            );
        }
    }
}

/// Half the width of the widest button number of a head or grace; `None` where none is shown.
pub(super) fn half_button(job: &Job, id: NoteId) -> Option<f64> {
    let note = job.score.plan?.note(id).filter(|_| job.style.signs.buttons == ButtonLook::Below)?;
    let button = |press: &Press| ButtonNumber::new(job.style, job.letters, press.button.row, press.button.number);
    note.presses.iter().map(|press| button(press).half()).reduce(f64::max)
}

/// The room of button numbers; `figures` in written order.
pub(super) fn demands(job: &Job, figures: &[Figure], all: &mut Vec<Demand>) {
    if job.score.plan.is_none() || job.style.signs.buttons != ButtonLook::Below {
        return;
    }
    let side = BUTTONS_APART * job.style.marks / 2.0;
    let mut figures = figures.iter();
    for (bar, written) in job.score.tune.bars.iter().enumerate() {
        for (event, figure) in written.events.iter().zip(figures.by_ref()) {
            let Some(half) = event.head().and_then(|id| half_button(job, id)) else { continue };
            let before = |grace: &GraceFigure| {
                Some(figure.width / 2.0 - grace.x - grace.width / 2.0 + half_button(job, grace.id)?)
            };
            let left = figure.graces.iter().filter_map(before).fold(half, f64::max) + side;
            all.push(Demand { row: row::BUTTON, bar, onset: event.onset, left, right: half + side });
        }
    }
}

/// The button numbers of one head or grace, highest first.
struct Buttons {
    centre: f64,
    bar: usize,
    label: Label,
    numbers: Vec<(RowAt, ButtonNumber)>,
}

impl Buttons {
    /// Those of a note, if it has any that is not tied over.
    fn of(note: &PlannedNote, layout: &SystemLayout, letters: &Lettering, at: (f64, usize, usize)) -> Option<Self> {
        let (centre, bar, owner) = at;
        let presses = note.presses.iter().rev().filter(|press| press.sound != Sound::Tie);
        let number = |press: &Press| {
            let (row, number) = (press.button.row, press.button.number);
            (row, ButtonNumber::new(layout.style, letters, row, number))
        };
        let numbers: Vec<_> = presses.map(number).collect();
        let label = Label::new(Kind::Button, owner);
        (!numbers.is_empty()).then_some(Self { centre, bar, label, numbers })
    }
}

/// Sets the button numbers, of graces too, one row a system; a chord's stand over each other.
pub(super) fn set_buttons(layout: &mut SystemLayout, canvas: &mut Canvas) {
    if layout.style.signs.buttons != ButtonLook::Below {
        return;
    }
    let letters = canvas.letters();
    let mut wanted: Vec<Buttons> = Vec::new();
    for column in &layout.columns {
        for grace in &column.graces {
            let note = layout.score.plan.and_then(|plan| plan.note(grace.id));
            // Events are numbered from 0; graces are apart from them.
            let at = (grace.x + grace.width / 2.0, column.bar, usize::MAX - 1 - grace.id.index());
            wanted.extend(note.and_then(|note| Buttons::of(note, layout, letters, at)));
        }
        let at = (column.centre(), column.bar, column.number);
        wanted.extend(planned(layout, column).and_then(|note| Buttons::of(note, layout, letters, at)));
    }
    let half = |buttons: &Buttons| buttons.numbers.iter().map(|(_, number)| number.half()).fold(0.0, f64::max);
    let spans: Vec<_> = wanted.iter().map(|all| (all.centre - half(all), all.centre + half(all))).collect();
    let top = under(canvas, &spans, BUTTON_GAP, LANE_MOST);
    for buttons in wanted {
        canvas.bar = Some(buttons.bar);
        let mut y = top;
        for (at, number) in buttons.numbers {
            number.draw(canvas, buttons.label, buttons.centre, y);
            y -= number.height() + 0.25;
            layout.signs.insert(if at == RowAt::Inner { Sign::BoxedButton } else { Sign::Button });
        }
    }
    canvas.bar = None;
}
