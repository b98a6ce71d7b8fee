//! Keys, metres, clefs, transpositions and divisions from attributes elements.
//!
//! Source: MusicXML 4.0, attributes, key, time, clef, transpose. A key without a mode is read as major; what it shows is the
//! same whatever its mode.

use roxmltree::Node;

use super::barline::cut;
use super::part::{PartReader, Turn, decimal};
use super::xml::{child, child_int, child_text, text};
use crate::tune::{Fraction, Interval, KeySignature, Meter, Mode, PitchClass, Step};

impl PartReader<'_> {
    /// An attributes element.
    pub fn attributes(&mut self, node: Node) {
        for part in node.children().filter(Node::is_element) {
            let number = part.attribute("number");
            let own = number.is_none_or(|number| number == self.staff);
            match part.tag_name().name() {
                "divisions" => match decimal(&text(part)).filter(|divisions| *divisions > Fraction::ZERO) {
                    Some(divisions) => self.divisions = divisions,
                    None => self.not_kept("a number of divisions that cannot be read"),
                },
                "key" if own => self.key(part),
                "time" if own => self.time(part),
                "clef" if number.unwrap_or("1") == self.staff => self.clef(part),
                "transpose" if own => self.transpose(part),
                "staff-details" if own && child_int(part, "staff-lines").is_some_and(|lines| lines != 5) => {
                    self.not_kept("a staff of other than five lines");
                }
                "measure-style" if own => self.measure_style(part),
                _ => {}
            }
        }
    }
    fn key(&mut self, node: Node) {
        if node.attribute("print-object") == Some("no") {
            self.changed("a key signature that is not shown", "a shown one");
        }
        let Some(key) = key(node) else {
            self.not_kept("a key that is not understood");
            return;
        };
        if let Some(mode) = child_text(node, "mode").filter(|name| mode(name).is_none() && name != "none") {
            self.not_kept(&format!("the mode “{}”", cut(&mode)));
        }
        self.turn(Turn::Key(key));
    }
    fn time(&mut self, node: Node) {
        if node.attribute("print-object") == Some("no") {
            self.changed("a metre that is not shown", "a shown one");
        }
        if child(node, "interchangeable").is_some() {
            self.not_kept("a second metre beside the first");
        }
        if let Some(symbol @ ("single-number" | "note" | "dotted-note")) = node.attribute("symbol") {
            self.changed(&format!("a metre drawn as “{symbol}”"), "two figures");
        }
        match meter(node) {
            Some(meter) => self.turn(Turn::Meter(meter)),
            None => self.not_kept("a metre of several lower figures or of none"),
        }
    }
    fn clef(&mut self, node: Node) {
        let sign = child_text(node, "sign");
        let line = child_text(node, "line").unwrap_or_else(|| "2".to_owned());
        if (sign.as_deref(), line.as_str()) != (Some("G"), "2") {
            self.not_kept("a clef other than the treble clef");
        }
        if child_text(node, "clef-octave-change").is_some_and(|change| change != "0") {
            self.not_kept("the octave of a clef");
        }
    }
    fn transpose(&mut self, node: Node) {
        let (interval, whole) = transposition(node);
        if !whole {
            self.not_kept("a part of a transposition");
        }
        if child(node, "double").is_some() {
            self.not_kept("the doubling of a part an octave away");
        }
        let bar = self.tune.bars.len();
        match self.transpositions.last_mut() {
            Some((_, before)) if *before == interval => {}
            Some((from, before)) if *from == bar => *before = interval,
            None if self.began => self.transpositions.extend([(0, Interval::default()), (bar, interval)]),
            _ => self.transpositions.push((bar, interval)),
        }
    }
    fn measure_style(&mut self, node: Node) {
        let rest = child_int(node, "multiple-rest").and_then(|n| u32::try_from(n).ok());
        match rest.filter(|n| (2..=500).contains(n)) {
            Some(bars) => self.rest_runs.push((self.tune.bars.len(), bars)),
            None => {
                for style in node.children().filter(Node::is_element).take(4) {
                    self.not_kept(&format!("“{}”", cut(style.tag_name().name())));
                }
            }
        }
    }
}

