//! Barlines, endings, rests of whole bars, decorations and texts, as they change the bars being read.
//!
//! Source: ABC 2.1 §4.5 (rests of bars), §4.8 to §4.10 (barlines, endings), §4.14 to §4.19 (decorations and texts).

use super::decorations::{self, Meaning};
use super::music::Builder;
use super::token::BarText;
use super::{MOST_BARS, chords};
use crate::diag::Place;
use crate::tune::{
    Annotation, Bar, BarlineStyle, ChordSymbol, Duration, Ending, Event, Jump, Landmark, Mark, NoteValue, Placement,
    Sounding, ThinVec,
};

/// A rest stands for at most so many bars.
const MOST_REST_BARS: u32 = 500;
/// A note bears at most so many signs.
const MOST_MARKS: usize = 32;

/// How strong a style is: of two barlines on one spot the stronger is drawn.
fn rank(style: BarlineStyle) -> u8 {
    match style {
        BarlineStyle::None => 0,
        BarlineStyle::Invisible => 1,
        BarlineStyle::Single => 2,
        BarlineStyle::Dotted => 3,
        BarlineStyle::HeavyLight => 4,
        BarlineStyle::Double => 5,
        BarlineStyle::Final => 6,
    }
}

fn stronger(a: BarlineStyle, b: BarlineStyle) -> BarlineStyle {
    if rank(b) > rank(a) { b } else { a }
}

