//! Tunes drawn by lot for tests: everything a melody staff can hold, in mixtures nobody would write.

use super::testing::{settle, tune_of};
use crate::fingering::{LeftPress, Place, Plan, PlannedNote, Press, Presses, Sound};
use crate::instrument::{ButtonId, Direction, LeftButtonId, LeftKind, RowAt};
use crate::tune::{
    ChordQuality, ChordSymbol, Duration, Ending, Event, Fraction, Grace, Jump, KeySignature, Landmark, Lyric, Mark,
    Meter, Note, NoteId, NoteValue, Onset, Pitch, PitchClass, Slur, Sounding, Step, Syllable, Tempo, Tune, Tuplet,
    TupletId,
};

/// Numbers by lot, the same for the same seed.
pub(crate) struct Lot(u64);

impl Lot {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }
    /// Below `most`.
    pub(crate) fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }
    /// True once in `n`.
    pub(crate) fn once_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }
    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        let n = usize::try_from(self.below(from.len() as u64)).expect("small");
        &from[n]
    }
}

fn pitch(lot: &mut Lot, around: i32) -> Pitch {
    let letter = (around + i32::try_from(lot.below(7)).expect("small") - 3).clamp(26, 46);
    let alter = if lot.once_in(9) { i8::try_from(lot.below(3)).expect("small") - 1 } else { 0 };
    Pitch::new(Step::from_index(letter), alter, i8::try_from(letter.div_euclid(7)).expect("small"))
}

fn head(lot: &mut Lot, around: &mut i32, value: NoteValue) -> Event {
    let mut event = super::testing::event("B4/2");
    event.value = value;
    let first = pitch(lot, *around);
    *around = first.staff_step().clamp(29, 42);
    let mut pitches = vec![first];
    if lot.once_in(12) {
        for _ in 0..=lot.below(2) {
            let other = pitch(lot, *around);
            if pitches.iter().all(|p| p.staff_step() != other.staff_step()) {
                pitches.push(other);
            }
        }
        pitches.sort_by_key(|p| p.staff_step());
    }
    event.sounding = Sounding::Head { id: NoteId(0), notes: pitches.into_iter().map(Note::new).collect() };
    event
}

const MARKS: [Mark; 16] = [
    Mark::Staccato,
    Mark::Staccato,
    Mark::Tenuto,
    Mark::Accent,
    Mark::Wedge,
    Mark::Marcato,
    Mark::Fermata,
    Mark::Trill,
    Mark::Turn,
    Mark::LowerMordent,
    Mark::Roll,
    Mark::Breath,
    Mark::UpBow,
    Mark::Dynamic(5),
    Mark::Slide,
    Mark::Arpeggio,
];

fn dress(lot: &mut Lot, event: &mut Event, around: i32) {
    if event.head().is_none() {
        return;
    }
    if lot.once_in(8) {
        event.marks.push(*lot.pick(&MARKS));
    }
    if lot.once_in(10) {
        for _ in 0..=lot.below(2) {
            let value = NoteValue::plain(4);
            event.graces.push(Grace { id: NoteId(0), notes: vec![Note::new(pitch(lot, around))].into(), value });
        }
        event.graces_slashed = lot.once_in(2);
    }
    if lot.once_in(7) {
        let text = *lot.pick(&["G", "Em", "D7", "Bb", "F#m", "C/G", "Asus4"]);
        let root = PitchClass::new(Step::G, 0);
        let quality = ChordQuality::Major;
        event.chord_symbols.push(ChordSymbol { text: text.into(), root: Some(root), quality, bass: None });
    }
}

/// A bar of `length`, filled from the longest values that fit, or shorter ones.
fn fill(lot: &mut Lot, around: &mut i32, length: Duration, tuplets: &mut Vec<Tuplet>) -> Vec<Event> {
    let mut events = Vec::new();
    let mut left = length;
    while !left.is_zero() {
        if left >= Duration::new(1, 4) && lot.once_in(9) {
            let id = TupletId(u32::try_from(tuplets.len()).expect("few"));
            tuplets.push(Tuplet { actual: 3, normal: 2 });
            for n in 0..3 {
                let mut event = head(lot, around, NoteValue::plain(3));
                event.tuplet = Some(id);
                event.beamed_to_previous = n > 0;
                events.push(event);
            }
            left = left - Duration::new(1, 4);
            continue;
        }
        let halvings = i8::try_from(1 + lot.below(4)).expect("small");
        let dots = u8::from(lot.once_in(5));
        let mut value = NoteValue { halvings, dots };
        while value.duration() > left {
            value = NoteValue { halvings: value.halvings + 1, dots: 0 };
            if value.halvings > 7 {
                return events;
            }
        }
        left = left - value.duration();
        let mut event = head(lot, around, value);
        if lot.once_in(10) {
            event.sounding = Sounding::Rest { visible: true, whole_bar: false };
        }
        dress(lot, &mut event, *around);
        events.push(event);
    }
    events
}

