//! The whole way from `book.yaml` to a checked [`Book`]; and one tune without a book.

use super::boxes::{builtin_box, named_box};
use super::files::{BOOK, BookFile, ChapterFile, FileKind, Language, TuneLine, TypeFile};
use super::kind::is_kind;
use super::library::{Library, Unread};
use super::text::{MARKDOWN, printed, prose, take_pictures, unless_none};
use super::tunes::{Settings, Wanted, moved, read_tunes};
use super::words::{Either, Face, Pitching, Prose, RelativePath, Said};
use super::yaml::{Node, check, mark, readable, typed};
use super::{
    Book, Chapter, Cover, Imprint, Matter, OwnFonts, Picture, Places, Playing, Press, ShopProfile, TuneEntry, cover,
    editions, look, page,
};
use crate::diag::{FileId, Place, Sink, Sources};
use crate::fingering::Request;
use crate::instrument::Instrument;
use crate::style::Binding;
use crate::tune::Interval;
use std::collections::BTreeMap;

/// A book has at most so many chapters.
const MOST_CHAPTERS: usize = 500;
/// A book has at most so many tunes: two thousand pages hold fewer.
const MOST_TUNES: usize = 3_000;

/// Reads a book, or one edition of it, and all files it names.
///
/// `path` is the book's file as the user names it; `files` gives the bytes of a path, or why it can't. All complaints of the
/// run go into `sink`; a book with errors in the sink lacks what the errors are about and must not be bound. `None` when
/// there is no book to go on with.
pub fn read<E: Into<Unread>>(
    path: &str,
    edition: Option<&str>,
    files: &mut dyn FnMut(&str) -> Result<Vec<u8>, E>,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Book> {
    let mut files = |path: &str| files(path).map_err(Into::into);
    let mut library = Library::new(path, &mut files, sources);
    let file = library.first(path, "a book's file, such as evening/book.yaml", sink)?;
    let whole = checked(file, library.sources.text(file), sink)?;
    if edition.is_none() {
        editions::check(&whole, sink);
    }
    let chosen = editions::apply(&whole, edition, library.sources, sink)?;
    let parsed: BookFile = typed(&chosen.node, sink)?;
    let pitch = whole.get("editions").and_then(|all| all.get(edition?)).and_then(|own| own.get("pitch"));
    let pitch = pitch.and_then(Node::text).and_then(|text| super::words::Word::read(text).ok()).unwrap_or_default();
    let plain =
        BookReading { node: &chosen.node, parsed: &parsed, library: &mut library, is_itself: edition.is_none(), sink };
    let mut book = plain.book(&whole, pitch)?;
    editions::apart(&whole, edition, book.tunes().map(|tune| tune.id.as_str()), sink);
    book.edition = edition.map(str::to_owned);
    book.presets = chosen.presets;
    book.editions = editions::names(&whole);
    Some(book)
}

/// The marked tree of `book.yaml`, checked.
fn checked(file: FileId, text: &str, sink: &mut Sink) -> Option<Node> {
    let node = mark(file, text, sink).filter(|node| is_kind(node, FileKind::Book, sink))?;
    let lines: Vec<&str> = text.split('\n').collect();
    readable(&node, &lines, sink);
    check(&node, &BOOK, sink)
}

struct BookReading<'a, 'b> {
    node: &'a Node,
    parsed: &'a BookFile,
    library: &'a mut Library<'b>,
    /// Whether the book itself is read, and no edition of it.
    is_itself: bool,
    sink: &'a mut Sink,
}

impl BookReading<'_, '_> {
    fn book(mut self, whole: &Node, pitch: Pitching) -> Option<Book> {
        let parsed = self.parsed;
        self.shelf();
        let found = named_box(&parsed.instrument, self.node.place_of("box"), self.library, self.sink);
        let (instrument, box_name) = found.or_else(|| Some((builtin_box("dg-21-third")?, None)))?;
        let base = self.base(whole, &instrument);
        if self.is_itself {
            self.boxes_of_editions(whole);
            self.files_of_editions(whole);
        }
        let language = match parsed.language.as_ref().map(|said| said.0) {
            Some(Language::American) => "en-US",
            Some(Language::French) => "fr",
            _ => "en-GB",
        };
        let type_file = parsed.text.clone().unwrap_or_default();
        let type_node = self.node.get("type");
        let text = look::text(&type_file, type_node, language, self.sink);
        let fonts = self.fonts(&type_file, type_node);
        let signs = look::signs(&parsed.signs.clone().unwrap_or_default(), self.node.get("signs"), self.sink);
        let engraving = look::engraving(&type_file, signs, &text, type_node, self.sink);
        let page = page::page(&parsed.page.clone().unwrap_or_default(), self.node.get("page"), self.sink);
        let press = look::press(&parsed.press.clone().unwrap_or_default(), self.node.get("press"), self.sink);
        let mut press = Press { profile: self.profile(), ..press };
        let playing = look::playing(&parsed.playing.clone().unwrap_or_default());
        let extras = words(parsed.extras.as_deref());
        let moved = match pitch {
            Pitching::Keep => Interval::default(),
            Pitching::WithBox => moved(&base, &instrument),
        };
        let settings = Settings { base, instrument, moved, playing: playing.clone(), extras: extras.clone() };
        let mut pictures = Vec::new();
        let mut chapters = self.chapters(&settings, &mut pictures);
        if parsed.signs.as_ref().and_then(|signs| signs.sung_words.as_ref()).is_some_and(|said| !said.0.0) {
            let tunes = chapters.iter_mut().flat_map(|chapter| &mut chapter.tunes);
            tunes.for_each(|entry| entry.tune.leave_words());
        }
        press.cover = self.cover((&press, page.binding), &mut pictures);
        let ids = chapters.iter().flat_map(|chapter| &chapter.tunes).map(|tune| tune.id.clone()).collect();
        self.twice();
        self.has_pages();
        let imprint = self.imprint();
        Some(Book {
            id: parsed.id.0.0.clone(),
            title: printed(&parsed.title),
            subtitle: unless_none(parsed.subtitle.as_ref()).as_deref().map(printed),
            author: unless_none(parsed.author.as_ref()),
            date: parsed.date.0.0.clone(),
            impression: parsed.impression.unwrap_or(1),
            language: language.to_owned(),
            edition: None,
            presets: Vec::new(),
            editions: Vec::new(),
            instrument: settings.instrument,
            imprint,
            page,
            text,
            engraving,
            playing,
            extras,
            ids,
            front: words(parsed.front.as_deref()),
            chapters,
            back: words(parsed.back.as_deref()),
            places: Places { box_name, ..places(self.node) },
            press,
            fonts,
            pictures,
        })
    }

    fn shelf(&mut self) {
        let Some(shelf) = self.parsed.shelf.as_ref().and_then(|said| said.0.0.as_ref()) else { return };
        if shelf.0.split('/').all(|part| matches!(part, "" | "." | "..")) {
            let place = self.node.place_of("shelf");
            let message = format!("`{}` opens all that lies around the book", shelf.0);
            self.sink
                .error(code!("path-outside"), Some(place), message)
                .hints
                .push("name one folder, such as `../tunes`".into());
            return;
        }
        self.library.set_shelf(&shelf.0);
    }

    /// The fonts of the folder that the book names as its family.
    fn fonts(&mut self, file: &TypeFile, node: Option<&Node>) -> Option<OwnFonts> {
        let Some(Face::Folder(folder)) = file.family.as_ref().map(|said| &said.0) else { return None };
        let place = node.unwrap_or(self.node).place_of("family");
        let files = self.library.fonts(folder, place, self.sink)?;
        Some(OwnFonts { place, files })
    }

    /// The output profile that the book names.
    fn profile(&mut self) -> Option<ShopProfile> {
        let path = self.parsed.press.as_ref()?.profile.as_ref()?.0.0.as_ref()?.0.clone();
        let place = self.node.get("press").unwrap_or(self.node).place_of("profile");
        let (_, bytes) = self.library.bytes("", &path, place, self.sink)?;
        Some(ShopProfile { path, place, bytes: bytes.into() })
    }

    /// The box of the book itself: the one that pins are written for.
    fn base(&mut self, whole: &Node, instrument: &Instrument) -> Instrument {
        match whole.get("box").and_then(Node::text) {
            Some(name) if name != self.parsed.instrument => {
                let place = whole.place_of("box");
                let found = named_box(name, place, self.library, self.sink);
                found.map_or_else(|| instrument.clone(), |(base, _)| base)
            }
            _ => instrument.clone(),
        }
    }

    /// Where the book itself is read, its editions' boxes must be there too.
    fn boxes_of_editions(&mut self, whole: &Node) {
        for edition in whole.get("editions").map_or(&[][..], Node::entries) {
            if let Some(name) = edition.value.get("box").and_then(Node::text) {
                named_box(name, edition.value.place_of("box"), self.library, self.sink);
            }
        }
    }

    /// Where the book itself is read, the files that only its editions name must be there too; they are not read.
    fn files_of_editions(&mut self, whole: &Node) {
        for edition in whole.get("editions").map_or(&[][..], Node::entries) {
            let chapters = edition.value.get("chapters").map_or(&[][..], Node::items);
            let tunes = chapters.iter().flat_map(|chapter| chapter.get("tunes").map_or(&[][..], Node::items));
            let tunes = tunes.map(|tune| tune.get("file").unwrap_or(tune));
            let texts = chapters.iter().filter_map(|chapter| chapter.get("text"));
            let texts = texts.filter(|text| text.text().is_some_and(|text| Prose::is_file(text, MARKDOWN)));
            for node in tunes.chain(texts) {
                let Some(path) = node.text().map(str::trim).filter(|path| !self.library.has("", path)) else {
                    continue;
                };
                let message = format!("`{path}`, which the edition `{}` names, is not there", edition.key);
                let complaint = self.sink.error(code!("missing-file"), Some(node.place), message);
                complaint.hints.push("paths count from the folder of the book's file".into());
            }
        }
    }

    /// Complains of a book that has nothing to be printed.
    fn has_pages(&mut self) {
        let nothing = |key: &str| self.node.get(key).is_none_or(|list| list.items().is_empty());
        if ["front", "chapters", "back"].into_iter().all(nothing) && !self.node.partial {
            let place = self.node.place_of("chapters");
            let hint = "give it a chapter: `- title: ...`, with `text:` or `tunes:` below it";
            self.sink
                .error(code!("no-pages"), Some(place), "this book has no pages: `chapters` is empty")
                .hints
                .push(hint.into());
        }
    }

    fn imprint(&mut self) -> Imprint {
        let Some(file) = &self.parsed.imprint else { return Imprint::default() };
        let isbn = file.isbn.as_ref().and_then(|said| said.0.0.as_ref()).map(|isbn| isbn.0.clone());
        let wanted = file.notice.as_ref().is_some_and(|said| said.0.0.is_some());
        let node = self.node.get("imprint").and_then(|imprint| imprint.get("notice")).filter(|_| wanted);
        let notice = node.and_then(|node| prose(node, "", self.library, self.sink));
        Imprint { publisher: unless_none(file.publisher.as_ref()), isbn, notice }
    }

    fn cover(&mut self, with: (&Press, Binding), pictures: &mut Vec<(String, Picture)>) -> Option<Cover> {
        let Either::Long(file) = self.parsed.press.as_ref()?.cover.as_ref()? else { return None };
        let node = self.node.get("press")?.get("cover")?;
        Some(cover::cover(file, node, with, self.library, pictures, self.sink))
    }

    fn chapters(&mut self, settings: &Settings, pictures: &mut Vec<(String, Picture)>) -> Vec<Chapter> {
        let list = self.node.get("chapters").map_or(&[][..], Node::items);
        if let Some(node) = list.get(MOST_CHAPTERS) {
            let message = format!("a book has at most {MOST_CHAPTERS} chapters");
            self.sink.error(code!("too-many"), Some(node.place), message).hints.push("make it several books".into());
            return Vec::new();
        }
        let mut wanted = Vec::new();
        let mut shapes = Vec::new();
        for (chapter, node) in self.parsed.chapters.iter().zip(list) {
            let tunes = node.get("tunes").map_or(&[][..], Node::items);
            let lines = chapter.tunes.iter().flatten().zip(tunes).map(|(line, node)| want(line, node));
            let before = wanted.len();
            wanted.extend(lines);
            shapes.push((chapter, node, wanted.len() - before));
        }
        if let Some(tune) = wanted.get(MOST_TUNES) {
            let message = format!("a book has at most {MOST_TUNES} tunes");
            self.sink.error(code!("too-many"), Some(tune.place), message).hints.push("make it several books".into());
            return Vec::new();
        }
        self.same_file(&wanted);
        let mut tunes = read_tunes(&wanted, settings, self.library, self.sink).into_iter();
        let mut chapters = Vec::new();
        for (chapter, node, count) in shapes {
            let tunes: Vec<TuneEntry> = tunes.by_ref().take(count).flatten().collect();
            chapters.push(self.chapter(chapter, node, tunes, pictures));
        }
        self.same_id(&chapters);
        chapters
    }

    fn chapter(
        &mut self,
        file: &ChapterFile,
        node: &Node,
        tunes: Vec<TuneEntry>,
        pictures: &mut Vec<(String, Picture)>,
    ) -> Chapter {
        let wanted = file.text.as_ref().is_some_and(|said| said.0.0.is_some());
        let text = node.get("text").filter(|_| wanted);
        let text = text.and_then(|node| prose(node, "", self.library, self.sink));
        let texts = text.iter().chain(tunes.iter().flat_map(|tune| tune.commentary.iter().chain(&tune.teacher_notes)));
        for text in texts {
            take_pictures(text, self.library, pictures, self.sink);
        }
        let index = words(file.index.as_deref());
        Chapter { title: printed(&file.title), text, tunes, index, place: node.place_of("title") }
    }

    /// Complains of a generated part that the book prints twice. Pages to be written on may be wanted more than once.
    fn twice(&mut self) {
        let mut seen: Vec<Matter> = Vec::new();
        for (key, list) in [("front", &self.parsed.front), ("back", &self.parsed.back)] {
            let nodes = self.node.get(key).map_or(&[][..], Node::items);
            for (node, said) in nodes.iter().zip(list.iter().flatten()) {
                if matches!(said.0, Matter::Staves | Matter::PracticeLog) || !seen.contains(&said.0) {
                    seen.push(said.0);
                    continue;
                }
                let message = format!("`{}` is in this book twice", node.text().unwrap_or_default());
                let hint = "keep one of them; `staves` and `practice-log` may stand more than once";
                self.sink.warn(code!("part-twice"), Some(node.place), message).hints.push(hint.into());
            }
        }
    }

    fn same_file(&mut self, wanted: &[Wanted]) {
        let mut seen: BTreeMap<&str, Place> = BTreeMap::new();
        for tune in wanted {
            if let Some(first) = seen.get(tune.path.as_str()) {
                let message = format!("`{}` is in this book twice; the first is on line {}", tune.path, first.line);
                self.sink
                    .error(code!("duplicate-tune"), Some(tune.place), message)
                    .hints
                    .push("keep one of them".into());
            } else {
                seen.insert(&tune.path, tune.place);
            }
        }
    }

    fn same_id(&mut self, chapters: &[Chapter]) {
        let sources = &*self.library.sources;
        let path = |place: &Place| sources.path(place.file);
        let mut seen: BTreeMap<&str, Place> = BTreeMap::new();
        for tune in chapters.iter().flat_map(|chapter| &chapter.tunes) {
            match seen.get(tune.id.as_str()) {
                Some(first) if path(first) != path(&tune.place) => {
                    let message = format!("the id `{}` is taken by `{}`", tune.id, path(first));
                    let hint = "give each tune an id of its own; reprints are compared by it";
                    self.sink.error(code!("duplicate-id"), Some(tune.id_place), message).hints.push(hint.into());
                }
                Some(_) => {}
                None => {
                    seen.insert(&tune.id, tune.place);
                }
            }
        }
    }
}

fn want(line: &Either<RelativePath, TuneLine>, node: &Node) -> Wanted {
    match line {
        Either::Word(path) => {
            Wanted { path: path.0.clone(), place: node.place, style: None, reversal_under: None, weights: None }
        }
        Either::Long(line) => Wanted {
            path: line.file.0.0.clone(),
            place: node.place_of("file"),
            style: line.style.as_ref().map(|said| said.0),
            reversal_under: line.reversal_under.as_ref().map(|said| said.0.0),
            weights: line.weights.clone(),
        },
    }
}

/// Where the words and parts of a book stand that its pages show.
fn places(node: &Node) -> Places {
    let word = |key: &str| node.get(key).map(|value| value.place);
    let list = |key: &str| node.get(key).map_or(&[][..], Node::items).iter().map(|item| item.place).collect();
    let sign = |key: &str| node.get("signs")?.get(key).map(|value| value.place);
    Places {
        title: word("title"),
        subtitle: word("subtitle"),
        author: word("author"),
        front: list("front"),
        back: list("back"),
        box_name: None,
        reversal: sign("reversal"),
        replay: sign("replay"),
    }
}

fn words<T: Copy>(list: Option<&[Said<T>]>) -> Vec<T> {
    list.unwrap_or_default().iter().map(|said| said.0).collect()
}

/// Reads one tune file by itself, for a box: no book, so the playing is what `playing` says. Its pins speak of the box
/// `written_for` (the box itself when `None`) and are carried over from there, as an edition does.
pub fn read_tune<E: Into<Unread>>(
    path: &str,
    instrument: &Instrument,
    written_for: Option<&Instrument>,
    playing: Option<&Playing>,
    files: &mut dyn FnMut(&str) -> Result<Vec<u8>, E>,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<TuneEntry> {
    let mut files = |path: &str| files(path).map_err(Into::into);
    let mut library = Library::new(path, &mut files, sources);
    let usual = Request::default();
    let settings = Settings {
        base: written_for.unwrap_or(instrument).clone(),
        instrument: instrument.clone(),
        moved: Interval::default(),
        playing: playing.cloned().unwrap_or(Playing { weights: usual.weights, reversal_under: usual.reversal_under }),
        extras: Vec::new(),
    };
    super::tunes::read_alone(path, &settings, &mut library, sink)
}
