//! Tunes made by hand, and the proof of their ink, for tests of this room and of whole tunes.

use super::canvas::{Kind, Label};
use super::collision::{collisions, level};
use super::contract::Score;
use super::job::Job;
use super::lettering::Lettering;
use super::{castoff, line, prepare, system};
use crate::diag::Sink;
use crate::font::Fonts;
use crate::geom::Abs;
use crate::style::{EngravingStyle, Family, Signs};
use crate::tune::{
    Bar, BarLabel, Barline, BarlineStyle, Event, Fraction, Meter, Note, NoteId, NoteValue, Onset, Pitch, Sounding, Tune,
};
use std::collections::BTreeMap;

/// A plain look: a staff of 7 mm, every factor at one, all signs as they are unless asked otherwise.
pub(crate) fn plain_style() -> EngravingStyle {
    EngravingStyle {
        space: Abs::mm(1.75),
        spacing: 1.0,
        lines: 1.0,
        marks: 1.0,
        text: 1.0,
        smallest: Abs::pt(7.0),
        most_bars: None,
        signs: Signs::default(),
        labels: Family::Sans,
        language: "en-GB".into(),
    }
}

/// A note in words: pitches joined by `+` (or `z` for a rest), a slash, halvings, dots as `.`: `D4/2.`, `G4+B4/3`, `z/2`.
pub(crate) fn event(text: &str) -> Event {
    let (what, value) = text.split_once('/').expect("a note is pitch/halvings");
    let dots = value.matches('.').count();
    let halvings: i8 = value.trim_end_matches('.').parse().expect("halvings are a number");
    let value = NoteValue { halvings, dots: u8::try_from(dots).expect("few dots") };
    let sounding = if what == "z" {
        Sounding::Rest { visible: true, whole_bar: false }
    } else {
        let notes = what.split('+').map(|pitch| Note::new(Pitch::parse(pitch).expect("a pitch"))).collect();
        Sounding::Head { id: NoteId(0), notes }
    };
    Event { duration: value.duration(), value, ..Event::blank(sounding) }
}

/// Events on B4 by their halvings.
pub(crate) fn values(halvings: &[i8]) -> Vec<Event> {
    halvings.iter().map(|h| event(&format!("B4/{h}"))).collect()
}

/// Events from words.
pub(crate) fn notes(text: &str) -> Vec<Event> {
    text.split_whitespace().map(event).collect()
}

/// A tune of bars in C, single barlines, a final one at the end; onsets and ids are filled in.
pub(crate) fn tune_of(meter: Meter, bars: &[Vec<Event>]) -> Tune {
    let mut tune = Tune { title: "Paper Lantern".into(), number: Some(1), meter, ..Tune::blank() };
    for (n, events) in bars.iter().enumerate() {
        tune.bars.push(Bar {
            label: BarLabel::new(u32::try_from(n + 1).expect("few bars")),
            right: Barline {
                style: if n + 1 == bars.len() { BarlineStyle::Final } else { BarlineStyle::Single },
                repeat_end: 0,
                repeat_start: false,
            },
            events: events.clone(),
            ..Bar::blank()
        });
    }
    settle(&mut tune);
    tune
}

/// Fills in onsets, lengths, tuplet durations and ids.
pub(crate) fn settle(tune: &mut Tune) {
    let tuplets = tune.tuplets.clone();
    let mut start = Onset::ZERO;
    for bar in &mut tune.bars {
        let mut at = Onset::ZERO;
        for event in &mut bar.events {
            event.onset = at;
            event.duration = event.value.duration();
            if let Some(id) = event.tuplet {
                let tuplet =
                    tuplets.get(id.0 as usize).copied().unwrap_or(crate::tune::Tuplet { actual: 1, normal: 1 });
                event.duration = event.duration.times(Fraction::new(tuplet.normal.into(), tuplet.actual.into()));
            }
            at = at + event.duration;
        }
        bar.onset = start;
        bar.length = at - Onset::ZERO;
        start = start + bar.length;
    }
    tune.number_notes();
}

