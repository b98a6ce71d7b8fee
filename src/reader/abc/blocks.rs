//! A text into the lines of its file header and of its tunes; free text is left out.
//!
//! Source: ABC 2.1 §2.2 (sections parted by empty lines), §2.3.1 (fragments), §8.1 (comments), §12 (strict and loose).

use super::items::Line;
use super::{AbcOptions, Choice, MOST_BYTES, MOST_LINE, MOST_LINES, MOST_TUNE_LINES, MOST_TUNES};
use crate::diag::{Excerpt, Place, Sink};

/// A text in its sections.
#[derive(Debug)]
pub(super) struct Book<'a> {
    /// The lines of the file header; empty if there is none.
    pub header: Vec<Line<'a>>,
    /// Each tune wanted.
    pub tunes: Vec<Section<'a>>,
}

/// A tune as it stands in a text.
#[derive(Debug)]
pub(super) struct Section<'a> {
    /// Its lines, from `X:` on.
    pub lines: Vec<Line<'a>>,
    /// The empty line that ends it, where what follows reads as more of it, and how many lines follow.
    pub cut: Option<(Place, usize)>,
}

/// A tune in the contents of a tunebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The number after `X:`, if it is one.
    pub number: Option<u32>,
    /// The first title; empty if it has none.
    pub title: String,
    /// 1-based line of `X:` in the text.
    pub line: usize,
}

/// The tunes of a tunebook in order, without reading their music.
pub fn contents(text: &str) -> Vec<Entry> {
    let mut entries: Vec<Entry> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if let Some(number) = line.strip_prefix("X:") {
            entries.push(Entry { number: number_of(number), title: String::new(), line: index + 1 });
        } else if let (Some(title), Some(entry)) = (line.strip_prefix("T:"), entries.last_mut())
            && entry.title.is_empty()
        {
            entry.title = super::text::decode(title.split('%').next().unwrap_or("").trim());
        }
    }
    entries
}

/// The names of the texts that a text asks to include, in order.
pub fn included(text: &str) -> Vec<String> {
    text.lines().filter_map(include_name).map(str::to_owned).collect()
}

/// The name in an `I:abc-include` or `%%abc-include` line.
fn include_name(line: &str) -> Option<&str> {
    let rest = line.strip_prefix("I:").or_else(|| line.strip_prefix("%%"))?.trim_start();
    let name = rest.strip_prefix("abc-include")?.trim();
    (!name.is_empty()).then_some(name)
}

fn number_of(text: &str) -> Option<u32> {
    text.split('%').next().unwrap_or("").trim().parse().ok()
}

/// Splits a text into its header and the tunes that are wanted.
pub(super) fn split<'a>(excerpt: &'a Excerpt, options: &'a AbcOptions, sink: &mut Sink) -> Book<'a> {
    let mut lines = Vec::new();
    if let Some(why) = too_large(&excerpt.text) {
        let hint = "cut it into several files";
        sink.error(code!("tunebook-too-large"), Some(excerpt.place(0, 0)), why).hints.push(hint.into());
        return Book { header: Vec::new(), tunes: Vec::new() };
    }
    let mut included = Included::default();
    collect(excerpt, options, &mut included, &mut lines, sink);
    let fragment = !lines.iter().any(|line| line.text.starts_with("X:"));
    let mut book = Book { header: Vec::new(), tunes: Vec::new() };
    if fragment {
        lines.retain(|line| !is_empty(line.text));
        if !lines.is_empty() {
            book.tunes.push(Section { lines, cut: None });
        }
        return book;
    }
    let (block, first, in_tune, after) = (Vec::new(), true, false, After::default());
    let mut sections = Sections { book: &mut book, block, first, in_tune, after, sink };
    let mut typeset = false;
    for line in lines {
        if line.text.starts_with("%%begintext") {
            typeset = true;
        } else if line.text.starts_with("%%endtext") {
            typeset = false;
        } else if typeset || (line.text.trim_start().starts_with('%') && !line.text.starts_with("%%")) {
            // Typeset text is not printed with the tunes; a line of comment alone parts nothing (§8.1).
            continue;
        } else if is_empty(line.text) {
            sections.end(Some(line.place(0)));
        } else {
            sections.take(line);
        }
    }
    sections.end(None);
    sections.close();
    if let Some(choice) = &options.choose {
        let numbers: Vec<u32> =
            book.tunes.iter().filter_map(|tune| number_of(&tune.lines.first()?.text[2..])).collect();
        book.tunes.retain(|tune| chosen(&tune.lines, choice));
        if book.tunes.is_empty() {
            let wanted = match choice {
                Choice::Number(number) => format!("no tune has the number {number}"),
                Choice::Title(title) => format!("no tune has the title “{title}”"),
            };
            sink.error(code!("no-such-tune"), Some(excerpt.place(0, 0)), wanted).hints.push(match choice {
                Choice::Number(_) if !numbers.is_empty() => there_are(&numbers),
                _ => "tunes are numbered by their X: lines".to_owned(),
            });
        }
    }
    book
}

