//! Hand-worked cases of the standard, its section beside each, and the helpers that show what was read.

mod bars;
mod faults;
mod fields;
mod music;
mod order;
mod trips;
mod words;

use super::{AbcOptions, read};
use crate::diag::{Severity, Sink, Sources};
use crate::tune::{Note, Sounding, Tune};

/// Reads a text as an author's fragment; complaints as `code line:column`.
fn tune(text: &str) -> (Tune, Vec<String>) {
    let (mut tunes, said) = tunes(text, &AbcOptions::default());
    assert!(!tunes.is_empty(), "no tune in {text:?}");
    (tunes.remove(0), said)
}

fn tunes(text: &str, options: &AbcOptions) -> (Vec<Tune>, Vec<String>) {
    let mut sources = Sources::default();
    let file = sources.add("test.abc", text);
    let mut sink = Sink::default();
    let tunes = read(&sources.excerpt(file), options, &mut sink);
    let shown = |d: &crate::diag::Diagnostic| {
        let place = d.place.map_or_else(String::new, |p| format!(" {}:{}", p.line, p.column));
        let mark = if d.severity == Severity::Error { "!" } else { "" };
        format!("{mark}{}{place}", d.code)
    };
    let others = sink.items().iter().filter(|item| !crate::reader::leads_nowhere(item.code));
    (tunes, others.map(shown).collect())
}

/// Reads music in C, free metre, eighths as units; nothing may be complained of.
fn music(code: &str) -> String {
    clean(&format!("M:none\nL:1/8\nK:C\n{code}\n"))
}

/// Reads a tune that nothing is wrong with and shows its bars.
fn clean(text: &str) -> String {
    let (tune, said) = tune(text);
    assert!(said.is_empty(), "{text:?}: {said:?}");
    shown(&tune)
}

/// Bars as `pitch:duration`, chords joined by `+`, ties as `~`, graces before their note in braces.
fn shown(tune: &Tune) -> String {
    let bars = tune.bars.iter().map(|bar| {
        let events = bar.events.iter().map(|event| {
            let graces: String = event.graces.iter().map(|g| format!("{{{}}}", pitches(&g.notes))).collect();
            let sound = match &event.sounding {
                Sounding::Head { notes, .. } => pitches(notes),
                Sounding::Rest { visible: true, .. } => "z".to_owned(),
                Sounding::Rest { .. } => "x".to_owned(),
            };
            format!("{graces}{sound}:{}", event.duration)
        });
        events.collect::<Vec<_>>().join(" ")
    });
    bars.collect::<Vec<_>>().join(" | ")
}

fn pitches(notes: &[Note]) -> String {
    let names = notes.iter().map(|n| format!("{}{}", n.pitch, if n.tied_to_next { "~" } else { "" }));
    names.collect::<Vec<_>>().join("+")
}

/// Only the durations of a line of music.
fn lengths(code: &str) -> String {
    let all = music(code);
    all.split(' ').map(|word| word.split_once(':').map_or(word, |(_, length)| length)).collect::<Vec<_>>().join(" ")
}
