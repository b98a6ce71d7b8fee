//! What the solver decides, as data for engraving, words, sound and reports.

use super::curve::BellowsCurve;
use crate::instrument::{ButtonId, Direction, LeftButtonId, LeftKind};
use crate::tune::{Duration, NoteId, Onset, Pitch, SmallVec, Tune};
use std::borrow::Cow;
use std::sync::Arc;

/// How a note is sounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sound {
    /// Another button than before.
    Press,
    /// The same button held while the bellows turn.
    Reversal,
    /// The same button lifted and pressed again after a turn.
    Replay,
    /// The same button in the same direction, pressed again.
    Repeat,
    /// Held on from a tie.
    Tie,
}

/// One pitch of a head on a button.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Press {
    /// The pitch as written.
    pub pitch: Pitch,
    /// The button.
    pub button: ButtonId,
    /// 1 index, 2 middle, 3 ring, 4 little.
    pub finger: u8,
    /// How it is sounded, true on every pass.
    pub sound: Sound,
}

/// The presses of a head, lowest pitch first. Nearly all heads have one, so it lies in the note itself.
pub type Presses = SmallVec<[Press; 2]>;

/// Where the hand lies: the button under the index finger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place(pub ButtonId);

/// The decision for one head or grace note.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct PlannedNote {
    /// Which note.
    pub id: NoteId,
    /// Which way the bellows go.
    pub direction: Direction,
    /// Where the hand lies.
    pub place: Place,
    /// Whether the hand moves for this note (also at the tune's first note).
    pub place_moves: bool,
    /// One press a pitch, lowest first; empty when the note is not on the box (an error was given).
    pub presses: Presses,
    /// Whether the author pinned any of it.
    pub pinned: bool,
}

/// A note that another one is played after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PlayedAfter {
    /// Which.
    pub note: NoteId,
    /// Whether a rest lies between.
    pub rest: bool,
}

/// Why a grace note is left out; it is neither printed nor played, and a warning was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LeftOut {
    /// It does not sound in this direction, the one of its note.
    OtherWay(Direction),
    /// It has no note to lean on.
    NoNote,
}

/// Why a head or grace cannot be planned; an error was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unplayable {
    /// The box has not got one of its pitches.
    NotOnBox,
    /// It has more pitches than a hand has fingers.
    TooMany,
    /// Its pitches do not sound in one direction.
    NotOneWay,
    /// Its buttons lie too far apart for one hand.
    TooFarApart,
}

/// One press of a left-hand button.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct LeftPress {
    /// Index into the tune's bars.
    pub bar: usize,
    /// From the bar's start.
    pub onset: Onset,
    /// How long it is held; cut where the bellows turn, unless `held`.
    pub duration: Duration,
    /// Bass or chord.
    pub kind: LeftKind,
    /// As printed: `G`, `em`.
    pub name: Arc<str>,
    /// The button.
    pub button: LeftButtonId,
    /// 1 index to 4 little.
    pub finger: u8,
    /// Whether the author holds it over (`-`).
    pub held: bool,
    /// Whether it is left out because the box cannot sound it there; then it is reported and not printed.
    pub dropped: bool,
}

/// The air button.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Air {
    /// Air in: the bellows open without sound.
    Open,
    /// Air out: they close without sound.
    Close,
}

/// A place to use the air button.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct AirPoint {
    /// After this head (or while it sounds).
    pub after: NoteId,
    /// In or out.
    pub air: Air,
    /// Whether the author pinned it.
    pub pinned: bool,
}

/// What was found out about the bellows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BellowsReport {
    /// A full bellows in seconds.
    pub capacity_seconds: f64,
    /// The curve of the tune as played, once through all its repeats.
    pub curve: BellowsCurve,
    /// Air points, pinned or proposed.
    pub air: Vec<AirPoint>,
    /// The first note where the bellows run out, if they do.
    pub runs_out: Option<NoteId>,
    /// What the best plan would cost if the bellows had no end: what the plan costs beyond it is the bellows' doing, and no
    /// plan can cost less.
    pub free_cost: i64,
    /// The first note at which a tenth of the bellows or less is left at either end, though they last.
    pub close: Option<NoteId>,
    /// Whether it is proven that no other way to turn is cheaper, air, drift and ends counted in.
    pub proven: bool,
}

/// What a cost is for. One entry a kind in [`Cost`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CostKind {
    /// A turn of the bellows.
    Turn,
    /// A turn on a weak subdivision of a fast run.
    WeakTurn,
    /// A change of row.
    RowChange,
    /// Staying on the row although crossing would save a turn, in a style that wants crossing.
    RowStay,
    /// A move of the hand.
    PlaceShift,
    /// The same finger on different buttons one after the other.
    SameFinger,
    /// Another finger on the button just played, or another button for the pitch just played in the same direction.
    FingerSwap,
    /// A stretch of the hand beyond one finger a button.
    Stretch,
    /// The little finger on a long or accented note.
    LittleFinger,
    /// A button far up at the chin.
    ChinButton,
    /// A left-hand chord that cannot be sounded.
    MissingChord,
    /// Air to be taken.
    AirPoint,
    /// Drift of the bellows over a section, beyond half a bellows, a quarter of one each.
    Drift,
    /// A second played with the bellows more than two thirds open; in the last tenth at either end ten times.
    BellowsEnd,
    /// A note of a bar that comes again, or a pitch in a bar, taken otherwise than before.
    Unlike,
}

