//! Complaints about pages: what is higher than a page, tunes whose music goes on over the leaf, fonts that fail.

use super::document::Side;
use super::fill::Walk;
use super::flow::{Piece, Substance};
use super::material::Material;
use super::plate::Plate;
use super::setting::Setting;
use crate::book::{Book, Kind};
use crate::diag::{Place, Sink};
use crate::font::Fonts;
use crate::style::TunePages;
use std::collections::BTreeSet;

/// Warns of pieces that no page holds and of tunes whose player must turn the leaf. What
/// is said about a tune may go on overleaf: nobody plays while reading it. `owner` gives the name of the part that a piece is
/// of, where the author asks for it, and whether staves stand in it.
pub(super) fn overfull(
    input: &Material<'_>,
    setting: &Setting<'_>,
    pieces: &[Piece],
    plates: &[Plate],
    owner: impl Fn(usize) -> (String, Option<Place>, bool),
    sink: &mut Sink,
) {
    let mut turned: BTreeSet<usize> = BTreeSet::new();
    let mut before: Vec<usize> = Vec::new();
    for plate in plates {
        let Some(page) = plate.span else { continue };
        let on_page = &pieces[page.start..page.end];
        let mut walk = Walk::new();
        let mut playing: Vec<usize> = Vec::new();
        for piece in on_page {
            walk.put(piece, setting.area.step, -1.0);
            if let Substance::Music(tune) = piece.substance
                && playing.last() != Some(&tune)
            {
                playing.push(tune);
            }
        }
        if plate.side == Side::Verso {
            turned.extend(playing.iter().filter(|tune| before.contains(tune)));
        }
        before = playing;
        if !walk.bottom().fits(setting.area.height) {
            let over = (walk.bottom() - setting.area.height).to_mm();
            let (what, place, has_staves) = owner(page.start);
            let hint = if has_staves {
                "give it a smaller staff or a larger page"
            } else {
                "set its text smaller (`type: {text: ...}`) or on a larger page (`page: {size: ...}`)"
            };
            sink.warn(code!("over-the-page"), place, format!("{what} runs {over:.0} mm over the foot of its page"))
                .hints
                .push(hint.into());
        }
    }
    if setting.book.page.tunes == TunePages::NewPage {
        for material in turned.into_iter().filter_map(|tune| input.tunes.get(tune)) {
            let kind = if material.entry.kind == Kind::Exercise { "exercise" } else { "tune" };
            let message = format!(
                "the music of the {kind} `{}` goes on over the leaf: the player must turn",
                material.entry.title
            );
            sink.warn(code!("page-turn"), Some(material.entry.place), message)
                .hints
                .push("let a one-page tune change places with it, or set the staff a little smaller".into());
        }
    }
}

/// Warns of the book's own fonts over which the shaper has failed: some of their words stand without kerning and ligatures.
pub(super) fn failed_fonts(book: &Book, fonts: &Fonts, sink: &mut Sink) {
    for (_, face) in fonts.faces().filter(|(_, face)| face.failed()) {
        let message =
            format!("the font `{}` fails over some words; they stand without kerning and ligatures", face.name);
        let place = book.fonts.as_ref().map(|own| own.place);
        sink.warn(code!("font-fails"), place, message)
            .hints
            .push("take it anew from where it came from, or another font".into());
    }
}
