//! Decorations by name, their short letters, and words that order jumps.
//!
//! Source: ABC 2.1 §4.14 (names and short letters), §4.16 (user symbols).

use crate::tune::{Jump, Landmark, Mark};

/// What a decoration means here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::reader) enum Meaning {
    /// A sign on a note, rest or barline.
    Mark(Mark),
    /// A mark that jumps refer to.
    Landmark(Landmark),
    /// A jump.
    Jump(Jump),
    /// A name of the standard that is not drawn here.
    NotDrawn,
    /// The end of something drawn from its start alone.
    Nothing,
}

/// The meaning of a decoration's name; `None` if the standard has no such name.
pub(super) fn by_name(name: &str) -> Option<Meaning> {
    let mark = match name {
        "." | "staccato" => Mark::Staccato,
        "wedge" => Mark::Wedge,
        "tenuto" => Mark::Tenuto,
        ">" | "accent" | "emphasis" => Mark::Accent,
        "^" | "marcato" => Mark::Marcato,
        "fermata" => Mark::Fermata,
        "invertedfermata" => Mark::FermataBelow,
        "trill" | "trill(" => Mark::Trill,
        "turn" => Mark::Turn,
        "invertedturn" => Mark::InvertedTurn,
        "lowermordent" | "mordent" => Mark::LowerMordent,
        "uppermordent" | "pralltriller" => Mark::UpperMordent,
        "roll" => Mark::Roll,
        "upbow" => Mark::UpBow,
        "downbow" => Mark::DownBow,
        "breath" => Mark::Breath,
        "caesura" => Mark::Caesura,
        "arpeggio" => Mark::Arpeggio,
        "slide" => Mark::Slide,
        "crescendo(" | "<(" => Mark::CrescendoStart,
        "crescendo)" | "<)" => Mark::CrescendoEnd,
        "diminuendo(" | ">(" => Mark::DiminuendoStart,
        "diminuendo)" | ">)" => Mark::DiminuendoEnd,
        "0" | "1" | "2" | "3" | "4" | "5" => Mark::Finger(name.bytes().next().map_or(0, |b| b - b'0')),
        "segno" => return Some(Meaning::Landmark(Landmark::Segno)),
        "coda" => return Some(Meaning::Landmark(Landmark::Coda)),
        "fine" => return Some(Meaning::Landmark(Landmark::Fine)),
        "D.C." | "dacapo" => return Some(Meaning::Jump(Jump::DaCapo)),
        "D.S." => return Some(Meaning::Jump(Jump::DalSegno)),
        "dacoda" => return Some(Meaning::Jump(Jump::ToCoda)),
        "D.C.alfine" => return Some(Meaning::Jump(Jump::DaCapoAlFine)),
        "D.C.alcoda" => return Some(Meaning::Jump(Jump::DaCapoAlCoda)),
        "D.S.alfine" => return Some(Meaning::Jump(Jump::DalSegnoAlFine)),
        "D.S.alcoda" => return Some(Meaning::Jump(Jump::DalSegnoAlCoda)),
        "trill)" => return Some(Meaning::Nothing),
        "turnx" | "invertedturnx" | "+" | "plus" | "snap" | "open" | "thumb" | "shortphrase" | "mediumphrase"
        | "longphrase" => return Some(Meaning::NotDrawn),
        _ => Mark::Dynamic(LOUDNESS.iter().position(|n| *n == name).and_then(|at| u8::try_from(at).ok())?),
    };
    Some(Meaning::Mark(mark))
}

