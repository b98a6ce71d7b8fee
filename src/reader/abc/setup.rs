//! What the headers of a file and a tune lay down before the music begins.
//!
//! Source: ABC 2.1 §3 (fields), §4.16 (user symbols), §11 (directives), §9 (macros).

use std::collections::BTreeMap;

use super::items::Field;
use super::macros::Macro;
use super::scan::Dialect;
use super::{decorations, key, measure, parts, tempo, text};
use crate::diag::Place;
use crate::reader::complaints::Complaints;
use crate::tune::{Duration, KeySignature, Meter, Tune};

/// How far an accidental reaches (§11.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Reach {
    /// The note alone.
    Note,
    /// The same letter and octave to the end of the bar.
    Octave,
    /// The same letter in all octaves to the end of the bar.
    #[default]
    Letter,
}

/// A voice that a header declares.
#[derive(Debug, Clone)]
pub(super) struct Voice {
    pub id: String,
    pub octave: i32,
    pub place: Place,
}

/// The state at the start of the music.
#[derive(Debug, Clone)]
pub(super) struct Setup {
    pub tune: Tune,
    pub meter: Option<Meter>,
    pub unit: Option<Duration>,
    pub octave: i32,
    tempo: Option<(String, Place)>,
    pub symbols: BTreeMap<char, String>,
    pub macros: Vec<Macro>,
    pub dialect: Dialect,
    pub reach: Reach,
    pub voices: Vec<Voice>,
    titled: bool,
}

/// Macros and user symbols, at most so many.
const MOST_MACROS: usize = 50;
/// Text fields of one kind, at most so many.
const MOST_TEXTS: usize = 500;

impl Default for Setup {
    fn default() -> Self {
        Self {
            tune: Tune::blank(),
            meter: None,
            unit: None,
            octave: 0,
            tempo: None,
            symbols: BTreeMap::new(),
            macros: Vec::new(),
            dialect: Dialect::default(),
            reach: Reach::default(),
            voices: Vec::new(),
            titled: false,
        }
    }
}

fn add(list: &mut Vec<String>, text: String) {
    if !text.is_empty() && list.len() < MOST_TEXTS {
        list.push(text);
    }
}

