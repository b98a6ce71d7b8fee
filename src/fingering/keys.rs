//! Keys and octaves: how well a tune lies on a box at other pitches.
//!
//! Takes a tune and a box, gives every move of up to an octave either way, ranked by what the best plan there costs. Knows
//! no file and writes no tune: the moves are named, not carried out.

use super::left;
use super::plan::{CostKind, Plan};
use super::planner::plan;
use super::prices::{Prices, WHOLE};
use super::range::{OCTAVE, midis, sounding, spelt};
use super::request::{LeftHandSpec, Request, Weights};
use crate::diag::Sink;
use crate::instrument::Instrument;
use crate::tune::{Interval, Mode, Pitch, PitchClass, Sounding, Tune};

/// Absent notes named at most.
const MOST_NAMED: usize = 6;

/// A tune at one pitch on a box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyRank {
    /// Semitones from the tune as written; 0 for where it is.
    pub semitones: i32,
    /// The key there, spelt with the fewest signs; `None` for a tune without a key.
    pub key: Option<(PitchClass, Mode)>,
    /// What its best plan costs, each chord that the box has in no direction counted as a missing one; `None` when notes are
    /// not on the box.
    pub cost: Option<i64>,
    /// The notes that are not on the box there, spelt as in the key there, lowest first, each once.
    pub absent: Vec<Pitch>,
    /// Left-hand presses that the plan there has to leave out.
    pub chords_missing: usize,
    /// Chord symbols of which the box has the chord in no direction there.
    pub chords_unknown: usize,
    /// Whether the left hand has anything to play there.
    pub left_hand: bool,
    /// Turns of the bellows as played.
    pub turns: u32,
    /// Moves of the hand as played.
    pub place_shifts: u32,
    /// Why it stands where it stands, in plain words, most telling first.
    pub reasons: Vec<String>,
}

impl KeyRank {
    /// The notes that are not on the box there in words; nothing where all are.
    pub fn absent_named(&self) -> String {
        let names: Vec<String> = self.absent.iter().take(MOST_NAMED).map(ToString::to_string).collect();
        let more = self.absent.len().saturating_sub(MOST_NAMED);
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("{}{rest}", names.join(", "))
    }
}

/// Every move of a tune by up to an octave on a box, best first: notes all there before notes absent, a left hand before none,
/// then by cost, then the nearest.
pub fn keys(tune: &Tune, instrument: &Instrument, weights: &Weights) -> Vec<KeyRank> {
    let mut all: Vec<KeyRank> = (-OCTAVE..=OCTAVE).map(|by| rank(tune, instrument, weights, by)).collect();
    all.sort_by_key(|rank| {
        let cost = rank.cost.unwrap_or(i64::MAX);
        (rank.absent.len(), rank.cost.is_none(), !rank.left_hand, cost, rank.semitones.abs(), rank.semitones)
    });
    all
}

fn rank(tune: &Tune, instrument: &Instrument, weights: &Weights, by: i32) -> KeyRank {
    let key = tune.key.tonic.map(|(tonic, mode)| (spelt(tonic.semitones() + by, mode), mode));
    let has = sounding(instrument);
    let absent: Vec<Pitch> = midis(tune)
        .into_iter()
        .filter(|midi| has.binary_search(&(midi + by)).is_err())
        .map(|midi| spelt_there(tune, midi, key.map(|key| key.0), by))
        .collect();
    let mut rank = KeyRank {
        semitones: by,
        key,
        cost: None,
        absent,
        chords_missing: 0,
        chords_unknown: 0,
        left_hand: false,
        turns: 0,
        place_shifts: 0,
        reasons: vec![],
    };
    if rank.absent.is_empty() {
        let tune = moved(tune, by);
        let request = Request { weights: weights.clone(), ..Request::default() };
        let plan = plan(&tune, instrument, &request, &mut Sink::default());
        let mut sink = Sink::default();
        left::wants(&tune, instrument, &LeftHandSpec::default(), &mut sink);
        rank.chords_unknown = sink.items().iter().filter(|item| item.code == code!("chord-missing")).count();
        let unknown = Prices::new(weights).of(CostKind::MissingChord) * WHOLE * rank.chords_unknown as i64;
        // A head that cannot be played together counts as absent too.
        rank.cost = heads(&tune).all(|id| plan.note(id).is_some()).then_some(plan.cost.total + unknown);
        rank.left_hand = plan.left.iter().any(|press| !press.dropped);
        rank.chords_missing = plan.left.iter().filter(|press| press.dropped).count();
        (rank.turns, rank.place_shifts) = (plan.turns, plan.place_shifts);
        rank.reasons = reasons(&rank, &plan);
    } else {
        rank.reasons.push(format!("not on the box: {}", rank.absent_named()));
    }
    rank
}

/// A written note of a tune moved into another key, spelt as it is written there; with sharps in a tune without a key.
fn spelt_there(tune: &Tune, midi: i32, to: Option<PitchClass>, by: i32) -> Pitch {
    let plain = Pitch::from_midi(midi + by);
    let Some(((from, _), to)) = tune.key.tonic.zip(to) else { return plain };
    let from = Pitch::new(from.step, from.alter, 4);
    let octave = (from.midi() + by - Pitch::new(to.step, to.alter, -1).midi()).div_euclid(12) - 1;
    let Ok(octave) = i8::try_from(octave) else { return plain };
    let interval = Interval::between(from, Pitch::new(to.step, to.alter, octave));
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    let mut notes = events.flat_map(|event| event.graces.iter().flat_map(|grace| &grace.notes).chain(event.notes()));
    notes.find(|note| note.pitch.midi() == midi).map_or(plain, |note| interval.apply(note.pitch))
}

