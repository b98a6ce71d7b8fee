//! Music code into bars: the state that runs along the music, and what each token does to it.
//!
//! Takes lines of music and the fields between them, gives a tune. Durations are settled here; onsets, drawn values and
//! bar numbers come from `assemble`. Source: ABC 2.1 §4.

use super::items::Code;
use super::lyrics::Verses;
use super::scan::scan;
use super::setup::Setup;
use super::sound::{Chord, GraceGroup, Prefix};
use super::token::{Kind, Token};
use super::{AbcOptions, MOST_EVENTS, macros, measure};
use crate::diag::Place;
use crate::reader::assemble;
use crate::reader::complaints::Complaints;
use crate::tune::{
    Bar, BarlineStyle, Duration, Event, Fraction, KeySignature, Meter, NoteId, Slur, Step, Tempo, Tune, Tuplet,
    TupletId,
};

/// A tuplet that still takes notes.
#[derive(Debug, Clone, Copy)]
pub(super) struct OpenTuplet {
    pub id: TupletId,
    pub factor: Fraction,
    pub left: u32,
    pub place: Place,
}

/// Changes that wait for the next bar.
#[derive(Debug, Clone, Default)]
pub(super) struct Upcoming {
    pub meter: Option<Meter>,
    pub key: Option<KeySignature>,
    pub tempo: Option<Tempo>,
    pub part: Option<String>,
    pub segno: bool,
}

/// Reads the music of one tune.
pub(super) struct Builder<'a> {
    pub setup: Setup,
    pub complaints: &'a mut Complaints,
    pub key: KeySignature,
    pub meter: Meter,
    pub unit: Duration,
    pub octave: i32,
    /// Alterations given in this bar: by letter, and the octave where they were given.
    pub signs: Vec<(Step, i32, i8)>,
    pub bars: Vec<Bar>,
    pub bar: Bar,
    pub upcoming: Upcoming,
    pub prefix: Prefix,
    pub chord: Option<Chord>,
    pub grace: Option<GraceGroup>,
    pub tuplet: Option<OpenTuplet>,
    pub broken: Option<(i8, Place)>,
    pub slurs_open: Vec<(NoteId, bool, Place)>,
    pub next_id: u32,
    pub last_id: Option<NoteId>,
    pub gap: bool,
    pub repeat_times: u8,
    pub events: usize,
    pub full: bool,
    pub overlay: usize,
    pub verses: Verses,
    pub voice: Option<String>,
    pub wanted: Option<String>,
    /// Whether the voice was asked for, not merely the first.
    pub asks_for_voice: bool,
    /// The voices met so far, and where each first is.
    pub voices: Vec<(String, Place)>,
    pub muted: bool,
    /// The bars of coda signs, and where such a sign stands before the first note of its bar.
    pub codas: Vec<(usize, Option<Place>)>,
    /// How many heads have been read.
    pub heads: usize,
}

