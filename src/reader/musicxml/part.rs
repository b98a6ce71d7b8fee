//! One part of a score, measure after measure, into bars.
//!
//! Keeps what runs over barlines: divisions, metre, key, open slurs and tuplets, what could not be kept. Source: MusicXML
//! 4.0, measure, attributes, barline, print.

use std::collections::BTreeMap;

use roxmltree::Node;

use super::score::Measure;
use super::xml::{Places, child, child_text, text};
use super::{Complaints, XmlOptions, attributes};
use crate::reader::abc::default_unit;
use crate::reader::assemble;
use crate::tune::{
    Bar, BarlineStyle, ChordSymbol, Duration, Ending, Fraction, Grace, Interval, KeySignature, Landmark, Mark, Meter,
    NoteId, Slur, Tune, TupletId,
};

/// A tune has at most so many bars and notes.
const MOST_BARS: usize = 5_000;
const MOST_NOTES: u32 = 20_000;
/// Kinds of things not kept that are named.
const MOST_KINDS: usize = 40;

/// What waits for the next note of the voice.
#[derive(Debug, Default)]
pub(super) struct Waiting {
    pub marks: Vec<Mark>,
    pub annotations: Vec<crate::tune::Annotation>,
    pub chords: Vec<(Duration, ChordSymbol)>,
    pub graces: Vec<Grace>,
    pub slashed: bool,
}

/// A tuplet that still takes notes: how much is drawn, and the least value in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct OpenTuplet {
    pub id: TupletId,
    pub drawn: Duration,
    pub least: Duration,
    /// Whether the file says where it stops.
    pub bracketed: bool,
}

/// Reads one part.
pub(super) struct PartReader<'a> {
    pub tune: Tune,
    pub places: Places<'a>,
    pub complaints: &'a mut Complaints,
    pub voice: Option<String>,
    pub divisions: Fraction,
    pub meter: Meter,
    pub bar: Bar,
    /// From the measure's start.
    pub cursor: Duration,
    /// Where the voice's last event ends.
    pub filled: Duration,
    pub furthest: Duration,
    pub waiting: Waiting,
    pub tuplet: Option<OpenTuplet>,
    pub slurs: BTreeMap<String, (NoteId, bool)>,
    pub next_id: u32,
    pub last_id: Option<NoteId>,
    pub verses: Vec<String>,
    pub beams_given: bool,
    pub measure: String,
    pub tempo_heard: Option<u32>,
    not_kept: BTreeMap<String, Vec<String>>,
    key_wait: Option<KeySignature>,
    ending: Option<usize>,
    transposition: Interval,
    rest_runs: Vec<(usize, u32)>,
    began: bool,
}

