//! Generated parts of the front and back of a book, each a designed page in a file of its own.

pub(super) mod back_cover;
mod chord_chart;
mod chords;
mod columns;
mod contents;
mod corrections;
mod filing;
mod glossary;
mod imprint;
mod index;
mod key;
mod keyboard;
mod my_box;
pub(super) mod names;
mod practice_log;
mod prose_page;
mod rows;
mod scale_ways;
mod scales;
mod sources;
mod staves;
mod tempo_ladder;
pub(super) mod title;

use super::desk::Desk;
use super::flow::Piece;
use super::setting::Compositor;
use crate::book::Matter;

/// The pieces of a part.
pub(super) fn pieces(desk: &Desk<'_>, matter: Matter, comp: &mut Compositor<'_>) -> Vec<Piece> {
    match matter {
        Matter::HalfTitle => title::half(desk, comp),
        Matter::Title => title::full(desk, comp),
        Matter::Imprint => imprint::pieces(desk, comp),
        Matter::Contents => contents::pieces(desk, comp),
        Matter::MyBox => my_box::pieces(desk, comp),
        Matter::Key => key::pieces(desk, comp),
        Matter::Holding | Matter::HowTo | Matter::Measure => prose_page::pieces(desk, matter, comp),
        Matter::ChordChart => chord_chart::pieces(desk, comp),
        Matter::Scales => scales::pieces(desk, comp),
        Matter::TempoLadder => tempo_ladder::pieces(desk, comp),
        Matter::PracticeLog => practice_log::pieces(desk, comp),
        Matter::Staves => staves::pieces(desk, comp),
        Matter::Glossary => glossary::pieces(desk, comp),
        Matter::Index => index::pieces(desk, comp),
        Matter::Sources => sources::pieces(desk, comp),
        Matter::Corrections => corrections::pieces(desk, comp),
        Matter::BackCover => back_cover::pieces(desk, comp),
    }
}
