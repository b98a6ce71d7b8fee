//! Texts that a file holds or names: takes the file's text or a key's value, gives a typed file with its marked tree, or an
//! excerpt of Markdown or music. Knows no music.

use super::files::FileKind;
use super::kind::is_kind;
use super::library::Library;
use super::model::Picture;
use super::words::Prose;
use super::yaml::hazards;
use super::yaml::{Node, ScalarStyle, Shapes, check, mark, readable, typed};
use crate::diag::{Excerpt, FileId, Place, Sink};
use crate::drawing;
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;

/// A title as it is printed: a straight apostrophe between two letters, or after the last letter of a word that ends in s,
/// becomes the curly one, as text in Markdown has it.
pub fn printed(title: &str) -> String {
    let mut out = String::with_capacity(title.len());
    let mut before = ' ';
    // A block of YAML ends in a line end, which is no part of a title.
    let mut rest = title.trim().chars().peekable();
    while let Some(sign) = rest.next() {
        let inside = before.is_alphabetic() && rest.peek().is_some_and(|next| next.is_alphabetic());
        let ends = before == 's' && rest.peek().is_none_or(|next| !next.is_alphanumeric()) && !out.contains('\'');
        out.push(if sign == '\'' && (inside || ends) { '’' } else { sign });
        before = sign;
    }
    out
}

/// A text that may be left out; the word `none` leaves it out too, as it does everywhere in the format.
pub fn unless_none(text: Option<&String>) -> Option<String> {
    text.filter(|text| !matches!(text.trim(), "" | "none")).cloned()
}

/// Reads a YAML text into its typed form. The tree that comes with it is the checked one: unknown keys and wrong values are
/// left out, so that lists of tree and struct run side by side.
pub fn read_file<T: DeserializeOwned>(file: FileId, text: &str, shapes: &Shapes, sink: &mut Sink) -> Option<(Node, T)> {
    let node = mark(file, text, sink)?;
    typed_file(&node, text, shapes, sink)
}

/// The same for a file that an author may have taken for one of another kind.
pub fn read_kind<T: DeserializeOwned>(
    file: FileId,
    text: &str,
    (kind, shapes): (FileKind, &Shapes),
    sink: &mut Sink,
) -> Option<(Node, T)> {
    let node = mark(file, text, sink).filter(|node| is_kind(node, kind, sink))?;
    typed_file(&node, text, shapes, sink)
}

fn typed_file<T: DeserializeOwned>(node: &Node, text: &str, shapes: &Shapes, sink: &mut Sink) -> Option<(Node, T)> {
    let lines: Vec<&str> = text.split('\n').collect();
    readable(node, &lines, sink);
    let node = check(node, shapes, sink)?;
    let value = typed(&node, sink)?;
    Some((node, value))
}

/// No text that is set in one piece is larger than this, in bytes: fifty pages.
const MOST_PROSE: usize = 128 << 10;
/// Nor has more lines.
const MOST_PROSE_LINES: usize = 10_000;
/// A file's name has at most so many words; what has more is a sentence about a file.
const MOST_NAME: usize = 4;
/// A text shows at most so many pictures.
const MOST_PICTURES: usize = 500;
/// The drawings of a book have at most so many points together, each drawing counted as often as it is shown: ten full ones are
/// held in some hundred megabytes.
const MOST_DRAWN: usize = 1_000_000;
/// So many letters of a drawing's text take the room of a point.
const LETTERS_A_POINT: usize = 20;

/// The ending of a drawing.
const DRAWING: &str = ".svg";

/// Endings of texts that other programs write and a book can't set.
const FOREIGN: &[&str] = &[".pdf", ".docx", ".doc", ".odt", ".rtf", ".html", ".htm"];

/// Whether a word names a text or document of another program.
pub fn names_foreign(text: &str) -> bool {
    Prose::is_file(text, FOREIGN) && text.split_whitespace().count() <= MOST_NAME
}

/// Endings of Markdown files.
pub const MARKDOWN: &[&str] = &[".md", ".markdown", ".txt"];

