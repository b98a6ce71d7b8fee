//! What generated parts are called in contents and links, and where they open.

use crate::book::Matter;
use crate::page::flow::Opening;
use crate::page::words::Words;

/// The title of a part as it stands in contents, outline and running head; `None` for parts without one.
pub(in crate::page) const fn title(words: &Words, matter: Matter) -> Option<&'static str> {
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
pub(in crate::page) fn anchor(matter: Matter) -> String {
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
pub(in crate::page) const fn opening(matter: Matter) -> Opening {
    match matter {
        Matter::HalfTitle | Matter::Title => Opening::Recto,
        Matter::Contents | Matter::Index | Matter::Glossary => Opening::LikesRecto,
        Matter::BackCover => Opening::Verso,
        _ => Opening::Page,
    }
}
