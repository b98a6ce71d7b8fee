//! What the left hand sounds: every chord with its directions and buttons, and cross-chords by name.
//!
//! Names follow common practice: a bass with a triad a third above it is a seventh chord, a triad over one of its own notes or
//! over another is a slash chord; a bass a semitone from a note of the chord clashes, but for the seventh of a major-seventh
//! chord. Checked against a table worked out by hand from an eight-bass D/G.

use crate::instrument::{Direction, Instrument, LeftButtonId, LeftKind, LeftSound, Thirds, Triad};
use crate::page::facts::class_name;
use std::collections::BTreeMap;

/// A way to sound a chord: direction, bass button, chord button.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Way {
    /// Which way the bellows go.
    pub direction: Direction,
    /// The bass.
    pub bass: Option<LeftButtonId>,
    /// The chord.
    pub chord: LeftButtonId,
}

/// One chord of the chart with all its ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chord {
    /// Its name: `G`, `Em`, `Am7`, `C/D`.
    pub name: String,
    /// Whether it is a clash.
    pub clash: bool,
    /// The ways.
    pub ways: Vec<Way>,
}

/// The plain chords: each chord button's sounds with the bass of the same root where there is one; in order of their first
/// button.
pub(super) fn plain(instrument: &Instrument) -> Vec<Chord> {
    let mut found: Vec<Chord> = Vec::new();
    for (id, button) in chords(instrument) {
        for direction in Direction::BOTH {
            let sound = button.sound(direction);
            let bass = basses(instrument)
                .filter(|(_, bass)| bass.sound(direction).root.semitones() == sound.root.semitones())
                .min_by_key(|(bass, _)| bass.0.abs_diff(id.0))
                .map(|(id, _)| id);
            let name = triad_name(instrument, sound);
            add(&mut found, name, false, Way { direction, bass, chord: id });
        }
    }
    found
}

/// Cross-chords: a bass of another root than the chord's, same direction; those that clash are left out when asked.
pub(super) fn crossed(instrument: &Instrument) -> Vec<Chord> {
    let mut found = Vec::new();
    for direction in Direction::BOTH {
        for (bass_id, bass) in basses(instrument) {
            for (id, chord) in chords(instrument) {
                let (bass, sound) = (bass.sound(direction), chord.sound(direction));
                if bass.root.semitones() == sound.root.semitones() {
                    continue;
                }
                let (name, clash) = cross_name(instrument, bass, sound);
                add(&mut found, name, clash, Way { direction, bass: Some(bass_id), chord: id });
            }
        }
    }
    found
}

fn chords(instrument: &Instrument) -> impl Iterator<Item = (LeftButtonId, &crate::instrument::LeftButton)> {
    of_kind(instrument, LeftKind::Chord)
}

fn basses(instrument: &Instrument) -> impl Iterator<Item = (LeftButtonId, &crate::instrument::LeftButton)> {
    of_kind(instrument, LeftKind::Bass)
}

fn of_kind(
    instrument: &Instrument,
    kind: LeftKind,
) -> impl Iterator<Item = (LeftButtonId, &crate::instrument::LeftButton)> {
    instrument
        .left
        .buttons
        .iter()
        .enumerate()
        .filter(move |(_, button)| button.kind == kind)
        .map(|(n, button)| (LeftButtonId(n), button))
}

fn add(found: &mut Vec<Chord>, name: String, clash: bool, way: Way) {
    match found.iter_mut().find(|chord| chord.name == name) {
        Some(chord) => chord.ways.push(way),
        None => found.push(Chord { name, clash, ways: vec![way] }),
    }
}

/// A triad by name; without its third it is neither major nor minor.
fn triad_name(instrument: &Instrument, sound: LeftSound) -> String {
    let root = class_name(sound.root);
    match (instrument.left.thirds, sound.triad) {
        (Thirds::Out, _) => format!("{root}5"),
        (Thirds::In, Triad::Major) => root,
        (Thirds::In, Triad::Minor) => format!("{root}m"),
    }
}

