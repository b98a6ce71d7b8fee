//! The moment of a step: what turns, rows, places and fingers cost from one item to the next, there and then.
//!
//! Takes a step of the walk, gives a [`Link`] with its prices, times played counted in. Easy moments are rests, ends of
//! phrases, long notes and strong beats; weak parts of fast runs are the hard ones (published teaching pages; the shares of
//! the price are common practice, no source).

use super::hand::{Spread, Take};
use super::parts::Parts;
use super::plan::{CostKind, Sound};
use super::prices::{HARD, WHOLE};
use super::walk::{Item, Stress};
use crate::instrument::Direction;
use crate::tune::{Event, Fraction, Note, Tune};

/// A note that lasts this long gives time to move, and tires the little finger: three quarters of a second. Common
/// practice, no source.
pub(super) const LONG_SECONDS: (i64, i64) = (3, 4);
/// A note quicker than this belongs to a fast run: a quarter of a second. Common practice, no source.
const FAST_SECONDS: (i64, i64) = (1, 4);

/// Places of the hand are at most this many half buttons apart for the price; further is no dearer.
pub(super) const FARTHEST: usize = 12;
/// Eighths of its price that a move of the hand by half a button costs: it only leans towards the other row, and one row's
/// fingers stay. A little more than half, so that the hand moves once by a button rather than creep there. Common practice, no
/// source.
const LEANING: i64 = 5;
/// The same of a move by one button.
const MOVED: i64 = 8;
/// The same for each half button beyond the first whole one: where the music leaves time an eighth, so that near places win;
/// else a quarter; in haste half the price of a move, since there is no time for the arm to travel: two buttons are twice as
/// hard as one. Common practice, no source.
const EASY_HALF: i64 = MOVED / 8;
const FURTHER_HALF: i64 = MOVED / 4;
const HASTY_HALF: i64 = MOVED / 2;

/// After a note that lasts no longer than this the hand has to hurry: three eighths of a second. Common practice, no source.
const HASTE_SECONDS: (i64, i64) = (3, 8);
/// Quarters of its price that a move of the hand costs in haste, on a beat and between beats: never in the midst of a run where
/// it can wait for a longer note.
const HASTY_MOVE: i64 = 5;
const HASTY_MOVE_OFF: i64 = 6;
/// Quarters of a stretch that two fingers far apart cost: in haste six stretches, since there is no time to turn the hand
/// towards the second one, so that moving the hand on the beats is cheaper than to part the fingers and close them again;
/// else half of that; after a long note nothing. Common practice, no source.
const HASTY_SPREAD: i64 = 6 * WHOLE;
const SPREAD: i64 = HASTY_SPREAD / 2;

/// Quarters of its price that one finger on two buttons costs in haste: it has to leave the first note early to be at the
/// second in time, and that is heard. Common practice, no source.
const HASTY_FINGER: i64 = 3 * WHOLE;
/// Stretches that a stretch costs on top where the hand moves for it, or begins with it: a hand that moves anyway goes where
/// no finger has to stretch, and the page names the button under the index finger there. Common practice, no source.
pub(super) const ARRIVING: i64 = 4 * WHOLE;

/// Quarters of their prices that a move of the hand and one finger on two buttons cost between a grace and what it leads to:
/// four times as much as elsewhere, for it lasts hardly a tenth of a second. Common practice, no source.
const AFTER_GRACE: i64 = 4 * WHOLE;

/// A step between two items with its prices at that moment, `times` counted in; hard rules are counted once.
#[derive(Debug, Clone)]
pub(super) struct Link {
    /// Index of its step in the walk.
    pub step: usize,
    /// The earlier item.
    pub from: usize,
    /// The later item.
    pub to: usize,
    /// A turn of the bellows.
    pub turn: i64,
    /// On top of it, on a weak part of a fast run.
    pub weak: i64,
    /// Another row.
    pub row: i64,
    /// A turn on the same row where the later item could go on.
    pub row_stay: i64,
    /// Whether the later item could go on in a direction.
    pub could: [bool; 2],
    /// Another place, by distance.
    pub shift: [i64; FARTHEST + 1],
    /// Another place with a finger stretched there.
    pub arriving: i64,
    /// Two fingers far apart in one place, where the earlier note leaves no time to reach.
    pub far: i64,
    /// The same finger on another button.
    pub same_finger: i64,
    /// Another finger on the same button, or another button for the same pitch.
    pub swap: i64,
    /// Whether both items are one and the same pitch.
    pub same_pitch: bool,
    /// Tied pitches: which press of the earlier is which of the later.
    pub ties: Vec<(u8, u8)>,
    /// What is lost in the rests between, by directions before and after: presses missed, turns made.
    pub lost: [[(i64, i64); 2]; 2],
    /// How the author wants the later item to sound.
    pub sound: Option<Sound>,
    /// Everything that depends on the two directions and on whether a row is shared, in one sum: turns and their rules,
    /// rows, what is lost in rests.
    pub ways: [[[i64; 2]; 2]; 2],
    /// Whether rules about buttons hold here.
    pub strict: bool,
}

