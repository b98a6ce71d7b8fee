//! The hand on the keyboard: which finger reaches which button from which place, and every way to take a head.
//!
//! Takes a box and pitches, gives [`Take`]s: direction, buttons, fingers and the place of the hand. Knows no tune, no price
//! and no author. Rules: fingers 1 to 4 lie on four buttons in a row, and of every other row on the four that lie beside them,
//! so that in one place each button has one finger; index and little finger reach one button further as a stretch; the hand
//! spans at most five buttons (in one chord, and from note to note while it stays in its place: [`Spread`]), one finger a
//! button, and fingers do not cross. Sources: published home position (finger 1 on
//! the start button, one finger a button); reach over staggered rows and stretches are common practice, no source.

use crate::instrument::{ButtonId, Direction, Instrument, RowAt};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Lengths along the keyboard are whole quarters of a button, so that sums are exact.
const BUTTON: i32 = 4;
/// A button this far from a finger's own spot is no stretch: half a button, the usual stagger of two rows.
const EASY: i32 = BUTTON / 2;
/// Index and little finger reach this far as a stretch.
const FAR: i32 = BUTTON;
/// The widest hand, from first to last button: five buttons.
const SPAN: i32 = 4 * BUTTON;
/// More pitches than fingers cannot be held.
pub(super) const FINGERS: usize = 4;
/// No head is looked at in more ways than this; only chords on boxes of many rows come near.
const MOST_TAKES: usize = 2048;

/// A right-hand button as an index into [`Keyboard::buttons`].
pub(super) type Key = u16;

/// One press of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Finger {
    /// The button.
    pub button: Key,
    /// 1 to 4.
    pub finger: u8,
}

/// One way to take a head: everything that the plan says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Take {
    /// Which way the bellows go.
    pub direction: Direction,
    /// The button under the index finger.
    pub place: Key,
    /// Which rows it presses, one bit a row.
    pub rows: u8,
    /// How many pitches.
    pub count: u8,
    /// How many fingers stretch.
    pub stretched: u8,
    /// How many fingers are on another row than the place is named by, or stretched.
    pub reached: u8,
    /// The presses, lowest pitch first; `count` of them mean something.
    presses: [Finger; FINGERS],
    /// For each finger the button plus one, 0 for none.
    pub lanes: [Key; FINGERS],
    /// For each finger how far from its own spot it presses, in quarters of a button towards the lap.
    pub off: Offs,
}

/// The ways to take every head and grace, by the numbers of their notes.
pub(super) type Ways = BTreeMap<u32, Rc<[Take]>>;

/// How an item had better be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Wont {
    /// So, as in the bar that is the same music.
    Grip(Direction, Vec<Finger>),
    /// When it goes this way, on this button, as just before in its bar.
    Button(Direction, Key),
}

impl Wont {
    /// The way it is taken where the same music stands.
    pub(super) fn grip(take: &Take) -> Self {
        Self::Grip(take.direction, take.presses().to_vec())
    }
    /// Whether a way is as it had better be.
    pub(super) fn holds(&self, take: &Take) -> bool {
        match self {
            Self::Grip(direction, presses) => take.direction == *direction && take.presses() == presses,
            Self::Button(direction, button) => {
                take.direction != *direction || take.presses().iter().all(|press| press.button == *button)
            }
        }
    }
}

/// How far from their own spots four fingers lie; those that do not press lie there.
pub(super) type Offs = [i8; FINGERS];

/// How far two fingers lie apart that press one after the other while the hand stays in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spread {
    /// No more than a button further than they lie on their own spots.
    Easy,
    /// Further, such as ring and little finger two buttons and a half apart.
    Far,
    /// Index and little finger further than the widest hand.
    Wide,
}

