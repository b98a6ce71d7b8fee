//! Header fields of a tune, and the values of fields that also stand in the music.
//!
//! Source: ABC 2.1 §3.

use super::super::setup::letter_of;
use super::super::text::encode;
use crate::tune::{KeySignature, Meter, Mode, PitchClass, Step, Tempo, Tune};

/// One field on a line of its own, if it has a text.
pub(super) fn field(letter: char, text: &str, out: &mut String) {
    out.push(letter);
    out.push(':');
    out.push_str(&encode(text, false));
    out.push('\n');
}

/// Number, titles and credits.
pub(super) fn credits(tune: &Tune, out: &mut String) {
    out.push_str(&format!("X:{}\n", tune.number.unwrap_or(1)));
    field('T', &tune.title, out);
    for title in &tune.other_titles {
        field('T', title, out);
    }
    let credits = &tune.credits;
    let lists =
        [('C', &credits.composer), ('O', &credits.origin), ('S', &credits.source), ('Z', &credits.transcription)];
    for (letter, list) in lists {
        for text in list {
            field(letter, text, out);
        }
    }
    for text in &credits.rights {
        out.push_str(&format!("%%abc-copyright {}\n", encode(text, false)));
    }
    for note in &credits.notes {
        let (label, text) = note.split_once(": ").unwrap_or(("note", note));
        // A label that no field has goes with its text.
        let letter = letter_of(label);
        field(letter, if letter == 'N' && label != "note" { note } else { text }, out);
    }
    if let Some(rhythm) = &tune.rhythm {
        field('R', rhythm, out);
    }
}

/// What the music needs: order of parts, metre, unit, tempo, key.
pub(super) fn music(tune: &Tune, out: &mut String) {
    if !tune.part_order.is_empty() && tune.part_order.iter().all(|label| label.len() == 1) {
        field('P', &tune.part_order.concat(), out);
    }
    out.push_str(&format!("M:{}\n", meter(&tune.meter)));
    out.push_str(&format!("L:{}\n", tune.unit));
    if let Some(value) = &tune.tempo {
        out.push_str(&format!("Q:{}\n", tempo(value)));
    }
    out.push_str(&format!("K:{}\n", key(&tune.key)));
}

/// The text of an M: field.
pub(super) fn meter(meter: &Meter) -> String {
    meter.to_string()
}

/// The text of a Q: field.
pub(super) fn tempo(tempo: &Tempo) -> String {
    let mut parts = Vec::new();
    if let Some(words) = &tempo.before {
        parts.push(format!("\"{}\"", encode(words, true)));
    }
    if let Some(bpm) = tempo.bpm {
        let beat: Vec<_> = tempo.beat.iter().map(ToString::to_string).collect();
        parts.push(format!("{}={bpm}", beat.join(" ")));
    }
    if let Some(words) = &tempo.after {
        parts.push(format!("\"{}\"", encode(words, true)));
    }
    parts.join(" ")
}

/// The text of a K: field.
pub(super) fn key(key: &KeySignature) -> String {
    if (key.tonic, key.fifths, key.explicit) == (None, 2, false) {
        match key.changed.as_slice() {
            [] => return "HP".to_owned(),
            [sign] if *sign == PitchClass::new(Step::G, 0) => return "Hp".to_owned(),
            _ => {}
        }
    }
    let mut out = match key.tonic {
        Some((tonic, mode)) => {
            let mode = match mode {
                Mode::Major => "",
                Mode::Minor => "m",
                Mode::Dorian => "dor",
                Mode::Phrygian => "phr",
                Mode::Lydian => "lyd",
                Mode::Mixolydian => "mix",
                Mode::Locrian => "loc",
            };
            format!("{tonic}{mode}")
        }
        None => major_of(key.fifths).map_or_else(|| "none".to_owned(), |tonic| tonic.to_string()),
    };
    if key.explicit {
        out.push_str(" exp");
    }
    for sign in &key.changed {
        out.push(' ');
        out.push_str(signs(sign.alter));
        out.push(sign.step.letter().to_ascii_lowercase());
    }
    out
}

/// The tonic of the major key with so many signs; `None` for no signs, which `none` says as well.
fn major_of(fifths: i8) -> Option<PitchClass> {
    let all = Step::ALL.into_iter().flat_map(|step| [-1, 0, 1].map(|alter| PitchClass::new(step, alter)));
    let mut keys = all.filter_map(|tonic| KeySignature::regular(tonic, Mode::Major).map(|key| (tonic, key.fifths)));
    keys.find(|(_, f)| *f == fifths && fifths != 0).map(|(tonic, _)| tonic)
}

/// The accidental signs of an alteration.
pub(super) fn signs(alter: i8) -> &'static str {
    match alter {
        2 => "^^",
        1 => "^",
        -1 => "_",
        -2 => "__",
        _ => "=",
    }
}