impl Setup {
    /// Called between the file header and the tune's own.
    pub fn begin_tune(&mut self) {
        self.titled = false;
    }
    /// The tempo, now that the unit length is known; the unit and metre settled.
    pub fn settle(&mut self, complaints: &mut Complaints) {
        let meter = self.meter.clone().unwrap_or(Meter::Free);
        let unit = self.unit.unwrap_or_else(|| measure::default_unit(&meter));
        (self.tune.meter, self.tune.unit) = (meter, unit);
        if let Some((text, place)) = self.tempo.take() {
            self.tune.tempo = tempo::parse(&text, unit);
            if self.tune.tempo.is_none() {
                odd_tempo(&text, place, complaints);
            }
        }
    }
    /// Takes a field of a header.
    pub fn take(&mut self, field: &Field, complaints: &mut Complaints) {
        let place = field.place(0);
        let plain = || text::decode(&field.text);
        match field.letter {
            'X' => self.number(&field.text, place, complaints),
            'T' => self.title(plain()),
            'M' => match measure::meter(&field.text) {
                Some(meter) => self.meter = Some(meter),
                None => odd_meter(&field.text, place, complaints),
            },
            'L' => match measure::unit(&field.text) {
                Some(unit) => self.unit = Some(unit),
                None => odd_unit(&field.text, place, complaints),
            },
            'Q' => self.tempo = Some((field.text.clone(), place)),
            'K' => {
                let parsed = key::parse(&field.text);
                key_complaints(&parsed, &field.text, place, complaints);
                self.octave = parsed.octave.unwrap_or(self.octave);
                self.tune.key = parsed.key.unwrap_or(KeySignature::none());
            }
            'P' => match parts::order(&field.text) {
                Ok(order) => self.tune.part_order = order,
                Err(wrong) => complaints.warn(code!("odd-part-order"), place, wrong, "write P:AABB or P:(AB)2"),
            },
            'V' => self.voice(&field.text, place, complaints),
            _ => self.take_anywhere(field, complaints),
        }
    }
    /// Takes a field that means the same in a header and in the body.
    pub fn take_anywhere(&mut self, field: &Field, complaints: &mut Complaints) {
        let place = field.place(0);
        let plain = || text::decode(&field.text);
        let credits = &mut self.tune.credits;
        match field.letter {
            'C' => add(&mut credits.composer, plain()),
            'O' => add(&mut credits.origin, plain()),
            'S' => add(&mut credits.source, plain()),
            'Z' => {
                let text = plain();
                let lower = text.to_lowercase();
                let rights = ["copyright", "©", "(c)", "rights"].iter().any(|word| lower.starts_with(word));
                add(if rights { &mut credits.rights } else { &mut credits.transcription }, text);
            }
            'A' | 'B' | 'D' | 'F' | 'G' | 'H' | 'N' => {
                let label = label_of(field.letter);
                add(&mut credits.notes, format!("{label}: {}", plain()));
            }
            'R' => self.tune.rhythm = Some(plain()).filter(|text| !text.is_empty()),
            'W' if self.tune.words.len() < MOST_TEXTS => self.tune.words.push(plain()),
            'I' => self.directive(&field.text, place, complaints),
            'm' => self.add_macro(&field.text, place, complaints),
            'U' => self.symbol(&field.text, place, complaints),
            'r' | 'W' | 'E' => {}
            letter => complaints.warn_once(
                &letter.to_string(),
                code!("unknown-field"),
                place,
                format!("there is no field {letter}:"),
                "it is left out",
            ),
        }
    }
    fn number(&mut self, text: &str, place: Place, complaints: &mut Complaints) {
        self.tune.number = text.parse().ok();
        if self.tune.number.is_none() && !text.is_empty() {
            complaints.warn(code!("odd-number"), place, format!("“{text}” is no number for a tune"), "write X:1");
        }
    }
    fn title(&mut self, text: String) {
        if self.titled {
            add(&mut self.tune.other_titles, text);
        } else {
            (self.tune.title, self.titled) = (text, true);
        }
    }
    fn directive(&mut self, text: &str, place: Place, complaints: &mut Complaints) {
        let (name, rest) = text.split_once([' ', '\t']).unwrap_or((text, ""));
        let rest = rest.trim();
        match name {
            "linebreak" => {
                self.dialect.lines_break = rest.contains("<EOL>");
                self.dialect.plus_decorations |= rest.contains('!');
            }
            "decoration" => self.dialect.plus_decorations = rest.starts_with('+'),
            "propagate-accidentals" => match rest {
                "not" => self.reach = Reach::Note,
                "octave" => self.reach = Reach::Octave,
                "pitch" => self.reach = Reach::Letter,
                _ => complaints.warn(
                    code!("odd-directive"),
                    place,
                    format!("accidentals can't reach “{rest}”"),
                    "not, octave or pitch",
                ),
            },
            "abc-copyright" => add(&mut self.tune.credits.rights, text::decode(rest)),
            // All others are about typesetting or playback and are ours to leave.
            _ => {}
        }
    }
    fn add_macro(&mut self, text: &str, place: Place, complaints: &mut Complaints) {
        match Macro::parse(text) {
            Some(new) if self.macros.len() < MOST_MACROS => {
                self.macros.retain(|old| old.target() != new.target());
                self.macros.push(new);
            }
            Some(_) => complaints.warn(
                code!("too-many-macros"),
                place,
                format!("more than {MOST_MACROS} macros"),
                "the rest is left out",
            ),
            None => complaints.warn(code!("odd-macro"), place, "this is no macro", "write m:~G3 = G{A}G{F}G"),
        }
    }
    fn symbol(&mut self, text: &str, place: Place, complaints: &mut Complaints) {
        let parsed = text.split_once('=').and_then(|(letter, value)| {
            let letter = letter.trim();
            let one = letter.chars().next().filter(|c| matches!(c, '~' | 'H'..='W' | 'h'..='w'))?;
            (letter.chars().count() == 1).then_some((one, value.trim()))
        });
        let Some((letter, value)) = parsed else {
            let hint = "write U:T = !trill! with a letter from H to W or h to w";
            complaints.warn(code!("odd-user-symbol"), place, "this sets no sign", hint);
            return;
        };
        let name = value.trim_matches(['!', '+']).to_owned();
        let name = if value.starts_with('"') { value.trim_matches('"').to_owned() } else { name };
        if matches!(name.as_str(), "nil" | "none") {
            self.symbols.insert(letter, String::new());
        } else {
            self.symbols.insert(letter, if value.starts_with('"') { format!("\"{name}") } else { name });
        }
    }
    fn voice(&mut self, text: &str, place: Place, complaints: &mut Complaints) {
        let (id, rest) = text.split_once(' ').unwrap_or((text, ""));
        let octave = key::parse(&clef_words(rest)).octave.unwrap_or(0);
        if let Some(voice) = self.voices.iter_mut().find(|v| v.id == id) {
            voice.octave = octave;
        } else if self.voices.len() < 100 && !id.is_empty() {
            self.voices.push(Voice { id: id.to_owned(), octave, place });
        } else {
            complaints.warn(code!("odd-voice"), place, "this names no voice", "write V:1");
        }
    }
    /// What a short letter stands for: a decoration's name, or a text after a quotation mark; `None` if nothing.
    pub fn short(&self, letter: char) -> Option<&str> {
        match self.symbols.get(&letter) {
            Some(name) => Some(name.as_str()),
            None => decorations::default_short(letter),
        }
    }
}

