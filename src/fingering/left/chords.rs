//! Chord symbols and names to left-hand buttons, direction by direction.
//!
//! Takes a symbol and a left hand, gives buttons; knows no tune. Cross-chords (A bass with the C chord for A minor, B bass
//! with the D chord for B minor) follow published lessons: a minor seventh is the major triad a minor third above its root,
//! over its root. With the thirds out a chord is neither major nor minor, so any button on the root serves.

use crate::instrument::{Direction, LeftButtonId, LeftHand, LeftKind, Thirds, Triad};
use crate::tune::{ChordQuality, ChordSymbol, PitchClass};

/// What a symbol comes to in one direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Pair {
    /// The bass button.
    pub bass: Option<LeftButtonId>,
    /// The chord button.
    pub chord: Option<LeftButtonId>,
    /// Whether the chord is a plainer one than the symbol asks for.
    pub plainer: bool,
    /// Where neither bass nor chord sounds: the least bad chord to play instead.
    pub substitute: Option<Substitute>,
}

/// A chord played in place of one that does not sound in a direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Substitute {
    /// Its bass button.
    pub bass: Option<LeftButtonId>,
    /// Its chord button.
    pub chord: LeftButtonId,
    /// Its tones in semitones above C, 0 to 11.
    pub tones: [i32; 3],
}

impl Substitute {
    /// Whether a pitch class (semitones above C) rubs against it: a semitone from one of its tones.
    pub(super) fn rubs(&self, class: i32) -> bool {
        self.tones.iter().any(|tone| rub(*tone, class))
    }
}

/// Whether two pitch classes lie a semitone apart.
fn rub(a: i32, b: i32) -> bool {
    matches!((a - b).rem_euclid(12), 1 | 11)
}

/// The tones of a symbol's chord in semitones above its root, for the qualities that others can stand in for.
fn tones(quality: ChordQuality) -> Option<&'static [i32]> {
    Some(match quality {
        ChordQuality::Major => &[0, 4, 7],
        ChordQuality::Minor => &[0, 3, 7],
        ChordQuality::Seventh => &[0, 4, 7, 10],
        ChordQuality::MinorSeventh => &[0, 3, 7, 10],
        ChordQuality::MajorSeventh => &[0, 4, 7, 11],
        ChordQuality::Suspended | ChordQuality::Augmented | ChordQuality::Diminished | ChordQuality::Other => {
            return None;
        }
    })
}

/// The least bad chord of a direction for one that it has not: two of its three tones at least belong to the chord asked for,
/// and none rubs against it by a semitone; the most tones in common win, then the button nearest the chin. That chords with two
/// tones in common stand in for each other (relative majors and minors) is common practice, no source. Where the thirds are
/// muted, what is left of another chord says too little, and the left hand is silent.
fn substitute(root: i32, quality: ChordQuality, left: &LeftHand, direction: Direction) -> Option<Substitute> {
    let asked: Vec<i32> = tones(quality)?.iter().map(|tone| (root + tone).rem_euclid(12)).collect();
    if left.thirds == Thirds::Out {
        return None;
    }
    let mut best: Option<(usize, Substitute)> = None;
    for (index, button) in left.buttons.iter().enumerate().filter(|(_, button)| button.kind == LeftKind::Chord) {
        let sound = button.sound(direction);
        let third = if sound.triad == Triad::Minor { 3 } else { 4 };
        let tones = [0, third, 7].map(|tone| (sound.root.semitones() + tone).rem_euclid(12));
        let (common, foreign): (Vec<i32>, Vec<i32>) = tones.iter().partition(|tone| asked.contains(tone));
        let clashes = foreign.iter().any(|tone| asked.iter().any(|other| rub(*tone, *other)));
        if common.len() < 2 || clashes || best.is_some_and(|(known, _)| known >= common.len()) {
            continue;
        }
        let chord = LeftButtonId(index);
        let bass = self::button(left, direction, LeftKind::Bass, sound.root.semitones(), None, Some(chord));
        best = Some((common.len(), Substitute { bass, chord, tones }));
    }
    best.map(|(_, found)| found)
}

