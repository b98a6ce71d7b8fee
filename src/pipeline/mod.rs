//! The stages in order, tunes in parallel with results in order.
//!
//! Takes a checked book, the faces and a sink; gives plans, and from them a document. Each tune's complaints collect in a sink
//! of its own and are joined in the book's order, so that nothing depends on which thread was first.

mod about;
#[cfg(test)]
mod corpus;
#[cfg(test)]
mod demo;
#[cfg(test)]
mod edges;
mod examples;
mod tune;

pub use about::about;
pub use tune::plan_tune;

use crate::book::{Book, Preset, TuneEntry};
use crate::diag::{Excerpt, Sink, nearest};
use crate::engrave::lacks;
use crate::fingering::Plan;
use crate::font::Fonts;
use crate::page::{Document, Material, TuneMaterial, lay_out};
use crate::style::SoundingLook;
use crate::text::{Block, anchors, fill, parse};
use rayon::prelude::*;

/// A book with the plans of its tunes, in the book's order.
#[derive(Debug)]
pub struct Planned<'a> {
    /// The book.
    pub book: &'a Book,
    /// One plan a tune.
    pub plans: Vec<Plan>,
}

/// Plans all tunes of a book.
pub fn plan<'a>(book: &'a Book, sink: &mut Sink) -> Planned<'a> {
    let entries: Vec<&TuneEntry> = book.tunes().collect();
    let planned: Vec<(Plan, Sink)> = entries
        .par_iter()
        .map(|entry| {
            let mut own = Sink::default();
            let plan = plan_tune(entry, &book.instrument, book.has(Preset::Teacher), &mut own);
            (plan, own)
        })
        .collect();
    let mut plans = Vec::with_capacity(planned.len());
    for (plan, own) in planned {
        plans.push(plan);
        sink.absorb(own);
    }
    Planned { book, plans }
}

/// Complains of facts in the texts of a book that can't be bound for other mistakes, so that all are told at once.
pub fn check_facts(book: &Book, sink: &mut Sink) {
    let entries: Vec<&TuneEntry> = book.tunes().collect();
    let found: Vec<Sink> = entries.par_iter().map(|entry| tune::facts(book, entry)).collect();
    found.into_iter().for_each(|own| sink.absorb(own));
}

/// Engraves all tunes and lays the book out in pages.
pub fn compose(planned: &Planned, fonts: &Fonts, sink: &mut Sink) -> Document {
    lay_out(&material(planned, fonts, sink), fonts, sink)
}

/// All that page making needs: tunes engraved, words filled in.
pub fn material<'a>(planned: &'a Planned<'a>, fonts: &Fonts, sink: &mut Sink) -> Material<'a> {
    let book = planned.book;
    own_signs(book, fonts, sink);
    let entries: Vec<&TuneEntry> = book.tunes().collect();
    let made: Vec<(TuneMaterial, Sink)> = entries
        .par_iter()
        .zip(&planned.plans)
        .map(|(entry, plan)| {
            let mut own = Sink::default();
            let made = tune::material(book, entry, plan, fonts, &mut own);
            (made, own)
        })
        .collect();
    let mut tunes = Vec::with_capacity(made.len());
    for (tune, own) in made {
        tunes.push(tune);
        sink.absorb(own);
    }
    let chapters: Vec<Vec<Block>> = book.chapters.iter().map(|chapter| prose(chapter.text.as_ref(), sink)).collect();
    let notice = prose(book.imprint.notice.as_ref(), sink);
    let cover = prose(book.press.cover.as_ref().and_then(|cover| cover.words.as_ref()), sink);
    let texts = chapters
        .iter()
        .chain([&notice, &cover])
        .chain(tunes.iter().flat_map(|tune| [&tune.commentary, &tune.teacher_notes]));
    for blocks in texts.clone() {
        lead_somewhere(book, blocks, sink);
    }
    let examples = examples::engrave_all(book, texts, fonts, sink);
    Material { book, notice, cover, chapters, tunes, examples }
}

/// Complains of signs of the author's own that no font has: a box would stand at every reversal or replay.
fn own_signs(book: &Book, fonts: &Fonts, sink: &mut Sink) {
    let SoundingLook::Characters { reversal, replay } = &book.engraving.signs.sounding else { return };
    for (sign, place) in [(reversal, book.places.reversal), (replay, book.places.replay)] {
        let Some(lacking) = lacks(sign, &book.engraving, fonts) else { continue };
        let code = u32::from(lacking);
        let message =
            format!("the font of signs has no `{lacking}` (U+{code:04X}): a box would stand for it at every note");
        let hint = "take letters, digits or signs that fonts have, such as `R`, `+`, `=`";
        sink.error(code!("missing-glyph"), place, message).hints.push(hint.into());
    }
}

/// Complains of links to tunes that the book does not have.
fn lead_somewhere(book: &Book, blocks: &[Block], sink: &mut Sink) {
    for (anchor, place) in anchors(blocks) {
        let Some(id) = anchor.strip_prefix("tune:") else { continue };
        if book.ids.iter().any(|known| known == id) {
            continue;
        }
        let message = format!("a link to `{anchor}` leads nowhere: no tune of this book has that id");
        let complaint = sink.warn(code!("link-target"), place, message);
        complaint.hints.push(match nearest(id, book.ids.iter().map(String::as_str)) {
            Some(near) => format!("did you mean `tune:{near}`?"),
            None => "write the tune's `id:`, or its title in small letters with `-` between words".to_owned(),
        });
    }
}

/// A text that belongs to no tune: facts have nothing to speak of there.
fn prose(text: Option<&Excerpt>, sink: &mut Sink) -> Vec<Block> {
    let Some(text) = text else { return Vec::new() };
    let mut blocks = parse(text, sink);
    let mut know = |fact: &str, place, sink: &mut Sink| {
        let message = format!("`{{{fact}}}` is a fact of a tune, and this text belongs to none");
        sink.error(code!("fact-without-tune"), Some(place), message)
            .hints
            .push("facts stand in a tune's commentary; write `{{` for a brace".into());
        None
    };
    fill(&mut blocks, &mut know, sink);
    blocks
}
