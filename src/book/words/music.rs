//! Bars, notes, pitches, keys and left-hand rhythms as an author writes them.

use super::Word;
use crate::fingering::LeftToken;
use crate::instrument::{LeftSound, Triad};
use crate::tune::{BarLabel, Mode, Pitch, PitchClass};
use schemars::{Schema, json_schema};

/// One bar or a range of bars, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bars(pub BarLabel, pub BarLabel);

impl Word for Bars {
    const NAME: &'static str = "bars";
    const WHAT: &'static str = "a bar such as `3` or `8+`, or a range such as `5-8`";
    fn read(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is not a bar or a range of bars");
        let (from, to) = match text.split_once(['-', '\u{2013}']) {
            Some((from, to)) => (from.trim(), to.trim()),
            None => (text.trim(), text.trim()),
        };
        let (from, to) = (BarLabel::parse(from).ok_or_else(wrong)?, BarLabel::parse(to).ok_or_else(wrong)?);
        if from > to { Err(format!("`{text}` runs backwards")) } else { Ok(Self(from, to)) }
    }
    fn schema() -> Schema {
        json_schema!({ "type": ["string", "integer"], "format": Self::NAME, "pattern": "^\\d+\\+?( *[-\u{2013}] *\\d+\\+?)?$", "description": Self::WHAT })
    }
}

/// A note in a bar: `2`, or `2g1` for the first grace before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HandNote {
    /// The head, from 1.
    pub note: u32,
    /// The grace before it, from 1.
    pub grace: Option<u32>,
}

impl Word for HandNote {
    const NAME: &'static str = "note";
    const WHAT: &'static str =
        "the number of a note in its bar, such as `2`, or `2g1` for the first grace note before it";
    fn read(text: &str) -> Result<Self, String> {
        let number = |text: &str| text.parse::<u32>().ok().filter(|n| *n > 0 && !text.starts_with('+'));
        let (note, grace) = match text.split_once('g') {
            Some((note, grace)) => (number(note), Some(number(grace))),
            None => (number(text), None),
        };
        match (note, grace) {
            (Some(note), None) => Ok(Self { note, grace: None }),
            (Some(note), Some(Some(grace))) => Ok(Self { note, grace: Some(grace) }),
            _ => Err(format!("`{text}` is not the number of a note (they count from 1)")),
        }
    }
    fn schema() -> Schema {
        json_schema!({ "type": ["string", "integer"], "format": Self::NAME, "pattern": r"^[1-9]\d*(g[1-9]\d*)?$", "minimum": 1, "description": Self::WHAT })
    }
}

impl Word for Pitch {
    const NAME: &'static str = "pitch";
    const WHAT: &'static str = "a note with its octave, such as `F#5` or `Bb3` (C4 is middle C)";
    fn read(text: &str) -> Result<Self, String> {
        match Self::parse(text) {
            Some(pitch) => Ok(pitch),
            // As in ABC, where a capital is the octave from middle C and a small letter the one above.
            None if PitchClass::parse(text).is_some() => {
                let octave = if text.starts_with(|c: char| c.is_ascii_lowercase()) { 5 } else { 4 };
                let name = text[..1].to_ascii_uppercase() + &text[1..];
                Err(format!("`{text}` has no octave; as a letter of the music it lies at {name}{octave}"))
            }
            None => Err(format!("`{text}` is not a note")),
        }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": "^[A-Ga-g](#|b|\u{266f}|\u{266d}){0,2}-?\\d+$", "description": Self::WHAT })
    }
}

/// One tone of a chord: the top one, or a pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// The highest.
    Top,
    /// This one.
    Pitch(Pitch),
}

impl Word for Tone {
    const NAME: &'static str = "tone";
    const WHAT: &'static str = "`top`, or a note of the chord such as `E5`";
    fn read(text: &str) -> Result<Self, String> {
        if text == "top" { Ok(Self::Top) } else { Pitch::read(text).map(Self::Pitch) }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "description": Self::WHAT })
    }
}

/// A key to transpose into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    /// The tonic.
    pub tonic: PitchClass,
    /// The mode, if one is written; else the tune keeps its own.
    pub mode: Option<Mode>,
}

impl Word for Key {
    const NAME: &'static str = "key";
    const WHAT: &'static str = "a key such as `D`, `Em` or `A dorian`, or `none`";
    fn read(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is not a key");
        let text = text.trim();
        let split = text.char_indices().skip(1).find(|(_, c)| !matches!(c, '#' | 'b' | '\u{266f}' | '\u{266d}'));
        let (tonic, mode) = split.map_or((text, ""), |(at, _)| text.split_at(at));
        let capital = tonic.starts_with(|c: char| c.is_ascii_uppercase());
        let tonic = PitchClass::parse(tonic).filter(|_| capital).ok_or_else(wrong)?;
        let mode = mode.trim().to_ascii_lowercase();
        let mode = match mode.get(..3).unwrap_or(&mode) {
            "" => None,
            "m" | "min" | "aeo" => Some(Mode::Minor),
            "maj" | "ion" => Some(Mode::Major),
            "dor" => Some(Mode::Dorian),
            "mix" => Some(Mode::Mixolydian),
            "lyd" => Some(Mode::Lydian),
            "phr" => Some(Mode::Phrygian),
            "loc" => Some(Mode::Locrian),
            _ => return Err(wrong()),
        };
        Ok(Self { tonic, mode })
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": "^[A-G]", "description": Self::WHAT })
    }
}