/// What is wrong with the ink of a score set `width` wide, as pairs of a kind of fault and where it is: ink that touches ink it
/// does not belong to, ink beyond the line's ends, notes that are lost. `plant` puts a finger on the first head of the first
/// line, to see that it is found.
pub(crate) fn faults(
    score: &Score,
    style: &EngravingStyle,
    fonts: &Fonts,
    width: Abs,
    plant: bool,
    sink: &mut Sink,
) -> Vec<(String, String)> {
    let letters = Lettering::new(fonts, style);
    let tune = score.printed();
    let score = &Score { tune: &tune, ..*score };
    let job = Job { score, style, letters: &letters };
    let Some(work) = prepare(job, width, sink) else { return vec![("no bars".into(), String::new())] };
    let lines = castoff::lines(&work.pieces, &work.costs);
    let last = line::last_factor(&work.pieces, &work.costs, &lines);
    let count = lines.len();
    let mut found = Vec::new();
    let mut notes = Vec::new();
    for (n, line) in lines.into_iter().enumerate() {
        let (layout, mut canvas) = system::canvas(&work, line, if n + 1 == count { last } else { None });
        let columns = layout.columns.iter();
        notes.extend(columns.flat_map(|column| column.graces.iter().map(|grace| grace.id).chain(column.head)));
        let head = layout.columns.iter().find(|column| column.head.is_some() && !column.ys.is_empty());
        if let Some(head) = head.filter(|_| plant && n == 0) {
            canvas.glyph(Label::new(Kind::Finger, usize::MAX), "fingering2", head.head_x, head.ys[0] - 0.5, 1.0);
        }
        let bar = |of: usize| format!("line {}, x {of}", n + 1);
        for hit in collisions(&canvas) {
            let own = if hit.first.of == hit.second.of { ", of one note" } else { "" };
            let kind = format!("{:?} on {:?}{own}", hit.first.kind, hit.second.kind);
            found.push((kind, format!("{} y {:.1}", bar(hit.at.0 as usize), hit.at.1)));
        }
        for hit in level(&canvas) {
            let kind = format!("{:?} level with {:?}", hit.first.kind, hit.second.kind);
            found.push((kind, format!("{} y {:.1}", bar(hit.at.0 as usize), hit.at.1)));
        }
        for ink in canvas.inks().iter().filter(|ink| ink.area.left < -0.01 || ink.area.right > layout.width + 0.01) {
            let edges = format!("{:.1} to {:.1} of {:.1}", ink.area.left, ink.area.right, layout.width);
            found.push((format!("{:?} beyond the line", ink.label.kind), format!("line {}, {edges}", n + 1)));
        }
    }
    let count = u32::try_from(score.tune.note_count()).expect("a tune has few notes");
    let left_out = |id: &NoteId| score.plan.is_some_and(|plan| plan.left_out(*id).is_some());
    let wanted: Vec<NoteId> = (0..count).map(NoteId).filter(|id| !left_out(id)).collect();
    if notes != wanted {
        found.push(("notes lost or not left out".into(), format!("{} of {}", notes.len(), wanted.len())));
    }
    found
}

/// Faults by kind, the most frequent first, each with an example: count, kind, example.
pub(crate) fn by_kind(faults: impl IntoIterator<Item = (String, String)>) -> Vec<(usize, String, String)> {
    let mut kinds: BTreeMap<String, (usize, String)> = BTreeMap::new();
    for (kind, example) in faults {
        kinds.entry(kind).or_insert((0, example)).0 += 1;
    }
    let mut kinds: Vec<_> = kinds.into_iter().map(|(kind, (count, example))| (count, kind, example)).collect();
    kinds.sort_by_key(|(count, ..)| std::cmp::Reverse(*count));
    kinds
}