impl CostKind {
    /// Every kind once, in order.
    pub const ALL: [Self; 15] = [
        Self::Turn,
        Self::WeakTurn,
        Self::RowChange,
        Self::RowStay,
        Self::PlaceShift,
        Self::SameFinger,
        Self::FingerSwap,
        Self::Stretch,
        Self::LittleFinger,
        Self::ChinButton,
        Self::MissingChord,
        Self::AirPoint,
        Self::Drift,
        Self::BellowsEnd,
        Self::Unlike,
    ];

    /// Its name in output; an author sets its weight by the same name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::WeakTurn => "weak-turn",
            Self::RowChange => "row-change",
            Self::RowStay => "row-stay",
            Self::PlaceShift => "place-shift",
            Self::SameFinger => "same-finger",
            Self::FingerSwap => "finger-swap",
            Self::Stretch => "stretch",
            Self::LittleFinger => "little-finger",
            Self::ChinButton => "chin-button",
            Self::MissingChord => "missing-chord",
            Self::AirPoint => "air-point",
            Self::Drift => "drift",
            Self::BellowsEnd => "bellows-end",
            Self::Unlike => "unlike",
        }
    }
}

/// Total cost and where it comes from. Without unit; compare plans of one tune and one set of weights only.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cost {
    /// The total.
    pub total: i64,
    /// How much of each kind, each kind at most once, by kind.
    pub by_kind: Vec<(CostKind, i64)>,
}

/// One note that another plan takes otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Difference {
    /// Which note.
    pub note: NoteId,
    /// Its direction there.
    pub direction: Direction,
    /// Its buttons there, lowest pitch first.
    pub buttons: Vec<ButtonId>,
}

/// The next best plan, and how it differs.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct RunnerUp {
    /// Its total cost.
    pub cost: i64,
    /// The notes it takes otherwise.
    pub differs: Vec<Difference>,
}

/// The plan of a tune on a box.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plan {
    /// The decisions, indexed by [`NoteId`].
    pub notes: Vec<Option<PlannedNote>>,
    /// By note, those that are not, or not always, played after the note written before them (the first of an ending, of a
    /// repeat, where a jump leads), each with all it is played after; nothing where the tune begins.
    pub elsewhere: Vec<(NoteId, Vec<PlayedAfter>)>,
    /// Grace notes that are left out, by note.
    pub left_out: Vec<(NoteId, LeftOut)>,
    /// Heads and graces that cannot be planned, by note.
    pub unplayable: Vec<(NoteId, Unplayable)>,
    /// The left hand, by bar, then onset, bass before chord.
    pub left: Vec<LeftPress>,
    /// The bellows.
    pub bellows: BellowsReport,
    /// What the plan costs.
    pub cost: Cost,
    /// Turns of the bellows over the played tune.
    pub turns: u32,
    /// Changes of row over the played tune.
    pub row_changes: u32,
    /// Moves of the hand over the played tune.
    pub place_shifts: u32,
    /// Bars (indexes into the tune's) that are the same music and yet not fingered in one way, group by group.
    pub otherwise: Vec<Vec<usize>>,
    /// The next best plans, cheapest first; may be empty.
    pub runners_up: Vec<RunnerUp>,
}

impl Plan {
    /// The decision for a note; `None` when the note could not be planned.
    pub fn note(&self, id: NoteId) -> Option<&PlannedNote> {
        self.notes.get(id.index())?.as_ref()
    }
    /// What a note is played after, where that is not just the note written before it.
    pub fn elsewhere(&self, id: NoteId) -> Option<&[PlayedAfter]> {
        let at = self.elsewhere.binary_search_by_key(&id, |(note, _)| *note).ok()?;
        Some(&self.elsewhere[at].1)
    }
    /// Why a grace note is left out, if it is.
    pub fn left_out(&self, id: NoteId) -> Option<LeftOut> {
        let at = self.left_out.binary_search_by_key(&id, |(note, _)| *note).ok()?;
        Some(self.left_out[at].1)
    }
    /// Why a note cannot be planned, if it cannot.
    pub fn unplayable(&self, id: NoteId) -> Option<Unplayable> {
        let at = self.unplayable.binary_search_by_key(&id, |(note, _)| *note).ok()?;
        Some(self.unplayable[at].1)
    }
    /// The tune as it is printed and played: without the graces that are left out. Notes keep their ids; a slur from or to
    /// such a grace begins or ends at the note after it.
    pub fn without_left_out<'t>(&self, tune: &'t Tune) -> Cow<'t, Tune> {
        if self.left_out.is_empty() {
            return Cow::Borrowed(tune);
        }
        let mut played = tune.clone();
        for event in played.bars.iter_mut().flat_map(|bar| &mut bar.events) {
            event.graces.retain(|grace| self.left_out(grace.id).is_none());
        }
        // Ids run in written order, graces before their note.
        let stays = |mut id: NoteId| {
            while self.left_out(id).is_some() {
                id.0 += 1;
            }
            id
        };
        for slur in &mut played.slurs {
            (slur.from, slur.to) = (stays(slur.from), stays(slur.to));
        }
        played.slurs.retain(|slur| slur.from < slur.to);
        Cow::Owned(played)
    }
}