/// How many numbers of tunes are named where another was asked for.
const MOST_NUMBERS: usize = 12;

/// The numbers of the tunes that are there, as after `X:`.
fn there_are(numbers: &[u32]) -> String {
    if let [only] = numbers {
        return format!("the only tune here has the number {only}, by its X: line");
    }
    let named: Vec<String> = numbers.iter().take(MOST_NUMBERS).map(u32::to_string).collect();
    let more = if numbers.len() > MOST_NUMBERS { " and more" } else { "" };
    format!("by their X: lines, the tunes here are {}{more}", named.join(", "))
}

fn is_empty(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b' ' | b'\t'))
}

fn chosen(lines: &[Line], choice: &Choice) -> bool {
    match choice {
        Choice::Number(number) => lines.first().and_then(|l| number_of(&l.text[2..])) == Some(*number),
        Choice::Title(title) => lines.iter().filter_map(|l| l.text.strip_prefix("T:")).any(|text| {
            let text = super::text::decode(text.split('%').next().unwrap_or("").trim());
            text.to_lowercase() == title.trim().to_lowercase()
        }),
    }
}

/// Why a text is too large to be read, if it is.
fn too_large(text: &str) -> Option<String> {
    if text.len() > MOST_BYTES {
        return Some(format!("a text of tunes has at most {} megabytes", MOST_BYTES >> 20));
    }
    let lines = text.bytes().filter(|b| matches!(b, b'\n' | b'\r')).count();
    (lines > MOST_LINES).then(|| format!("a text of tunes has at most {MOST_LINES} lines; this one has {lines}"))
}

struct Sections<'a, 'b> {
    book: &'b mut Book<'a>,
    block: Vec<Line<'a>>,
    first: bool,
    in_tune: bool,
    after: After,
    sink: &'b mut Sink,
}

/// What follows the last tune so far.
#[derive(Debug, Default)]
struct After {
    /// The empty line that ended it.
    at: Option<Place>,
    /// Lines of free text so far.
    lines: usize,
    /// Whether one of them reads as music.
    is_music: bool,
}

impl<'a> Sections<'a, '_> {
    fn take(&mut self, line: Line<'a>) {
        if line.text.starts_with("X:") {
            // A tune may begin without the empty line before it.
            self.end(None);
            self.close();
            self.in_tune = true;
        }
        self.block.push(line);
    }
    fn tune(&mut self, mut block: Vec<Line<'a>>, at: Option<Place>) {
        if self.book.tunes.len() == MOST_TUNES {
            let place = block.first().map(|line| line.place(0));
            let message = format!("a tunebook has at most {MOST_TUNES} tunes; the others are not read");
            self.sink.error(code!("tunebook-too-large"), place, message).hints.push("cut it into several files".into());
            return;
        }
        if let Some(line) = block.get(MOST_TUNE_LINES) {
            let message = format!("a tune has at most {MOST_TUNE_LINES} lines; the rest of this one is not read");
            self.sink.error(code!("tune-too-long"), Some(line.place(0)), message).hints.push("cut it in two".into());
            block.truncate(MOST_TUNE_LINES);
        }
        self.book.tunes.push(Section { lines: block, cut: None });
        self.after.at = at;
    }
    /// Nothing more follows the last tune.
    fn close(&mut self) {
        let After { at, lines, is_music } = std::mem::take(&mut self.after);
        if let (Some(at), true, Some(tune)) = (at, is_music, self.book.tunes.last_mut()) {
            tune.cut = Some((at, lines));
        }
    }
    /// A section ends, at an empty line where one is given.
    fn end(&mut self, at: Option<Place>) {
        let block = std::mem::take(&mut self.block);
        if block.is_empty() {
            return;
        }
        let fields = block.iter().all(|line| line.field().is_some() || line.text.starts_with('%'));
        if self.in_tune {
            self.tune(block, at);
        } else if self.first && fields {
            self.book.header = block;
        } else if self.after.at.is_some() {
            self.after.lines += block.len();
            self.after.is_music |= block.iter().any(reads_as_music);
        }
        (self.first, self.in_tune) = (false, false);
    }
}

