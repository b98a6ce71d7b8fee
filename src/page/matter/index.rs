//! The index: tunes, first lines of words, keys, metres, levels, what tunes teach, words of the texts; in two columns where the page is wide
//! enough.

use super::columns::{self, Columns, Slot};
use super::filing;
use super::names::anchor;
use super::rows::{self, Entry};
use crate::book::{Matter, TuneEntry};
use crate::diag::Place;
use crate::engrave::sung;
use crate::frame::{Frame, Role};
use crate::geom::{Abs, Point, Size};
use crate::page::desk::Desk;
use crate::page::flow::Piece;
use crate::page::flow::fixed;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, facts, indexed, tune_head};
use crate::text::Inline;
use crate::tune::{Syllable, Tune};
use std::collections::BTreeMap;
use std::sync::Arc;

/// All indexes that have something to list.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let step = setting.area.step;
    let head = chapter::head(desk, words.index, &anchor(Matter::Index), comp);
    let columns = columns(desk, head.height + step);
    let tunes: Vec<&TuneEntry> = setting.book.tunes().collect();

    let mut titles: Vec<(String, &TuneEntry)> = Vec::new();
    for tune in &tunes {
        titles.push((tune.title.clone(), tune));
        titles.extend(tune.tune.other_titles.iter().map(|title| (title.clone(), *tune)));
    }
    titles.sort_by_cached_key(|(title, tune)| {
        (filing::key(filing::without_article(title, words.articles)), tune.id.clone())
    });
    let mut maker = Maker { desk, width: columns.width, closer: columns.closer, slots: Vec::new(), comp };
    maker.list(words.index_titles, &titles);

    let mut lines: Vec<(String, &TuneEntry)> =
        tunes.iter().filter_map(|tune| Some((first_line(&tune.tune)?, *tune))).collect();
    lines.sort_by_cached_key(|(line, tune)| (filing::key(line), tune.id.clone()));
    if !lines.is_empty() {
        maker.list(words.index_first_lines, &lines);
    }

    let by_key = grouped(&tunes, |tune| facts::key_name(setting, &tune.tune.key).into_iter().collect());
    maker.groups(words.index_keys, by_key);
    let by_metre = grouped(&tunes, |tune| vec![facts::metre_name(setting, &tune.tune.meter)]);
    maker.groups(words.index_metres, by_metre);
    let by_level =
        grouped(&tunes, |tune| tune.level.iter().map(|level| words.level.replace("{n}", &level.to_string())).collect());
    maker.groups(words.index_levels, by_level);
    let mut lessons = grouped(&tunes, |tune| tune.teaches.clone());
    lessons.sort_by_cached_key(|(name, _)| filing::key(filing::without_article(name, words.articles)));
    maker.lessons(words.index_teaches, lessons);
    maker.words(words.index_words, words_of_texts(desk));
    let slots = maker.slots;
    let mut out = vec![head];
    let mut pages = columns::pieces(slots, &columns, setting, comp);
    if let Some(first) = pages.first_mut() {
        first.gap = fixed(step);
    }
    out.extend(pages);
    out
}

/// Two columns where each holds a title and its page, else one as wide as text.
fn columns(desk: &Desk<'_>, used: Abs) -> Columns {
    let setting = desk.setting;
    let gap = setting.scale.size(Named::Text) * 2.4;
    let half = (setting.width - gap) / 2.0;
    let two = half >= setting.scale.size(Named::Text) * LEAST_COLUMN;
    let (count, width) = if two { (2, half) } else { (1, setting.measure) };
    let text = &setting.book.text;
    let closer = CLOSER.max(LEAST_LEADING / (text.leading / text.size)).min(1.0);
    Columns { count, width, gap, area: setting.area, used, closer }
}

/// How much closer lines stand than in text, and the least leading in type sizes that this may lead to.
const CLOSER: f64 = 0.92;
/// See [`CLOSER`].
const LEAST_LEADING: f64 = 1.15;
/// A column of fewer ems breaks most titles.
const LEAST_COLUMN: f64 = 17.0;

/// Tunes under a name, names and tunes in filing order.
fn grouped<'a>(
    tunes: &[&'a TuneEntry],
    names: impl Fn(&TuneEntry) -> Vec<String>,
) -> Vec<(String, Vec<&'a TuneEntry>)> {
    let mut found: Vec<(String, Vec<&TuneEntry>)> = Vec::new();
    // Which of them has a name: a book of thousands of tunes may have a hundred thousand.
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for tune in tunes {
        for name in names(tune) {
            match known.get(&name) {
                Some(at) => found[*at].1.push(tune),
                None => {
                    known.insert(name.clone(), found.len());
                    found.push((name, vec![tune]));
                }
            }
        }
    }
    // Sharps and flats are filed by their names.
    found.sort_by_cached_key(|(name, _)| filing::key(&name.replace('♯', " sharp").replace('♭', " flat")));
    found
}

