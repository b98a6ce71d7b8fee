//! Marks that say how a note is played on the box: push and pull, the row.
//!
//! The words and glyphs of MusicXML's `other-technical` are free; those that are understood here are in the guide. The glyphs
//! are SMuFL 1.4's for accordions. The heads that code rows are this program's own.

use roxmltree::Node;

use super::barline::cut;
use super::losses::At;
use super::part::PartReader;
use super::xml::{child, text};
use crate::reader::asked::{Asked, Wish};
use crate::tune::{Event, NoteId, Onset, Tune};

/// Marks of one tune that are kept, at most.
const MOST: usize = 20_000;

/// A mark on one pitch of a note.
#[derive(Debug)]
pub(super) struct Ask {
    note: NoteId,
    asked: Asked,
    from: At,
}

/// Where a note stands before it has its number: bar, and onset in the bar.
pub(super) type Spots = Vec<(usize, Onset, Asked)>;

impl PartReader<'_> {
    /// A technical sign without a name of its own.
    pub fn other_technical(&mut self, node: Node, event: &Event) {
        let words = text(node);
        let asked = of_sign(node.attribute("smufl").unwrap_or(""), &words);
        let name =
            if words.is_empty() { node.attribute("smufl").unwrap_or("other-technical").to_owned() } else { words };
        match (asked, event.head()) {
            (Some(asked), Some(note)) if self.wishes => self.ask(note, asked),
            (Some(_), Some(_)) => {
                let hint = "`boxwright bring` makes a tune file of the score, with a pin for it";
                self.losses.note_with(format!("“{}” is not kept", cut(&name)), hint, &self.here);
            }
            _ => self.not_kept(&format!("“{}”", cut(&name))),
        }
    }
    /// Whether a head codes a row for the reader of this tune.
    pub fn codes_row(&self, node: Node, head: &str) -> bool {
        self.wishes && of_head(head).is_some() && child(node, "grace").is_none()
    }
    /// The row that the head of a note codes.
    pub fn ask_head(&mut self, node: Node, note: NoteId) {
        let Some(name) = child(node, "notehead").map(text) else { return };
        if let Some(asked) = of_head(&name).filter(|_| self.wishes) {
            self.changed(&format!("the notehead “{}”", cut(&name)), &format!("a pin to the {} row", asked.pin().1));
            self.ask(note, asked);
        }
    }
    fn ask(&mut self, note: NoteId, asked: Asked) {
        if self.asks.len() < MOST {
            self.asks.push(Ask { note, asked, from: self.here.clone() });
        }
    }
    /// What is asked for, by the places of the notes; what can't be asked for is told.
    pub fn settle_asks(&mut self) -> Spots {
        let asks = std::mem::take(&mut self.asks);
        let mut spots = Spots::new();
        let mut from = 0;
        for (at, bar) in self.tune.bars.iter().enumerate() {
            let mut onset = Onset::ZERO;
            for event in &bar.events {
                let here = onset;
                onset = onset + event.duration;
                let Some(id) = event.head() else { continue };
                let first = from + asks[from..].partition_point(|ask| ask.note < id);
                let next = first + asks[first..].partition_point(|ask| ask.note == id);
                from = next;
                let asks = &asks[first..next];
                for (key, what) in
                    [("direction", "a second direction of the bellows"), ("row", "a row of a part of a chord")]
                {
                    let of_key = || asks.iter().filter(|ask| ask.asked.pin().0 == key);
                    let Some(one) = of_key().next() else { continue };
                    let alike = of_key().all(|ask| ask.asked == one.asked);
                    // A pin to a row holds for the whole chord.
                    let whole = key == "direction" || of_key().count() >= event.notes().len();
                    if whole && alike {
                        spots.push((at, here, one.asked));
                    } else {
                        self.losses.note(format!("{what} is not kept"), &one.from);
                    }
                }
            }
        }
        spots
    }
}

/// The wishes of a whole tune.
pub(super) fn wishes(tune: &Tune, spots: &Spots) -> Vec<Wish> {
    let wish = |(bar, onset, asked): &(usize, Onset, Asked)| {
        let event = tune.bars.get(*bar)?.events.iter().find(|event| event.onset == *onset)?;
        Some(Wish { note: tune.address(event.head()?), asked: *asked })
    };
    spots.iter().filter_map(wish).collect()
}

/// What a technical sign asks for, by its glyph or its words.
fn of_sign(glyph: &str, words: &str) -> Option<Asked> {
    match glyph {
        "accdnPush" => return Some(Asked::Push),
        "accdnPull" => return Some(Asked::Pull),
        _ => {}
    }
    Some(match words.to_lowercase().as_str() {
        "push" | "press" => Asked::Push,
        "pull" | "draw" => Asked::Pull,
        "outer" | "outer row" => Asked::OuterRow,
        "inner" | "inner row" => Asked::InnerRow,
        "half" | "half row" => Asked::HalfRow,
        _ => return None,
    })
}

/// The row that a head codes in this program's own print.
fn of_head(name: &str) -> Option<Asked> {
    match name {
        "square" | "rectangle" => Some(Asked::InnerRow),
        "triangle" => Some(Asked::HalfRow),
        _ => None,
    }
}
