//! Signs in words on music that no face has: takes what the lettering lacked, gives complaints at the notes that the words stand at.

use super::lettering::Lettering;
use crate::diag::{Place, Sink};
use crate::font::{Fonts, Weight};
use crate::style::{EngravingStyle, SoundingLook};
use crate::tune::{Bar, Event, Tempo, Tune};

/// The first sign of a text that stands for reversal or replay which the face for it lacks.
pub fn lacks(text: &str, style: &EngravingStyle, fonts: &Fonts) -> Option<char> {
    let letters = Lettering::new(fonts, style);
    letters.word(letters.label(Weight::Semibold, false), text);
    letters.missing().into_iter().next()
}

/// Complains of each sign that was missing, once, where the tune first has it. The author's own signs are the book's, and told there.
pub(super) fn complain(letters: &Lettering, tune: &Tune, style: &EngravingStyle, sink: &mut Sink) {
    let own = match &style.signs.sounding {
        SoundingLook::Characters { reversal, replay } => [reversal.as_str(), replay.as_str()].concat(),
        SoundingLook::HoldBar => String::new(),
    };
    for sign in letters.missing() {
        let place = place(tune, sign);
        if place.is_none() && own.contains(sign) {
            continue;
        }
        let code = u32::from(sign);
        let message = format!("no font of the book has `{sign}` (U+{code:04X}); a box stands for it");
        let hint = "write it in words, or with signs that a font has";
        sink.warn(code!("missing-glyph"), place.or(tune.place), message).hints.push(hint.into());
    }
}

/// Where a tune first has a sign in its words.
fn place(tune: &Tune, sign: char) -> Option<Place> {
    let first = |bar: &Bar| bar.events.iter().find_map(|event| event.place);
    let in_tempo = |tempo: &Tempo| tempo.before.iter().chain(&tempo.after).any(|text| text.contains(sign));
    let in_bar = |bar: &Bar| {
        bar.part.as_ref().is_some_and(|part| part.contains(sign)) || bar.tempo.as_deref().is_some_and(in_tempo)
    };
    tune.bars.iter().find_map(|bar| {
        let event = bar.events.iter().find(|event| says(event, sign));
        if in_bar(bar) { first(bar) } else { event.map(|event| event.place.or(first(bar)))? }
    })
}

fn says(event: &Event, sign: char) -> bool {
    event.annotations.iter().any(|annotation| annotation.text.contains(sign))
        || event.chord_symbols.iter().any(|symbol| symbol.text.contains(sign))
        || event.lyrics.iter().flatten().any(|lyric| lyric.text.contains(sign))
}