/// The name of a bass under a triad of another root, and whether it clashes.
fn cross_name(instrument: &Instrument, bass: LeftSound, sound: LeftSound) -> (String, bool) {
    let triad = triad_name(instrument, sound);
    let root = class_name(bass.root);
    let third = if sound.triad == Triad::Major { 4 } else { 3 };
    let with_thirds = instrument.left.thirds == Thirds::In;
    let mut notes = vec![0, 7];
    if with_thirds {
        notes.push(third);
    }
    // The chord's notes, counted from the bass.
    let above: Vec<i32> =
        notes.iter().map(|note| (sound.root.semitones() + note - bass.root.semitones()).rem_euclid(12)).collect();
    let has = |wanted: &[i32]| wanted.iter().all(|note| above.contains(note));
    if with_thirds && has(&[3, 7, 10]) {
        return (format!("{root}m7"), false);
    }
    if with_thirds && has(&[4, 7, 11]) {
        return (format!("{root}maj7"), false);
    }
    // Semitones beside the bass rub against it, unless they belong to the major seventh above.
    let clash = above.contains(&1) || (above.contains(&11) && !has(&[2, 7, 11]));
    (format!("{triad}/{root}"), clash)
}

/// Directions in which a chord of the list can be had.
pub(super) fn directions(chord: &Chord) -> BTreeMap<Direction, Vec<Way>> {
    let mut found: BTreeMap<Direction, Vec<Way>> = BTreeMap::new();
    for way in &chord.ways {
        found.entry(way.direction).or_default().push(*way);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::sample;

    /// Every bass with every other chord of an eight-bass D/G, its useful name or `None` for a clash. A minor from A and C on the
    /// pull, B minor from B and D on the push, and B with C as discordant are published (Melodeon lessons blog,
    /// bellowsandstrings.blogspot.com, 2010); the others are worked out from the notes by hand.
    #[test]
    fn cross_chords_by_the_table() {
        let push = [
            ("D", "B", None),
            ("D", "G", Some("G/D")),
            ("D", "C", Some("C/D")),
            ("B", "D", Some("Bm7")),
            ("B", "G", Some("G/B")),
            ("B", "C", None),
            ("G", "D", Some("D/G")),
            ("G", "B", None),
            ("G", "C", Some("C/G")),
            ("C", "D", Some("D/C")),
            ("C", "B", None),
            ("C", "G", Some("G/C")),
        ];
        let pull = [
            ("A", "Em", Some("Em/A")),
            ("A", "D", Some("D/A")),
            ("A", "C", Some("Am7")),
            ("E", "A", Some("A/E")),
            ("E", "D", Some("D/E")),
            ("E", "C", Some("C/E")),
            ("D", "A", Some("A/D")),
            ("D", "Em", Some("Em/D")),
            ("D", "C", Some("C/D")),
            ("C", "A", None),
            ("C", "Em", Some("Cmaj7")),
            ("C", "D", Some("D/C")),
        ];
        let instrument = sample::instrument();
        let all = crossed(&instrument);
        let rows = push.map(|row| (Direction::Push, row)).into_iter().chain(pull.map(|row| (Direction::Pull, row)));
        let mut seen = 0;
        for (direction, (bass, chord, name)) in rows {
            let found = all.iter().find(|entry| {
                entry.ways.iter().any(|way| {
                    let buttons = &instrument.left.buttons;
                    let own = way.bass.map(|id| buttons[id.0].sound(direction).root.to_string());
                    way.direction == direction
                        && own.as_deref() == Some(bass)
                        && triad_name(&instrument, buttons[way.chord.0].sound(direction)) == chord
                })
            });
            let found = found.unwrap_or_else(|| panic!("{bass} with {chord} on the {direction}"));
            assert_eq!((found.clash, Some(found.name.as_str()).filter(|_| !found.clash)), (name.is_none(), name));
            seen += 1;
        }
        assert_eq!(seen, 24);
    }

    /// Which chords an eight-bass D/G has in which direction: Melodeon Key to MIDI Note Number Chart (D/G), transposed
    /// descriptions of the G/C left hand agree (accordeon-en-bretagne.bzh).
    #[test]
    fn plain_chords_have_their_directions() {
        let found = plain(&sample::instrument());
        let ways = |name: &str| {
            let chord = found.iter().find(|chord| chord.name == name).expect("the chord is on the box");
            directions(chord).into_keys().collect::<Vec<_>>()
        };
        assert_eq!((ways("D"), ways("C")), (Direction::BOTH.to_vec(), Direction::BOTH.to_vec()));
        assert_eq!((ways("G"), ways("B")), (vec![Direction::Push], vec![Direction::Push]));
        assert_eq!((ways("A"), ways("Em")), (vec![Direction::Pull], vec![Direction::Pull]));
        assert_eq!(found.len(), 6);
    }
}