/// Whether a line of free text looks like more of a tune: a field of music or words, or notes with barlines and nothing else.
fn reads_as_music(line: &Line) -> bool {
    if line.field().is_some_and(|(letter, _)| "KLMPVWsw".contains(letter)) {
        return true;
    }
    let music = line.text.split('%').next().unwrap_or_default();
    let mut bare = String::with_capacity(music.len());
    let mut until = None;
    for c in music.chars() {
        // Words stand in quotes and between `!`.
        match until {
            Some(end) if c == end => until = None,
            Some(_) => {}
            None if matches!(c, '"' | '!') => until = Some(c),
            None => bare.push(c),
        }
    }
    let is_code = |c: char| c.is_ascii_digit() || "ABCDEFGabcdefgxzXZLTHMOPSuv^_=,'/|:[](){}<>-.~& \t\\$".contains(c);
    bare.contains('|') && bare.contains(|c: char| "ABCDEFGabcdefgz".contains(c)) && bare.chars().all(is_code)
}

/// Includes may include, so deep.
const DEEPEST_INCLUDE: usize = 4;
/// All included lines together, at most.
const MOST_INCLUDED: usize = 20_000;
/// Texts are included so many times in all, at most.
const MOST_INCLUDES: usize = 200;

/// What has been included so far, and how deep it is now.
#[derive(Debug, Default)]
struct Included {
    depth: usize,
    times: usize,
    lines: usize,
    /// Whether too many have been complained of.
    told: bool,
}

/// The lines of a text, included ones in their place.
fn collect<'a>(
    from: &'a Excerpt,
    options: &'a AbcOptions,
    included: &mut Included,
    out: &mut Vec<Line<'a>>,
    sink: &mut Sink,
) {
    let mut refused = false;
    for (number, whole) in from.text.split('\n').enumerate() {
        let whole = whole.strip_suffix('\r').unwrap_or(whole);
        let whole = if number == 0 { whole.trim_start_matches('\u{feff}') } else { whole };
        let mut column = 0;
        for text in whole.split('\r') {
            let line = Line { text: text.trim_end_matches([' ', '\t']), from, number, column };
            if text.contains('\r') || whole.len() != text.len() {
                column += text.chars().count() + 1;
            }
            // What continues a line that is not read would be joined to the one before it.
            if refused && line.text.starts_with("+:") {
                continue;
            }
            refused = line.text.len() > MOST_LINE;
            if refused {
                let message = format!("this line is longer than {MOST_LINE} characters and is not read");
                sink.error(code!("line-too-long"), Some(from.place(number, line.column)), message)
                    .hints
                    .push("write it as several lines".into());
                continue;
            }
            if included.depth > 0 && is_empty(line.text) {
                // An included text is fields and directives; an empty line there parts nothing.
                continue;
            }
            let Some(name) = include_name(line.text) else {
                included.lines += usize::from(included.depth > 0);
                if included.lines <= MOST_INCLUDED {
                    out.push(line);
                }
                continue;
            };
            let place = from.place(number, line.column);
            match options.includes.get(name) {
                None => {
                    let complaint =
                        sink.warn(code!("include-missing"), Some(place), format!("“{name}” is not there to include"));
                    complaint.hints.push("write the lines of that text here in place of this one".into());
                }
                Some(_)
                    if included.depth >= DEEPEST_INCLUDE
                        || included.times >= MOST_INCLUDES
                        || included.lines >= MOST_INCLUDED =>
                {
                    let message = format!("“{name}” is included too often; texts that include each other never end");
                    if !std::mem::replace(&mut included.told, true) {
                        sink.error(code!("include-too-deep"), Some(place), message)
                            .hints
                            .push("take one of the includes out".into());
                    }
                }
                Some(text) => {
                    included.times += 1;
                    included.depth += 1;
                    collect(text, options, included, out, sink);
                    included.depth -= 1;
                }
            }
        }
    }
}