impl Builder<'_> {
    /// Closes the bar being read; another begins.
    pub fn close_bar(&mut self, style: BarlineStyle) {
        let mut bar = std::mem::replace(&mut self.bar, Bar::blank());
        bar.right.style = style;
        self.bars.push(bar);
        self.signs.clear();
        self.gap = true;
        self.begin_bar();
    }
    fn begin_bar(&mut self) {
        let upcoming = std::mem::take(&mut self.upcoming);
        self.bar.meter = upcoming.meter;
        self.bar.key = upcoming.key.map(Box::new);
        self.bar.tempo = upcoming.tempo.map(Box::new);
        self.bar.part = upcoming.part;
        if upcoming.segno {
            self.bar.landmarks.push(Landmark::Segno);
        }
    }
    pub fn barline(&mut self, text: &BarText, place: Place) {
        if let Some(open) = self.chord.take() {
            let hint = "write ] after its notes";
            self.complaints.fault(
                code!("chord-not-closed"),
                open.place,
                "a chord is not closed before the barline",
                hint,
            );
        }
        if let Some((_, place)) = self.broken.take() {
            self.complaints.fault(
                code!("odd-broken-rhythm"),
                place,
                "> or < stands between two notes of a bar",
                "take it out, or write the note it lacks",
            );
        }
        if self.bars.len() >= MOST_BARS {
            if !self.full {
                let message = format!("a tune has at most {MOST_BARS} bars; the rest of this one is not read");
                self.complaints.fault(code!("tune-too-long"), place, message, "make it several tunes");
            }
            self.full = true;
            return;
        }
        if text.repeat_start == 0 && !self.bars.is_empty() {
            self.chord_without_note();
        }
        let marks = self.barline_marks();
        if !self.bar.events.is_empty() {
            self.close_bar(text.right);
        } else if let Some(last) = self.bars.last_mut() {
            last.right.style = stronger(last.right.style, text.right);
            self.signs.clear();
        }
        if text.repeat_end > 0
            && let Some(last) = self.bars.last_mut()
        {
            let times = text.repeat_end.max(self.repeat_times);
            last.right.repeat_end = last.right.repeat_end.max(times);
            self.repeat_times = 0;
        }
        if let Some(last) = self.bars.last_mut() {
            last.barline_marks.extend(marks);
        }
        self.bar.left.style = stronger(self.bar.left.style, text.left);
        if text.repeat_start > 0 {
            self.bar.left.repeat_start = true;
            self.repeat_times = text.repeat_start;
        }
        if !text.ending.is_empty() {
            self.ending(&text.ending, place);
        }
    }
    /// A chord name, and no note or spacer after it in its bar: the bar was emptied, or the name stands before its barline.
    fn chord_without_note(&mut self) {
        let (true, false, false, Some(place)) =
            (self.bar.events.is_empty(), self.prefix.chord_symbols.is_empty(), self.prefix.spaced, self.prefix.place)
        else {
            return;
        };
        let hint = "write its notes, or a rest such as z2; a chord name stands before the note it sounds with";
        self.complaints.fault(code!("chord-without-note"), place, "this bar has a chord name and no note", hint);
        self.prefix.chord_symbols.clear();
    }
    /// The signs before a barline: a fermata is the line's own, a breath or the end of a swell the last note's, and any other has
    /// nothing to belong to. Nothing waits from there on unless texts or graces do.
    fn barline_marks(&mut self) -> ThinVec<Mark> {
        let (marks, place) = (std::mem::take(&mut self.prefix.marks), self.prefix.place);
        if !self.prefix.waits() {
            self.prefix.place = None;
        }
        let mut own = ThinVec::new();
        for mark in marks {
            let last = match self.bar.events.last_mut() {
                Some(event) => Some(event),
                None => self.bars.last_mut().and_then(|bar| bar.events.last_mut()),
            };
            match (mark, last) {
                (Mark::Fermata | Mark::FermataBelow, Some(_)) => own.push(mark),
                (Mark::Breath | Mark::Caesura | Mark::CrescendoEnd | Mark::DiminuendoEnd, Some(event)) => {
                    if event.marks.len() < MOST_MARKS && !event.marks.contains(&mark) {
                        event.marks.push(mark);
                    }
                }
                _ => {
                    let Some(place) = place else { continue };
                    let name = decorations::mark_name(mark);
                    let message = format!("the sign “{name}” before a barline belongs to no note, and is left out");
                    let hint = "write it before its note; a breath, a fermata or the end of a swell may stand before a barline";
                    self.complaints.warn_once(name, code!("sign-without-note"), place, message, hint);
                }
            }
        }
        own
    }
    pub fn ending(&mut self, passes: &[u8], place: Place) {
        if !self.bar.events.is_empty() {
            // An ending may begin inside a bar; the bar is split there without a line.
            self.close_bar(BarlineStyle::None);
        }
        if self.bar.ending.is_some() {
            self.complaints.fault(code!("ending-twice"), place, "two endings begin at one place", "list them: [1,2");
        }
        self.bar.ending = Some(Ending { passes: passes.to_vec(), last_bar: 0, closed: false });
    }
    /// `Z` or `X`: whole bars of rest, each a bar of its own.
    pub fn bar_rests(&mut self, visible: bool, bars: u32, place: Place) {
        self.last_ties();
        if !self.bar.events.is_empty() || bars == 0 || self.grace.is_some() || self.chord.is_some() {
            self.complaints.fault(
                code!("odd-bar-rest"),
                place,
                "a rest of whole bars fills bars of its own",
                "write it between barlines",
            );
            return;
        }
        let Some(length) = self.meter.bar_length() else {
            self.complaints.fault(
                code!("odd-bar-rest"),
                place,
                "without a metre a bar of rest has no length",
                "write M: or z",
            );
            return;
        };
        let mut count = bars;
        if bars > MOST_REST_BARS || self.bars.len() + bars as usize > MOST_BARS {
            self.complaints.fault(
                code!("odd-bar-rest"),
                place,
                format!("{bars} bars of rest are too many; one is read"),
                "write Z4 for four bars",
            );
            count = 1;
        }
        for nth in 0..count {
            if nth > 0 {
                self.close_bar(BarlineStyle::Single);
            }
            self.bar.rest_run = if nth == 0 && count > 1 { count } else { 0 };
            self.bar.place = Some(place);
            let rest = self.bar_rest(visible, length, place);
            self.bar.events.push(rest);
            self.count(place);
        }
    }
    fn bar_rest(&mut self, visible: bool, length: Duration, place: Place) -> Event {
        let value = NoteValue::exact(length).unwrap_or(NoteValue::plain(0));
        let prefix = std::mem::take(&mut self.prefix);
        Event {
            duration: length,
            value,
            graces: prefix.graces,
            graces_slashed: prefix.slashed,
            marks: prefix.marks,
            annotations: prefix.annotations,
            chord_symbols: prefix.chord_symbols,
            place: Some(place),
            ..Event::blank(Sounding::Rest { visible, whole_bar: true })
        }
    }
    /// A decoration by its name.
    pub fn decoration(&mut self, name: &str, place: Place) {
        match decorations::by_name(name) {
            Some(meaning) => self.meaning(meaning, name, place),
            None => {
                let message = format!("there is no decoration “{name}”");
                self.complaints.warn_once(name, code!("unknown-decoration"), place, message, "it is left out");
            }
        }
    }
    fn meaning(&mut self, meaning: Meaning, name: &str, place: Place) {
        match meaning {
            Meaning::Mark(_) if self.grace.is_some() => {
                self.complaints.warn_once(
                    "grace",
                    code!("mark-on-grace"),
                    place,
                    "signs on grace notes are left out",
                    "write the sign before the main note",
                );
            }
            Meaning::Mark(mark) => self.mark(mark, place),
            Meaning::Landmark(Landmark::Coda) => {
                let before = self.bar.events.is_empty() && !self.bars.is_empty();
                self.codas.push((self.mark_bar(), before.then_some(place)));
            }
            Meaning::Landmark(Landmark::Segno) => self.bar.landmarks.push(Landmark::Segno),
            Meaning::Landmark(Landmark::Fine) => {
                if let Some(bar) = self.ending_bar() {
                    bar.landmarks.push(Landmark::Fine);
                }
            }
            Meaning::Jump(jump) => self.jump(jump),
            Meaning::NotDrawn => {
                let message = format!("the decoration “{name}” is not drawn");
                self.complaints.warn_once(
                    name,
                    code!("decoration-not-drawn"),
                    place,
                    message,
                    "say it in words: \"^...\"",
                );
            }
            Meaning::Nothing => {}
        }
    }
    fn mark(&mut self, mark: Mark, place: Place) {
        self.prefix.place.get_or_insert(place);
        if self.prefix.marks.len() < MOST_MARKS && !self.prefix.marks.contains(&mark) {
            self.prefix.marks.push(mark);
        }
    }
    fn jump(&mut self, jump: Jump) {
        if let Some(bar) = self.ending_bar() {
            bar.jump = Some(jump);
        }
    }
    /// The bar at whose end something stands: the one being read, or the one just closed if nothing of the next was read.
    fn ending_bar(&mut self) -> Option<&mut Bar> {
        if self.bar.events.is_empty() && !self.bars.is_empty() { self.bars.last_mut() } else { Some(&mut self.bar) }
    }
    /// The index that the bar being read will have.
    fn mark_bar(&self) -> usize {
        self.bars.len()
    }
    /// Of several coda signs the first says where to leave, the others where to go.
    pub fn settle_codas(&mut self) {
        let mut signs = std::mem::take(&mut self.codas);
        signs.dedup_by_key(|(bar, _)| *bar);
        signs.retain(|(bar, _)| *bar < self.bars.len());
        if signs.len() > 1 {
            let (from, before) = signs.remove(0);
            self.bars[from].jump.get_or_insert(Jump::ToCoda);
            if let Some(place) = before {
                let message =
                    "the sign to leave stands before the first note of its bar, which is played to its end first";
                let hint = "to leave before this bar, write the sign before the barline; to leave after it, behind the last note of the bar";
                self.complaints.warn(code!("leaves-after-bar"), place, message, hint);
            }
        }
        for (bar, _) in signs {
            self.bars[bar].landmarks.push(Landmark::Coda);
        }
    }
    /// A short letter for a decoration.
    pub fn short(&mut self, letter: char, place: Place) {
        match self.setup.short(letter).map(str::to_owned) {
            Some(name) if name.is_empty() => {}
            Some(name) => match name.strip_prefix('"') {
                Some(text) => self.text(&super::text::decode(text), place),
                None => self.decoration(&name, place),
            },
            None => {
                let message = format!("the letter “{letter}” stands for no decoration");
                self.complaints.fault(code!("unknown-letter"), place, message, "set it with U: or leave it out");
            }
        }
    }
    /// A text in quotes: an annotation if it begins with a sign of place, else a chord symbol.
    pub fn text(&mut self, text: &str, place: Place) {
        self.prefix.place.get_or_insert(place);
        let sign = text.chars().next();
        let placement = match sign {
            Some('^' | '@') => Placement::Above,
            Some('_') => Placement::Below,
            Some('<') => Placement::Left,
            Some('>') => Placement::Right,
            _ => {
                self.chord_name(text, place);
                return;
            }
        };
        let text = text[1..].trim();
        if let Some(meaning) = decorations::by_words(text) {
            self.meaning(meaning, text, place);
        } else if let ("1" | "2" | "3" | "4" | "5", Some(digit)) = (text, text.bytes().next()) {
            self.mark(Mark::Finger(digit - b'0'), place);
        } else if !text.is_empty() && self.prefix.annotations.len() < 32 {
            self.prefix.annotations.push(Annotation { placement, text: text.to_owned() });
        }
    }
    fn chord_name(&mut self, text: &str, place: Place) {
        let chord = ChordSymbol::read(text.trim());
        if let (None, Some(meaning)) = (chord.root, decorations::by_words(text)) {
            self.meaning(meaning, text, place);
        } else if !chord.text.is_empty() && self.prefix.chord_symbols.len() < 32 {
            chords::complain_of_none(&chord, place, self.complaints);
            self.prefix.chord_symbols.push(chord);
        }
    }
}
