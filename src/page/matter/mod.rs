//! Generated parts of the front and back of a book, each a designed page in a file of its own.

mod back_cover;
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
mod practice_log;
mod prose_page;
mod rows;
mod scale_paths;
mod scales;
mod sources;
mod staves;
mod tempo_ladder;
mod title;

use super::flow::{Opening, Piece};
use super::material::Material;
use super::prose::Extras;
use super::setting::{Compositor, Setting};
use super::words::Words;
use crate::book::Matter;
use std::collections::BTreeMap;

/// What a part is made from.
#[derive(Clone, Copy)]
pub(super) struct Desk<'a> {
    /// Type, words, page.
    pub setting: &'a Setting<'a>,
    /// The book with its music.
    pub material: &'a Material<'a>,
    /// What texts may hold.
    pub extras: Extras<'a>,
    /// Labels of pages by anchor; empty on the first setting.
    pub pages: &'a BTreeMap<String, String>,
}

impl<'a> Desk<'a> {
    /// The label of the page that an anchor is on; the widest label while none is known.
    pub fn page(&self, anchor: &str) -> &'a str {
        self.pages.get(anchor).map_or(self.widest_page(), String::as_str)
    }
    /// A label as wide as any.
    pub const fn widest_page(&self) -> &'static str {
        "0000"
    }
}

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

/// The title of a part as it stands in contents, outline and running head; `None` for parts without one.
pub(super) const fn title(words: &Words, matter: Matter) -> Option<&'static str> {
    Some(match matter {
        Matter::HalfTitle | Matter::Title | Matter::Imprint | Matter::BackCover => return None,
        Matter::Contents => words.contents,
        Matter::MyBox => words.my_box,
        Matter::Key => words.key,
        Matter::Holding => words.holding,
        Matter::HowTo => words.how_to,
        Matter::Measure => words.measure,
        Matter::ChordChart => words.chord_chart,
        Matter::Scales => words.scales,
        Matter::TempoLadder => words.tempo_ladder,
        Matter::PracticeLog => words.practice_log,
        Matter::Staves => words.staves,
        Matter::Glossary => words.glossary,
        Matter::Index => words.index,
        Matter::Sources => words.sources,
        Matter::Corrections => words.corrections,
    })
}

/// The name of a part's anchor.
pub(super) fn anchor(matter: Matter) -> String {
    let name = match matter {
        Matter::HalfTitle => "half-title",
        Matter::Title => "title",
        Matter::Imprint => "imprint",
        Matter::Contents => "contents",
        Matter::MyBox => "my-box",
        Matter::Key => "key",
        Matter::Holding => "holding",
        Matter::HowTo => "how-to",
        Matter::Measure => "measure",
        Matter::ChordChart => "chord-chart",
        Matter::Scales => "scales",
        Matter::TempoLadder => "tempo-ladder",
        Matter::PracticeLog => "practice-log",
        Matter::Staves => "staves",
        Matter::Glossary => "glossary",
        Matter::Index => "index",
        Matter::Sources => "sources",
        Matter::Corrections => "corrections",
        Matter::BackCover => "back-cover",
    };
    name.to_owned()
}

/// Where a part opens: US GPO Style Manual 2008, 2.3 to 2.6, has preliminary parts and the index on odd pages; a small book
/// asks for them, but does not pay with blank pages.
pub(super) const fn opening(matter: Matter) -> Opening {
    match matter {
        Matter::HalfTitle | Matter::Title => Opening::Recto,
        Matter::Contents | Matter::Index | Matter::Glossary => Opening::LikesRecto,
        Matter::BackCover => Opening::Verso,
        _ => Opening::Page,
    }
}