impl<'a> PartReader<'a> {
    pub fn new(tune: Tune, places: Places<'a>, options: &XmlOptions, complaints: &'a mut Complaints) -> Self {
        Self {
            tune,
            places,
            complaints,
            voice: options.voice.clone(),
            divisions: Fraction::ONE,
            meter: Meter::Free,
            bar: Bar::blank(),
            cursor: Duration::ZERO,
            filled: Duration::ZERO,
            furthest: Duration::ZERO,
            waiting: Waiting::default(),
            tuplet: None,
            slurs: BTreeMap::new(),
            next_id: 0,
            last_id: None,
            verses: Vec::new(),
            beams_given: false,
            measure: String::new(),
            tempo_heard: None,
            not_kept: BTreeMap::new(),
            key_wait: None,
            ending: None,
            transposition: Interval::default(),
            rest_runs: Vec::new(),
            began: false,
        }
    }
    /// Reads all measures.
    pub fn read(mut self, measures: &[Measure]) -> Tune {
        self.settle_voice(measures);
        self.beams_given = measures
            .iter()
            .flat_map(|m| m.music.children())
            .any(|n| n.has_tag_name("note") && child(n, "beam").is_some());
        for measure in measures {
            if self.tune.bars.len() >= MOST_BARS || self.next_id >= MOST_NOTES {
                let place = self.places.of(measure.head);
                let message =
                    format!("a tune has at most {MOST_BARS} bars and {MOST_NOTES} notes; the rest is not read");
                self.complaints.fault("tune-too-long", place, message, "make it several scores");
                break;
            }
            self.measure(*measure);
        }
        self.finish(measures)
    }
    /// The voice of the part's first note, where none is asked for.
    fn settle_voice(&mut self, measures: &[Measure]) {
        let mut voices: Vec<(String, Node)> = Vec::new();
        for note in measures.iter().flat_map(|m| m.music.children()).filter(|n| n.has_tag_name("note")) {
            let voice = child_text(note, "voice").unwrap_or_else(|| "1".to_owned());
            if voices.len() < 16 && !voices.iter().any(|(known, _)| *known == voice) {
                voices.push((voice, note));
            }
        }
        let names: Vec<_> = voices.iter().map(|(voice, _)| voice.clone()).collect();
        let Some((first, node)) = voices.first().cloned() else { return };
        if let Some(wanted) = self.voice.clone().filter(|wanted| !names.contains(wanted)) {
            let place = self.places.of(node);
            let hint = format!("the voices are {}; the first is taken", names.join(", "));
            self.complaints.fault("no-such-voice", place, format!("there is no voice “{wanted}”"), &hint);
            self.voice = None;
        }
        let chosen = self.voice.get_or_insert(first).clone();
        let others: Vec<_> = names.into_iter().filter(|name| *name != chosen).collect();
        if !others.is_empty() {
            let place = self.places.of(node);
            let message = format!("only the voice {chosen} is read; left out: {}", others.join(", "));
            self.complaints.warn("voice-not-read", place, message, "a tune has one voice; move what is wanted into it");
        }
    }
    /// Remembers something that is left out, with its measure.
    pub fn not_kept(&mut self, what: &str) {
        if self.not_kept.len() < MOST_KINDS || self.not_kept.contains_key(what) {
            let measures = self.not_kept.entry(what.to_owned()).or_default();
            if measures.len() < 100 && measures.last() != Some(&self.measure) {
                measures.push(self.measure.clone());
            }
        }
    }
    fn measure(&mut self, measure: Measure) {
        self.measure = measure.head.attribute("number").unwrap_or("?").chars().take(12).collect();
        self.bar.place = Some(self.places.of(measure.head));
        (self.cursor, self.filled, self.furthest) = (Duration::ZERO, Duration::ZERO, Duration::ZERO);
        if let Some(key) = self.key_wait.take() {
            self.bar.key = Some(key);
        }
        for node in measure.music.children().filter(Node::is_element) {
            match node.tag_name().name() {
                "note" => self.note(node),
                "backup" => self.cursor = self.cursor.max(self.length(node)) - self.length(node),
                "forward" => self.step(self.length(node)),
                "attributes" => self.attributes(node),
                "barline" => self.barline(node),
                "direction" => self.direction(node),
                "harmony" => self.harmony(node),
                "sound" => self.sound(node),
                "print" => {
                    let breaks = ["new-system", "new-page"].iter().any(|name| node.attribute(*name) == Some("yes"));
                    if let (true, Some(last)) = (breaks, self.tune.bars.last_mut()) {
                        last.line_ends = true;
                    }
                }
                "figured-bass" => self.not_kept("figured bass"),
                _ => {}
            }
        }
        self.close_bar();
    }
    /// Moves the cursor on.
    pub fn step(&mut self, length: Duration) {
        // A measure is at most so long; a longer one is damaged.
        self.cursor = (self.cursor + length).min(Duration::new(64, 1));
        self.furthest = self.furthest.max(self.cursor);
    }
    /// The duration of an element in whole notes.
    pub fn length(&self, node: Node) -> Duration {
        let divisions = child_text(node, "duration").and_then(|text| decimal(&text)).unwrap_or(Fraction::ZERO);
        Duration(divisions.over(self.divisions * Fraction::new(4, 1))).clamp(Duration::ZERO, Duration::new(64, 1))
    }
    fn attributes(&mut self, node: Node) {
        let staff_one = |n: &Node| n.attribute("number").is_none_or(|number| number == "1");
        let fresh = self.bar.events.is_empty();
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "divisions" => {
                    let divisions = decimal(&text(part)).filter(|d| *d > Fraction::ZERO);
                    self.divisions = divisions.unwrap_or(self.divisions);
                }
                "key" if staff_one(&part) => self.key(part, fresh),
                "time" if staff_one(&part) => match attributes::meter(part) {
                    Some(meter) if meter == self.meter && self.began => {}
                    Some(meter) => {
                        self.meter = meter.clone();
                        if self.began { self.bar.meter = Some(meter) } else { self.tune.meter = meter }
                    }
                    None => self.not_kept("a metre of several lower figures"),
                },
                "clef" if staff_one(&part) && child_text(part, "sign").as_deref() != Some("G") => {
                    self.not_kept("a clef other than the treble clef");
                }
                "transpose" => {
                    let interval = transposition(part);
                    if !self.began {
                        self.transposition = interval;
                    } else if self.transposition != interval {
                        self.not_kept("a change of transposition");
                    }
                }
                "measure-style" => {
                    let rest = super::xml::child_int(part, "multiple-rest").and_then(|n| u32::try_from(n).ok());
                    match rest.filter(|n| (2..=500).contains(n)) {
                        Some(bars) => self.rest_runs.push((self.tune.bars.len(), bars)),
                        None => self.not_kept("a measure style"),
                    }
                }
                _ => {}
            }
        }
    }
    fn key(&mut self, node: Node, fresh: bool) {
        let Some(key) = attributes::key(node) else {
            self.not_kept("a key that is not understood");
            return;
        };
        if !self.began {
            self.tune.key = key;
        } else if fresh {
            self.bar.key = Some(key);
        } else {
            self.key_wait = Some(key);
        }
    }
    fn barline(&mut self, node: Node) {
        let left = node.attribute("location") == Some("left");
        let style = match child_text(node, "bar-style").as_deref() {
            Some("light-light") => BarlineStyle::Double,
            Some("light-heavy" | "heavy" | "heavy-heavy") => BarlineStyle::Final,
            Some("heavy-light") => BarlineStyle::HeavyLight,
            Some("dotted" | "dashed") => BarlineStyle::Dotted,
            Some("none") => BarlineStyle::Invisible,
            _ => BarlineStyle::Single,
        };
        let repeat = child(node, "repeat");
        let direction = repeat.and_then(|repeat| repeat.attribute("direction"));
        if direction == Some("forward") {
            (self.bar.left.repeat_start, self.bar.left.style) = (true, BarlineStyle::HeavyLight);
        } else if direction == Some("backward") {
            let times = repeat.and_then(|r| r.attribute("times")).and_then(|t| t.parse().ok()).unwrap_or(2u8);
            (self.bar.right.repeat_end, self.bar.right.style) = (times.clamp(2, 32), BarlineStyle::Final);
        } else if left && style == BarlineStyle::HeavyLight {
            self.bar.left.style = style;
        } else if left {
            if let (true, Some(before)) = (style != BarlineStyle::Single, self.tune.bars.last_mut()) {
                before.right.style = style;
            }
        } else if node.attribute("location") != Some("middle") {
            self.bar.right.style = style;
        }
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "ending" => self.ending(part),
                "fermata" => self.bar.barline_marks.push(Mark::Fermata),
                "segno" if left => self.bar.landmarks.push(Landmark::Segno),
                "coda" if left => self.bar.landmarks.push(Landmark::Coda),
                _ => {}
            }
        }
        self.bar.barline_marks.truncate(4);
    }
    fn ending(&mut self, node: Node) {
        let at = self.tune.bars.len();
        match node.attribute("type") {
            Some("start") => {
                let numbers = node.attribute("number").unwrap_or("");
                let passes = numbers.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse::<u8>().ok());
                let mut passes: Vec<u8> = passes.filter(|n| (1..=64).contains(n)).take(64).collect();
                passes.sort_unstable();
                passes.dedup();
                if passes.is_empty() {
                    self.not_kept("an ending without a number");
                    return;
                }
                self.bar.ending = Some(Ending { passes, last_bar: 0, closed: false });
                self.ending = Some(at);
            }
            kind => {
                let Some(from) = self.ending.take() else { return };
                let ending = if from == at { &mut self.bar.ending } else { &mut self.tune.bars[from].ending };
                if let Some(ending) = ending {
                    (ending.last_bar, ending.closed) = (at, kind == Some("stop"));
                }
            }
        }
    }
    /// Ends the bar: gaps filled, what waits given to the last note.
    fn close_bar(&mut self) {
        self.began = true;
        self.fill_to_end();
        let mut bar = std::mem::replace(&mut self.bar, Bar::blank());
        if bar.right.style == BarlineStyle::None {
            bar.right.style = BarlineStyle::Single;
        }
        if bar.events.is_empty() {
            // A measure without time says nothing but what stands at its barlines.
            self.bar = Bar { right: Default::default(), ..bar };
            return;
        }
        if let Some(last) = bar.events.last_mut() {
            last.marks.append(&mut self.waiting.marks);
            last.annotations.append(&mut self.waiting.annotations);
        }
        self.tune.bars.push(bar);
    }
    fn finish(mut self, measures: &[Measure]) -> Tune {
        for bar in super::bar::settle_ties(&mut self.tune) {
            let number = measures.get(bar).and_then(|m| m.head.attribute("number")).unwrap_or("?");
            self.measure = number.chars().take(12).collect();
            self.not_kept("a tie that leads to no note of its pitch");
        }
        let place = measures.first().map(|m| self.places.of(m.head));
        for (what, measures) in std::mem::take(&mut self.not_kept) {
            let list = if measures.len() > 12 {
                format!("{} and {} more", measures[..12].join(", "), measures.len() - 12)
            } else {
                measures.join(", ")
            };
            let message = format!("{what} is not kept (measure {list})");
            if let Some(place) = place {
                self.complaints.warn("not-kept", place, message, "say it in the commentary if it matters");
            }
        }
        for (at, bars) in std::mem::take(&mut self.rest_runs) {
            if let Some(bar) = self.tune.bars.get_mut(at) {
                bar.rest_run = bars;
            }
        }
        self.tune.unit = default_unit(&self.tune.meter);
        if self.tune.tempo.is_none()
            && let Some(bpm) = self.tempo_heard
        {
            let beat = vec![Duration::new(1, 4)];
            self.tune.tempo = Some(crate::tune::Tempo { before: None, beat, bpm: Some(bpm), after: None });
        }
        super::lyric::settle_holds(&mut self.tune, self.verses.len());
        let transposition = self.transposition;
        let mut tune = assemble::finish(self.tune, self.complaints);
        tune.verse_labels = Vec::new();
        // Pitches are written; a tune holds what sounds.
        tune.transpose(transposition);
        tune
    }
    /// Adds a slur between two notes.
    pub fn add_slur(&mut self, from: NoteId, to: NoteId, dotted: bool) {
        if from < to {
            self.tune.slurs.push(Slur { from, to, dotted });
        }
    }
}

/// What leads from the written pitch to the sounding one.
fn transposition(node: Node) -> Interval {
    let number = |name| super::xml::child_int(node, name).map(|n| n.clamp(-48, 48));
    let semitones = number("chromatic").unwrap_or(0);
    // Where the letters are not given, those nearest to the semitones.
    let steps = number("diatonic").unwrap_or_else(|| (semitones * 7 + 6 * semitones.signum()) / 12);
    let octaves = number("octave-change").unwrap_or(0).clamp(-4, 4);
    Interval { steps: steps + 7 * octaves, semitones: semitones + 12 * octaves }
}

/// A decimal number as a fraction, `None` if it is none or absurd.
pub(super) fn decimal(text: &str) -> Option<Fraction> {
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let fits = whole.len() <= 9 && part.len() <= 6 && part.bytes().all(|b| b.is_ascii_digit());
    fits.then_some(())?;
    let scale = 10i64.pow(u32::try_from(part.len()).ok()?);
    let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
    let part: i64 = if part.is_empty() { 0 } else { part.parse().ok()? };
    (whole >= 0).then(|| Fraction::new(whole * scale + part, scale))
}
