//! One part of a score, measure after measure.
//!
//! Keeps what runs over barlines: divisions, metre, open slurs and tuplets, what could not be kept. Source: MusicXML 4.0,
//! measure, backup, forward, print.

use std::collections::{BTreeMap, BTreeSet};

use roxmltree::Node;

use super::asking::Ask;
use super::barline::cut;
use super::losses::{At, Losses};
use super::order::{Named, Sign};
use super::score::Measure;
use super::xml::{Places, child, child_text};
use super::{Complaints, XmlOptions, system};
use crate::reader::asked::Wish;
use crate::tune::{
    Annotation, Bar, Barline, ChordSymbol, Duration, Ending, Fraction, Grace, Interval, KeySignature, Landmark, Mark,
    Meter, NoteId, Slur, Tempo, ThinVec, Tune, TupletId,
};

/// A tune has at most so many bars and notes.
const MOST_BARS: usize = 5_000;
const MOST_NOTES: u32 = 20_000;
/// So many changes of key, metre and tempo wait for the next bar.
const MOST_TURNS: usize = 64;
/// No note or measure lasts longer, in whole notes.
const LONGEST: i64 = 64;

/// A chord symbol that waits for the note it stands at.
#[derive(Debug)]
pub(super) struct WaitingChord {
    /// From the measure's start.
    pub at: Duration,
    pub symbol: ChordSymbol,
    pub from: At,
}

/// What waits for the next note of the voice.
#[derive(Debug, Default)]
pub(super) struct Waiting {
    pub marks: ThinVec<Mark>,
    pub annotations: ThinVec<Annotation>,
    pub chords: Vec<WaitingChord>,
    pub graces: ThinVec<Grace>,
    pub slashed: bool,
    /// The measure at whose end the grace notes stand, if they belong to a note of a later one.
    pub late: Option<At>,
}

/// What a note of a chord joins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ChordTo {
    /// The note before was not read.
    Nothing,
    /// The last event: a note, or a rest in the place of one that is not shown or has no pitch.
    Event,
    /// The last grace note.
    Grace,
}

/// What a bar can change at its start only.
#[derive(Debug)]
pub(super) enum Turn {
    Key(KeySignature),
    Meter(Meter),
    Tempo(Tempo),
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

/// What stands at the end of a bar and belongs to the next one's start.
#[derive(Debug, Default)]
pub(super) struct Next {
    pub landmarks: ThinVec<Landmark>,
    pub left: Barline,
    pub ending: Option<Ending>,
    pub part: Option<String>,
}

/// Reads one part.
pub(super) struct PartReader<'a> {
    pub tune: Tune,
    pub places: Places<'a>,
    pub complaints: &'a mut Complaints,
    pub voice: Option<String>,
    /// The staff that the voice begins on.
    pub staff: String,
    pub divisions: Fraction,
    /// Whether the file counts parts of divisions.
    pub decimals: bool,
    pub meter: Meter,
    pub bar: Bar,
    /// From the measure's start.
    pub cursor: Duration,
    /// Where the voice's last event ends.
    pub filled: Duration,
    pub furthest: Duration,
    pub waiting: Waiting,
    /// What changes inside a bar waits for the next: place in the bar and change.
    pub turns: Vec<(Duration, Turn)>,
    /// Signs of the played order in this bar.
    pub signs: Vec<Sign>,
    /// What of this bar belongs to the next one's start.
    pub next: Next,
    /// Whether an ending ends with this bar, and whether its bracket is closed.
    pub stops: Option<bool>,
    /// Landmarks that have names, and jumps to such.
    pub named: Vec<Named>,
    pub leads: Vec<Named>,
    /// Whether marks for bellows and rows are wishes, and those that were met.
    pub wishes: bool,
    pub asks: Vec<Ask>,
    /// The brackets of tuplets that are open.
    pub brackets: BTreeSet<String>,
    /// Labels of the verses, which of them have begun, and the syllables that a line holds on.
    pub labels: Vec<String>,
    pub verses_begun: BTreeSet<usize>,
    pub held_on: BTreeSet<(NoteId, usize)>,
    /// Whether what is read stands in another part.
    pub elsewhere: bool,
    pub chord_to: ChordTo,
    /// How long the last note is that a chord may be built on.
    pub base: Duration,
    pub tuplet: Option<OpenTuplet>,
    /// Slurs and slides that are open, by their numbers.
    pub slurs: BTreeMap<String, (NoteId, bool, At)>,
    pub slides: BTreeMap<String, At>,
    /// The open hairpin, `true` for a diminuendo.
    pub hairpin: Option<bool>,
    pub next_id: u32,
    pub verses: Vec<String>,
    pub beams_given: bool,
    pub here: At,
    /// The measure of each bar of the tune.
    pub read_from: Vec<At>,
    pub implicit: bool,
    pub tempo_heard: Option<u32>,
    pub losses: Losses,
    pub ending: Option<usize>,
    /// Whether an ending has begun whose end is still to come.
    pub begun: bool,
    /// Whether the ending that has begun is not kept, and its end says nothing.
    pub ending_unread: bool,
    /// From which bar on what is to be added to the written pitch.
    pub transpositions: Vec<(usize, Interval)>,
    pub rest_runs: Vec<(usize, u32)>,
    pub began: bool,
}

