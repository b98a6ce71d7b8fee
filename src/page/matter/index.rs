//! The index: tunes, first lines of words, keys, metres, levels.

use super::rows::{self, Entry};
use super::{Desk, anchor, filing};
use crate::book::{Matter, TuneEntry};
use crate::frame::{Role, Tag};
use crate::geom::Abs;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, facts, tune_head};
use crate::tune::{Syllable, Tune};

/// All indexes that have something to list.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.index, &anchor(Matter::Index), comp)];
    let tunes: Vec<&TuneEntry> = setting.book.tunes().collect();

    let mut titles: Vec<(String, &TuneEntry)> = Vec::new();
    for tune in &tunes {
        titles.push((tune.title.clone(), tune));
        titles.extend(tune.tune.other_titles.iter().map(|title| (title.clone(), *tune)));
    }
    titles.sort_by_key(|(title, tune)| (filing::key(filing::without_article(title, words.articles)), tune.id.clone()));
    out.extend(list(desk, words.index_titles, &titles, comp));

    let mut lines: Vec<(String, &TuneEntry)> =
        tunes.iter().filter_map(|tune| Some((first_line(&tune.tune)?, *tune))).collect();
    lines.sort_by_key(|(line, tune)| (filing::key(line), tune.id.clone()));
    if !lines.is_empty() {
        out.extend(list(desk, words.index_first_lines, &lines, comp));
    }

    let by_key = grouped(&tunes, |tune| facts::key_name(setting, &tune.tune.key));
    out.extend(groups(desk, words.index_keys, by_key, comp));
    let by_metre = grouped(&tunes, |tune| Some(facts::metre_name(setting, &tune.tune.meter)));
    out.extend(groups(desk, words.index_metres, by_metre, comp));
    let by_level = grouped(&tunes, |tune| Some(words.level.replace("{n}", &tune.level?.to_string())));
    out.extend(groups(desk, words.index_levels, by_level, comp));
    out
}

/// Tunes under a name, names and tunes in filing order.
fn grouped<'a>(
    tunes: &[&'a TuneEntry],
    name: impl Fn(&TuneEntry) -> Option<String>,
) -> Vec<(String, Vec<&'a TuneEntry>)> {
    let mut found: Vec<(String, Vec<&TuneEntry>)> = Vec::new();
    for tune in tunes {
        let Some(name) = name(tune) else { continue };
        match found.iter_mut().find(|(known, _)| *known == name) {
            Some((_, tunes)) => tunes.push(tune),
            None => found.push((name, vec![tune])),
        }
    }
    // Sharps and flats are filed by their names.
    found.sort_by_key(|(name, _)| filing::key(&name.replace('♯', " sharp").replace('♭', " flat")));
    found
}

fn list(desk: &Desk<'_>, title: &str, entries: &[(String, &TuneEntry)], comp: &mut Compositor<'_>) -> Vec<Piece> {
    let mut out = rows::heading(desk, title, 2, comp);
    let tag = (comp.number(), Tag::new(Role::List));
    for (n, (words, tune)) in entries.iter().enumerate() {
        let entry =
            Entry { words: words.clone(), named: Named::Text, indent: Abs::ZERO, anchor: tune_head::anchor(&tune.id) };
        let mut piece = rows::entry(desk, &entry, comp);
        piece.tags = vec![tag.clone(), (comp.number(), Tag::new(Role::ContentsItem))];
        piece.before = if n < 2 || n + 1 == entries.len() { Before::Never } else { Before::Free };
        out.push(piece);
    }
    out
}

fn groups(
    desk: &Desk<'_>,
    title: &str,
    groups: Vec<(String, Vec<&TuneEntry>)>,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    if groups.is_empty() {
        return Vec::new();
    }
    let setting = desk.setting;
    let mut out = rows::heading(desk, title, 2, comp);
    for (name, tunes) in groups {
        let tag = (comp.number(), Tag::new(Role::Paragraph));
        let mut head = setting.tagged_lines(Named::Strong, &name, setting.measure, tag, comp);
        let first = out.len() == 1;
        if let Some(piece) = head.first_mut().filter(|_| first) {
            piece.before = Before::Never;
        }
        out.extend(head);
        let tag = (comp.number(), Tag::new(Role::List));
        for (n, tune) in tunes.iter().enumerate() {
            let entry = Entry {
                words: tune.title.clone(),
                named: Named::Text,
                indent: setting.area.step * 1.5,
                anchor: tune_head::anchor(&tune.id),
            };
            let mut piece = rows::entry(desk, &entry, comp);
            piece.tags = vec![tag.clone(), (comp.number(), Tag::new(Role::ContentsItem))];
            if n == 0 {
                piece.before = Before::Never;
            }
            out.push(piece);
        }
    }
    out
}

/// Most words of a first line.
const WORDS: usize = 8;

/// The beginning of the first verse; `None` for tunes without words.
fn first_line(tune: &Tune) -> Option<String> {
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
    let line = line.trim().trim_end_matches([',', '.', ';', ':']).to_owned();
    (!line.is_empty()).then_some(line)
}
