//! One tune through fingering, words and engraving.

use crate::book::{Book, Preset, TuneEntry};
use crate::diag::{Excerpt, Sink};
use crate::engrave::{Count, Score, Sign, System, engrave};
use crate::fingering::{self, Plan};
use crate::font::Fonts;
use crate::instrument::Instrument;
use crate::lesson::{self, Lesson, Printed};
use crate::page::TuneMaterial;
use crate::style::FingerOne;
use crate::text::{BarSpan, Block, fill, named_bars, parse};
use crate::tune::{BarLabel, Tune};

/// Plans one tune; with the next best plan beside it when asked.
pub fn plan_tune(entry: &TuneEntry, instrument: &Instrument, runners_up: bool, sink: &mut Sink) -> Plan {
    let mut request = entry.request.clone();
    request.runners_up = runners_up;
    fingering::plan(&entry.tune, instrument, &request, sink)
}

/// Engraves one tune and fills its words in.
pub(super) fn material<'a>(
    book: &'a Book,
    entry: &'a TuneEntry,
    plan: &'a Plan,
    fonts: &Fonts,
    sink: &mut Sink,
) -> TuneMaterial<'a> {
    let tune = &entry.tune;
    let index_finger = match book.engraving.signs.finger_one {
        FingerOne::Index => 1,
        FingerOne::Thumb => 2,
    };
    let lesson = Lesson::new(tune, plan, &book.instrument, &book.language, index_finger);
    let counts = if book.engraving.signs.counting { counts(entry, &book.language) } else { Vec::new() };
    let score = Score { id: &entry.id, tune, plan: Some(plan), instrument: Some(&book.instrument), counts: &counts };
    let systems = engrave(&score, &book.engraving, fonts, book.page.type_area().width, sink);
    let alt = systems.iter().map(|system| alt(&lesson, system, false).into()).collect();
    let commentary = words(entry.commentary.as_ref(), &lesson, sink);
    // A mistake in notes that this edition does not print is told all the same.
    let notes = words(entry.teacher_notes.as_ref(), &lesson, sink);
    for span in named_bars(&commentary).iter().chain(&named_bars(&notes)) {
        has_bars(tune, span, sink);
    }
    let teacher_notes = if book.has(Preset::Teacher) { notes } else { Vec::new() };
    let record = |bar: usize| lesson.records(bar).into_iter().collect();
    let facts = tune.bars.iter().enumerate().map(|(bar, written)| (written.label.to_string(), record(bar))).collect();
    TuneMaterial { entry, plan, systems, alt, commentary, teacher_notes, facts }
}

/// What is wrong with the facts in a tune's texts: what they ask for is looked for in the tune, whatever is wrong with its plan.
pub(super) fn facts(book: &Book, entry: &TuneEntry) -> Sink {
    let plan = plan_tune(entry, &book.instrument, false, &mut Sink::default());
    let lesson = Lesson::new(&entry.tune, &plan, &book.instrument, &book.language, 1);
    let mut own = Sink::default();
    for text in [&entry.commentary, &entry.teacher_notes] {
        let blocks = words(text.as_ref(), &lesson, &mut own);
        named_bars(&blocks).iter().for_each(|span| has_bars(&entry.tune, span, &mut own));
    }
    let of_facts = [code!("unknown-bar"), code!("unknown-note"), code!("unknown-fact"), code!("bad-fact")];
    own.kept(|item| of_facts.contains(&item.code))
}

/// A text of a tune with its facts filled in.
fn words(text: Option<&Excerpt>, lesson: &Lesson, sink: &mut Sink) -> Vec<Block> {
    let Some(text) = text else { return Vec::new() };
    let mut blocks = parse(text, sink);
    fill(&mut blocks, &mut |fact: &str, place, sink: &mut Sink| lesson.fact(fact, place, sink), sink);
    blocks
}

/// Complains of a heading that names a bar which the tune does not have.
fn has_bars(tune: &Tune, span: &BarSpan, sink: &mut Sink) {
    let is_there = |bar: &&String| BarLabel::parse(bar).is_some_and(|label| tune.bar_index(label).is_some());
    let Some(missing) = [&span.first, &span.last].into_iter().find(|bar| !is_there(bar)) else { return };
    let message = format!("the heading names bar {missing}, which the tune does not have");
    let complaint = sink.error(code!("unknown-bar"), span.place, message);
    complaint.hints.extend(
        tune.bars
            .first()
            .zip(tune.bars.last())
            .map(|(first, last)| format!("the tune has bars {} to {}", first.label, last.label)),
    );
}

/// A system in words; `bare` without a plan.
pub(super) fn alt(lesson: &Lesson, system: &System, bare: bool) -> String {
    let (Some(first), Some(last)) = (system.bars.first(), system.bars.last()) else { return String::new() };
    let has = |sign| system.signs.contains(&sign);
    lesson.alt(&Printed {
        bars: first.bar..last.bar + 1,
        after: system.after,
        until: system.until,
        fingers: &system.fingers,
        source_fingers: system.fingers.is_empty() && has(Sign::Finger),
        bare,
        left: has(Sign::Bass) || has(Sign::Chord),
        symbols: has(Sign::ChordSymbol),
        counts: has(Sign::Count),
    })
}

/// Counting syllables as engraving takes them.
pub(super) fn counts(entry: &TuneEntry, language: &str) -> Vec<Count> {
    lesson::counts(&entry.tune, language)
        .into_iter()
        .map(|count| Count { bar: count.bar, onset: count.onset, syllable: count.syllable })
        .collect()
}