/// Makes the slots of the columns.
struct Maker<'d, 's, 'c, 't> {
    desk: &'d Desk<'s>,
    width: Abs,
    closer: f64,
    slots: Vec<Slot>,
    comp: &'c mut Compositor<'t>,
}

impl Maker<'_, '_, '_, '_> {
    /// Words of a style, written at a place, kept with what follows.
    fn head(&mut self, words: &str, place: Option<Place>, named: Named, role: Role, gap: Abs) {
        let mut look = self.desk.setting.scale.look(named);
        look.hyphenate = false;
        let mut frame = Frame::new(Size::new(self.width, Abs::ZERO));
        let set = |comp: &mut Compositor<'_>| comp.set(&[Inline::text(words)], &look, self.width);
        for line in self.comp.at(place, set) {
            let at = frame.size.height;
            frame.size.height += line.frame.size.height;
            frame.place(Point::new(Abs::ZERO, at), line.frame);
        }
        self.put(frame, gap, true, role);
    }
    /// Adds a slot; lines stand a little closer than in text where the leading is wide.
    fn put(&mut self, mut frame: Frame, gap: Abs, keep: bool, role: Role) {
        frame.size.height = frame.size.height * self.closer;
        self.slots.push(Slot { frame, gap, keep, role, under: None });
    }
    fn title(&mut self, words: &str) {
        // A heading of two steps has white of its own.
        let scale = &self.desk.setting.scale;
        let gap = if scale.steps(Named::Heading) > 1 { 0.5 } else { 1.0 };
        self.head(words, None, Named::Heading, Role::Heading(2), self.desk.setting.area.step * gap);
    }
    /// Entries of which two at least stand under a heading and at a column's head.
    fn entries(&mut self, entries: impl ExactSizeIterator<Item = (String, Place, String)>, indent: Abs) {
        let count = entries.len();
        for (n, (words, place, anchor)) in entries.enumerate() {
            let entry = Entry { words, named: Named::Text, indent, anchor, place: Some(place) };
            let frame = rows::entry_frame(self.desk, &entry, self.width, self.comp);
            let keep = n + 1 < count && (n == 0 || n + 2 == count);
            self.put(frame, Abs::ZERO, keep, Role::ContentsItem);
        }
    }
    /// A name with entries under it, which is said again where a column parts them.
    fn group(
        &mut self,
        (name, place, named): (&str, Option<Place>, Named),
        entries: impl ExactSizeIterator<Item = (String, Place, String)>,
    ) {
        self.head(name, place, named, Role::Paragraph, Abs::ZERO);
        let from = self.slots.len();
        self.entries(entries, self.desk.setting.area.step);
        let again: Arc<str> = self.desk.setting.words.index_goes_on.replace("{name}", name).into();
        self.slots[from..].iter_mut().for_each(|slot| slot.under = Some((named, Arc::clone(&again))));
    }
    fn list(&mut self, title: &str, entries: &[(String, &TuneEntry)]) {
        self.title(title);
        self.entries(
            entries.iter().map(|(words, tune)| (words.clone(), tune.place, tune_head::anchor(&tune.id))),
            Abs::ZERO,
        );
    }
    fn groups(&mut self, title: &str, groups: Vec<(String, Vec<&TuneEntry>)>) {
        if groups.is_empty() {
            return;
        }
        self.title(title);
        for (name, tunes) in groups {
            let entry = |tune: &&TuneEntry| (tune.title.clone(), tune.place, tune_head::anchor(&tune.id));
            self.group((&name, None, Named::Strong), tunes.iter().map(entry));
        }
    }
    /// Words of texts: most stand in one chapter, some in several, which then stand under the word.
    fn words(&mut self, title: &str, words: Vec<Found>) {
        if words.is_empty() {
            return;
        }
        self.title(title);
        let chapters = &self.desk.setting.book.chapters;
        for run in words.chunk_by(|(_, one), (_, next)| one.len() == 1 && next.len() == 1) {
            match run {
                [(word, several)] if several.len() > 1 => {
                    let entry = |n: &usize| (chapters[*n].title.clone(), chapters[*n].place, indexed::anchor(*n, word));
                    self.group((word, None, Named::Text), several.iter().map(entry));
                }
                run => {
                    let entries = run.iter().flat_map(|(word, chapter)| chapter.iter().map(move |n| (word, *n)));
                    let entries: Vec<(String, Place, String)> =
                        entries.map(|(word, n)| (word.clone(), chapters[n].place, indexed::anchor(n, word))).collect();
                    self.entries(entries.into_iter(), Abs::ZERO);
                }
            }
        }
    }
    /// What tunes teach: most things are taught by one tune, which then stands on the same line; several stand under one head.
    fn lessons(&mut self, title: &str, groups: Vec<(String, Vec<&TuneEntry>)>) {
        if groups.is_empty() {
            return;
        }
        self.title(title);
        let colon = self.desk.setting.words.colon;
        for run in groups.chunk_by(|(_, one), (_, next)| one.len() == 1 && next.len() == 1) {
            match run {
                [(name, tunes)] if tunes.len() > 1 => {
                    let place = tunes.first().map(|tune| tune.teaches_place);
                    let entry = |tune: &&TuneEntry| (tune.title.clone(), tune.place, tune_head::anchor(&tune.id));
                    self.group((name, place, Named::Text), tunes.iter().map(entry));
                }
                run => {
                    let single = |(name, tunes): &(String, Vec<&TuneEntry>)| {
                        let tune = *tunes.first()?;
                        Some((format!("{name}{colon}{}", tune.title), tune.teaches_place, tune_head::anchor(&tune.id)))
                    };
                    let entries: Vec<(String, Place, String)> = run.iter().filter_map(single).collect();
                    self.entries(entries.into_iter(), Abs::ZERO);
                }
            }
        }
    }
}

