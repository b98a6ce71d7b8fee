//! One function for each reader of what an author or a stranger can hand in: bytes go in, nothing may panic and nothing may take
//! long. Shared by the fuzzer's targets beside this file and by the brief seeded run of `tests/it/readers.rs`. No target touches
//! the disk: the files a text names are these constants.

use boxwright::diag::{FileId, Sink, Sources};
use boxwright::font::{Cut, FaceChoice, Features, Fonts, TextFamily, Weight};
use boxwright::instrument::Instrument;
use boxwright::reader::{abc as abc_reader, musicxml as xml_reader};
use boxwright::sheet::{PressLook, plain};
use boxwright::tune::{Tune, played};
use boxwright::{book as books, drawing as drawings, page, pdf as pdfs, pipeline, text};
use std::sync::OnceLock;

/// What a tune file's `I:abc-include` finds: itself again, a macro and a key.
const INCLUDED: &str = "I:abc-include loop.abh\nm: ~G3 = G{A}G{F}G\nm: ~n2 = n{o}n\nU: T = !trill!\nK:D\n";
/// The tune of a book, and the one settled files are held against.
const TUNE: &str = "title: A\nid: a\nmusic: |\n  M:2/4\n  L:1/8\n  K:D\n  |: \"D\"FA {c}d>A | [GB]2 (3dBd :|\nleft-hand: {pattern: auto}\n";
/// Any prose that a book names.
const PROSE: &str = "# A\nPlay *slowly*: {how 1.1}.\n\n![hand](hand.png)\n";

/// Gives the files of an invented book: `first` whatever is asked for first, then a fixed text by the ending of its name.
fn files(first: &[u8]) -> impl FnMut(&str) -> Result<Vec<u8>, String> {
    let mut own = Some(first.to_vec());
    move |path| match own.take() {
        Some(bytes) => Ok(bytes),
        None if path.ends_with(".settled.yaml") => Err("there is no such file".to_owned()),
        None if path.ends_with(".yaml") => Ok(TUNE.into()),
        None if path.ends_with(".md") => Ok(PROSE.into()),
        None => Err("there is no such file".to_owned()),
    }
}

/// What every reading run needs.
fn desk(path: &str, text: impl Into<String>) -> (Sources, FileId, Sink) {
    let mut sources = Sources::default();
    let file = sources.add(path, text);
    (sources, file, Sink::default())
}

fn instrument() -> &'static Instrument {
    static BOX: OnceLock<Instrument> = OnceLock::new();
    BOX.get_or_init(|| books::builtin_box("dg-21-third").expect("this box is built in"))
}

/// A tune read is played, written as ABC and read once more.
fn use_tune(tune: &Tune, again: bool) {
    let _ = played(tune);
    if again {
        let text = abc_reader::write(tune);
        let (sources, file, mut sink) = desk("again.abc", text);
        abc_reader::read(&sources.excerpt(file), &abc_reader::AbcOptions::default(), &mut sink);
    }
}

/// ABC 2.1: tunes, fragments, tunebooks.
pub fn abc(data: &[u8]) {
    let (mut sources, file, mut sink) = desk("a.abc", abc_reader::decode(data));
    let included = sources.add("loop.abh", INCLUDED);
    let mut options = abc_reader::AbcOptions::default();
    options.includes.insert("loop.abh".to_owned(), sources.excerpt(included));
    options.strict_bars = data.len().is_multiple_of(2);
    for reading in abc_reader::read_each(&sources.excerpt(file), &options, &mut sink) {
        use_tune(&reading.tune, true);
    }
}

/// MusicXML 4.0, plain or packed.
pub fn musicxml(data: &[u8]) {
    let (_, file, mut sink) = desk("a.musicxml", "");
    for reading in xml_reader::read_each(data, file, &xml_reader::XmlOptions::default(), &mut sink) {
        use_tune(&reading.tune, false);
    }
}

/// `book.yaml`, with all that its keys lead to.
pub fn book(data: &[u8]) {
    let mut sources = Sources::default();
    books::read("book.yaml", None, &mut files(data), &mut sources, &mut Sink::default());
}

