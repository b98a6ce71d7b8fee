//! Facts in braces replaced by words, after Markdown has been parsed and before it is set.

use super::model::{Block, Inline};
use crate::diag::{Place, Sink};

/// Replaces every fact by what `know` says of it: the text between the braces, its place, and where to complain. Where it
/// knows nothing (and has complained), the braces stay as typed. A fact that begins a sentence begins with a capital; a whole
/// sentence that follows a phrase with no full stop between is warned of.
pub fn fill(blocks: &mut [Block], know: &mut impl FnMut(&str, Place, &mut Sink) -> Option<String>, sink: &mut Sink) {
    for block in blocks {
        match block {
            Block::Heading { inlines, .. } | Block::Paragraph(inlines) => fill_inlines(inlines, know, sink),
            Block::List { items, .. } => items.iter_mut().for_each(|item| fill(item, know, sink)),
            Block::Table(table) => {
                for cell in table.head.iter_mut().chain(table.rows.iter_mut().flatten()) {
                    fill_inlines(cell, know, sink);
                }
            }
            Block::Quote(inner) => fill(inner, know, sink),
            Block::Image { .. } | Block::Music(_) | Block::Code { .. } | Block::Rule => {}
        }
    }
}

fn fill_inlines(
    inlines: &mut [Inline],
    know: &mut impl FnMut(&str, Place, &mut Sink) -> Option<String>,
    sink: &mut Sink,
) {
    let mut before = Before::Stop;
    fill_run(inlines, &mut before, know, sink);
}

fn fill_run(
    inlines: &mut [Inline],
    before: &mut Before,
    know: &mut impl FnMut(&str, Place, &mut Sink) -> Option<String>,
    sink: &mut Sink,
) {
    for inline in inlines {
        match inline {
            Inline::Text { text, .. } => {
                if !text.trim().is_empty() {
                    *before = Before::of(text);
                }
            }
            Inline::Emphasis(inner) | Inline::Strong(inner) | Inline::Link { inlines: inner, .. } => {
                fill_run(inner, before, know, sink);
            }
            Inline::Fact { text, place } => {
                let place = *place;
                let said = know(text, place, sink).unwrap_or_else(|| format!("{{{text}}}"));
                let whole = Before::of(&said) == Before::Stop;
                if *before == Before::Fact && whole {
                    let message = format!("`{{{text}}}` is a whole sentence, and the fact before it has no full stop");
                    let complaint = sink.warn(code!("facts-run-on"), Some(place), message);
                    complaint.hints.push(format!("put a full stop between them: `. {{{text}}}`"));
                }
                // A whole sentence that is made part of another one begins small; after a colon either will do.
                let said = match *before {
                    Before::Stop => capital(&said),
                    Before::Words | Before::Fact if whole => small(&said),
                    Before::Colon | Before::Words | Before::Fact => said,
                };
                *before = if whole { Before::Stop } else { Before::Fact };
                *inline = Inline::Text { text: said, place: Some(place) };
            }
            Inline::Code { .. } | Inline::Sign { .. } => *before = Before::Words,
            Inline::LineBreak => {}
        }
    }
}

/// What stands before a fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Before {
    /// The end of a sentence, or nothing.
    Stop,
    Colon,
    Words,
    /// A fact that is a phrase, with nothing but blanks after it.
    Fact,
}

impl Before {
    fn of(text: &str) -> Self {
        let text = text.trim_end().trim_end_matches(['”', '’', ')', '»']);
        if text.ends_with(['.', '!', '?']) {
            Self::Stop
        } else if text.ends_with(':') {
            Self::Colon
        } else {
            Self::Words
        }
    }
}

fn small(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Excerpt, Sources};
    use crate::text::parse;

    #[test]
    fn facts_are_filled_in_with_a_capital_where_a_sentence_begins() {
        let mut sources = Sources::default();
        let file = sources.add("a.md", "{how 1.1}. The next is {how 1.2}.\n\n- {no 9}, `{how 1.1}`\n");
        let mut sink = Sink::default();
        let mut blocks = parse(&Excerpt::whole(file, sources.text(file)), &mut sink);
        let mut know = |fact: &str, place: Place, sink: &mut Sink| {
            if fact.starts_with("how") {
                return Some(format!("outer {}", &fact[6..]));
            }
            sink.error(code!("unknown-fact"), Some(place), "no such fact");
            None
        };
        fill(&mut blocks, &mut know, &mut sink);
        let Block::Paragraph(first) = &blocks[0] else { panic!("a paragraph comes first") };
        assert_eq!(Inline::plain(first), "Outer 1. The next is outer 2.");
        let Block::List { items, .. } = &blocks[1] else { panic!("a list comes second") };
        let Block::Paragraph(item) = &items[0][0] else { panic!("an item holds words") };
        assert_eq!(Inline::plain(item), "{no 9}, {how 1.1}");
        assert_eq!(sink.items()[0].place, Some(Place::new(file, 3, 3)));
    }
    #[test]
    fn a_sentence_that_runs_on_from_a_phrase_is_warned_of() {
        let warned = |text: &str| {
            let (mut sources, mut sink) = (Sources::default(), Sink::default());
            let file = sources.add("a.md", text);
            let mut blocks = parse(&Excerpt::whole(file, sources.text(file)), &mut sink);
            let mut know =
                |fact: &str, _, _: &mut Sink| Some(if fact == "how" { "button 4" } else { "They close." }.into());
            fill(&mut blocks, &mut know, &mut sink);
            sink.items().iter().map(|item| (item.code.name(), item.place)).collect::<Vec<_>>()
        };
        let place = |column| Some(Place::new(Sources::default().add("a.md", ""), 1, column));
        assert_eq!(warned("{how} {bellows}"), [("facts-run-on", place(7))]);
        assert_eq!(warned("**{how}** {how} {bellows} {bellows}"), [("facts-run-on", place(17))]);
        for fine in ["{how}. {bellows}", "{bellows} {how}", "{how}: {bellows}", "{how} and {bellows}", "So {bellows}"] {
            assert_eq!(warned(fine), [], "{fine}");
        }
    }
    #[test]
    fn a_sentence_inside_another_begins_small() {
        let (mut sources, mut sink) = (Sources::default(), Sink::default());
        let file = sources.add("a.md", "And {x}, so. {x} Listen: {x}");
        let mut blocks = parse(&Excerpt::whole(file, sources.text(file)), &mut sink);
        fill(&mut blocks, &mut |_, _, _| Some("In bar 4 they close.".into()), &mut sink);
        let Block::Paragraph(first) = &blocks[0] else { panic!("a paragraph comes first") };
        let wanted = "And in bar 4 they close., so. In bar 4 they close. Listen: In bar 4 they close.";
        assert_eq!(Inline::plain(first), wanted);
    }
}