impl Spread {
    /// Of the two fingers that lie furthest, one of the earlier way and one of the later.
    pub(super) fn of(earlier: &Offs, later: &Offs) -> Self {
        let mut spread = Self::Easy;
        for (i, a) in earlier.iter().enumerate() {
            for (j, b) in later.iter().enumerate().filter(|(j, _)| *j != i) {
                let beyond = i32::from(if i < j { b - a } else { a - b });
                if beyond > FAR && i.abs_diff(j) + 1 == FINGERS {
                    return Self::Wide;
                }
                if beyond > FAR {
                    spread = Self::Far;
                }
            }
        }
        spread
    }
    /// Whether a way can be part of any but an easy spread.
    pub(super) fn begins(offs: &Offs) -> bool {
        offs.iter().any(|off| i32::from(off.abs()) > EASY)
    }
}

impl Take {
    /// The presses, lowest pitch first.
    pub(super) fn presses(&self) -> &[Finger] {
        &self.presses[..usize::from(self.count)]
    }
    /// Same direction on the same buttons.
    pub(super) fn sounds_like(&self, other: &Self) -> bool {
        let buttons = |take: &Self| take.presses.map(|press| press.button);
        self.direction == other.direction && self.count == other.count && buttons(self) == buttons(other)
    }
}

/// How a finger comes to a button.
#[derive(Debug, Clone, Copy)]
struct Reach {
    place: Key,
    finger: u8,
    stretched: bool,
    /// Away from the finger's own spot, in quarters of a button.
    off: i32,
    /// Whether index and button lie in one row.
    same_row: bool,
}

/// A box's right hand, prepared.
#[derive(Debug, Clone)]
pub(super) struct Keyboard {
    buttons: Vec<ButtonId>,
    along: Vec<i32>,
    pitches: Vec<[i32; 2]>,
    chin: Vec<u8>,
    reach: Vec<Vec<Reach>>,
    /// The same where fingers may also lean to the other side of their spots, for chords that no hand would else hold.
    leaning: Vec<Vec<Reach>>,
}

/// One bit a row.
fn bit(at: RowAt) -> u8 {
    1 << at as u8
}