impl Link {
    /// The prices of a step at its moment; `n` is its index in the walk, `ends` are the items before and after it, and `lost`
    /// is what the rests between cost by directions before and after, `times` counted in.
    pub(super) fn new(parts: &Parts<'_>, n: usize, ends: (usize, usize), lost: [[(i64, i64); 2]; 2]) -> Self {
        let (step, (from, to)) = (&parts.walk.steps[n], ends);
        let (tune, items) = (parts.tune, &parts.walk.items);
        let (earlier, later) = (&items[from], &items[to]);
        let place = later.stress;
        let rest = !step.silence.is_empty();
        let long = at_least(earlier.seconds, LONG_SECONDS);
        let quarters = |kind: CostKind, quarters: i64| parts.prices.of(kind) * quarters * step.times;
        let turn = match (step.phrase, place) {
            (true, _) => 1,
            (false, Stress::Bar) => 3,
            (false, Stress::Beat) => 4,
            (false, Stress::Off) => 5,
        };
        let run = !at_least(earlier.seconds, FAST_SECONDS);
        let weak = place == Stress::Off && !step.phrase && run;
        let after_grace = earlier.grace_of.is_some();
        let haste = !at_least(earlier.seconds, HASTE_SECONDS);
        let move_quarters = match (step.phrase, long) {
            _ if after_grace => AFTER_GRACE,
            (true, _) => 1,
            (_, true) => 2,
            _ if haste && place == Stress::Off => HASTY_MOVE_OFF,
            _ if haste => HASTY_MOVE,
            _ => 4,
        };
        let finger_quarters = match (rest, step.phrase, long) {
            _ if after_grace => AFTER_GRACE,
            (true, ..) | (_, true, true) => 0,
            (_, true, _) => 1,
            (_, _, true) => 2,
            _ if haste => HASTY_FINGER,
            _ => 4,
        };
        let far_quarters = match (step.phrase, long) {
            _ if after_grace => AFTER_GRACE,
            (true, _) | (_, true) => 0,
            _ if haste => HASTY_SPREAD,
            _ => SPREAD,
        };
        let far = quarters(CostKind::Stretch, far_quarters);
        let row_quarters = if step.phrase { 2 } else { 4 };
        let ties = ties(tune, earlier, later);
        let held = held_over(parts, earlier, later);
        let bound = after_grace || !ties.is_empty() || held;
        let turn = quarters(CostKind::Turn, turn);
        let mut shift = [0; FARTHEST + 1];
        for (distance, cost) in shift.iter_mut().enumerate().skip(1) {
            let each = match haste {
                _ if step.phrase || long => EASY_HALF,
                true => HASTY_HALF,
                false => FURTHER_HALF,
            };
            let eighths = if distance == 1 { LEANING } else { MOVED + each * (distance as i64 - 2) };
            let once = parts.prices.of(CostKind::PlaceShift) * move_quarters * eighths / MOVED;
            *cost = once * step.times;
        }
        let arriving = quarters(CostKind::Stretch, ARRIVING);
        let row = quarters(CostKind::RowChange, row_quarters);
        let row_stay = quarters(CostKind::RowStay, row_quarters);
        let weak = if weak { quarters(CostKind::WeakTurn, WHOLE) } else { 0 };
        let bound = if bound { HARD } else { 0 };
        let could = Direction::BOTH
            .map(|d| later.midis.iter().all(|midi| parts.keyboard.buttons_for(*midi, d).next().is_some()));
        let ways = Direction::BOTH.map(|a| {
            Direction::BOTH.map(|b| {
                let (missed, turns) = lost[a as usize][b as usize];
                let turned = if a == b { 0 } else { turn + weak + bound };
                let stayed = if a != b && could[a as usize] { row_stay } else { 0 };
                [missed + turns + turned + row, missed + turns + turned + stayed]
            })
        });
        let sound = parts.sounds.get(&later.note).copied();
        let strict = !ties.is_empty() || sound.is_some();
        let swap = quarters(CostKind::FingerSwap, if rest { 0 } else { 4 });
        let same_pitch = earlier.midis.len() == 1 && earlier.midis == later.midis;
        let same_finger = quarters(CostKind::SameFinger, finger_quarters);
        Self {
            step: n,
            from,
            to,
            turn,
            weak,
            row,
            row_stay,
            could,
            shift,
            arriving,
            far,
            same_finger,
            swap,
            same_pitch,
            ties,
            lost,
            sound,
            ways,
            strict,
        }
    }

