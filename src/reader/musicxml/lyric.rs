//! Lyrics: syllables, verses, elisions, extenders.
//!
//! Source: MusicXML 4.0, lyric.

use roxmltree::Node;

use super::part::PartReader;
use super::xml::{child, text};
use crate::tune::{Event, Lyric, Syllable, Tune};

/// A tune has at most so many verses.
const MOST_VERSES: usize = 40;

impl PartReader<'_> {
    /// The lyrics of a note, each in its verse.
    pub fn lyrics(&mut self, node: Node, event: &mut Event) {
        for lyric in node.children().filter(|n| n.has_tag_name("lyric")) {
            let mut words = String::new();
            let mut joint = Syllable::End;
            for part in lyric.children().filter(Node::is_element) {
                match part.tag_name().name() {
                    "text" => words.push_str(&text(part)),
                    "elision" => words.push(' '),
                    "syllabic" => {
                        let more = matches!(text(part).as_str(), "begin" | "middle");
                        joint = if more { Syllable::Hyphen } else { Syllable::End };
                    }
                    sung @ ("laughing" | "humming") => self.not_kept(&format!("“{sung}” instead of a syllable")),
                    _ => {}
                }
            }
            let held = words.is_empty();
            if held && child(lyric, "extend").is_none() {
                continue;
            }
            if let Some(verse) = self.place_of_lyric(lyric, event, held) {
                if event.lyrics.len() <= verse {
                    event.lyrics.resize(verse + 1, None);
                }
                event.lyrics[verse] = Some(Lyric { text: words, joint, held });
            }
        }
    }
    /// The verse that a syllable goes to; `None` if it can't be kept.
    fn place_of_lyric(&mut self, lyric: Node, event: &Event, held: bool) -> Option<usize> {
        if lyric.attribute("print-object") == Some("no") {
            self.not_kept("a syllable that is not shown");
            return None;
        }
        if event.head().is_none() {
            // An extender that ends at a rest has ended before it.
            if !held {
                self.not_kept("a syllable under a rest");
            }
            return None;
        }
        if lyric.attribute("time-only").is_some() {
            self.changed("a syllable for some passes only", "one for all of them");
        }
        let number = lyric.attribute("number").or(lyric.attribute("name")).unwrap_or("1");
        let Some(verse) = self.verse(number) else {
            self.not_kept(&format!("a verse beyond {MOST_VERSES}"));
            return None;
        };
        if event.lyrics.get(verse).is_some_and(Option::is_some) {
            self.not_kept("a second syllable of a verse under one note");
            return None;
        }
        Some(verse)
    }
    /// The index of a verse by its number or name.
    fn verse(&mut self, number: &str) -> Option<usize> {
        if let Ok(number @ 1..=MOST_VERSES) = number.parse::<usize>() {
            while self.verses.len() < number {
                let next = (self.verses.len() + 1).to_string();
                self.verses.push(next);
            }
            return Some(number - 1);
        }
        if let Some(at) = self.verses.iter().position(|known| known == number) {
            return Some(at);
        }
        (self.verses.len() < MOST_VERSES).then(|| {
            self.verses.push(number.to_owned());
            self.verses.len() - 1
        })
    }
}

/// Heads between a syllable with a hyphen and the next one carry it on.
pub(super) fn settle_holds(tune: &mut Tune, verses: usize) {
    for verse in 0..verses {
        let mut open = false;
        let mut gap: Vec<(usize, usize)> = Vec::new();
        for bar in 0..tune.bars.len() {
            for at in 0..tune.bars[bar].events.len() {
                let event = &tune.bars[bar].events[at];
                if event.head().is_none() {
                    continue;
                }
                match event.lyrics.get(verse).and_then(Option::as_ref) {
                    None if open => gap.push((bar, at)),
                    None => {}
                    Some(lyric) => {
                        open = lyric.joint == Syllable::Hyphen;
                        for (bar, at) in gap.drain(..) {
                            hold(&mut tune.bars[bar].events[at], verse);
                        }
                    }
                }
            }
        }
    }
}

fn hold(event: &mut Event, verse: usize) {
    if event.lyrics.len() <= verse {
        event.lyrics.resize(verse + 1, None);
    }
    event.lyrics[verse] = Some(Lyric { text: String::new(), joint: Syllable::Hyphen, held: true });
}