/// The button of a kind that sounds a root in a direction, preferably in the row of another button.
fn button(
    left: &LeftHand,
    direction: Direction,
    kind: LeftKind,
    root: i32,
    triad: Option<Triad>,
    near: Option<LeftButtonId>,
) -> Option<LeftButtonId> {
    let fits = |index: &usize| {
        let button = &left.buttons[*index];
        let sound = button.sound(direction);
        let third = kind == LeftKind::Bass || left.thirds == Thirds::Out || triad.is_none_or(|t| t == sound.triad);
        button.kind == kind && sound.root.semitones() == root.rem_euclid(12) && third
    };
    let apart = |index: &usize| {
        near.map_or((false, 0), |near| {
            let (a, b) = (&left.buttons[*index], &left.buttons[near.0]);
            (a.row != b.row, a.number.abs_diff(b.number))
        })
    };
    (0..left.buttons.len()).filter(fits).min_by_key(|index| (apart(index), *index)).map(LeftButtonId)
}

/// The buttons for a chord symbol in a direction; nothing when the symbol names no chord.
pub(super) fn for_symbol(symbol: &ChordSymbol, left: &LeftHand, direction: Direction) -> Pair {
    let Some(root) = symbol.root.map(PitchClass::semitones) else {
        return Pair::default();
    };
    let bass_of = |root, near| button(left, direction, LeftKind::Bass, root, None, near);
    let chord_of = |root, triad| button(left, direction, LeftKind::Chord, root, Some(triad), None);
    let cross = || {
        // The minor seventh as a cross-chord: only over its own root, else it is the major chord next door.
        bass_of(root, None).and(chord_of(root + 3, Triad::Major))
    };
    let (chord, plainer) = match symbol.quality {
        ChordQuality::Major | ChordQuality::Seventh => (chord_of(root, Triad::Major), false),
        ChordQuality::Minor => (chord_of(root, Triad::Minor).or_else(cross), false),
        ChordQuality::MinorSeventh => (cross().or_else(|| chord_of(root, Triad::Minor)), false),
        ChordQuality::MajorSeventh => {
            // C bass with the E minor chord sounds C E G B.
            let over = bass_of(root, None).and(chord_of(root + 4, Triad::Minor));
            (over.filter(|_| left.thirds == Thirds::In).or_else(|| chord_of(root, Triad::Major)), false)
        }
        ChordQuality::Suspended | ChordQuality::Augmented | ChordQuality::Other => (chord_of(root, Triad::Major), true),
        // A fifth that is not diminished would clash: the bass alone.
        ChordQuality::Diminished => (None, true),
    };
    let wanted = symbol.bass.map_or(root, PitchClass::semitones);
    let bass = bass_of(wanted, chord).or_else(|| bass_of(root, chord));
    let substitute =
        if bass.is_none() && chord.is_none() { substitute(root, symbol.quality, left, direction) } else { None };
    Pair { bass, chord, plainer, substitute }
}

/// What an author's name of a button means: bass or chord, and the button in each direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Named {
    /// Bass or chord.
    pub kind: LeftKind,
    /// On the push, on the pull.
    pub buttons: [Option<LeftButtonId>; 2],
}

/// Reads `G`, `em`, `b`: capital for a bass, small for a chord; `None` if it is no such name.
pub(super) fn for_name(name: &str, left: &LeftHand) -> Option<Named> {
    let first = name.chars().next()?;
    let kind = if first.is_ascii_uppercase() { LeftKind::Bass } else { LeftKind::Chord };
    let (root, triad) = match (kind, name.strip_suffix('m')) {
        (LeftKind::Chord, Some(root)) => (root, Triad::Minor),
        _ => (name, Triad::Major),
    };
    let root = PitchClass::parse(root)?.semitones();
    let buttons = Direction::BOTH.map(|direction| button(left, direction, kind, root, Some(triad), None));
    Some(Named { kind, buttons })
}

/// Every name a left hand answers to, for hints.
pub(super) fn names(left: &LeftHand) -> Vec<String> {
    let mut all: Vec<(LeftKind, String)> = Vec::new();
    for button in &left.buttons {
        for direction in Direction::BOTH {
            let name = (button.kind, button.sound(direction).name(button.kind));
            if !all.contains(&name) {
                all.push(name);
            }
        }
    }
    all.sort();
    all.into_iter().map(|(_, name)| name).collect()
}