impl<'a> PartReader<'a> {
    pub fn new(tune: Tune, places: Places<'a>, options: &XmlOptions, complaints: &'a mut Complaints) -> Self {
        let here = At { measure: String::new(), place: places.start() };
        Self {
            tune,
            places,
            complaints,
            voice: options.voice.clone(),
            staff: "1".to_owned(),
            divisions: Fraction::ONE,
            decimals: false,
            meter: Meter::Free,
            bar: Bar::blank(),
            cursor: Duration::ZERO,
            filled: Duration::ZERO,
            furthest: Duration::ZERO,
            waiting: Waiting::default(),
            turns: Vec::new(),
            signs: Vec::new(),
            next: Next::default(),
            stops: None,
            named: Vec::new(),
            leads: Vec::new(),
            wishes: options.wishes,
            asks: Vec::new(),
            brackets: BTreeSet::new(),
            labels: Vec::new(),
            verses_begun: BTreeSet::new(),
            held_on: BTreeSet::new(),
            elsewhere: false,
            chord_to: ChordTo::Nothing,
            base: Duration::ZERO,
            tuplet: None,
            slurs: BTreeMap::new(),
            slides: BTreeMap::new(),
            hairpin: None,
            next_id: 0,
            verses: Vec::new(),
            beams_given: false,
            here,
            read_from: Vec::new(),
            implicit: false,
            tempo_heard: None,
            losses: Losses::default(),
            ending: None,
            begun: false,
            ending_unread: false,
            transpositions: Vec::new(),
            rest_runs: Vec::new(),
            began: false,
        }
    }
    /// Reads all measures, with what other parts say of each; `None` if the voice that is asked for is not there.
    pub fn read(mut self, measures: &[Measure], marks: &[Vec<system::Mark>]) -> Option<(Tune, Vec<Wish>)> {
        self.settle_voice(measures)?;
        self.count_verses(measures);
        self.beams_given = measures
            .iter()
            .flat_map(|m| m.music.children())
            .any(|n| n.has_tag_name("note") && child(n, "beam").is_some());
        for (nth, measure) in measures.iter().enumerate() {
            if self.tune.bars.len() >= MOST_BARS || self.next_id >= MOST_NOTES {
                let place = self.places.of(measure.head);
                let message =
                    format!("a tune has at most {MOST_BARS} bars and {MOST_NOTES} notes; the rest is not read");
                self.complaints.fault(code!("tune-too-long"), place, message, "make it several scores");
                break;
            }
            self.measure(*measure, marks.get(nth).map_or(&[], Vec::as_slice));
        }
        Some(self.finish())
    }
    /// The voice of the part's first note, where none is asked for, and its staff.
    fn settle_voice(&mut self, measures: &[Measure]) -> Option<()> {
        let mut voices: Vec<(String, Node)> = Vec::new();
        for note in measures.iter().flat_map(|m| m.music.children()).filter(|n| n.has_tag_name("note")) {
            let voice = child_text(note, "voice").unwrap_or_else(|| "1".to_owned());
            let room = voices.len() < 16 || self.voice.as_ref() == Some(&voice);
            if room && !voices.iter().any(|(known, _)| *known == voice) {
                voices.push((voice, note));
            }
        }
        let Some((first, node)) = voices.first().cloned() else { return Some(()) };
        let is_asked_for = self.voice.is_some();
        let chosen = self.voice.get_or_insert(first).clone();
        let others: Vec<_> = voices.iter().map(|(name, _)| name.as_str()).filter(|name| *name != chosen).collect();
        let place = self.places.of(node);
        let Some((_, own)) = voices.iter().find(|(name, _)| *name == chosen) else {
            let hint = format!("the voices are {}", others.join(", "));
            self.complaints.unmet(code!("no-such-voice"), place, format!("there is no voice “{chosen}”"), &hint);
            return None;
        };
        self.staff = child_text(*own, "staff").unwrap_or_else(|| "1".to_owned());
        if !others.is_empty() && !is_asked_for {
            let message = format!("only the voice {chosen} is read; left out: {}", others.join(", "));
            self.complaints.warn(
                code!("voice-not-read"),
                place,
                message,
                "`bring --voice NAME` chooses another, or in a tune file `music: {file: ..., voice: NAME}`",
            );
        }
        Some(())
    }
    /// Remembers something that is left out, with its measure.
    pub fn not_kept(&mut self, what: &str) {
        self.losses.note(format!("{what} is not kept"), &self.here);
    }
    /// The same of something in another measure.
    pub fn not_kept_at(&mut self, what: &str, at: &At) {
        self.losses.note(format!("{what} is not kept"), at);
    }
    /// Remembers something that stands in the tune as something else, with its measure.
    pub fn changed(&mut self, what: &str, becomes: &str) {
        self.losses.note(format!("{what} becomes {becomes}"), &self.here);
    }
    fn measure(&mut self, measure: Measure, marks: &[system::Mark]) {
        let place = self.places.of(measure.head);
        let number = measure.head.attribute("number").unwrap_or("?").chars().take(12).collect();
        self.here = At { measure: number, place };
        self.implicit = measure.head.attribute("implicit") == Some("yes");
        self.bar.place = Some(place);
        (self.cursor, self.filled, self.furthest) = (Duration::ZERO, Duration::ZERO, Duration::ZERO);
        self.chord_to = ChordTo::Nothing;
        for node in measure.music.children().filter(Node::is_element) {
            match node.tag_name().name() {
                "note" => self.note(node),
                "backup" => self.back(node),
                "forward" => match self.length(node) {
                    Some(length) => self.step(length),
                    None => self.not_kept("a step forward without a length"),
                },
                "attributes" => self.attributes(node),
                "barline" => self.barline(node),
                "direction" => self.direction(node),
                "harmony" => self.harmony(node),
                "sound" => self.sound(node, false),
                "print" => {
                    let breaks = ["new-system", "new-page"].iter().any(|name| node.attribute(*name) == Some("yes"));
                    if let (true, Some(last)) = (breaks, self.tune.bars.last_mut()) {
                        last.line_ends = true;
                    }
                }
                "figured-bass" => self.not_kept("figured bass"),
                // Nothing of these is print or sound of the tune.
                "listening" | "grouping" | "link" | "bookmark" => {}
                other => self.not_kept(&format!("“{}”", cut(other))),
            }
        }
        self.take_marks(marks);
        self.close_bar();
    }
    fn back(&mut self, node: Node) {
        let length = self.length(node).filter(|length| *length <= self.cursor + self.division());
        if length.is_none() {
            self.not_kept("a step back that has no length or goes beyond the bar");
        }
        let length = length.unwrap_or(self.cursor);
        self.cursor = self.cursor.max(length) - length;
    }
    /// Moves the cursor on.
    pub fn step(&mut self, length: Duration) {
        let longest = Duration::new(LONGEST, 1);
        // A longer measure is damaged.
        if self.cursor + length > longest {
            self.not_kept(&format!("what goes beyond {LONGEST} whole notes in a measure"));
        }
        self.cursor = (self.cursor + length).min(longest);
        self.furthest = self.furthest.max(self.cursor);
    }
    /// The duration of an element in whole notes, cut where it is longer than any; `None` if it has none or none that is a number.
    pub fn length(&mut self, node: Node) -> Option<Duration> {
        let divisions = decimal(&child_text(node, "duration")?)?;
        self.decimals |= divisions.den() > 1;
        Some(
            Duration(divisions.over(self.divisions * Fraction::new(4, 1)))
                .clamp(Duration::ZERO, Duration::new(LONGEST + 1, 1)),
        )
    }
    /// What changes here: at the bar's start now, else from the next bar on.
    pub fn turn(&mut self, turn: Turn) {
        if self.cursor.is_zero() {
            self.take_turn(turn);
        } else if self.turns.len() < MOST_TURNS {
            self.turns.push((self.cursor, turn));
        } else {
            self.not_kept(&format!("a change beyond {MOST_TURNS} in a bar"));
        }
    }
    /// Makes a change at the start of the bar that is being read.
    pub fn take_turn(&mut self, turn: Turn) {
        match turn {
            Turn::Key(key) if self.began => self.bar.key = Some(key.into()),
            Turn::Key(key) => self.tune.key = key,
            Turn::Meter(meter) if meter == self.meter && self.began => {}
            Turn::Meter(meter) => {
                self.meter = meter.clone();
                if self.began { self.bar.meter = Some(meter) } else { self.tune.meter = meter }
            }
            Turn::Tempo(tempo) => {
                let first = self.tune.bars.is_empty();
                let given = if first { self.tune.tempo.as_ref() } else { self.bar.tempo.as_deref() };
                match given {
                    Some(before) if *before == tempo => {}
                    Some(_) => self.not_kept("a second tempo at one place"),
                    None if first => self.tune.tempo = Some(tempo),
                    None => self.bar.tempo = Some(tempo.into()),
                }
            }
        }
    }
    /// Adds a slur between two notes.
    pub fn add_slur(&mut self, from: NoteId, to: NoteId, dotted: bool) {
        let new = Slur { from, to, dotted };
        if from >= to {
            self.not_kept("a slur over one note");
        } else if !self.tune.slurs.iter().rev().take(8).any(|slur| *slur == new) {
            self.tune.slurs.push(new);
        }
    }
}

/// A decimal number as a fraction, `None` if it is none or absurd.
pub(super) fn decimal(text: &str) -> Option<Fraction> {
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let fits = whole.len() <= 9 && part.len() <= 6 && digits(whole) && digits(part) && whole.len() + part.len() > 0;
    fits.then_some(())?;
    let scale = 10i64.pow(u32::try_from(part.len()).ok()?);
    let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
    let part: i64 = if part.is_empty() { 0 } else { part.parse().ok()? };
    Some(Fraction::new(whole * scale + part, scale))
}