/// A tune of `bars` bars.
pub(crate) fn tune(seed: u64, bars: usize) -> Tune {
    let mut lot = Lot::new(seed);
    let meter = lot.pick(&[(4, 4), (6, 8), (3, 4), (2, 4), (9, 8), (2, 2), (5, 8)]);
    let meter = Meter::simple(meter.0, meter.1);
    let length = meter.bar_length().expect("a plain metre has a length");
    let mut tuplets = Vec::new();
    let mut around = 34;
    let bars: Vec<Vec<Event>> = (0..bars).map(|_| fill(&mut lot, &mut around, length, &mut tuplets)).collect();
    let mut tune = tune_of(meter, &bars);
    tune.tuplets = tuplets;
    tune.key = KeySignature {
        tonic: None,
        fifths: i8::try_from(lot.below(8)).expect("small") - 4,
        changed: Vec::new(),
        explicit: false,
    };
    let count = tune.bars.len();
    if lot.once_in(2) && count >= 8 {
        tune.bars[0].left.repeat_start = true;
        tune.bars[6].ending = Some(Ending { passes: vec![1], last_bar: 6, closed: true });
        tune.bars[6].right.repeat_end = 2;
        tune.bars[7].ending = Some(Ending { passes: vec![2], last_bar: 7, closed: false });
    }
    if lot.once_in(2) {
        tune.tempo = Some(Tempo { before: None, beat: vec![Duration::new(3, 8)], bpm: Some(96), after: None });
    }
    if lot.once_in(3) {
        tune.bars[count / 2].landmarks.push(Landmark::Segno);
        tune.bars[count - 1].jump = Some(Jump::DalSegnoAlFine);
        tune.bars[count / 2].landmarks.push(Landmark::Fine);
        tune.bars[count / 2].key = Some(Box::new(KeySignature { fifths: 2, ..KeySignature::none() }));
    }
    if lot.once_in(2) {
        sing(&mut lot, &mut tune);
    }
    for n in 1..count {
        if lot.once_in(5) {
            tie_over(&mut tune, n);
        }
    }
    settle(&mut tune);
    let notes = u64::try_from(tune.note_count()).expect("few");
    for _ in 0..notes / 9 {
        let from = u32::try_from(lot.below(notes)).expect("few");
        let to = from + 1 + u32::try_from(lot.below(5)).expect("few");
        if u64::from(to) < notes {
            tune.slurs.push(Slur { from: NoteId(from), to: NoteId(to), dotted: lot.once_in(8) });
        }
    }
    tune
}

fn sing(lot: &mut Lot, tune: &mut Tune) {
    let verses = 1 + lot.below(2);
    for event in tune.bars.iter_mut().flat_map(|bar| &mut bar.events).filter(|event| event.head().is_some()) {
        for _ in 0..verses {
            let text = *lot.pick(&["a", "lan", "tern", "through,", "the", "night", "strange", "o"]);
            let joint = if lot.once_in(3) { Syllable::Hyphen } else { Syllable::End };
            let held = lot.once_in(6);
            let text = if held { String::new() } else { text.to_owned() };
            event.lyrics.push((!lot.once_in(12)).then_some(Lyric { text, joint, held }));
        }
    }
}

/// Ties the last head before a bar to a copy of it as the bar's first head.
fn tie_over(tune: &mut Tune, bar: usize) {
    let Some(Sounding::Head { notes, .. }) = tune.bars[bar - 1].events.last().map(|event| event.sounding.clone())
    else {
        return;
    };
    let first = &mut tune.bars[bar].events[0];
    if first.head().is_none() || !first.graces.is_empty() {
        return;
    }
    let mut tied = notes;
    tied.iter_mut().for_each(|note| note.tied_from_previous = true);
    first.sounding = Sounding::Head { id: NoteId(0), notes: tied };
    if let Some(Sounding::Head { notes, .. }) = tune.bars[bar - 1].events.last_mut().map(|event| &mut event.sounding) {
        notes.iter_mut().for_each(|note| note.tied_to_next = true);
    }
}

/// A plan by lot: any row, direction, finger; the left hand on every beat.
pub(crate) fn plan(seed: u64, tune: &Tune) -> Plan {
    let mut lot = Lot::new(seed ^ 0x5555);
    let mut plan = Plan { notes: vec![None; tune.note_count()], ..Plan::default() };
    for event in tune.bars.iter().flat_map(|bar| &bar.events) {
        let mut all: Vec<(NoteId, Vec<Pitch>)> =
            event.graces.iter().map(|grace| (grace.id, grace.notes.iter().map(|n| n.pitch).collect())).collect();
        all.extend(event.head().map(|id| (id, event.notes().iter().map(|n| n.pitch).collect())));
        for (id, pitches) in all {
            let direction = if lot.once_in(3) { Direction::Pull } else { Direction::Push };
            let presses: Presses = pitches
                .into_iter()
                .map(|pitch| Press {
                    pitch,
                    button: ButtonId {
                        row: *lot.pick(&[RowAt::Outer, RowAt::Inner, RowAt::Half]),
                        number: u8::try_from(1 + lot.below(12)).expect("small"),
                    },
                    finger: u8::try_from(1 + lot.below(4)).expect("small"),
                    sound: *lot.pick(&[Sound::Press, Sound::Press, Sound::Reversal, Sound::Replay]),
                })
                .collect();
            let place = Place(presses[0].button);
            let planned = PlannedNote { id, direction, place, place_moves: lot.once_in(8), presses, pinned: false };
            plan.notes[id.index()] = Some(planned);
        }
    }
    for (bar, length) in tune.bars.iter().map(|bar| bar.length).enumerate() {
        let beat = tune.meter_at(bar).beat();
        let mut onset = Onset::ZERO;
        let mut bass = true;
        while onset - Onset::ZERO < length {
            let (kind, name) = if bass { (LeftKind::Bass, "G") } else { (LeftKind::Chord, "em") };
            let beats = Fraction::new(if lot.once_in(3) { 3 } else { 1 }, 1);
            plan.left.push(LeftPress {
                bar,
                onset,
                duration: beat.times(beats),
                kind,
                name: name.into(),
                button: LeftButtonId(usize::from(bass)),
                finger: 2,
                held: false,
                dropped: false,
            });
            onset = onset + beat;
            bass = !bass;
        }
    }
    plan
}