impl Keyboard {
    /// Prepares a box.
    pub(super) fn new(instrument: &Instrument) -> Self {
        let mut all =
            Self { buttons: vec![], along: vec![], pitches: vec![], chin: vec![], reach: vec![], leaning: vec![] };
        for (id, button) in instrument.buttons().take(usize::from(Key::MAX) - 1) {
            all.buttons.push(id);
            // Rounded once here: offsets are authors' decimals such as 0.5.
            all.along.push((instrument.along(id).clamp(-1e4, 1e4) * f64::from(BUTTON)).round() as i32);
            all.pitches.push(Direction::BOTH.map(|direction| button.pitch(direction).midi()));
            let start = instrument.row(id.row).map_or(0, |row| row.start);
            // The start button and the one above it are home; what lies further up is a reach (published: hard to
            // include in a run played lower down).
            all.chin.push(start.saturating_sub(1).saturating_sub(id.number));
        }
        all.reach = (0..all.buttons.len()).map(|key| all.reaches(key)).collect();
        all.leaning = (0..all.buttons.len()).map(|key| all.leans(key)).collect();
        all
    }
    fn reaches(&self, key: usize) -> Vec<Reach> {
        let mut found = Vec::new();
        let id = self.buttons[key];
        for place in 0..self.along.len() {
            // A row may begin only beyond the index finger: the other fingers reach it all the same.
            let Some(index) = self.under_index(place as Key, id.row) else { continue };
            let fingers = FINGERS as i32;
            let (finger, stretched) = match i32::from(id.number) - index {
                -1 => (1, true),
                n if (0..fingers).contains(&n) => (n as u8 + 1, false),
                n if n == fingers => (FINGERS as u8, true),
                _ => continue,
            };
            let off = self.along[key] - self.along[place] - BUTTON * i32::from(finger - 1);
            if !stretched || off.abs() <= FAR {
                let same_row = self.buttons[place].row == id.row;
                found.push(Reach { place: place as Key, finger, stretched, off, same_row });
            }
        }
        found
    }
    /// Every finger of every place within half a button of its spot, or one button outwards.
    fn leans(&self, key: usize) -> Vec<Reach> {
        let fingers = (0..self.along.len()).flat_map(|place| (1..=FINGERS as u8).map(move |finger| (place, finger)));
        let reaches = fingers.filter_map(|(place, finger)| {
            let off = self.along[key] - self.along[place] - BUTTON * i32::from(finger - 1);
            let stretched = off.abs() > EASY;
            let outwards = (finger == 1 && off < 0) || (finger == FINGERS as u8 && off > 0);
            let same_row = self.buttons[place].row == self.buttons[key].row;
            let reach = Reach { place: place as Key, finger, stretched, off, same_row };
            (!stretched || outwards && off.abs() <= FAR).then_some(reach)
        });
        reaches.collect()
    }
    /// The number of the button that the index finger lies on in a row when the hand is in a place: the nearest to it, of
    /// two equally near the one towards the chin. Below 1 or above the row's last one where the row ends sooner.
    fn under_index(&self, place: Key, row: RowAt) -> Option<i32> {
        let first = self.buttons.iter().position(|id| id.row == row)?;
        Some((self.along[usize::from(place)] - self.along[first] + 1).div_euclid(BUTTON) + 1)
    }
    /// The same place of the hand named by the button under the index finger in another row, if there is one.
    pub(super) fn place_in(&self, place: Key, row: RowAt) -> Option<ButtonId> {
        let number = u8::try_from(self.under_index(place, row)?).ok()?;
        let id = ButtonId { row, number };
        self.buttons.contains(&id).then_some(id)
    }
    /// A way to take pitches that an earlier plan settled: as it says, where a hand can do it at all, even if it would not
    /// be thought of today.
    pub(super) fn settled(
        &self,
        midis: &[i32],
        direction: Direction,
        presses: &[(ButtonId, u8)],
        place: ButtonId,
    ) -> Option<Take> {
        let key = |id: ButtonId| self.key(id).map(usize::from);
        let place = key(place)?;
        let mut partial = Partial::new(direction, place as Key);
        if presses.len() != midis.len() || midis.is_empty() {
            return None;
        }
        for ((id, finger), midi) in presses.iter().zip(midis) {
            let button = key(*id)?;
            let off = self.along[button] - self.along[place] - BUTTON * (i32::from(*finger) - 1);
            let outwards = (*finger == 1 && off < 0) || (usize::from(*finger) == FINGERS && off > 0);
            let stretched = off.abs() > EASY;
            // The place may be named by the other row's button, half a button beside where the hand was reckoned to lie.
            let within = outwards && off.abs() <= FAR + EASY;
            let reached = (1..=FINGERS).contains(&usize::from(*finger)) && (!stretched || within);
            if !reached || self.pitches[button][direction as usize] != *midi {
                return None;
            }
            let same_row = self.buttons[place].row == id.row;
            let reach = Reach { place: place as Key, finger: *finger, stretched, off, same_row };
            partial = partial.with(self, button as Key, &reach)?;
        }
        Some(partial.take)
    }
    /// The author's name of a button.
    pub(super) fn button(&self, key: Key) -> ButtonId {
        self.buttons[usize::from(key)]
    }
    /// A button by the author's name.
    pub(super) fn key(&self, id: ButtonId) -> Option<Key> {
        self.buttons.iter().position(|other| *other == id).map(|key| key as Key)
    }
    /// How many buttons there are.
    pub(super) fn len(&self) -> usize {
        self.buttons.len()
    }
    /// How many buttons above home a button lies, towards the chin.
    pub(super) fn chin(&self, key: Key) -> u8 {
        self.chin[usize::from(key)]
    }
    /// Half buttons between two places of the hand, rounded up.
    pub(super) fn distance(&self, a: Key, b: Key) -> i32 {
        let quarters = (self.along[usize::from(a)] - self.along[usize::from(b)]).abs();
        (quarters + EASY - 1) / EASY
    }
    /// The buttons that give a pitch (a MIDI key number) in a direction.
    pub(super) fn buttons_for(&self, midi: i32, direction: Direction) -> impl Iterator<Item = Key> {
        let column = direction as usize;
        self.pitches.iter().enumerate().filter(move |(_, pair)| pair[column] == midi).map(|(key, _)| key as Key)
    }
    /// Every way to take pitches together (MIDI key numbers, lowest first, each once), in an order that settles ties:
    /// push first, unstretched, fingers on their own spots, the index in the same row, then by button, finger, place.
    pub(super) fn takes(&self, midis: &[i32]) -> Vec<Take> {
        if midis.is_empty() || midis.len() > FINGERS {
            return Vec::new();
        }
        let mut found = self.found(midis, &self.reach);
        if found.is_empty() && midis.len() > 1 {
            found = self.found(midis, &self.leaning);
        }
        found.sort_by_key(|(awkward, take)| {
            (
                take.direction,
                take.stretched,
                *awkward,
                take.presses.map(|press| (press.button, press.finger)),
                take.place,
            )
        });
        found.into_iter().map(|(_, take)| take).collect()
    }
    fn found(&self, midis: &[i32], reaches: &[Vec<Reach>]) -> Vec<(i32, Take)> {
        let mut found: Vec<(i32, Take)> = Vec::new();
        for direction in Direction::BOTH {
            let choices: Vec<Vec<Key>> =
                midis.iter().map(|midi| self.buttons_for(*midi, direction).collect()).collect();
            if choices.iter().any(Vec::is_empty) {
                continue;
            }
            // The first pitch's buttons name all places worth trying.
            for button in &choices[0] {
                for reach in &reaches[usize::from(*button)] {
                    let start = Partial::start(self, direction, *button, reach);
                    self.extend(start, &choices[1..], reaches, &mut found);
                }
            }
        }
        found
    }
    fn extend(&self, partial: Partial, choices: &[Vec<Key>], reaches: &[Vec<Reach>], found: &mut Vec<(i32, Take)>) {
        let Some((buttons, rest)) = choices.split_first() else {
            found.push((partial.awkward, partial.take));
            return;
        };
        for button in buttons {
            for reach in reaches[usize::from(*button)].iter().filter(|reach| reach.place == partial.take.place) {
                if found.len() < MOST_TAKES
                    && let Some(longer) = partial.with(self, *button, reach)
                {
                    self.extend(longer, rest, reaches, found);
                }
            }
        }
    }
}