/// What a left-hand button sounds: `D`, or `Em` for a minor chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeftName(pub LeftSound);

impl Word for LeftName {
    const NAME: &'static str = "left-sound";
    const WHAT: &'static str = "the note of a bass or the name of a chord, such as `D` or `Em`";
    fn read(text: &str) -> Result<Self, String> {
        let (root, triad) = match text.strip_suffix('m') {
            Some(root) => (root, Triad::Minor),
            None => (text, Triad::Major),
        };
        let root = PitchClass::parse(root).ok_or_else(|| format!("`{text}` is neither a note nor a chord"))?;
        Ok(Self(LeftSound { root, triad }))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": "^[A-Ga-g](#|b|\u{266f}|\u{266d})?m?$", "description": Self::WHAT })
    }
}

/// A left-hand bar: beats of tokens; `None` for nothing in this bar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Play(pub Option<Vec<Vec<LeftToken>>>);

/// No bar has more beats, no beat more tokens.
const MOST_TOKENS: usize = 64;

impl Word for Play {
    const NAME: &'static str = "left-hand-bar";
    const WHAT: &'static str = "beats parted by commas, capitals for basses and small letters for chords, such as `G, g, g`; `-` holds, `.` rests";
    fn read(text: &str) -> Result<Self, String> {
        if text.trim() == "none" {
            return Ok(Self(None));
        }
        let mut beats = Vec::new();
        for beat in text.split(',') {
            let tokens = beat.split_whitespace().map(token).collect::<Result<Vec<_>, _>>()?;
            if tokens.is_empty() {
                return Err(format!("a beat of `{text}` is empty: write `.` for a rest"));
            }
            if tokens.len() > MOST_TOKENS || beats.len() >= MOST_TOKENS {
                return Err("there are more than 64 parts here".into());
            }
            beats.push(tokens);
        }
        if matches!(beats[0][0], LeftToken::Hold) {
            return Err("a bar can't start with `-`: nothing is held yet".into());
        }
        Ok(Self(Some(beats)))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "description": Self::WHAT })
    }
}

fn token(text: &str) -> Result<LeftToken, String> {
    match text {
        "-" => return Ok(LeftToken::Hold),
        "." => return Ok(LeftToken::Rest),
        _ => {}
    }
    let mut names = Vec::new();
    for name in text.split('+') {
        let root = name.strip_suffix('m').unwrap_or(name);
        if PitchClass::parse(root).is_none() {
            return Err(format!("`{name}` is neither a bass nor a chord"));
        }
        if name.starts_with(|c: char| c.is_ascii_uppercase()) && root != name {
            return Err(format!("`{name}` is neither a bass (`{root}`) nor a chord (`{}`)", name.to_ascii_lowercase()));
        }
        names.push(name.to_owned());
    }
    Ok(LeftToken::Press(names))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_take_an_en_dash() {
        let range = Bars(BarLabel::new(5), BarLabel::new(8));
        assert_eq!(Bars::read("5-8"), Ok(range));
        assert_eq!(Bars::read("5\u{2013}8"), Ok(range));
        assert!(Bars::read("8+").is_ok_and(|bars| bars.0.second_half));
        assert!(Bars::read("8-5").is_err());
        assert!(Bars::read("a").is_err());
    }

    #[test]
    fn keys_with_and_without_a_mode() {
        assert_eq!(Key::read("Bb").map(|k| (k.tonic.to_string(), k.mode)), Ok(("Bb".into(), None)));
        assert_eq!(Key::read("Em").map(|k| k.mode), Ok(Some(Mode::Minor)));
        assert_eq!(Key::read("F#m").map(|k| k.tonic.to_string()), Ok("F#".into()));
        assert_eq!(Key::read("A dorian").map(|k| k.mode), Ok(Some(Mode::Dorian)));
        for text in ["H", "d", "", "D sharp", "nine"] {
            assert!(Key::read(text).is_err(), "{text}");
        }
    }

    /// The examples of the book format.
    #[test]
    fn left_hand_bars() {
        let press = |names: &[&str]| LeftToken::Press(names.iter().map(|n| (*n).to_owned()).collect());
        let read = |text| Play::read(text).map(|play| play.0.expect("no bar here is empty"));
        assert_eq!(
            read("G . g, G . g"),
            Ok(vec![
                vec![press(&["G"]), LeftToken::Rest, press(&["g"])],
                vec![press(&["G"]), LeftToken::Rest, press(&["g"])]
            ])
        );
        assert_eq!(read("G+g, -, -"), Ok(vec![vec![press(&["G", "g"])], vec![LeftToken::Hold], vec![LeftToken::Hold]]));
        assert_eq!(read("E, em"), Ok(vec![vec![press(&["E"])], vec![press(&["em"])]]));
        assert_eq!(Play::read("none"), Ok(Play(None)));
        assert_eq!(Play::read("G, , g"), Err("a beat of `G, , g` is empty: write `.` for a rest".into()));
        assert_eq!(Play::read("G, h"), Err("`h` is neither a bass nor a chord".into()));
        assert!(Play::read("-, G").is_err());
    }
}