/// A value of one line without a blank in it: hardly a text, and most often a path whose ending is forgotten.
fn bare_word(node: &Node) -> Option<&str> {
    let scalar = node.scalar()?;
    let text = scalar.text.trim();
    let is_line = matches!(scalar.style, ScalarStyle::Plain | ScalarStyle::Quoted);
    (is_line && !text.is_empty() && !text.contains(char::is_whitespace)).then_some(text)
}

/// Markdown as a block in the file, or in the Markdown file that the value names. `from` is the folder of the file.
pub fn prose(node: &Node, from: &str, library: &mut Library<'_>, sink: &mut Sink) -> Option<Excerpt> {
    let text = node.text()?;
    let excerpt = if Prose::is_file(text, MARKDOWN) {
        let file = library.text(from, text.trim(), node.place, sink)?;
        let text = library.sources.text(file);
        if is_too_large(text, Place::new(file, 1, 1), sink) || has_control(text, file, sink) {
            return None;
        }
        // The mark at the start of a file is no letter of the text.
        match text.strip_prefix('\u{feff}') {
            Some(rest) => Excerpt::whole(file, rest),
            None => library.sources.excerpt(file),
        }
    } else if names_foreign(text) {
        let message = format!("`{}` is no text that a book can set", text.trim());
        let hint = "save the text as Markdown or plain text, and name that file: its name ends in `.md` or `.txt`";
        sink.error(code!("foreign-text"), Some(node.place), message).hints.push(hint.into());
        return None;
    } else if let Some(word) = bare_word(node) {
        let meant = [".md", ".markdown", ".txt"].map(|ending| format!("{word}{ending}"));
        let near = meant.into_iter().find(|path| library.has(from, path));
        let message = format!("`{word}` is neither a block of text nor the path of a Markdown file");
        let complaint = sink.error(code!("bare-word"), Some(node.place), message);
        complaint.hints.push(match near {
            Some(path) => format!("did you mean `{path}`?"),
            None => "a path ends in `.md` or `.txt`; words of your own stand indented below `|`".to_owned(),
        });
        return None;
    } else {
        let excerpt = node.excerpt()?;
        if is_too_large(&excerpt.text, excerpt.place(0, 0), sink) {
            return None;
        }
        excerpt
    };
    Some(excerpt)
}

/// Says of a text that is too large for one piece that it is. Asked before the text's lines are looked up: the table of a
/// megabyte of line ends takes twenty.
fn is_too_large(text: &str, start: Place, sink: &mut Sink) -> bool {
    let is_too_large = text.len() > MOST_PROSE || text.matches('\n').count() > MOST_PROSE_LINES;
    if is_too_large {
        let message = format!("this text is larger than {} kilobytes or {MOST_PROSE_LINES} lines", MOST_PROSE >> 10);
        sink.error(code!("too-large"), Some(start), message).hints.push("split it into chapters".into());
    }
    is_too_large
}

/// Says where a text has a character that is no letter and no blank, as the same in YAML is told.
fn has_control(text: &str, file: FileId, sink: &mut Sink) -> bool {
    for (nth, line) in (1u32..).zip(text.split('\n')) {
        if let Some(column) = line.chars().position(hazards::is_control) {
            let place = Place::new(file, nth, u32::try_from(column).unwrap_or(0) + 1);
            hazards::control(place, sink);
            return true;
        }
    }
    false
}

/// The pictures that a Markdown text names: path and the place where it stands. Code is left out.
pub fn pictures(text: &Excerpt) -> Vec<(String, Place)> {
    let mut found = Vec::new();
    let mut fenced = false;
    let mut offset = 0;
    for line in text.text.split_inclusive('\n') {
        if line.trim_start().starts_with("```") || line.trim_start().starts_with("~~~") {
            fenced = !fenced;
        } else if !fenced {
            let (mut from, mut ticks) = (0, 0);
            while let Some(start) = line[from..].find("![").map(|at| from + at) {
                ticks += line[from..start].matches('`').count();
                from = start + 2;
                let in_code = ticks % 2 == 1;
                let Some(open) = line[from..].find("](").map(|at| from + at + 2) else { break };
                let Some(close) = line[open..].find(')').map(|at| open + at) else { break };
                let path = line[open..close].split_whitespace().next().unwrap_or("").trim_matches(['<', '>']);
                if found.len() >= MOST_PICTURES {
                    return found;
                }
                if !in_code && !path.is_empty() {
                    let width = u32::try_from(path.chars().count()).unwrap_or(1);
                    found.push((path.to_owned(), text.place_at(offset + open).wide(width)));
                }
                ticks += line[from..close].matches('`').count();
                from = close;
            }
        }
        offset += line.len();
    }
    found
}

