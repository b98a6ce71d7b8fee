//! Complaints about pages: what is higher than a page, what is wider than its room, tunes over their page.

use super::fill::Walk;
use super::flow::{Piece, Substance};
use super::material::Material;
use super::paginate::PageSpan;
use super::setting::Setting;
use crate::book::Kind;
use crate::diag::Sink;
use crate::style::TunePages;
use std::collections::BTreeMap;

/// Warns of pieces that no page holds, of systems wider than the type area, and of tunes that take more than two pages.
pub(super) fn overfull(
    input: &Material<'_>,
    setting: &Setting<'_>,
    pieces: &[Piece],
    pages: &[PageSpan],
    sink: &mut Sink,
) {
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    for page in pages {
        let on_page = &pieces[page.start..page.end];
        let mut walk = Walk::new();
        let mut tunes: Vec<usize> = Vec::new();
        for piece in on_page {
            walk.put(piece, setting.area.step, -1.0);
            if let Some(tune) = piece.substance.tune()
                && tunes.last() != Some(&tune)
            {
                tunes.push(tune);
            }
        }
        for tune in &tunes {
            *taken.entry(*tune).or_default() += 1;
        }
        if !walk.bottom().fits(setting.area.height) {
            let over = (walk.bottom() - setting.area.height).to_mm();
            let tune = on_page.iter().find_map(|piece| piece.substance.tune()).and_then(|tune| input.tunes.get(tune));
            let place = tune.map(|tune| tune.entry.place);
            let what = tune.map_or_else(|| "this part".to_owned(), |tune| format!("`{}`", tune.entry.title));
            sink.warn("over-the-page", place, format!("{what} runs {over:.0} mm over the foot of its page"))
                .hints
                .push("give it a smaller staff, a larger page, or narrower margins".into());
        }
        for piece in on_page {
            let Substance::Music(tune) = piece.substance else { continue };
            if !piece.frame.size.width.fits(setting.width)
                && let Some(tune) = input.tunes.get(tune)
            {
                let message = format!("`{}` has a line of music wider than the type area", tune.entry.title);
                sink.warn("over-the-margin", Some(tune.entry.place), message)
                    .hints
                    .push("give it a smaller staff, a larger page, or narrower margins".into());
            }
        }
    }
    if setting.book.page.tunes == TunePages::NewPage {
        for (tune, count) in taken {
            let Some(material) = input.tunes.get(tune).filter(|_| count > 2) else { continue };
            let kind = if material.entry.kind == Kind::Exercise { "exercise" } else { "tune" };
            let message = format!(
                "the {kind} `{}` takes {count} pages, so the player must turn while playing",
                material.entry.title
            );
            sink.warn("page-turn", Some(material.entry.place), message)
                .hints
                .push("shorten its commentary, or set the staff a little smaller".into());
        }
    }
}