/// Loudness names in the order of [`Mark::Dynamic`].
const LOUDNESS: [&str; 11] = ["pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "sfz"];

/// The name by which a mark is written; the inverse of `by_name`.
pub fn mark_name(mark: Mark) -> &'static str {
    match mark {
        Mark::Staccato => "staccato",
        Mark::Wedge => "wedge",
        Mark::Tenuto => "tenuto",
        Mark::Accent => "accent",
        Mark::Marcato => "marcato",
        Mark::Fermata => "fermata",
        Mark::FermataBelow => "invertedfermata",
        Mark::Trill => "trill",
        Mark::Turn => "turn",
        Mark::InvertedTurn => "invertedturn",
        Mark::LowerMordent => "lowermordent",
        Mark::UpperMordent => "uppermordent",
        Mark::Roll => "roll",
        Mark::UpBow => "upbow",
        Mark::DownBow => "downbow",
        Mark::Breath => "breath",
        Mark::Caesura => "caesura",
        Mark::Arpeggio => "arpeggio",
        Mark::Slide => "slide",
        Mark::Finger(digit) => ["0", "1", "2", "3", "4", "5"].get(usize::from(digit)).copied().unwrap_or("5"),
        Mark::Dynamic(level) => LOUDNESS.get(usize::from(level)).copied().unwrap_or("mf"),
        Mark::CrescendoStart => "crescendo(",
        Mark::CrescendoEnd => "crescendo)",
        Mark::DiminuendoStart => "diminuendo(",
        Mark::DiminuendoEnd => "diminuendo)",
    }
}

/// The name by which a jump is written.
pub fn jump_name(jump: Jump) -> &'static str {
    match jump {
        Jump::DaCapo => "D.C.",
        Jump::DaCapoAlFine => "D.C.alfine",
        Jump::DaCapoAlCoda => "D.C.alcoda",
        Jump::DalSegno => "D.S.",
        Jump::DalSegnoAlFine => "D.S.alfine",
        Jump::DalSegnoAlCoda => "D.S.alcoda",
        Jump::ToCoda => "dacoda",
    }
}

/// The name of a short letter before any U: field (§4.14).
pub(super) fn default_short(letter: char) -> Option<&'static str> {
    Some(match letter {
        '.' => "staccato",
        '~' => "roll",
        'H' => "fermata",
        'L' => "accent",
        'M' => "lowermordent",
        'O' => "coda",
        'P' => "uppermordent",
        'S' => "segno",
        'T' => "trill",
        'u' => "upbow",
        'v' => "downbow",
        _ => return None,
    })
}

/// A jump or its goal given as plain words over the staff, as hand-written music has it (common practice, no source).
pub(in crate::reader) fn by_words(words: &str) -> Option<Meaning> {
    let plain: String =
        words.chars().filter(|c| c.is_ascii_alphabetic()).map(|c| c.to_ascii_lowercase()).take(20).collect();
    Some(match plain.as_str() {
        "dc" | "dacapo" => Meaning::Jump(Jump::DaCapo),
        "dcalfine" | "dacapoalfine" => Meaning::Jump(Jump::DaCapoAlFine),
        "dcalcoda" | "dacapoalcoda" => Meaning::Jump(Jump::DaCapoAlCoda),
        "ds" | "dalsegno" => Meaning::Jump(Jump::DalSegno),
        "dsalfine" | "dalsegnoalfine" => Meaning::Jump(Jump::DalSegnoAlFine),
        "dsalcoda" | "dalsegnoalcoda" => Meaning::Jump(Jump::DalSegnoAlCoda),
        "tocoda" => Meaning::Jump(Jump::ToCoda),
        "fine" => Meaning::Landmark(Landmark::Fine),
        "segno" => Meaning::Landmark(Landmark::Segno),
        "coda" => Meaning::Landmark(Landmark::Coda),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §4.14.
    #[test]
    fn names_go_there_and_back() {
        for name in ["trill", "roll", "fermata", "wedge", "p", "pppp", "sfz", "3", "crescendo(", "slide", "breath"] {
            let Some(Meaning::Mark(mark)) = by_name(name) else { panic!("{name} is a mark") };
            assert_eq!(mark_name(mark), name);
        }
        assert_eq!(by_name("mordent"), by_name("lowermordent"));
        assert_eq!(by_name("pralltriller"), by_name("uppermordent"));
        assert_eq!(by_name("thumb"), Some(Meaning::NotDrawn));
        assert_eq!(by_name("wobble"), None);
        assert_eq!(by_words("D.C. al Fine"), Some(Meaning::Jump(Jump::DaCapoAlFine)));
        assert_eq!(by_words("D"), None);
    }
}