fn heads(tune: &Tune) -> impl Iterator<Item = crate::tune::NoteId> {
    tune.bars.iter().flat_map(|bar| &bar.events).filter_map(|event| event.head())
}

fn counted(count: u64, one: &str, many: &str) -> String {
    match count {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        _ => format!("{count} {many}"),
    }
}

fn reasons(rank: &KeyRank, plan: &Plan) -> Vec<String> {
    let mut all = Vec::new();
    if rank.cost.is_none() {
        all.push("some notes cannot be played together".to_owned());
    }
    if rank.chords_unknown > 0 {
        let chords = counted(rank.chords_unknown as u64, "chord", "chords");
        all.push(format!("{chords} that the left hand does not have"));
    }
    if !rank.left_hand && rank.chords_unknown + rank.chords_missing > 0 {
        all.push("nothing for the left hand".to_owned());
    }
    if rank.chords_missing > 0 {
        let presses = counted(rank.chords_missing as u64, "press", "presses");
        all.push(format!("{presses} of the left hand left out for want of the other direction"));
    }
    all.push(counted(plan.turns.into(), "turn of the bellows", "turns of the bellows"));
    all.push(counted(plan.row_changes.into(), "change of row", "changes of row"));
    all.push(counted(plan.place_shifts.into(), "move of the hand", "moves of the hand"));
    let costs = |kind| plan.cost.by_kind.iter().any(|(k, cost)| *k == kind && *cost > 0);
    if costs(CostKind::ChinButton) {
        all.push("buttons at the chin".to_owned());
    }
    if costs(CostKind::SameFinger) {
        all.push("one finger on two buttons in a row somewhere".to_owned());
    }
    all
}

/// The tune moved for planning: key numbers and roots are right, spelling is not looked at.
fn moved(tune: &Tune, by: i32) -> Tune {
    let mut tune = tune.clone();
    let class = |class: PitchClass| Pitch::from_midi(60 + class.semitones() + by).class();
    for event in tune.bars.iter_mut().flat_map(|bar| &mut bar.events) {
        for symbol in &mut event.chord_symbols {
            symbol.root = symbol.root.map(class);
            symbol.bass = symbol.bass.map(class);
        }
        let graces = event.graces.iter_mut().flat_map(|grace| &mut grace.notes);
        let heads = match &mut event.sounding {
            Sounding::Head { notes, .. } => &mut notes[..],
            Sounding::Rest { .. } => &mut [],
        };
        for note in graces.chain(heads) {
            note.pitch = Pitch::from_midi(note.pitch.midi() + by);
        }
    }
    tune
}

#[cfg(test)]
mod tests {
    use super::super::testing::{dg, tune};
    use super::*;
    use crate::tune::Meter;

    #[test]
    fn a_tune_in_the_boxs_keys_ranks_before_one_beside_them() {
        let g = tune(Meter::simple(4, 4), "G4 A4 B4 C5 D5 E5 F#5 G5 | \"G\" G5*4 \"D\" D5*4 | \"G\" G4*8");
        let ranks = keys(&g, &dg(), &Weights::default());
        assert_eq!(ranks.len(), 25);
        let best: Vec<String> = ranks.iter().take(2).filter_map(|rank| rank.key).map(|key| key.0.to_string()).collect();
        assert!(best.iter().all(|key| key == "G" || key == "D"), "{best:?}");
        let sharp = ranks.iter().find(|rank| rank.semitones == 1).expect("every move is there");
        assert!(sharp.cost.is_none() && sharp.reasons[0].starts_with("not on the box: "), "{:?}", sharp.reasons);
        assert_eq!(sharp.key.map(|key| key.0.to_string()).as_deref(), Some("Ab"), "fewest signs");
    }

    #[test]
    fn notes_that_are_absent_are_spelt_as_in_their_key() {
        let g = tune(Meter::simple(4, 4), "G4*4 C5*2 F#5*2");
        let ranks = keys(&g, &dg(), &Weights::default());
        let absent = |by: i32| {
            let rank = ranks.iter().find(|rank| rank.semitones == by).expect("every move is there");
            rank.absent.iter().map(ToString::to_string).collect::<Vec<_>>()
        };
        // F major: B flat, no A sharp. Eb major: E flat and A flat.
        assert_eq!(absent(-2), ["F4", "Bb4"]);
        assert_eq!(absent(-4), ["Eb4", "Ab4"]);
        assert_eq!(absent(11), ["E#6"], "F# major");
    }

    #[test]
    fn a_key_without_its_chords_ranks_below_one_that_has_a_left_hand() {
        // A semitone up every note is there on such a box, and no chord.
        let mut semitone = dg();
        let sharp = |pitch: Pitch| Pitch::from_midi(pitch.midi() + 1);
        let outer = semitone.rows[0].buttons.clone();
        semitone.rows[1].buttons = outer
            .into_iter()
            .map(|button| crate::instrument::Button { push: sharp(button.push), pull: sharp(button.pull) })
            .collect();
        let d = tune(Meter::simple(4, 4), "\"D\" D5*2 A4*2 F#4*2 A4*2 | \"G\" B4*2 D5*2 \"D\" A4*4");
        let ranks = keys(&d, &semitone, &Weights::default());
        let at = |by: i32| ranks.iter().position(|rank| rank.semitones == by).expect("every move is there");
        let up = &ranks[at(1)];
        assert!(up.absent.is_empty() && !up.left_hand && up.chords_unknown == 3, "{:?}", up.reasons);
        assert!(up.cost >= Some(3 * 60 * WHOLE));
        assert!(at(0) < at(1) && ranks[at(0)].left_hand);
    }
}