/// A tune file.
pub fn tune(data: &[u8]) {
    let mut sources = Sources::default();
    books::read_tune("a.yaml", instrument(), None, None, &mut files(data), &mut sources, &mut Sink::default());
}

/// The book round any tune.
const BOOK: &str =
    "book: 1\nid: a\ntitle: A\ndate: 2026-01-01\nbox: dg-21-third\nchapters:\n  - title: One\n    tunes: [a.yaml]\n";

/// The music of a tune in ABC, from reading to the bound file: what is read within bounds is planned, set and written within them.
pub fn bound(data: &[u8]) {
    static CARRIED: OnceLock<Fonts> = OnceLock::new();
    let fonts = CARRIED.get_or_init(Fonts::embedded);
    let mut file = |path: &str| match path {
        "book.yaml" => Ok(BOOK.into()),
        "a.yaml" => Ok(b"title: A\nid: a\nmusic: {file: a.abc}\nleft-hand: {pattern: auto}\n".to_vec()),
        "a.abc" => Ok(data.to_vec()),
        _ => Err("there is no such file".to_owned()),
    };
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let Some(book) = books::read("book.yaml", None, &mut file, &mut sources, &mut sink) else { return };
    // Faults of the music are errors of a book; what was read is planned and set all the same, as a proof does.
    let planned = pipeline::plan(&book, &mut sink);
    let document = pipeline::compose(&planned, fonts, &mut sink);
    let sheets = plain(&document, fonts, &PressLook::reading());
    let _ = pdfs::write(&document, &sheets, fonts, &pdfs::PdfOptions::reading());
}

/// A box file.
pub fn instrument_file(data: &[u8]) {
    let mut sources = Sources::default();
    books::read_box("box.yaml", &mut files(data), &mut sources, &mut Sink::default());
}

/// A settled plan.
pub fn settled(data: &[u8]) {
    static TUNE_READ: OnceLock<Tune> = OnceLock::new();
    let tune = TUNE_READ.get_or_init(|| {
        let mut sources = Sources::default();
        let mut sink = Sink::default();
        let entry =
            books::read_tune("a.yaml", instrument(), None, None, &mut files(TUNE.as_bytes()), &mut sources, &mut sink);
        entry.expect("this tune is sound").tune
    });
    let text = String::from_utf8_lossy(data);
    let (_, file, mut sink) = desk("a.settled.yaml", "");
    books::read_settled(file, &text, "a", tune, "dg-21-third", &mut sink);
}

/// Prose: Markdown with facts and signs.
pub fn markdown(data: &[u8]) {
    let (sources, file, mut sink) = desk("a.md", String::from_utf8_lossy(data));
    let mut blocks = text::parse(&sources.excerpt(file), &mut sink);
    text::fill(&mut blocks, &mut |fact: &str, _, _: &mut Sink| Some(fact.to_owned()), &mut sink);
}

/// A font file that a book brings: read, then a word shaped and drawn in it.
pub fn font(data: &[u8]) {
    static CARRIED: OnceLock<Fonts> = OnceLock::new();
    let carried = CARRIED.get_or_init(Fonts::embedded);
    let fonts = carried.with_own(&[("a.otf".to_owned(), data.to_vec())], None, &mut Sink::default());
    let face =
        fonts.text(FaceChoice { family: TextFamily::Own, weight: Weight::Regular, italic: false, cut: Cut::Text });
    for glyph in fonts.shape(face, "aZ Zb", Features::default()) {
        fonts.outline(face, glyph.id);
    }
}

/// A picture of a text: PNG or JPEG. Decoded it may take half a megabyte, as the time of a larger one says nothing of its bytes.
pub fn picture(data: &[u8]) {
    let _ = page::read_picture(data, 1 << 19);
}

/// A drawing of a text: SVG.
pub fn drawing(data: &[u8]) {
    let (sources, file, mut sink) = desk("a.svg", String::from_utf8_lossy(data));
    let _ = drawings::read("a.svg", sources.text(file), file, &mut sink);
}

/// A finished file of any origin: checked for the press, and read back for a reprint.
pub fn pdf(data: &[u8]) {
    let report = pdfs::preflight(data);
    let _ = report.passes();
    let _ = pdfs::manifest(data);
}
