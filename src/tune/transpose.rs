//! A tune moved to another pitch, spelt as its new key spells it, chord symbols moved along.
//!
//! Takes a tune and an interval, gives a tune. The new key is the one with the fewest signs; letters move with it, so that
//! an interval keeps its name. Follows the circle of fifths (a table of no author).

use super::bar::{Note, Sounding, Tune};
use super::harmony::ChordSymbol;
use super::pitch::{Accidental, KeySignature, Pitch, PitchClass, Step};

/// An interval: letters and semitones, both signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Interval {
    steps: i32,
    semitones: i32,
}

/// The tune `semitones` higher (or lower). Each of its keys becomes the key with the fewest signs; between six sharps and
/// six flats it keeps to the kind it had.
pub fn transpose(tune: &Tune, semitones: i32) -> Tune {
    moved(tune, |fifths| fewest_signs(fifths, semitones), semitones)
}

/// The tune with `tonic` as the tonic of its first key, moved up or down at most six semitones; `None` if it has no tonic
/// or the key would need more than seven signs.
pub fn transpose_to(tune: &Tune, tonic: PitchClass) -> Option<Tune> {
    let (from, mode) = tune.key.tonic?;
    let target = KeySignature::regular(tonic, mode)?;
    let up = (tonic.semitones() - from.semitones()).rem_euclid(12);
    let semitones = if up > 6 { up - 12 } else { up };
    let first = tune.key.fifths;
    let new = i32::from(target.fifths);
    Some(moved(
        tune,
        |fifths| if fifths == i32::from(first) { new } else { fewest_signs(fifths, semitones) },
        semitones,
    ))
}

/// The signs of a key after moving it, fewest first.
fn fewest_signs(fifths: i32, semitones: i32) -> i32 {
    let new = (fifths + 7 * semitones).rem_euclid(12);
    match new {
        6 if fifths < 0 => -6,
        0..=6 => new,
        _ => new - 12,
    }
}

/// The interval that leads from a key with so many signs to another, of so many semitones.
fn interval(from: i32, to: i32, semitones: i32) -> Interval {
    // A fifth is four letters; of the letters that fit, those nearest to the semitones.
    let letters = (4 * (to - from)).rem_euclid(7);
    let near = (semitones * 7).div_euclid(12);
    let steps = (near - 4..=near + 4)
        .filter(|steps| steps.rem_euclid(7) == letters)
        .min_by_key(|steps| (steps * 12 - semitones * 7).abs())
        .unwrap_or(near);
    Interval { steps, semitones }
}

fn moved(tune: &Tune, new_fifths: impl Fn(i32) -> i32, semitones: i32) -> Tune {
    let by = |key: &KeySignature| {
        let from = i32::from(key.fifths);
        interval(from, new_fifths(from), semitones)
    };
    let mut out = tune.clone();
    let mut interval = by(&tune.key);
    out.key = move_key(&tune.key, new_fifths(i32::from(tune.key.fifths)), interval);
    for bar in &mut out.bars {
        if let Some(key) = &mut bar.key {
            interval = by(key);
            *key = move_key(key, new_fifths(i32::from(key.fifths)), interval);
        }
        for event in &mut bar.events {
            for chord in &mut event.chord_symbols {
                move_chord(chord, interval);
            }
            for grace in &mut event.graces {
                move_notes(&mut grace.notes, interval);
            }
            if let Sounding::Head { notes, .. } = &mut event.sounding {
                move_notes(notes, interval);
            }
        }
    }
    out
}

fn move_key(key: &KeySignature, fifths: i32, by: Interval) -> KeySignature {
    KeySignature {
        tonic: key.tonic.map(|(tonic, mode)| (move_class(tonic, by), mode)),
        fifths: i8::try_from(fifths).unwrap_or(0),
        changed: key.changed.iter().map(|sign| move_class(*sign, by)).collect(),
        explicit: key.explicit,
    }
}

fn move_notes(notes: &mut [Note], by: Interval) {
    for note in notes.iter_mut() {
        note.pitch = move_pitch(note.pitch, by);
        note.written_sign = note.written_sign.and_then(|_| Accidental::from_alter(note.pitch.alter));
    }
    notes.sort_by_key(|note| (note.pitch.midi(), note.pitch.staff_step()));
}