/// A take being put together.
#[derive(Debug, Clone, Copy)]
struct Partial {
    take: Take,
    awkward: i32,
}

impl Partial {
    fn new(direction: Direction, place: Key) -> Self {
        let none = [Finger::default(); FINGERS];
        let take = Take {
            direction,
            place,
            rows: 0,
            count: 0,
            stretched: 0,
            reached: 0,
            presses: none,
            lanes: [0; FINGERS],
            off: [0; FINGERS],
        };
        Self { take, awkward: 0 }
    }
    fn start(keyboard: &Keyboard, direction: Direction, button: Key, reach: &Reach) -> Self {
        let first = Self::new(direction, reach.place).with(keyboard, button, reach);
        first.expect("a first press meets no other finger")
    }
    fn with(mut self, keyboard: &Keyboard, button: Key, reach: &Reach) -> Option<Self> {
        let lane = usize::from(reach.finger - 1);
        let taken = self.take.lanes[lane] != 0;
        let fits = self.take.presses().iter().all(|press| {
            let apart = keyboard.along[usize::from(button)] - keyboard.along[usize::from(press.button)];
            let crossed = apart * (i32::from(reach.finger) - i32::from(press.finger)) < 0;
            press.button != button && apart.abs() <= SPAN && !(crossed && apart.abs() > EASY)
        });
        if taken || !fits {
            return None;
        }
        self.take.presses[usize::from(self.take.count)] = Finger { button, finger: reach.finger };
        self.take.count += 1;
        self.take.lanes[lane] = button + 1;
        self.take.off[lane] = reach.off as i8;
        self.take.rows |= bit(keyboard.buttons[usize::from(button)].row);
        self.take.stretched += u8::from(reach.stretched);
        self.take.reached += u8::from(reach.stretched || !reach.same_row);
        self.awkward += reach.off.abs() * 2 + i32::from(!reach.same_row);
        Some(self)
    }
}
