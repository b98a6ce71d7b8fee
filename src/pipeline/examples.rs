//! Short music examples inside texts, engraved without a plan.

use crate::book::Book;
use crate::diag::Sink;
use crate::engrave::{Score, engrave};
use crate::fingering::Plan;
use crate::font::Fonts;
use crate::lesson::Lesson;
use crate::page::Example;
use crate::reader::abc::{AbcOptions, read};
use crate::text::Block;

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
                for tune in read(source, &options, sink) {
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
