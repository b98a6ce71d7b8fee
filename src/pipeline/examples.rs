//! Short music examples inside texts, engraved without a plan.

use crate::book::Book;
use crate::diag::{Excerpt, Sink};
use crate::engrave::{Score, engrave};
use crate::fingering::Plan;
use crate::font::Fonts;
use crate::lesson::Lesson;
use crate::page::Example;
use crate::reader::abc::{AbcOptions, read};
use crate::reader::leads_nowhere;
use crate::text::Block;
use crate::tune::Tune;

/// All examples of the texts, in order.
pub(super) fn engrave_all<'t>(
    book: &Book,
    texts: impl Iterator<Item = &'t Vec<Block>>,
    fonts: &Fonts,
    sink: &mut Sink,
) -> Vec<Example> {
    let mut examples = Vec::new();
    for blocks in texts {
        collect(book, blocks, fonts, &mut examples, sink);
    }
    examples
}

fn collect(book: &Book, blocks: &[Block], fonts: &Fonts, examples: &mut Vec<Example>, sink: &mut Sink) {
    for block in blocks {
        match block {
            Block::Music(source) => {
                let unplayed = Plan::default();
                let options = AbcOptions { strict_bars: false, ..AbcOptions::default() };
                let mut own = Sink::default();
                let mut tunes = read(source, &options, &mut own);
                sink.absorb(own.kept(|item| !leads_nowhere(item.code)));
                one_tune(source, &tunes, sink);
                tunes.truncate(1);
                if tunes.iter().any(|tune| !tune.words.is_empty()) {
                    let message = "the words below an example (`W:`) are left out";
                    let hint = "write them into the text after it, or under the notes with `w:`";
                    sink.warn(code!("words-not-set"), Some(source.place(0, 0)), message).hints.push(hint.into());
                }
                for tune in tunes {
                    let score = Score { id: "example", tune: &tune, plan: None, instrument: None, counts: &[] };
                    let systems = engrave(&score, &book.engraving, fonts, book.page.type_area().width, sink);
                    let lesson = Lesson::new(&tune, &unplayed, &book.instrument, &book.language, 1);
                    let alt = systems.iter().map(|system| super::tune::alt(&lesson, system, true).into()).collect();
                    examples.push(Example { source: source.clone(), systems, alt });
                }
            }
            Block::List { items, .. } => items.iter().for_each(|item| collect(book, item, fonts, examples, sink)),
            Block::Quote(inner) => collect(book, inner, fonts, examples, sink),
            _ => {}
        }
    }
}

/// Complains of an example that has no tune, or more than the one that is set.
fn one_tune(source: &Excerpt, tunes: &[Tune], sink: &mut Sink) {
    let place = Some(source.place(0, 0));
    if tunes.len() > 1 {
        let message = format!("there are {} tunes in this example, and only the first is set", tunes.len());
        sink.warn(code!("many-tunes"), place, message).hints.push("give each a block of its own".into());
    } else if tunes.iter().all(|tune| tune.bars.is_empty()) {
        let message = "there is no music in this example";
        sink.warn(code!("no-music"), place, message).hints.push("write notes in it, or take the block out".into());
    }
}
