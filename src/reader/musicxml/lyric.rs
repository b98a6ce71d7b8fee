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
        for lyric in node.children().filter(|n| n.has_tag_name("lyric")).take(MOST_VERSES) {
            let number = lyric.attribute("number").or(lyric.attribute("name")).unwrap_or("1");
            let Some(verse) = self.verse(number) else { continue };
            let mut words = String::new();
            let mut joint = Syllable::End;
            for part in lyric.children().filter(Node::is_element).take(32) {
                match part.tag_name().name() {
                    "text" => words.push_str(&text(part)),
                    "elision" => words.push(' '),
                    "syllabic" => {
                        let more = matches!(text(part).as_str(), "begin" | "middle");
                        joint = if more { Syllable::Hyphen } else { Syllable::End };
                    }
                    _ => {}
                }
            }
            let extends = child(lyric, "extend").is_some();
            if words.is_empty() && !extends {
                continue;
            }
            if event.lyrics.len() <= verse {
                event.lyrics.resize(verse + 1, None);
            }
            let held = words.is_empty();
            event.lyrics[verse] = Some(Lyric { text: words, joint, held });
        }
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
