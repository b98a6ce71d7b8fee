//! Lyrics: syllables, verses, elisions, extenders.
//!
//! Source: MusicXML 4.0, lyric.

use std::collections::BTreeSet;

use roxmltree::Node;

use super::barline::cut;
use super::part::PartReader;
use super::score::Measure;
use super::xml::{child, child_text, text};
use crate::tune::{Event, Lyric, NoteId, Syllable, Tune};

/// A tune has at most so many verses.
const MOST_VERSES: usize = crate::tune::MOST_VERSES;

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
            let line = child(lyric, "extend");
            if held && line.is_none() {
                continue;
            }
            if let Some(verse) = self.place_of_lyric(lyric, event, held) {
                if !held {
                    words = self.without_label(words, verse);
                }
                let goes_on = line.is_some_and(|line| line.attribute("type") != Some("stop"));
                if let (Some(id), true) = (event.head(), goes_on && !held && joint == Syllable::End) {
                    self.held_on.insert((id, verse));
                }
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
        let own = lyric.attribute("name").or(Some(verse_of(lyric)).filter(|own| own.parse::<usize>().is_err()));
        if let Some(own) = own.filter(|own| own.parse::<usize>().is_err() && !own.to_lowercase().contains("verse")) {
            self.not_kept(&format!("the name of a verse, “{}”,", cut(own)));
        }
        let Some(verse) = self.verse(verse_of(lyric)) else {
            self.not_kept(&format!("a verse beyond {MOST_VERSES}"));
            return None;
        };
        if event.lyrics.get(verse).is_some_and(Option::is_some) {
            self.not_kept("a second syllable of a verse under one note");
            return None;
        }
        Some(verse)
    }
    /// Makes room for the verses that have numbers; those that have names come after them.
    pub fn count_verses(&mut self, measures: &[Measure]) {
        let notes = measures.iter().flat_map(|measure| measure.music.children()).filter(|n| n.has_tag_name("note"));
        let own = notes.filter(|note| {
            let voice = child_text(*note, "voice");
            self.voice.as_deref().is_none_or(|chosen| chosen == voice.as_deref().unwrap_or("1"))
        });
        let lyrics = own.flat_map(|note| note.children()).filter(|n| n.has_tag_name("lyric"));
        let highest =
            lyrics.filter_map(|lyric| verse_of(lyric).parse::<usize>().ok()).filter(|n| *n <= MOST_VERSES).max();
        self.verses = (1..=highest.unwrap_or(0)).map(|number| number.to_string()).collect();
    }
    /// The first syllable of a verse without the verse's number before it, which is kept as its label.
    fn without_label(&mut self, words: String, verse: usize) -> String {
        if !self.verses_begun.insert(verse) {
            return words;
        }
        match words.split_once(' ') {
            Some((label, rest)) if is_label(label) => {
                if self.labels.len() <= verse {
                    self.labels.resize(verse + 1, String::new());
                }
                label.clone_into(&mut self.labels[verse]);
                rest.to_owned()
            }
            _ => words,
        }
    }
    /// The index of a verse by its number or name.
    fn verse(&mut self, number: &str) -> Option<usize> {
        // All numbers up to the highest are there already.
        if let Some(at) = self.verses.iter().position(|known| known == number) {
            return Some(at);
        }
        (self.verses.len() < MOST_VERSES).then(|| {
            self.verses.push(number.to_owned());
            self.verses.len() - 1
        })
    }
}

/// The number or name of a lyric's verse.
fn verse_of<'a>(lyric: Node<'a, '_>) -> &'a str {
    lyric.attribute("number").or(lyric.attribute("name")).map_or("1", str::trim)
}

/// Whether a word is a number before a verse, such as `1.` or `2-4.`
fn is_label(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit()) && !word.contains(char::is_alphabetic)
}

/// Heads between a syllable with a hyphen and the next one carry it on; so do those after a syllable that a line holds on, up
/// to the next one or a rest.
pub(super) fn settle_holds(tune: &mut Tune, verses: usize, held_on: &BTreeSet<(NoteId, usize)>) {
    for verse in 0..verses {
        let (mut open, mut line) = (false, false);
        let mut gap: Vec<(usize, usize)> = Vec::new();
        for bar in 0..tune.bars.len() {
            for at in 0..tune.bars[bar].events.len() {
                let event = &tune.bars[bar].events[at];
                let Some(id) = event.head() else {
                    line = false;
                    continue;
                };
                match event.lyrics.get(verse).and_then(Option::as_ref) {
                    None if open => gap.push((bar, at)),
                    None if line => hold(&mut tune.bars[bar].events[at], verse, Syllable::End),
                    None => {}
                    Some(lyric) => {
                        open = lyric.joint == Syllable::Hyphen;
                        line = held_on.contains(&(id, verse));
                        for (bar, at) in gap.drain(..) {
                            hold(&mut tune.bars[bar].events[at], verse, Syllable::Hyphen);
                        }
                    }
                }
            }
        }
    }
}

fn hold(event: &mut Event, verse: usize, joint: Syllable) {
    if event.lyrics.len() <= verse {
        event.lyrics.resize(verse + 1, None);
    }
    event.lyrics[verse] = Some(Lyric { text: String::new(), joint, held: true });
}