/// Takes in the pictures of a text, each path once.
pub fn take_pictures(text: &Excerpt, library: &mut Library<'_>, taken: &mut Vec<(String, Picture)>, sink: &mut Sink) {
    let from = library.folder_of(text.file()).to_owned();
    let mut asked = BTreeSet::new();
    for (path, place) in pictures(text) {
        if asked.insert(path.clone()) {
            if !take_picture((&path, place), &from, library, taken, sink) {
                return;
            }
        } else if !shown(&path, place, library, taken, sink) {
            return;
        }
    }
}

/// Takes in one picture unless it is there already, and counts that it is shown; `from` is the folder of the file that names it.
/// Gives whether there is room for more.
pub fn take_picture(
    (path, place): (&str, Place),
    from: &str,
    library: &mut Library<'_>,
    taken: &mut Vec<(String, Picture)>,
    sink: &mut Sink,
) -> bool {
    if !taken.iter().any(|(known, _)| known == path) {
        let picture = if path.to_ascii_lowercase().ends_with(DRAWING) {
            if library.drawings.read > MOST_DRAWN {
                too_much_drawn(path, place, sink);
                return false;
            }
            let file = library.text(from, path, place, sink);
            file.map(|file| {
                let text = library.sources.text(file);
                let drawn = drawing::read(path, text, file, sink);
                let points = drawn.as_ref().map_or(0, |drawn| drawn.drawing.points());
                library.drawings.read += points + text.len() / LETTERS_A_POINT;
                Picture::Drawing(drawn)
            })
        } else {
            library.bytes(from, path, place, sink).map(|(_, bytes)| Picture::Pixels(bytes))
        };
        taken.extend(picture.map(|picture| (path.to_owned(), picture)));
    }
    shown(path, place, library, taken, sink)
}

/// Counts that a picture is shown; gives whether there is room for more.
fn shown(path: &str, place: Place, library: &mut Library<'_>, taken: &[(String, Picture)], sink: &mut Sink) -> bool {
    if let Some((_, Picture::Drawing(Some(drawn)))) = taken.iter().find(|(known, _)| known == path) {
        library.drawings.shown += drawn.drawing.points();
        if library.drawings.shown > MOST_DRAWN {
            too_much_drawn(path, place, sink);
            return false;
        }
    }
    true
}

fn too_much_drawn(path: &str, place: Place, sink: &mut Sink) {
    let message = format!("the drawings of this book have more than {MOST_DRAWN} points together, `{path}` among them");
    let hint = "draw them with fewer points, or save the largest as PNG of 300 pixels to the inch";
    sink.error(code!("too-large"), Some(place), message).hints.push(hint.into());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Sources;

    #[test]
    fn pictures_are_found_outside_code() {
        let mut sources = Sources::default();
        let text = "Hold it ![so](pictures/a.png \"like this\") and ![so](b.png).\n`![no](c.png)`\n```\n![no](d.png)\n```\n![x](e.png)";
        let file = sources.add("a.md", text);
        let found = pictures(&sources.excerpt(file));
        let paths: Vec<_> = found.iter().map(|(path, place)| (path.as_str(), place.line, place.column)).collect();
        assert_eq!(paths, [("pictures/a.png", 1, 15), ("b.png", 1, 53), ("e.png", 6, 6)]);
    }

    #[test]
    fn apostrophes_of_titles_are_curly() {
        assert_eq!(printed("Winnie's Shawl"), "Winnie’s Shawl");
        assert_eq!(printed("The Sailors' Rest"), "The Sailors’ Rest");
        assert_eq!(printed("Winter Nights\n"), "Winter Nights");
        assert_eq!(printed("5' tall, 'as is'"), "5' tall, 'as is'");
    }
}