/// A word with the numbers of the chapters whose texts have it.
type Found = (String, Vec<usize>);

/// The words of the texts that are to be listed, in filing order.
fn words_of_texts(desk: &Desk<'_>) -> Vec<Found> {
    let mut found: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (n, (chapter, blocks)) in desk.setting.book.chapters.iter().zip(&desk.material.chapters).enumerate() {
        for word in indexed::words(chapter, blocks) {
            found.entry(word).or_default().push(n);
        }
    }
    let mut found: Vec<Found> = found.into_iter().collect();
    let words = desk.setting.words;
    // Options are filed by their letters.
    let letters = |word: &str| filing::key(filing::without_article(word.trim_start_matches('-'), words.articles));
    found.sort_by_cached_key(|(word, _)| (letters(word), word.clone()));
    found
}

/// Most words of a first line.
const WORDS: usize = 8;

/// The beginning of the first verse, which stands under the notes or, in a tune without words there, below the music; `None` for
/// tunes without words.
fn first_line(tune: &Tune) -> Option<String> {
    sung_line(tune).or_else(|| tune.words.iter().find_map(|line| verse_line(line)))
}

/// The beginning of a line of verse without the number that some stanzas begin with; `None` where nothing else is in it.
fn verse_line(line: &str) -> Option<String> {
    let line = sung(line.trim());
    let unnumbered = line.trim_start_matches(|c: char| c.is_ascii_digit()).strip_prefix(['.', ')', ':']);
    let words: Vec<&str> = unnumbered.unwrap_or(&line).split_whitespace().collect();
    let line = ended(&words[..words.len().min(WORDS)].join(" "));
    (!line.is_empty()).then_some(line)
}

/// A line without the sign that divides it from the next.
fn ended(line: &str) -> String {
    line.trim().trim_end_matches([',', '.', ';', ':']).to_owned()
}

/// The beginning of the words under the notes.
fn sung_line(tune: &Tune) -> Option<String> {
    let mut line = String::new();
    let mut words = 0;
    for event in tune.bars.iter().flat_map(|bar| &bar.events) {
        let Some(Some(lyric)) = event.lyrics.first() else { continue };
        if lyric.held || lyric.text.trim().is_empty() {
            continue;
        }
        line.push_str(lyric.text.trim());
        if lyric.joint == Syllable::End {
            words += 1;
            // A line of verse ends where its punctuation does.
            if words >= WORDS || (words >= 4 && lyric.text.ends_with([',', '.', ';', ':', '!', '?'])) {
                break;
            }
            line.push(' ');
        }
    }
    let line = ended(&line);
    (!line.is_empty()).then_some(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A song whose words all stand below its music is in the index of first lines by the first of them that says anything.
    #[test]
    fn words_below_the_music_have_a_first_line() {
        let first = |lines: &[&str]| {
            let words = lines.iter().map(|&line| line.to_owned()).collect();
            first_line(&Tune { words, ..Tune::blank() })
        };
        assert_eq!(
            first(&["", "1. The jug is blue, the jug is chipped,", "and so am I."]),
            Some("The jug is blue, the jug is chipped".into())
        );
        assert_eq!(first(&["12) A coat", "a hat"]), Some("A coat".into()));
        assert_eq!(first(&["1.", " ", "Ten to 9 it's late"]), Some("Ten to 9 it’s late".into()));
        assert_eq!(first(&["7 brothers went to sea"]), Some("7 brothers went to sea".into()));
        assert_eq!(
            first(&["one two three four five six seven eight nine"]),
            Some("one two three four five six seven eight".into())
        );
        assert_eq!((first(&[]), first(&["", "2."])), (None, None));
    }
}