/// What leads from the written pitch to the sounding one, and whether all that is said was understood.
fn transposition(node: Node) -> (Interval, bool) {
    let mut whole = true;
    let mut number = |name: &str, most: i32| {
        child(node, name)?;
        let given = child_int(node, name);
        whole &= given.is_some_and(|n| n.abs() <= most);
        given.map(|n| n.clamp(-most, most))
    };
    let semitones = number("chromatic", 48).unwrap_or(0);
    // Where the letters are not given, those nearest to the semitones.
    let steps = number("diatonic", 48).unwrap_or_else(|| (semitones * 7 + 6 * semitones.signum()) / 12);
    let octaves = number("octave-change", 4).unwrap_or(0);
    (Interval { steps: steps + 7 * octaves, semitones: semitones + 12 * octaves }, whole)
}

fn mode(name: &str) -> Option<Mode> {
    Some(match name {
        "major" | "ionian" => Mode::Major,
        "minor" | "aeolian" => Mode::Minor,
        "dorian" => Mode::Dorian,
        "phrygian" => Mode::Phrygian,
        "lydian" => Mode::Lydian,
        "mixolydian" => Mode::Mixolydian,
        "locrian" => Mode::Locrian,
        _ => return None,
    })
}

/// The key of a key element; `None` if it is none.
fn key(node: Node) -> Option<KeySignature> {
    if child(node, "key-step").is_some() {
        return own_signs(node);
    }
    let fifths = child_int(node, "fifths")?;
    let fifths = i8::try_from(fifths).ok().filter(|f| (-7..=7).contains(f))?;
    let regular = |mode| {
        let tonics = Step::ALL.into_iter().flat_map(|step| [0, 1, -1].map(|alter| PitchClass::new(step, alter)));
        tonics.filter_map(|tonic| KeySignature::regular(tonic, mode)).find(|key| key.fifths == fifths)
    };
    match child_text(node, "mode") {
        None => regular(Mode::Major),
        Some(name) => match mode(&name) {
            Some(mode) => regular(mode),
            // No mode, no tonic: the signs stand for themselves.
            None if fifths == 0 => Some(KeySignature::none()),
            None => {
                let changed = KeySignature { fifths, ..KeySignature::none() }.signs();
                Some(KeySignature { changed, explicit: true, ..KeySignature::none() })
            }
        },
    }
}

/// A signature given sign by sign; `None` if one of them is none.
fn own_signs(node: Node) -> Option<KeySignature> {
    let mut key = KeySignature { explicit: true, ..KeySignature::none() };
    let mut step = None;
    for part in node.children().filter(Node::is_element).take(64) {
        match part.tag_name().name() {
            "key-step" => step = Some(letter(&text(part))?),
            "key-alter" => key.changed.push(PitchClass::new(step.take()?, alteration(&text(part))?)),
            _ => {}
        }
    }
    Some(key)
}

/// A letter from A to G that stands alone.
pub(super) fn letter(text: &str) -> Option<Step> {
    let mut letters = text.chars();
    Step::from_letter(letters.next()?).filter(|_| letters.next().is_none())
}

/// An alteration of at most two whole semitones.
pub(super) fn alteration(text: &str) -> Option<i8> {
    let alter: f64 = text.parse().ok()?;
    // What was checked makes the cast exact.
    (alter.fract() == 0.0 && alter.abs() <= 2.0).then_some(alter as i8)
}

/// The metre of a time element; `None` if it can't be said with one lower figure.
fn meter(node: Node) -> Option<Meter> {
    if child(node, "senza-misura").is_some() {
        return Some(Meter::Free);
    }
    let mut groups = Vec::new();
    let mut unit: Option<u32> = None;
    for part in node.children().filter(Node::is_element).take(32) {
        match part.tag_name().name() {
            "beats" => {
                for group in text(part).split('+') {
                    groups.push(group.trim().parse::<u32>().ok().filter(|n| (1..=128).contains(n))?);
                }
            }
            "beat-type" => {
                let new: u32 = text(part).parse().ok().filter(|n: &u32| n.is_power_of_two() && *n <= 128)?;
                if unit.is_some_and(|unit| unit != new) {
                    return None;
                }
                unit = Some(new);
            }
            _ => {}
        }
    }
    let unit = unit.filter(|_| !groups.is_empty() && groups.len() <= 16)?;
    match (node.attribute("symbol"), groups.as_slice(), unit) {
        (Some("common"), [4], 4) => Some(Meter::Common),
        (Some("cut"), [2], 2) => Some(Meter::Cut),
        _ => Some(Meter::Figures { groups, unit }),
    }
}
