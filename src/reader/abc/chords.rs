//! Texts in the place of a chord symbol that name no chord (ABC 2.1 §4.18).

use crate::diag::Place;
use crate::reader::complaints::Complaints;
use crate::tune::ChordSymbol;

/// Complains of a text in the place of a chord that names none, once for each text.
pub(super) fn complain_of_none(chord: &ChordSymbol, place: Place, complaints: &mut Complaints) {
    let text = chord.text.trim();
    if chord.root.is_some() || text.is_empty() || ChordSymbol::is_silence(text) {
        return;
    }
    let message = format!("`{text}` is no chord that is read: it is printed, and the chord before it goes on");
    let hint = match text.strip_prefix('H') {
        // What German, Dutch and Scandinavian names call H is B, and their B is Bb (common practice, no source).
        Some(rest) if ChordSymbol::read(&format!("B{rest}")).root.is_some() => {
            format!("the note below C is `B` here: write \"B{rest}\"; what you call B is \"Bb\"")
        }
        _ if names_small(text) => {
            let (first, rest) = text.split_at(1);
            format!(
                "a chord begins with a capital: write \"{}{rest}\"; small letters are the left hand's buttons",
                first.to_uppercase()
            )
        }
        _ => format!("chords are read as \"G\", \"Am\", \"D7\"; words stand over the notes as \"^{text}\""),
    };
    complaints.warn_once(text, code!("unknown-chord"), place, message, &hint);
}

/// Whether a text would name a chord if it began with a capital.
fn names_small(text: &str) -> bool {
    text.starts_with(|first: char| matches!(first, 'a'..='g'))
        && ChordSymbol::read(&(text[..1].to_uppercase() + &text[1..])).root.is_some()
}
