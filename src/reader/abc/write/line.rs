//! Bars into a line of music code.
//!
//! Follows the reader's own rule for accidentals, so that only signs that are needed or were written stand there.
//! Source: ABC 2.1 §4.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::decorations::{jump_name, mark_name};
use super::super::text::encode;
use super::{between, fields, passes, right_side};
use crate::tune::{
    Bar, Duration, Event, Fraction, KeySignature, Landmark, Mark, Note, NoteId, NoteValue, Pitch, Placement, Sounding,
    Step, Tune, TupletId,
};

/// Writes bars one after another and knows what is in force.
pub(super) struct Hand<'a> {
    tune: &'a Tune,
    key: KeySignature,
    signs: Vec<(Step, i8)>,
    /// Pitches tied from the event before.
    tied: Vec<Pitch>,
    tuplet: Option<TupletId>,
    tuplet_sizes: BTreeMap<TupletId, usize>,
    slur_starts: BTreeMap<NoteId, Vec<bool>>,
    slur_ends: BTreeMap<NoteId, usize>,
}

impl<'a> Hand<'a> {
    pub fn new(tune: &'a Tune) -> Self {
        let mut tuplet_sizes = BTreeMap::new();
        for id in tune.bars.iter().flat_map(|bar| &bar.events).filter_map(|event| event.tuplet) {
            *tuplet_sizes.entry(id).or_insert(0) += 1;
        }
        let mut slur_starts: BTreeMap<NoteId, Vec<bool>> = BTreeMap::new();
        let mut slur_ends = BTreeMap::new();
        for slur in &tune.slurs {
            slur_starts.entry(slur.from).or_default().push(slur.dotted);
            *slur_ends.entry(slur.to).or_insert(0) += 1;
        }
        Self {
            tune,
            key: tune.key.clone(),
            signs: Vec::new(),
            tied: Vec::new(),
            tuplet: None,
            tuplet_sizes,
            slur_starts,
            slur_ends,
        }
    }
    /// A line of bars.
    pub fn bars(&mut self, range: Range<usize>) -> String {
        let mut out = String::new();
        let mut skip = 0;
        for at in range.clone() {
            let bar = &self.tune.bars[at];
            if skip > 0 {
                // The bar is part of a rest of several bars, already written.
                skip -= 1;
            } else {
                let before = (at > range.start).then(|| &self.tune.bars[at - 1]);
                self.start(before, bar, &mut out);
                skip = self.run(at, range.end).map_or(0, |run| run - 1);
                if skip > 0 {
                    let letter = if is_visible(bar) { 'Z' } else { 'X' };
                    out.push_str(&format!(" {letter}{}", skip + 1));
                } else {
                    self.events(bar, &mut out);
                }
            }
            self.end(bar, &mut out);
            if at + 1 == range.end {
                let right = right_side(&bar.right);
                space(&mut out, &right);
                out.push_str(&right);
            }
        }
        out
    }
    /// How many bars one multi-bar rest stands for, if it can be written as one.
    fn run(&self, at: usize, end: usize) -> Option<usize> {
        let run = usize::try_from(self.tune.bars[at].rest_run).ok().filter(|run| *run > 1 && at + run <= end)?;
        let bars = &self.tune.bars[at..at + run];
        let visible = is_visible(&bars[0]);
        let plain = bars.iter().enumerate().all(|(nth, bar)| {
            let alone =
                matches!(bar.events.as_slice(), [Event { sounding: Sounding::Rest { whole_bar: true, .. }, .. }]);
            let inner = nth == 0 || (bar.left.style == Default::default() && !has_start(bar));
            let open =
                nth + 1 == run || (bar.right.repeat_end == 0 && bar.jump.is_none() && right_side(&bar.right) == "|");
            alone && inner && open && is_visible(bar) == visible
        });
        plain.then_some(run)
    }
    fn start(&mut self, before: Option<&Bar>, bar: &Bar, out: &mut String) {
        let line = between(before, bar);
        if !line.is_empty() {
            space(out, &line);
            out.push_str(&line);
        }
        if let Some(ending) = &bar.ending {
            out.push_str(if line.ends_with('|') { "" } else { " [" });
            out.push_str(&passes(&ending.passes));
        }
        self.signs.clear();
        let mut inline = |letter: char, text: String| out.push_str(&format!(" [{letter}:{text}]"));
        if let Some(part) = &bar.part {
            inline('P', encode(&part.replace(']', ")"), false));
        }
        if let Some(meter) = &bar.meter {
            inline('M', fields::meter(meter));
        }
        if let Some(key) = &bar.key {
            inline('K', fields::key(key));
            self.key.clone_from(key);
        }
        if let Some(tempo) = &bar.tempo {
            inline('Q', fields::tempo(tempo).replace(']', ")"));
        }
        for landmark in &bar.landmarks {
            match landmark {
                Landmark::Segno => out.push_str(" !segno!"),
                Landmark::Coda => out.push_str(" !coda!"),
                Landmark::Fine => {}
            }
        }
    }
    fn end(&self, bar: &Bar, out: &mut String) {
        if bar.landmarks.contains(&Landmark::Fine) {
            out.push_str(" !fine!");
        }
        if let Some(jump) = bar.jump {
            out.push_str(&format!(" !{}!", jump_name(jump)));
        }
        for mark in &bar.barline_marks {
            out.push_str(&format!(" !{}!", mark_name(*mark)));
        }
    }
    fn events(&mut self, bar: &Bar, out: &mut String) {
        // How a broken rhythm changed the event that comes next.
        let mut short_by: Option<Fraction> = None;
        for (at, event) in bar.events.iter().enumerate() {
            if !event.beamed_to_previous {
                out.push(' ');
            }
            let length = self.length(event);
            let (length, sign) = match short_by.take() {
                Some(factor) => (length * factor, ""),
                None => match bar.events.get(at + 1).and_then(|next| self.broken(event, next)) {
                    Some((before, after, sign)) => {
                        short_by = Some(after);
                        (length * before, sign)
                    }
                    None => (length, ""),
                },
            };
            self.event(event, length, out);
            out.push_str(sign);
        }
    }
    /// A pair of notes that is tidier as a broken rhythm: factors for their written lengths, and the sign.
    fn broken(&self, first: &Event, second: &Event) -> Option<(Fraction, Fraction, &'static str)> {
        let is_head = |event: &Event| event.head().is_some();
        let free = |event: &Event| {
            let ends = event.head().is_some_and(|id| self.slur_ends.contains_key(&id));
            !ends && event.notes().iter().all(|note| !note.tied_to_next)
        };
        let together = first.tuplet == second.tuplet && (second.tuplet.is_none() || self.tuplet == second.tuplet);
        (is_head(first) && is_head(second) && free(first) && together && second.graces.is_empty()).then_some(())?;
        let (a, b) = (self.length(first), self.length(second));
        let (two_thirds, double) = (Fraction::new(2, 3), Fraction::new(2, 1));
        let plain = |length: Fraction| length.num() == 1 || length.den() == 1;
        if first.value.dots == 1 && a == b * Fraction::new(3, 1) && plain(a * two_thirds) {
            Some((two_thirds, double, ">"))
        } else if second.value.dots == 1 && b == a * Fraction::new(3, 1) && plain(b * two_thirds) {
            Some((double, two_thirds, "<"))
        } else {
            None
        }
    }
    /// The written length in units.
    fn length(&self, event: &Event) -> Fraction {
        let tuplet = event.tuplet.and_then(|id| self.tune.tuplets.get(id.0 as usize));
        let stretch = tuplet.map_or(Fraction::ONE, |t| Fraction::new(t.actual.into(), t.normal.into()));
        event.duration.times(stretch).over(self.tune.unit)
    }
    fn event(&mut self, event: &Event, length: Fraction, out: &mut String) {
        self.open_tuplet(event, out);
        self.graces(event, out);
        for chord in &event.chord_symbols {
            out.push_str(&format!("\"{}\"", encode(&chord.text, true)));
        }
        for annotation in &event.annotations {
            let sign = match annotation.placement {
                Placement::Above => '^',
                Placement::Below => '_',
                Placement::Left => '<',
                Placement::Right => '>',
            };
            out.push_str(&format!("\"{sign}{}\"", encode(&annotation.text, true)));
        }
        if let Some(id) = event.head() {
            self.open_slurs(id, out);
        }
        for mark in &event.marks {
            match mark {
                Mark::Staccato => out.push('.'),
                Mark::Roll => out.push('~'),
                Mark::Trill => out.push('T'),
                Mark::UpBow => out.push('u'),
                Mark::DownBow => out.push('v'),
                _ => out.push_str(&format!("!{}!", mark_name(*mark))),
            }
        }
        match &event.sounding {
            Sounding::Rest { visible, .. } => {
                out.push(if *visible { 'z' } else { 'x' });
                out.push_str(&figures(length));
                self.tied.clear();
            }
            Sounding::Head { id, notes } => {
                self.notes(notes, &figures(length), out);
                self.close_slurs(*id, out);
                self.tied = notes.iter().filter(|note| note.tied_to_next).map(|note| note.pitch).collect();
            }
        }
    }
    fn open_tuplet(&mut self, event: &Event, out: &mut String) {
        if let Some(id) = event.tuplet.filter(|id| self.tuplet != Some(*id))
            && let Some(tuplet) = self.tune.tuplets.get(id.0 as usize)
        {
            let size = self.tuplet_sizes.get(&id).copied().unwrap_or(0);
            let usual = (tuplet.actual == 3 && tuplet.normal == 2) || (tuplet.actual == 2 && tuplet.normal == 3);
            if usual && size == tuplet.actual as usize {
                out.push_str(&format!("({}", tuplet.actual));
            } else {
                out.push_str(&format!("({}:{}:{size}", tuplet.actual, tuplet.normal));
            }
        }
        self.tuplet = event.tuplet;
    }
    fn graces(&mut self, event: &Event, out: &mut String) {
        if event.graces.is_empty() {
            return;
        }
        out.push_str(if event.graces_slashed { "{/" } else { "{" });
        let base = NoteValue::plain(if event.graces.len() > 1 { 4 } else { 3 }).duration();
        let tied = std::mem::take(&mut self.tied);
        for grace in &event.graces {
            self.open_slurs(grace.id, out);
            let length: Duration = grace.value.duration();
            self.notes(&grace.notes, &figures(length.over(base)), out);
            self.close_slurs(grace.id, out);
        }
        self.tied = tied;
        out.push('}');
    }
    fn open_slurs(&self, id: NoteId, out: &mut String) {
        for dotted in self.slur_starts.get(&id).into_iter().flatten() {
            out.push_str(if *dotted { ".(" } else { "(" });
        }
    }
    fn close_slurs(&self, id: NoteId, out: &mut String) {
        out.push_str(&")".repeat(self.slur_ends.get(&id).copied().unwrap_or(0)));
    }
    fn notes(&mut self, notes: &[Note], length: &str, out: &mut String) {
        let all_tied = notes.iter().all(|note| note.tied_to_next);
        let chord = notes.len() > 1;
        if chord {
            out.push('[');
        }
        for note in notes {
            self.note(note, out);
            if chord && note.tied_to_next && !all_tied {
                out.push('-');
            }
        }
        if chord {
            out.push(']');
        }
        out.push_str(length);
        if all_tied {
            out.push('-');
        }
    }
    fn note(&mut self, note: &Note, out: &mut String) {
        let pitch = note.pitch;
        let tied = self.tied.iter().find(|p| p.step == pitch.step && p.octave == pitch.octave).map(|p| p.alter);
        let given = self.signs.iter().find(|(step, _)| *step == pitch.step).map(|(_, alter)| *alter);
        let heard = tied.or(given).unwrap_or_else(|| self.key.alter(pitch.step));
        if note.written_sign.is_some() || heard != pitch.alter {
            out.push_str(fields::signs(pitch.alter));
            self.signs.retain(|(step, _)| *step != pitch.step);
            self.signs.push((pitch.step, pitch.alter));
        }
        let letter = pitch.step.letter();
        let octave = i32::from(pitch.octave);
        out.push(if octave > 4 { letter.to_ascii_lowercase() } else { letter });
        let marks = usize::try_from(if octave > 4 { octave - 5 } else { 4 - octave }).unwrap_or(0);
        out.push_str(&(if octave > 4 { "'" } else { "," }).repeat(marks));
    }
}

/// Whether a bar changes something at its start.
fn has_start(bar: &Bar) -> bool {
    bar.left.repeat_start
        || bar.ending.is_some()
        || bar.meter.is_some()
        || bar.key.is_some()
        || bar.tempo.is_some()
        || bar.part.is_some()
        || !bar.landmarks.is_empty()
}

fn is_visible(bar: &Bar) -> bool {
    bar.events.iter().all(|event| matches!(event.sounding, Sounding::Rest { visible: true, .. }))
}

/// A blank before a barline, unless the line begins with it or there is none.
fn space(out: &mut String, next: &str) {
    if !out.is_empty() && !next.is_empty() {
        out.push(' ');
    }
}

/// A length in units as it stands after a note.
fn figures(length: Fraction) -> String {
    match (length.num(), length.den()) {
        (1, 1) => String::new(),
        (num, 1) => num.to_string(),
        (1, 2) => "/".to_owned(),
        (1, den) => format!("/{den}"),
        (num, den) => format!("{num}/{den}"),
    }
}