impl<'a> Builder<'a> {
    pub fn new(mut setup: Setup, options: &AbcOptions, complaints: &'a mut Complaints) -> Self {
        setup.settle(complaints);
        let wanted = options.voice.clone().or_else(|| setup.voices.first().map(|v| v.id.clone()));
        let voices = setup.voices.iter().map(|voice| (voice.id.clone(), voice.place)).collect();
        let octave = setup.octave;
        let mut builder = Self {
            key: setup.tune.key.clone(),
            meter: setup.tune.meter.clone(),
            unit: setup.tune.unit,
            octave,
            setup,
            complaints,
            signs: Vec::new(),
            bars: Vec::new(),
            bar: Bar::blank(),
            upcoming: Upcoming::default(),
            prefix: Prefix::default(),
            chord: None,
            grace: None,
            tuplet: None,
            broken: None,
            slurs_open: Vec::new(),
            next_id: 0,
            last_id: None,
            gap: true,
            repeat_times: 0,
            events: 0,
            full: false,
            overlay: 0,
            verses: Verses::default(),
            voice: None,
            wanted,
            asks_for_voice: options.voice.is_some(),
            voices,
            muted: false,
            codas: Vec::new(),
            heads: 0,
        };
        builder.start_voices();
        builder
    }
    fn start_voices(&mut self) {
        let wanted = self.setup.voices.iter().find(|voice| Some(&voice.id) == self.wanted.as_ref());
        self.octave += wanted.map_or(0, |voice| voice.octave);
    }
    /// Complains where a voice was asked for that the tune does not have. One without voices has nothing to choose.
    fn look_for_voice(&mut self) {
        let Some((_, first)) = self.voices.first() else { return };
        let Some(wanted) = self.wanted.as_ref().filter(|_| self.asks_for_voice) else { return };
        if !self.voices.iter().any(|(id, _)| id == wanted) {
            let known: Vec<_> = self.voices.iter().map(|(id, _)| id.as_str()).collect();
            let (message, hint) =
                (format!("there is no voice “{wanted}”"), format!("the voices are {}", known.join(", ")));
            self.complaints.unmet(code!("no-such-voice"), *first, message, &hint);
        }
    }
    /// Takes a line of music.
    pub fn line(&mut self, code: Code) {
        if self.full {
            return;
        }
        let code = if self.setup.macros.is_empty() {
            code
        } else {
            match macros::expand(code, &self.setup.macros) {
                Ok(code) => code,
                Err(code) => {
                    let place = code.place(0, 1);
                    self.complaints.fault(
                        code!("macro-too-long"),
                        place,
                        "macros make this line too long; they are left out",
                        "write the line out",
                    );
                    code
                }
            }
        };
        let tokens = if self.muted && !code.chars.windows(3).any(|w| matches!(w, ['[', 'V', ':'])) {
            Vec::new()
        } else {
            scan(&code, self.setup.dialect, self.complaints)
        };
        for token in &tokens {
            let place = code.place(token.at, token.width);
            if let Kind::Field(letter, text, at) = &token.kind {
                self.inline(*letter, text, code.place(*at, text.chars().count()));
            } else if !self.muted {
                self.token(token, place);
            }
            if self.full {
                return;
            }
        }
        if !self.muted {
            self.line_end(&code);
            self.verses.music_came();
        }
    }
    fn line_end(&mut self, code: &Code) {
        let place = code.place(code.chars.len(), 1);
        self.close_brackets(place);
        if code.goes_on {
            return;
        }
        self.gap = true;
        if self.setup.dialect.lines_break {
            self.end_system();
        }
    }
    /// A line of music ends: chords and graces can't run over it.
    fn close_brackets(&mut self, place: Place) {
        if let Some(chord) = &self.chord {
            let from = chord.place;
            self.complaints.fault(
                code!("chord-not-closed"),
                from,
                "a chord is not closed on its line",
                "write ] after its notes",
            );
            self.chord_close(Fraction::ONE, place);
        }
        if let Some(grace) = &self.grace {
            let from = grace.place;
            self.complaints.fault(
                code!("graces-not-closed"),
                from,
                "grace notes are not closed on their line",
                "write } after them",
            );
            self.grace_close();
            // Told already; whether a note follows makes no second complaint.
            self.prefix.spaced = true;
        }
    }
    /// The source breaks the system here.
    fn end_system(&mut self) {
        if self.bar.events.is_empty()
            && let Some(last) = self.bars.last_mut()
        {
            last.line_ends = true;
        }
    }
    fn token(&mut self, token: &Token, place: Place) {
        if self.overlay > 0 {
            match &token.kind {
                Kind::Bar(_) => {
                    self.overlay -= 1;
                    if self.overlay > 0 {
                        return;
                    }
                }
                _ => return,
            }
        }
        match &token.kind {
            Kind::Note(note) => self.note(*note, place),
            Kind::Rest { visible, length } => self.rest(*visible, *length, place),
            Kind::BarRests { visible, bars } => self.bar_rests(*visible, *bars, place),
            Kind::Spacer => self.prefix.spaced = true,
            Kind::Field(..) => {}
            Kind::Bar(bar) => self.barline(bar, place),
            Kind::Ending(passes) => self.ending(passes, place),
            Kind::ChordOpen => self.chord_open(place),
            Kind::ChordClose(length) => self.chord_close(*length, place),
            Kind::GraceOpen { slashed } => self.grace_open(*slashed, place),
            Kind::GraceClose => self.grace_close_at(place),
            Kind::SlurOpen { dotted } => self.slur_open(*dotted, place),
            Kind::SlurClose => self.slur_close(place),
            Kind::Tie { touching } => self.tie(*touching, place),
            Kind::Tuplet { p, q, r } => self.tuplet_open(*p, *q, *r, place),
            Kind::Broken(count) => self.broken_sign(*count, place),
            Kind::Decoration(name) => self.decoration(name, place),
            Kind::Short(letter) => self.short(*letter, place),
            Kind::Text(text) => self.text(text, place),
            Kind::Blank => self.gap = true,
            Kind::LineBreak => self.end_system(),
            Kind::Overlay(bars) => {
                let message = "a second voice after & is left out";
                self.complaints.warn_once(
                    "",
                    code!("overlay-left-out"),
                    place,
                    message,
                    "the first voice of the bar is read",
                );
                self.overlay = *bars;
            }
        }
    }
    fn tuplet_open(&mut self, p: u32, q: u32, r: u32, place: Place) {
        if let Some(open) = self.tuplet.take() {
            let message = format!(
                "a tuplet begins while {} of the one before {} wanting",
                open.left,
                if open.left == 1 { "is" } else { "are" }
            );
            let hint = "(3 takes three notes, (2 two; write the notes it lacks";
            self.complaints.fault(code!("tuplet-cut-short"), open.place, message, hint);
        }
        if p < 1 || (p == 1 && q == 0) {
            self.complaints.fault(code!("odd-tuplet"), place, "this is no tuplet", "a triplet is (3 before its notes");
            return;
        }
        // Of compound metres the standard names those in eighths (§4.13).
        let in_eighths = self.meter.figures().is_some_and(|(_, unit)| unit >= 8);
        let n = if in_eighths && self.meter.is_compound() { 3 } else { 2 };
        let normal = match (q, p) {
            (0, 3 | 6) => 2,
            (0, 2 | 4 | 8) => 3,
            (0, _) => n,
            (q, _) => q,
        };
        let id = TupletId(u32::try_from(self.setup.tune.tuplets.len()).unwrap_or(u32::MAX));
        self.setup.tune.tuplets.push(Tuplet { actual: p, normal });
        let factor = Fraction::new(normal.into(), p.into());
        self.tuplet = Some(OpenTuplet { id, factor, left: if r == 0 { p } else { r }, place });
    }
    fn broken_sign(&mut self, count: i8, place: Place) {
        if let Some(grace) = &mut self.grace {
            grace.broken(count);
        } else if self.bar.events.is_empty() || self.broken.is_some() {
            self.complaints.fault(
                code!("odd-broken-rhythm"),
                place,
                "> or < stands between two notes of a bar",
                "take it out, or write the note it lacks",
            );
        } else {
            self.broken = Some((count, place));
        }
    }
    /// Adds a head or rest of so many units.
    pub fn push_event(&mut self, mut event: Event, length: Fraction, place: Place) {
        let mut factor = length;
        if let Some((count, _)) = self.broken.take() {
            let (before, after) = broken_factors(count);
            if let Some(previous) = self.bar.events.last_mut() {
                previous.duration = previous.duration.times(before);
            }
            factor = factor * after;
        }
        if let Some(mut open) = self.tuplet.take() {
            factor = factor * open.factor;
            event.tuplet = Some(open.id);
            open.left -= 1;
            self.tuplet = (open.left > 0).then_some(open);
        }
        event.duration = self.unit.times(factor);
        event.beamed_to_previous = !self.gap && !self.bar.events.is_empty();
        event.place = Some(place);
        self.gap = false;
        if self.bar.events.is_empty() {
            self.bar.place = Some(place);
        }
        self.bar.events.push(event);
        self.count(place);
    }
    /// Counts a note against the bound.
    pub fn count(&mut self, place: Place) {
        self.events += 1;
        if self.events > MOST_EVENTS && !self.full {
            let message = format!("a tune has at most {MOST_EVENTS} notes; the rest of this one is not read");
            self.complaints.fault(code!("tune-too-long"), place, message, "make it several tunes");
            self.full = true;
        }
    }
    /// The whole tune.
    pub fn finish(mut self) -> Tune {
        self.look_for_voice();
        if let Some((_, place)) = self.broken {
            self.complaints.fault(
                code!("odd-broken-rhythm"),
                place,
                "> or < has no note after it",
                "take it out, or write the note it lacks",
            );
        }
        if let Some(open) = &self.tuplet {
            let message = format!(
                "the tune ends while {} of this tuplet {} wanting",
                open.left,
                if open.left == 1 { "is" } else { "are" }
            );
            let hint = "(3 takes three notes, (2 two; write the notes it lacks";
            self.complaints.fault(code!("tuplet-cut-short"), open.place, message, hint);
        }
        let told = self.full || self.prefix.spaced;
        let left = self.prefix.place.filter(|_| !told && self.prefix.waits());
        if let Some(place) = left {
            let message = "no note comes after this; it is left out";
            self.complaints.warn(code!("nothing-follows"), place, message, "such signs stand before their note");
        }
        for (_, _, place) in std::mem::take(&mut self.slurs_open) {
            self.complaints.warn(
                code!("slur-not-closed"),
                place,
                "this slur is not closed",
                "write ) after its last note",
            );
        }
        if !self.bar.events.is_empty() {
            self.close_bar(BarlineStyle::None);
        }
        self.last_ties();
        self.settle_codas();
        let mut tune = self.setup.tune;
        tune.bars = self.bars;
        self.verses.lay(&mut tune, self.complaints);
        assemble::finish(tune, self.complaints)
    }
    /// Adds a slur unless it begins and ends on one note.
    pub fn add_slur(&mut self, from: NoteId, to: NoteId, dotted: bool) {
        if from < to {
            self.setup.tune.slurs.push(Slur { from, to, dotted });
        }
    }
    /// The unit that a metre calls for, where a body gives none of its own.
    pub fn set_unit(&mut self, text: &str, place: Place) {
        match measure::unit(text) {
            Some(unit) => self.unit = unit,
            None => super::setup::odd_unit(text, place, self.complaints),
        }
    }
}

/// What `>` signs do to the note before and the note after (§4.4): `>` 3/2 and 1/2, `>>` 7/4 and 1/4.
pub(super) fn broken_factors(count: i8) -> (Fraction, Fraction) {
    let part = 1i64 << count.unsigned_abs();
    let (long, short) = (Fraction::new(2 * part - 1, part), Fraction::new(1, part));
    if count > 0 { (long, short) } else { (short, long) }
}