/// Only the words of a V: field that speak of octaves and clefs.
pub(super) fn clef_words(text: &str) -> String {
    let words = text.split_whitespace().filter(|word| {
        ["clef=", "octave=", "treble", "bass", "alto", "tenor"].iter().any(|name| word.starts_with(name))
    });
    words.collect::<Vec<_>>().join(" ")
}

/// The label of a text field among a tune's notes.
pub(super) fn label_of(letter: char) -> &'static str {
    match letter {
        'A' => "area",
        'B' => "book",
        'D' => "discography",
        'F' => "file",
        'G' => "group",
        'H' => "history",
        _ => "note",
    }
}

/// The field letter of a label; the inverse of [`label_of`].
pub(super) fn letter_of(label: &str) -> char {
    ['A', 'B', 'D', 'F', 'G', 'H'].into_iter().find(|letter| label_of(*letter) == label).unwrap_or('N')
}

pub(super) fn odd_meter(text: &str, place: Place, complaints: &mut Complaints) {
    let figures = |part: &str| !part.trim().is_empty() && part.trim().bytes().all(|byte| byte.is_ascii_digit());
    let hint = match text.split_once('/') {
        Some((beats, unit)) if figures(beats) && figures(unit) => {
            "a bar has 1 to 128 beats, each a whole note, a half, a quarter and so on to a 128th: M:6/8"
        }
        _ => "write M:6/8, M:C, M:C| or M:none",
    };
    complaints.fault(code!("odd-metre"), place, format!("“{text}” is no metre"), hint);
}

pub(super) fn odd_tempo(text: &str, place: Place, complaints: &mut Complaints) {
    let rate = text.rsplit('=').next().unwrap_or_default().trim();
    let hint = if rate.starts_with(|c: char| c.is_ascii_digit()) {
        "write Q:1/4=120: a note length and how many of it there are in a minute, 1 to 2000"
    } else {
        "write Q:1/4=120"
    };
    complaints.fault(code!("odd-tempo"), place, format!("“{text}” is no tempo"), hint);
}

pub(super) fn odd_unit(text: &str, place: Place, complaints: &mut Complaints) {
    complaints.fault(code!("odd-unit"), place, format!("“{text}” is no note length"), "write L:1/8");
}

pub(super) fn key_complaints(parsed: &key::KeyField, text: &str, place: Place, complaints: &mut Complaints) {
    for word in parsed.unknown.iter().take(3) {
        if parsed.key.is_none() {
            let hint = "a key is a letter with its mode: K:G, K:Em, K:A dorian";
            complaints.fault(code!("odd-key"), place, format!("“{word}” is no key"), hint);
        } else {
            complaints.warn(
                code!("odd-key"),
                place,
                format!("“{word}” was not understood in the key {text}"),
                "it is left out",
            );
        }
    }
    if parsed.pipes {
        complaints.warn_once(
            "",
            code!("pipes-key"),
            place,
            "the pipes' key is shown with its sharps",
            "write K:D to have it as a key of the box",
        );
    }
    if parsed.transpose.is_some_and(|n| n != 0) {
        complaints.warn_once(
            "",
            code!("transpose-ignored"),
            place,
            "transpose= is left out: notes stand as they are written",
            "to move a tune, give its file `transpose:`",
        );
    }
    if parsed.other_clef {
        complaints.warn_once(
            "",
            code!("clef-ignored"),
            place,
            "the staff is drawn with the treble clef",
            "take the clef out; notes sound where they are written",
        );
    }
}