/// A pitch moved; spelt with a neighbouring letter where it would need three signs.
fn move_pitch(pitch: Pitch, by: Interval) -> Pitch {
    let midi = pitch.midi() + by.semitones;
    let staff = pitch.staff_step() + by.steps;
    let spelt = [staff, staff + 1, staff - 1].into_iter().find_map(|staff| {
        let natural = Pitch::new(Step::from_index(staff), 0, i8::try_from(staff.div_euclid(7)).ok()?);
        let alter = i8::try_from(midi - natural.midi()).ok().filter(|alter| (-2..=2).contains(alter))?;
        Some(Pitch { alter, ..natural })
    });
    spelt.unwrap_or_else(|| Pitch::from_midi(midi))
}

fn move_class(class: PitchClass, by: Interval) -> PitchClass {
    move_pitch(Pitch::new(class.step, class.alter, 4), by).class()
}

/// Moves a chord symbol: its root, its bass, and the names in its text.
fn move_chord(chord: &mut ChordSymbol, by: Interval) {
    if chord.root.is_none() && !chord.text.starts_with('(') {
        return;
    }
    chord.root = chord.root.map(|root| move_class(root, by));
    chord.bass = chord.bass.map(|bass| move_class(bass, by));
    let mut out = String::with_capacity(chord.text.len());
    let mut chars = chord.text.chars().peekable();
    let mut before = '(';
    while let Some(c) = chars.next() {
        let name = match before {
            '(' => c.is_ascii_uppercase(),
            '/' => true,
            _ => false,
        };
        match Step::from_letter(c).filter(|_| name) {
            None => out.push(c),
            Some(step) => {
                let sign = chars.next_if(|c| matches!(c, '#' | '♯' | 'b' | '♭'));
                let alter = match sign {
                    Some('#' | '♯') => 1,
                    Some(_) => -1,
                    None => 0,
                };
                let moved = move_class(PitchClass::new(step, alter), by).to_string();
                out.push_str(&if c.is_ascii_lowercase() { moved.to_ascii_lowercase() } else { moved });
            }
        }
        before = c;
    }
    chord.text = out;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pitches_keep_their_spelling_in_the_new_key() {
        // G major to D major, a fifth up: the leading note F# becomes C#.
        let up = interval(1, 2, 7);
        assert_eq!(up, Interval { steps: 4, semitones: 7 });
        assert_eq!(move_pitch(Pitch::new(Step::F, 1, 4), up).to_string(), "C#5");
        assert_eq!(move_pitch(Pitch::new(Step::B, -1, 4), up).to_string(), "F5");
        // C to A, a minor third down.
        let down = interval(0, 3, -3);
        assert_eq!(move_pitch(Pitch::new(Step::C, 0, 5), down).to_string(), "A4");
        assert_eq!(move_pitch(Pitch::new(Step::E, -1, 5), down).to_string(), "C5");
        // An octave keeps all letters.
        assert_eq!(interval(2, 2, 12), Interval { steps: 7, semitones: 12 });
    }

    #[test]
    fn the_new_key_has_the_fewest_signs() {
        assert_eq!(fewest_signs(2, -2), 0);
        assert_eq!(fewest_signs(0, 1), -5);
        assert_eq!(fewest_signs(0, 6), 6);
        assert_eq!(fewest_signs(-1, 5), -2);
        assert_eq!(fewest_signs(5, 2), -5);
    }

    #[test]
    fn chord_names_move_in_their_text() {
        let mut chord = ChordSymbol {
            text: "F#m7/c#(G)".into(),
            root: Some(PitchClass::new(Step::F, 1)),
            quality: super::super::ChordQuality::MinorSeventh,
            bass: Some(PitchClass::new(Step::C, 1)),
        };
        move_chord(&mut chord, interval(2, 0, -2));
        assert_eq!(chord.text, "Em7/b(F)");
        assert_eq!(chord.root.map(|r| r.to_string()).as_deref(), Some("E"));
    }
}