    /// What two fingers far apart cost while the hand stays in its place: beyond the widest hand as much as the longest move,
    /// so that a true move, which is written down, is always cheaper where the author's pins leave one.
    #[inline]
    pub(super) fn spread(&self, spread: Spread) -> i64 {
        match spread {
            Spread::Easy => 0,
            Spread::Far => self.far,
            Spread::Wide => self.shift[FARTHEST],
        }
    }

    /// The rules about buttons that a step breaks: ties, which hold button and finger, and wanted sounds.
    pub(super) fn broken(&self, a: &Take, b: &Take) -> i64 {
        let moved = |(early, late): &&(u8, u8)| a.presses()[usize::from(*early)] != b.presses()[usize::from(*late)];
        let ties = self.ties.iter().filter(moved).count() as i64;
        let sound = i64::from(self.sound.is_some_and(|sound| !sounds_as(a, b, sound)));
        (ties + sound) * HARD
    }
}

/// Seconds against a limit.
pub(super) fn at_least(seconds: Fraction, limit: (i64, i64)) -> bool {
    seconds >= Fraction::new(limit.0, limit.1)
}

/// The notes of a head that are tied on into the next one, as presses (lowest pitch first, each once).
fn ties(tune: &Tune, from: &Item, to: &Item) -> Vec<(u8, u8)> {
    let (earlier, later) = (notes_of(tune, from), notes_of(tune, to));
    let mut pairs = Vec::new();
    for note in earlier.iter().filter(|note| note.tied_to_next) {
        let midi = note.pitch.midi();
        if later.iter().any(|other| other.pitch.midi() == midi && other.tied_from_previous) {
            let at = |midis: &[i32]| midis.iter().position(|m| *m == midi).and_then(|n| u8::try_from(n).ok());
            pairs.extend(at(&from.midis).zip(at(&to.midis)));
        }
    }
    pairs.dedup();
    pairs
}

/// The notes of an item; a grace's are never tied.
fn notes_of<'a>(tune: &'a Tune, item: &Item) -> &'a [Note] {
    let head = |event: &&Event| event.head() == Some(item.note);
    tune.bars[item.bar].events.iter().find(head).map_or(&[], |event| event.notes())
}

/// Whether the later way sounds so after the earlier one, on at least one of its buttons.
fn sounds_as(a: &Take, b: &Take, sound: Sound) -> bool {
    let turned = a.direction != b.direction;
    let mut meets = a.presses().iter().flat_map(|early| b.presses().iter().map(move |late| (early, late)));
    match sound {
        Sound::Reversal => turned && meets.any(|(early, late)| early == late),
        Sound::Replay => turned && meets.any(|(early, late)| early.button == late.button),
        Sound::Repeat => !turned && meets.any(|(early, late)| early.button == late.button),
        Sound::Press => !meets.any(|(early, late)| early.button == late.button),
        Sound::Tie => true,
    }
}

/// Whether a press that cannot survive a turn is held over the start of the later item.
fn held_over(parts: &Parts<'_>, earlier: &Item, later: &Item) -> bool {
    if parts.held.is_empty() {
        return false;
    }
    let at = |item: &Item| parts.tune.bars[item.bar].onset.0 + item.onset.0;
    let (from, to) = (at(earlier), at(later));
    let on = later.bar == earlier.bar || later.bar == earlier.bar + 1;
    let mut held = parts.held.iter().map(|n| &parts.wants[*n]);
    on && from <= to
        && held.any(|want| {
            let start = parts.tune.bars[want.bar].onset.0 + want.onset.0;
            start < to && to < start + want.length.0
        })
}
