//! What a language must be able to say, and which languages there are.
//!
//! A table a language, each in its own file under `words/`; logic never holds a word. Slots in braces are filled by name.

mod en_gb;
mod en_us;
mod fr;

use crate::fingering::Air;
use crate::instrument::{Direction, LeftKind, RowAt};
use crate::tune::{Jump, Mark, Mode, NoteValue, Pitch, PitchClass};

/// The words of one language. Sentences end with their stop; phrases begin small and have none.
#[derive(Debug)]
pub(super) struct Words {
    /// Between the last two of a list, with its spaces.
    pub and: &'static str,
    /// Names of the notes from C.
    pub letters: [&'static str; 7],
    /// Double flat to double sharp, after the letter.
    pub alterations: [&'static str; 5],
    /// `push`, `pull`.
    pub direction: [&'static str; 2],
    /// On the push, on the pull.
    pub on_direction: [&'static str; 2],
    /// Turn to the push, to the pull (imperative).
    pub turn_to: [&'static str; 2],
    /// The outer, inner, half row, with article.
    pub row: [&'static str; 3],
    /// Of the outer, inner, half row.
    pub of_row: [&'static str; 3],
    /// Short names of the rows.
    pub row_short: [&'static str; 3],
    /// The index finger to the little finger, with article.
    pub finger: [&'static str; 4],
    /// Without the word finger.
    pub finger_short: [&'static str; 4],
    /// Several fingers: slot `fingers`.
    pub fingers: &'static str,
    /// With a finger or fingers: slot `finger`.
    pub with_finger: &'static str,
    /// A finger with its printed number: slots `finger`, `number`.
    pub finger_number: &'static str,
    /// `button {n}`, `buttons {n}`.
    pub button: [&'static str; 2],
    /// A place: slots `n`, `row`.
    pub place: &'static str,
    /// A place on a box of one row: slot `n`.
    pub place_one_row: &'static str,
    /// A place when the hand moves at a note: slots `place`, `on`.
    pub place_from: &'static str,
    /// `bar {n}`, `bars {a}–{b}`.
    pub bar: [&'static str; 2],
    /// The pick-up with article; the second half of a bar: slot `n`.
    pub pick_up: &'static str,
    /// See `pick_up`.
    pub second_half: &'static str,
    /// After a bar's name: slot `passes`.
    pub ending: &'static str,
    /// First to fourth.
    pub ordinal: [&'static str; 4],
    /// Syllables of halves, of quarters, of thirds in compound and in simple time, of sixths.
    pub half: &'static str,
    /// Second and fourth quarter.
    pub quarters: [&'static str; 2],
    /// Second and third third of a beat of three.
    pub thirds: [&'static str; 2],
    /// Second and third note of a triplet on a beat.
    pub triplet: [&'static str; 2],
    /// The places between thirds.
    pub sixths: &'static str,
    /// On a beat: slot `n`.
    pub on: &'static str,
    /// On a division: slots `syllable`, `n`.
    pub on_part: &'static str,
    /// Between counts: slot `n`.
    pub after: &'static str,
    /// Between counts, after a division: slots `syllable`, `n`.
    pub after_part: &'static str,
    /// The bass of a name, the chord of a name, a minor chord's name.
    pub bass: &'static str,
    /// See `bass`.
    pub chord: &'static str,
    /// See `bass`.
    pub minor: &'static str,
    /// How facts are said.
    pub how: HowWords,
    /// How bars are walked through.
    pub walk: WalkWords,
    /// The left hand.
    pub left: LeftWords,
    /// The bellows.
    pub bellows: BellowsWords,
    /// Another way to play.
    pub other: OtherWords,
    /// Counting as a sentence.
    pub count: CountWords,
    /// Alternative text.
    pub alt: AltWords,
}

/// Phrases for one note.
#[derive(Debug)]
pub(super) struct HowWords {
    /// Slots `button`, `direction` (on the push), `turn` (turn to the push), `finger` (with a finger).
    pub press: &'static str,
    /// The same button while the bellows turn; same slots.
    pub reversal: &'static str,
    /// The same button pressed again after a turn.
    pub replay: &'static str,
    /// Pressed again.
    pub repeat: &'static str,
    /// Held on.
    pub tie: &'static str,
    /// Not on the box.
    pub missing: &'static str,
    /// A chord whose notes cannot be played together.
    pub together: &'static str,
    /// A grace left out since its note goes the other way: slot `direction` (on the push).
    pub other_way: &'static str,
    /// A grace left out since it has no note.
    pub no_note: &'static str,
}

/// Sentences and clauses for bars. Where there are several, they are taken in turn.
#[derive(Debug)]
pub(super) struct WalkWords {
    /// A bar in one direction: slots `bar`, `direction` (on the push).
    pub one_way: [&'static str; 3],
    /// A bar that goes on as before: slots `bar`, `direction`.
    pub goes_on: [&'static str; 3],
    /// A bar that turns: slots `bar`, `direction`, `turns` (where).
    pub turns: [&'static str; 2],
    /// A bar that turns very often: slots `bar`, `direction`, `n`.
    pub many_turns: &'static str,
    /// A bar of rests: slot `bar`.
    pub rests: &'static str,
    /// A note on another button: slots `pitch`, `on`, `button`, `finger` (with article), `with`.
    pub press: [&'static str; 3],
    /// A double stop: slots `pitch`, `on`, `button`, `with`.
    pub together: &'static str,
    /// A run: slots `on`, `pitch`, `button`, `with`.
    pub run: [&'static str; 2],
    /// The same button again at a bar's beginning: slots `pitch`, `on`, `button`.
    pub repeat_first: &'static str,
    /// The same button again: slots `pitch`, `on`.
    pub repeat: [&'static str; 2],
    /// A reversal: slots `turn`, `pitch`, `on`, `button`.
    pub reversal: [&'static str; 2],
    /// A replay: same slots.
    pub replay: [&'static str; 2],
    /// Before a clause where the bellows turn: slots `turn`, `clause`.
    pub turning: &'static str,
    /// Held on: slots `pitch`, `on`.
    pub tie: &'static str,
    /// A rest: slot `on`.
    pub rest: &'static str,
    /// Grace notes before a note: slots `pitch`, `button`; one and several.
    pub grace: [&'static str; 2],
    /// After a note's clause, held for several beats: slot `n`.
    pub hold: &'static str,
    /// After a run's clause: the last note is held; slot `n`.
    pub hold_last: &'static str,
    /// After a press of the same button that another finger takes: slot `with`.
    pub finger_now: &'static str,
    /// Where the hand lies at a note that is come to from several places, or from none: slots `place`, `button`.
    pub lies: &'static str,
    /// The hand moves: same slots.
    pub moves: &'static str,
    /// A note that is not on the box: slots `pitch`, `on`.
    pub missing: &'static str,
    /// Between two clauses of a sentence, taken in turn.
    pub joints: [&'static str; 2],
    /// Small numbers in words, from 2 to 9.
    pub numbers: [&'static str; 8],
}

/// Sentences for the left hand.
#[derive(Debug)]
pub(super) struct LeftWords {
    /// Imperative, for the fact: slot `presses`.
    pub press: &'static str,
    /// In a walk: slot `presses`; taken in turn.
    pub plays: [&'static str; 2],
    /// The same as in the bar before.
    pub as_before: &'static str,
    /// Nothing.
    pub rests: &'static str,
    /// One press: slots `names`, `on`.
    pub one: &'static str,
    /// Two buttons together: slots `a`, `b`.
    pub with: &'static str,
    /// One press that is held: slots `names`, `on`.
    pub held: &'static str,
    /// Between groups of presses, before the last one.
    pub then: &'static str,
}

/// Sentences for the bellows.
#[derive(Debug)]
pub(super) struct BellowsWords {
    /// Shares of a full bellows, from closed to fully open, as adjectives; see [`SHARES`].
    pub shares: [&'static str; 9],
    /// Slots `bar`, `from`, `to`.
    pub open: &'static str,
    /// Same slots.
    pub close: &'static str,
    /// So little that both openings are the same word: slots `bar`, `from`.
    pub open_little: &'static str,
    /// Same slots.
    pub close_little: &'static str,
    /// Same slots.
    pub stay: &'static str,
    /// How far open a tune begins, as a phrase: slot `from`.
    pub begin: &'static str,
    /// Air in and out: slot `note`.
    pub air: [&'static str; 2],
    /// A note of a bar by number: slot `n`.
    pub note: &'static str,
    /// They run out: slot `note`.
    pub runs_out: &'static str,
    /// Nothing was worked out.
    pub unknown: &'static str,
}

/// Sentences for another way to play.
#[derive(Debug)]
pub(super) struct OtherWords {
    /// As good, or a little more work: slot `bars`.
    pub lead: [&'static str; 2],
    /// A bar with its notes: slots `bar`, `notes`.
    pub in_bar: &'static str,
    /// A note: slots `n`, `buttons`, `direction` (on the push).
    pub note: &'static str,
    /// Bars that are not named: slot `n`.
    pub more: &'static str,
}

/// Sentences for counting.
#[derive(Debug)]
pub(super) struct CountWords {
    /// All counts have a note: slot `counts`.
    pub all: &'static str,
    /// Some have: slots `counts`, `on`.
    pub some: &'static str,
    /// One has: slots `counts`, `on`.
    pub one: &'static str,
    /// Most have: slots `counts`, `on` (where none is).
    pub most: &'static str,
    /// None has: slot `counts`.
    pub none: &'static str,
}

/// Words of alternative text.
#[derive(Debug)]
pub(super) struct AltWords {
    /// Names of values from the whole note; see [`NoteValue`].
    pub values: [&'static str; 7],
    /// Twice as long as the whole note.
    pub breve: &'static str,
    /// With one dot, with two or more: slot `value`.
    pub dotted: [&'static str; 2],
    /// A rest: slot `value`.
    pub rest: &'static str,
    /// A rest of a whole bar.
    pub bar_rest: &'static str,
    /// Rests of several bars written as one: slot `n`.
    pub bars_rest: &'static str,
    /// Tied from before.
    pub tied: &'static str,
    /// A slur that begins at the note that follows, one that ends at the note before, one from a grace to its own note.
    pub slur: [&'static str; 3],
    /// A grace note, grace notes: slot `pitch`.
    pub grace: [&'static str; 2],
    /// Left hand of a bar: slot `presses`.
    pub left: &'static str,
    /// A repeat begins, ends.
    pub repeat: [&'static str; 2],
    /// Held from note to note: reversal, replay.
    pub reversal: &'static str,
    /// See `reversal`.
    pub replay: &'static str,
    /// The rest of a bar that began on the line before: slot `bar`.
    pub continued: &'static str,
    /// One finger, several: slot `n`.
    pub finger: [&'static str; 2],
    /// Where the hand goes: slot `button`.
    pub place: &'static str,
    /// Air in, air out.
    pub air: [&'static str; 2],
    /// Names of the modes from major to locrian, in the order of [`Mode`].
    pub modes: [&'static str; 7],
    /// A key: slots `tonic`, `mode`.
    pub key: &'static str,
    /// A key without a tonic: slot `signs`; one without signs.
    pub signs: [&'static str; 2],
    /// A metre: slot `metre`.
    pub metre: &'static str,
    /// Metres with a sign of their own: four crotchets, two minims; none.
    pub metres: [&'static str; 3],
    /// A tempo: slots `beat`, `rate`.
    pub tempo: &'static str,
    /// A chord symbol: slot `name`.
    pub symbol: &'static str,
    /// A chord over another bass: slots `chord`, `bass`.
    pub over: &'static str,
    /// A chord that another may take the place of: slots `chord`, `other`.
    pub instead: &'static str,
    /// Kinds of chords.
    pub kinds: ChordWords,
    /// Sung words: slot `words`; of one verse of several: slots `verse`, `words`.
    pub sung: [&'static str; 2],
    /// The syllables that are counted: slot `counts`.
    pub counted: &'static str,
    /// Three in the time of two; other tuplets: slots `n`, `of`.
    pub tuplet: [&'static str; 2],
    /// The label of a part: slot `name`.
    pub part: &'static str,
    /// Segno, coda, fine.
    pub landmarks: [&'static str; 3],
    /// What a jump orders.
    pub jump: fn(Jump) -> &'static str,
    /// The name of a sign on a note; empty where it is said otherwise.
    pub mark: fn(Mark) -> &'static str,
    /// The outer, inner, half row, without article.
    pub rows: [&'static str; 3],
    /// A left-hand button's sound without article, bass and chord: slot `name`.
    pub left_sound: [&'static str; 2],
    /// What the octave of middle C is counted as.
    pub middle_octave: i8,
}

/// Words for what follows the root of a chord symbol.
#[derive(Debug)]
pub(super) struct ChordWords {
    pub major: &'static str,
    pub minor: &'static str,
    pub diminished: &'static str,
    pub half_diminished: &'static str,
    pub augmented: &'static str,
    pub suspended: &'static str,
    /// Before the number of a note that is added, left out.
    pub added: &'static str,
    pub without: &'static str,
    /// Before the number of a note that is lowered, raised.
    pub flat: &'static str,
    pub sharp: &'static str,
}

/// The octave that begins at middle C, as pitches count it.
const MIDDLE_OCTAVE: i16 = 4;

/// Openings of the bellows that have a word, nine of them.
pub(super) const SHARES: [f64; 9] = [0.0, 0.1, 0.25, 1.0 / 3.0, 0.5, 2.0 / 3.0, 0.75, 0.9, 1.0];

impl Words {
    /// The words of a language tag; British English for languages without a table.
    pub fn of(language: &str) -> &'static Self {
        let tag = language.to_ascii_lowercase();
        match tag.split('-').next() {
            Some("fr") => &fr::WORDS,
            Some("en") if tag.ends_with("-us") => &en_us::WORDS,
            _ => &en_gb::WORDS,
        }
    }

    /// `F sharp`.
    pub fn class(&self, class: PitchClass) -> String {
        let letter = self.letters[class.step.index() as usize % 7];
        let alter = usize::try_from(i32::from(class.alter) + 2).unwrap_or(2).min(4);
        [letter, self.alterations[alter]].concat()
    }
    /// The name of a pitch, without octave.
    pub fn pitch(&self, pitch: Pitch) -> String {
        self.class(pitch.class())
    }
    /// The syllable of a division.
    pub const fn division(&self, place: u32, of: u32) -> Option<&'static str> {
        Some(match (place, of) {
            (1, 2) | (2, 4) => self.half,
            (1, 4) => self.quarters[0],
            (3, 4) => self.quarters[1],
            (1, 3) | (2, 6) => self.thirds[0],
            (2, 3) | (4, 6) => self.thirds[1],
            (1 | 3 | 5, 6) => self.sixths,
            _ => return None,
        })
    }
    /// A list with commas and the last joint.
    pub fn list(&self, items: &[String]) -> String {
        join(items, ", ", self.and)
    }
    /// The name of a value.
    pub fn value(&self, value: NoteValue) -> String {
        let name = usize::try_from(value.halvings).map_or(self.alt.breve, |nth| self.alt.values[nth.min(6)]);
        match usize::from(value.dots).checked_sub(1) {
            Some(nth) => say(self.alt.dotted[nth.min(1)], &[("value", name)]),
            None => name.to_owned(),
        }
    }
    /// The name of a pitch with its octave, counted as the language counts them.
    pub fn high_pitch(&self, pitch: Pitch) -> String {
        let octave = i16::from(pitch.octave) - MIDDLE_OCTAVE + i16::from(self.alt.middle_octave);
        format!("{}\u{a0}{octave}", self.pitch(pitch))
    }
    /// The name of a mode.
    pub const fn mode(&self, mode: Mode) -> &'static str {
        self.alt.modes[mode as usize]
    }
    /// A left-hand button's sound by its printed name.
    pub fn left_name(&self, kind: LeftKind, name: &str) -> String {
        say(if kind == LeftKind::Bass { self.bass } else { self.chord }, &[("name", &self.left_letters(kind, name))])
    }
    /// The same without article.
    pub fn left_sound(&self, kind: LeftKind, name: &str) -> String {
        say(self.alt.left_sound[usize::from(kind == LeftKind::Chord)], &[("name", &self.left_letters(kind, name))])
    }
    fn left_letters(&self, kind: LeftKind, name: &str) -> String {
        let (letters, minor) = match (kind, name.strip_suffix('m')) {
            (LeftKind::Chord, Some(letters)) => (letters, true),
            _ => (name, false),
        };
        let said = PitchClass::parse(letters).map_or_else(|| letters.to_owned(), |class| self.class(class));
        if minor { say(self.minor, &[("name", &said)]) } else { said }
    }
    /// The word for an opening of the bellows, and its place in [`SHARES`].
    pub fn share(&self, opening: f64) -> (usize, &'static str) {
        let nth = (0..SHARES.len())
            .min_by(|a, b| (SHARES[*a] - opening).abs().total_cmp(&(SHARES[*b] - opening).abs()))
            .unwrap_or(0);
        (nth, self.bellows.shares[nth])
    }
    /// A small number in words.
    pub fn number(&self, n: usize) -> String {
        n.checked_sub(2)
            .and_then(|nth| self.walk.numbers.get(nth))
            .map_or_else(|| n.to_string(), |word| (*word).to_owned())
    }
}

/// Index of a direction in a pair of words.
pub(super) const fn way(direction: Direction) -> usize {
    match direction {
        Direction::Push => 0,
        Direction::Pull => 1,
    }
}

/// Index of a row in a triple of words.
pub(super) const fn row(row: RowAt) -> usize {
    match row {
        RowAt::Outer => 0,
        RowAt::Inner => 1,
        RowAt::Half => 2,
    }
}

/// Index of air in or out.
pub(super) const fn air(air: Air) -> usize {
    match air {
        Air::Open => 0,
        Air::Close => 1,
    }
}

/// A list: commas, and something else before the last.
pub(super) fn join(items: &[String], comma: &str, last: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [front @ .., end] => [&front.join(comma), last, end].concat(),
    }
}

/// Fills the slots of a sentence.
pub(super) fn say(sentence: &str, slots: &[(&str, &str)]) -> String {
    let mut out = String::with_capacity(sentence.len() + 32);
    let mut rest = sentence;
    while let Some(open) = rest.find('{') {
        let close = rest[open..].find('}').map_or(rest.len(), |close| open + close);
        let name = rest.get(open + 1..close).unwrap_or_default();
        out.push_str(&rest[..open]);
        if let Some((_, value)) = slots.iter().find(|(slot, _)| *slot == name) {
            out.push_str(value);
        }
        rest = rest.get(close + 1..).unwrap_or_default();
    }
    out.push_str(rest);
    out
}

/// A sentence with its first letter as a capital.
pub(super) fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
