//! The words of generated pages, one table a language.
//!
//! Takes a language tag; gives [`Words`]. A new language is a new folder with the same table; the compiler then asks for every
//! entry. Words in braces are filled in by the page that uses them.

mod en;
mod en_signs;
mod fr;
mod fr_signs;

use crate::engrave::Sign;
use crate::style::Signs;

/// A term of the trade with its meaning.
#[derive(Debug, Clone, Copy)]
pub(super) struct Term {
    /// The term as it stands in the glossary.
    pub term: &'static str,
    /// Words whose use in the book calls for the entry, in small letters; the term itself need not be among them.
    pub used_as: &'static [&'static str],
    /// One sentence or two.
    pub meaning: &'static str,
}

/// All words of one language.
#[derive(Debug)]
pub(super) struct Words {
    pub contents: &'static str,
    pub my_box: &'static str,
    pub key: &'static str,
    pub key_intro: &'static str,
    /// Said of chords where the book has minor ones.
    pub key_minor: &'static str,
    /// Said of bar numbers where the book has split bars.
    pub key_second_half: &'static str,
    /// The drawing of the bellows, and addresses, in a teacher's edition.
    pub key_curve: &'static str,
    pub key_places: &'static str,
    /// Said beside it where one of those addresses is of a second half of a bar, or of a grace note.
    pub key_places_second_half: &'static str,
    pub key_places_grace: &'static str,
    /// The sign before the rest of a line of code.
    pub key_turned: &'static str,
    pub holding: &'static str,
    pub how_to: &'static str,
    pub measure: &'static str,
    pub chord_chart: &'static str,
    pub scales: &'static str,
    pub tempo_ladder: &'static str,
    pub practice_log: &'static str,
    pub staves: &'static str,
    pub glossary: &'static str,
    pub index: &'static str,
    pub sources: &'static str,
    pub corrections: &'static str,

    pub holding_text: &'static str,
    pub how_to_text: &'static str,
    /// Slot `seconds`: what the book reckons with.
    pub measure_text: &'static str,
    /// What only the teacher's edition says.
    pub measure_maker: &'static str,
    /// The table to write into: what is timed, three times, the middle figure.
    pub measure_heads: [&'static str; 5],
    pub measure_rows: [&'static str; 7],
    /// What stands before the tenths of a number.
    pub decimal: &'static str,

    pub right_hand: &'static str,
    pub left_hand: &'static str,
    pub push: &'static str,
    pub pull: &'static str,
    pub chin: &'static str,
    pub lap: &'static str,
    pub bellows: &'static str,
    pub chord: &'static str,
    pub outer_row: &'static str,
    pub inner_row: &'static str,
    pub half_row: &'static str,
    /// Said of staves of a row to those who hear them.
    pub on_staff: &'static str,
    /// The line for the hand as it is heard: slots `row`, `fingers`, `buttons`.
    pub hand_line: &'static str,
    /// A place of the hand as it is heard: the notes from which it holds in `notes`, and the slots of `hand_line`.
    pub hand_from: &'static str,
    /// From a number to another: slots `a`, `b`.
    pub a_to_b: &'static str,
    pub my_box_intro: &'static str,
    pub left_intro: &'static str,
    pub thirds_out: &'static str,
    /// For the teacher: slot `source`.
    pub box_layout: &'static str,
    pub box_source: &'static str,

    pub arranged: &'static str,
    pub from: &'static str,
    pub box_for: &'static str,
    /// Parts of the names of built-in boxes, English and own.
    pub box_parts: &'static [(&'static str, &'static str)],
    /// Buttons of a box: slot `n`.
    pub buttons: &'static str,
    pub edition_large: &'static str,
    pub edition_teacher: &'static str,
    pub edition_handout: &'static str,
    pub impression: &'static str,
    pub isbn_none: &'static str,
    pub published_by: &'static str,
    pub rights_of_tunes: &'static str,
    pub local_law: &'static str,
    pub fonts: &'static str,
    pub fonts_one: &'static str,
    /// The face of code, where a text has any.
    pub fonts_code: &'static str,
    pub errata_note: &'static str,
    pub health_note: &'static str,
    pub rights_unstated: &'static str,

    pub along: &'static str,
    pub smooth: &'static str,
    pub easy: &'static str,
    pub listen: &'static str,
    pub notes_page: &'static str,
    pub practice: &'static str,
    pub teacher_notes: &'static str,
    pub open: &'static str,
    pub closed: &'static str,
    pub places: &'static str,
    pub runner_up: &'static str,

    pub chord_intro: &'static str,
    /// A chord that a direction lacks, as it is heard: slots `chord`, `direction`.
    pub no_chord: &'static str,
    /// The columns of the chart: slots `left`, `right`.
    pub chord_columns: &'static str,
    pub cross_intro: &'static str,
    pub cross_chords: &'static str,
    pub clash: &'static str,

    pub scales_intro: &'static str,
    pub major: &'static str,
    pub arpeggio: &'static str,
    pub scale_along: &'static str,
    pub scale_across: &'static str,
    pub turns: &'static str,
    pub one_turn: &'static str,
    pub no_turn: &'static str,
    pub scale_missing: &'static str,

    pub ladder_intro: &'static str,
    pub tune: &'static str,
    pub page: &'static str,
    /// A page in the middle of a sentence: slot `page`.
    pub on_page: &'static str,
    /// A table to be written on, for those who hear it: slots `columns`, `rows`.
    pub to_write: &'static str,
    pub bar: &'static str,
    pub date: &'static str,
    pub minutes: &'static str,
    pub speed: &'static str,
    pub next_time: &'static str,
    pub log_intro: &'static str,
    pub staves_intro: &'static str,
    pub week: &'static str,

    pub index_titles: &'static str,
    pub index_first_lines: &'static str,
    pub index_keys: &'static str,
    pub index_metres: &'static str,
    pub index_levels: &'static str,
    pub index_teaches: &'static str,
    /// A heading said again where its list goes on in the next column.
    pub index_goes_on: &'static str,
    /// Over the words of the chapters' texts.
    pub index_words: &'static str,
    pub level: &'static str,
    pub no_metre: &'static str,

    pub composer: &'static str,
    pub source: &'static str,
    pub rights: &'static str,

    pub whose_book: &'static str,
    pub corrections_intro: &'static str,
    pub stands: &'static str,
    pub should_be: &'static str,

    pub key_groups: [&'static str; 6],
    /// Initial articles that titles are filed without, each with its space or apostrophe.
    pub articles: &'static [&'static str],
    /// The names of the steps from C up, as words name a key; charts and lanes keep to letters.
    pub letters: [&'static str; 7],
    /// What stands between a name and what is said of it.
    pub colon: &'static str,
    pub terms: &'static [Term],
    /// The sentence of a sign, with the looks that change it.
    pub sign: fn(Sign, &Signs) -> String,
    /// The name of a mode after a tonic.
    pub mode: fn(crate::tune::Mode) -> &'static str,
}

/// The table of a language; British English where there is none.
pub(super) fn words(language: &str) -> &'static Words {
    match language {
        "en-US" => &en::EN_US,
        french if french.split('-').next() == Some("fr") => &fr::FR,
        _ => &en::EN_GB,
    }
}

#[cfg(test)]
mod tests;
