//! Finds the files that a book names, and takes their texts in: takes paths as written, asks the reading function it was
//! given, complains about paths that lead out of the book. Opens nothing itself.

use super::settled::RESTORE;
use super::tunebook::Tunebook;
use super::words::{RelativePath, Word};
use crate::diag::{FileId, Place, Sink, Sources};
use crate::reader::wide_letters;
use std::collections::BTreeMap;
use std::sync::Arc;

/// All files of a book together are not larger than this, in bytes.
const MOST_BYTES: usize = 256 << 20;

/// No text of a book is larger than this, in bytes; YAML and ABC files have the same bound.
const MOST_TEXT: usize = 8 << 20;

/// Endings of font files.
const FONTS: [&str; 2] = [".otf", ".ttf"];

/// How every PDF begins (ISO 32000-1, 7.5.2).
const PDF: &[u8] = b"%PDF-";
/// How files of word processors begin: Rich Text Format (1.9.1), and the zip archive of Office Open XML (ISO/IEC 29500-2) and
/// OpenDocument (ISO/IEC 26300-3).
const WORD_PROCESSED: [&[u8]; 2] = [b"{\\rtf", b"PK\x03\x04"];

/// What helps with letters that are not read.
const SAVE_IN_UTF8: &str = "save it again as UTF-8 in your editor";

/// All fonts of a family together are not larger than this, in bytes: their folder says how large they are before any is read.
const MOST_FONT_BYTES: u64 = 64 << 20;

/// Why a file can't be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// Whether nothing lies there at all: what may be wanting is then simply not there.
    pub absent: bool,
    /// In the author's words.
    pub why: String,
}

impl From<String> for Unread {
    /// A reason without more says that there is no such file.
    fn from(why: String) -> Self {
        Self { absent: true, why }
    }
}

/// Reads a file by its path. A path that ends with `/` is a folder: its files come in order, one a line, each as its size in
/// bytes, a blank, its name.
pub type Files<'a> = &'a mut dyn FnMut(&str) -> Result<Vec<u8>, Unread>;

/// The folder of a book and the one shelf it declares. Paths in here are relative to that folder, without `.` and with `..`
/// at their start only.
pub struct Library<'a> {
    folder: String,
    shelf: Option<String>,
    files: Files<'a>,
    /// All texts read so far.
    pub sources: &'a mut Sources,
    paths: BTreeMap<FileId, String>,
    /// Tunebooks by their path: many tunes may name the same one.
    tunebooks: BTreeMap<String, Arc<Tunebook>>,
    read: usize,
    /// What the drawings of the book come to so far.
    pub drawings: Drawings,
}

/// What drawings come to, in points.
#[derive(Debug, Clone, Copy, Default)]
pub struct Drawings {
    /// Each once, with its text, of which so many letters count as a point.
    pub read: usize,
    /// Each as often as it is shown.
    pub shown: usize,
}

impl<'a> Library<'a> {
    /// A library whose folder is that of the file `path`.
    pub fn new(path: &str, files: Files<'a>, sources: &'a mut Sources) -> Self {
        let folder = match path.rsplit_once('/') {
            Some((folder, _)) => format!("{folder}/"),
            None => String::new(),
        };
        let (paths, tunebooks, drawings) = Default::default();
        Self { folder, shelf: None, files, sources, paths, tunebooks, read: 0, drawings }
    }
    /// Declares the shelf, as written in the book.
    pub fn set_shelf(&mut self, path: &str) {
        self.shelf = Some(join("", path));
    }
    /// The folder in which a file lies that has been read.
    pub fn folder_of(&self, file: FileId) -> &str {
        self.paths.get(&file).map_or("", |path| path.rsplit_once('/').map_or("", |(folder, _)| folder))
    }
    /// The file that the run starts with: its path is the user's, not the author's, and is taken as it is. `like` says what is
    /// wanted, and names such a file.
    pub fn first(&mut self, path: &str, like: &str, sink: &mut Sink) -> Option<FileId> {
        match (self.files)(path) {
            Ok(bytes) => {
                let name = path.strip_prefix(self.folder.as_str()).unwrap_or(path).to_owned();
                self.take(&name, path, bytes, None, sink)
            }
            Err(Unread { why, .. }) => {
                sink.error(code!("missing-file"), None, format!("`{path}` can't be read: {why}"))
                    .hints
                    .push(format!("give the path of {like}"));
                None
            }
        }
    }
    /// A text that a file names: `from` is the folder of that file, `place` where the name stands.
    pub fn text(&mut self, from: &str, path: &str, place: Place, sink: &mut Sink) -> Option<FileId> {
        let (found, bytes) = self.bytes(from, path, place, sink)?;
        let full = self.full(&found);
        self.take(&found, &full, bytes, Some(place), sink)
    }
    /// Where a named file or folder may lie; what leads out of the book's folders is an error.
    fn candidates(&self, from: &str, path: &str, place: Place, sink: &mut Sink) -> Option<Vec<String>> {
        match self.find(from, path) {
            Ok(candidates) => Some(candidates),
            Err(why) => {
                let hint = "a book's files lie in its folder, or in the one folder that `shelf:` names";
                sink.error(code!("path-outside"), Some(place), why).hints.push(hint.into());
                None
            }
        }
    }
    /// The bytes of a file that a file names, and its path.
    pub fn bytes(&mut self, from: &str, path: &str, place: Place, sink: &mut Sink) -> Option<(String, Vec<u8>)> {
        let candidates = self.candidates(from, path, place, sink)?;
        let mut whys = Vec::new();
        for candidate in &candidates {
            let full = self.full(candidate);
            match (self.files)(&full) {
                Ok(bytes) => {
                    self.read += bytes.len();
                    elsewhere(from, path, candidate, place, sink);
                    return self.has_room(path, Some(place), sink).then(|| (candidate.clone(), bytes));
                }
                Err(Unread { why, .. }) => whys.push(format!("`{full}`: {why}")),
            }
        }
        let complaint = sink.error(code!("missing-file"), Some(place), format!("`{path}` can't be read"));
        // The second place is worth a word where something near lies there.
        whys.truncate(1 + whys.iter().skip(1).filter(|why| why.contains("did you mean")).count());
        complaint.hints = whys;
        None
    }
    /// Whether a file lies where a path may lead.
    pub fn has(&mut self, from: &str, path: &str) -> bool {
        let candidates = self.find(from, path).unwrap_or_default();
        let paths: Vec<String> = candidates.iter().map(|candidate| self.full(candidate)).collect();
        paths.iter().any(|path| (self.files)(path).is_ok())
    }
    /// A tunebook that a file names, its bytes made a text by `decode`; read once however many name it.
    pub fn tunebook(
        &mut self,
        from: &str,
        path: &str,
        place: Place,
        decode: impl Fn(&[u8]) -> String,
        sink: &mut Sink,
    ) -> Option<Arc<Tunebook>> {
        // Where the same name would lead to two files, the nearer one wins, whether it has been read or not.
        let nearest = self.find(from, path).ok().and_then(|found| found.into_iter().next());
        if let Some(known) = nearest.and_then(|nearest| self.tunebooks.get(&nearest)) {
            return Some(Arc::clone(known));
        }
        let (found, bytes) = self.bytes(from, path, place, sink)?;
        if is_foreign(path, &bytes, Some(place), sink) {
            return None;
        }
        if let Some(letters) = wide_letters(&bytes) {
            let message = format!("`{path}` is text in {letters}, which is not read");
            sink.error(code!("unknown-encoding"), Some(place), message).hints.push(SAVE_IN_UTF8.into());
            return None;
        }
        let file = self.add(&found, decode(&bytes));
        let book = Arc::new(Tunebook::new(self.sources.excerpt(file)));
        self.tunebooks.insert(found, Arc::clone(&book));
        Some(book)
    }
    /// The font files of a folder that the book's file names, in the order of their names.
    pub fn fonts(&mut self, folder: &str, place: Place, sink: &mut Sink) -> Option<Vec<(String, Vec<u8>)>> {
        let candidates = self.candidates("", folder, place, sink)?;
        let mut whys = Vec::new();
        for candidate in candidates {
            let full = format!("{}/", self.full(&candidate));
            let names = match (self.files)(&full) {
                Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
                Err(Unread { why, .. }) => {
                    whys.push(format!("`{full}`: {why}"));
                    continue;
                }
            };
            let is_font = |name: &str| FONTS.iter().any(|ending| name.to_ascii_lowercase().ends_with(ending));
            let sized = names.lines().filter_map(|line| line.split_once(' ')).filter(|(_, name)| is_font(name));
            let bytes: u64 = sized.clone().filter_map(|(size, _)| size.parse::<u64>().ok()).sum();
            let found: Vec<&str> = sized.map(|(_, name)| name).collect();
            if bytes > MOST_FONT_BYTES {
                let message = format!("the fonts in `{folder}` are larger than {} MB together", MOST_FONT_BYTES >> 20);
                let hint = "leave those in it that the book uses: regular, italic, bold";
                sink.error(code!("too-large"), Some(place), message).hints.push(hint.into());
                return None;
            }
            if found.is_empty() {
                let message = format!("there is no font in `{folder}`");
                let hint =
                    "put files in it that end with `.otf` or `.ttf`: regular, italic, bold as far as you have them";
                sink.error(code!("no-fonts"), Some(place), message).hints.push(hint.into());
                return None;
            }
            let read = |name: &str| self.bytes("", &format!("{candidate}/{name}"), place, sink);
            let files: Vec<Option<(String, Vec<u8>)>> = found.into_iter().map(read).collect();
            let short = |path: String| path.rsplit('/').next().unwrap_or_default().to_owned();
            return files.into_iter().map(|file| file.map(|(path, bytes)| (short(path), bytes))).collect();
        }
        let complaint = sink.error(code!("no-fonts"), Some(place), format!("`{folder}` can't be read"));
        complaint.hints = whys;
        None
    }
    /// Takes in the text of a file whose bytes have been read; for binary files, what complaints may show of it.
    pub fn add(&mut self, path: &str, text: impl Into<String>) -> FileId {
        let file = self.sources.add(self.full(path), text);
        self.paths.insert(file, path.to_owned());
        file
    }
    /// The settled file beside a tune's file, if there is one; `place` is where the tune is named. One that is there and can't be
    /// read is an error: without it the tune would be printed otherwise than before.
    pub fn beside(&mut self, file: FileId, name: fn(&str) -> String, place: Place, sink: &mut Sink) -> Option<FileId> {
        let path = name(self.paths.get(&file)?);
        let full = self.full(&path);
        match (self.files)(&full) {
            Ok(bytes) => {
                let mut own = Sink::default();
                self.read += bytes.len();
                // The reader of YAML would keep a text of this size to refuse it.
                let found = if bytes.len() > MOST_TEXT {
                    let message = format!("`{full}` is larger than {} MB", MOST_TEXT >> 20);
                    own.error(code!("too-large"), Some(place), message);
                    None
                } else if self.has_room(&path, Some(place), &mut own) {
                    self.take(&path, &full, bytes, Some(place), &mut own)
                } else {
                    None
                };
                sink.absorb(own.hinted(RESTORE));
                found
            }
            Err(Unread { absent: true, .. }) => None,
            Err(Unread { why, .. }) => {
                let message = "the settled plan of this tune can't be read";
                let hint = "mend it, or take it away to have the plan worked out anew".to_owned();
                sink.error(code!("settled-unread"), Some(place), message).hints =
                    vec![format!("`{full}`: {why}"), hint];
                None
            }
        }
    }

    /// The path from where the run was started. What climbs out of the book's folder shows it, so that the one who opens
    /// files can tell the shelf from the folder.
    fn full(&self, path: &str) -> String {
        let here = if self.folder.is_empty() && path.starts_with("..") { "./" } else { &self.folder };
        format!("{here}{path}")
    }

    /// Whether the files read so far are not too large together.
    fn has_room(&self, path: &str, place: Option<Place>, sink: &mut Sink) -> bool {
        if self.read > MOST_BYTES {
            let all = MOST_BYTES >> 20;
            let message = format!("the files of this book are larger than {all} MB together; `{path}` is not read");
            sink.error(code!("too-large"), place, message)
                .hints
                .push("take some of them out, or save pictures smaller".into());
        }
        self.read <= MOST_BYTES
    }

    fn take(
        &mut self,
        path: &str,
        full: &str,
        bytes: Vec<u8>,
        place: Option<Place>,
        sink: &mut Sink,
    ) -> Option<FileId> {
        // A YAML file's own reader says it at the file's beginning.
        if bytes.len() > MOST_TEXT && !path.ends_with(".yaml") && !path.ends_with(".yml") {
            let message = format!("`{full}` is larger than {} MB", MOST_TEXT >> 20);
            sink.error(code!("too-large"), place, message).hints.push("split it, or name another file".into());
            return None;
        }
        if is_foreign(full, &bytes, place, sink) {
            return None;
        }
        if let Some(letters) = wide_letters(&bytes) {
            let message = format!("`{full}` is text in {letters}, not in UTF-8");
            sink.error(code!("not-utf8"), place, message).hints.push(SAVE_IN_UTF8.into());
            return None;
        }
        match String::from_utf8(bytes) {
            Ok(text) => Some(self.add(path, text)),
            Err(error) => {
                let start = error.utf8_error().valid_up_to();
                let line = error.as_bytes()[..start].iter().filter(|b| **b == b'\n').count() + 1;
                let message = format!("`{full}` is not text in UTF-8 (line {line})");
                sink.error(code!("not-utf8"), place, message).hints.push(SAVE_IN_UTF8.into());
                None
            }
        }
    }

    /// Where a path may lead: from the folder of the file that names it, else from the book's folder, else on the shelf.
    fn find(&self, from: &str, path: &str) -> Result<Vec<String>, String> {
        let path = RelativePath::read(path)?.0;
        let mut found = Vec::new();
        for base in [Some(from), Some(""), self.shelf.as_deref()].into_iter().flatten() {
            let candidate = join(base, &path);
            if self.is_inside(&candidate) && !found.contains(&candidate) {
                found.push(candidate);
            }
        }
        if found.is_empty() { Err(format!("`{path}` leads out of the book's folder")) } else { Ok(found) }
    }

    fn is_inside(&self, path: &str) -> bool {
        let on_shelf = |shelf: &str| path.strip_prefix(shelf).is_some_and(|rest| rest.starts_with('/'));
        let in_folder = !path.is_empty() && path != ".." && !path.starts_with("../");
        in_folder || self.shelf.as_deref().is_some_and(on_shelf)
    }
}

/// Says where a file was found in the book's folder and not beside the file that names it, from where its path counts.
fn elsewhere(from: &str, path: &str, found: &str, place: Place, sink: &mut Sink) {
    if found == join(from, path) || found != join("", path) {
        return;
    }
    let message = format!("`{path}` does not lie beside the file that names it; the one in the book's folder is taken");
    let hint = match from.split('/').filter(|part| !part.is_empty()).count() {
        _ if from.starts_with("..") => "put it beside that file".to_owned(),
        deep => format!("write `{}{path}`", "../".repeat(deep)),
    };
    sink.warn(code!("found-elsewhere"), Some(place), message).hints.push(hint);
}

/// Whether a file is plainly of another program, whatever its name; it is told for what it is.
fn is_foreign(shown: &str, bytes: &[u8], place: Option<Place>, sink: &mut Sink) -> bool {
    if bytes.starts_with(PDF) {
        let message = format!("`{shown}` is a PDF, and no file that an author writes");
        let hint = "name the file that you wrote; `boxwright preflight` is the command that checks a finished PDF";
        sink.error(code!("pdf-for-text"), place, message).hints.push(hint.into());
        return true;
    }
    if WORD_PROCESSED.iter().any(|mark| bytes.starts_with(mark)) {
        let message = format!("`{shown}` was saved by a word processor, not as plain text");
        let hint = "save it again as plain text (UTF-8), or write it in a plain text editor";
        sink.error(code!("not-plain-text"), place, message).hints.push(hint.into());
        return true;
    }
    false
}

/// A path from a folder, without `.`, and with `..` at its start only.
fn join(folder: &str, path: &str) -> String {
    let mut parts: Vec<&str> = Vec::new();
    for part in folder.split('/').chain(path.split('/')) {
        match part {
            "" | "." => {}
            ".." if parts.last().is_some_and(|last| *last != "..") => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    parts.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(folder: &str, shelf: Option<&str>, from: &str, path: &str) -> Result<Vec<String>, String> {
        let mut sources = Sources::default();
        let mut files = |_: &str| Err("none here".to_owned().into());
        let mut library = Library::new(&format!("{folder}book.yaml"), &mut files, &mut sources);
        if let Some(shelf) = shelf {
            library.set_shelf(shelf);
        }
        Ok(library.find(from, path)?.iter().map(|path| library.full(path)).collect())
    }

    #[test]
    fn nothing_leads_out_of_the_folder() {
        assert_eq!(find("books/a/", None, "", "tunes/x.yaml"), Ok(vec!["books/a/tunes/x.yaml".into()]));
        assert_eq!(find("", None, "", "./tunes/../x.yaml"), Ok(vec!["x.yaml".into()]));
        assert_eq!(find("/home/", None, "tunes", "../x.md"), Ok(vec!["/home/x.md".into()]));
        for path in ["../b/x.yaml", "tunes/../../b/x.yaml", "../../x.yaml", "..", ".", "../a/x.yaml"] {
            for folder in ["books/a/", "", "/home/a/", "../"] {
                assert!(find(folder, None, "", path).is_err(), "{folder} {path}");
            }
        }
    }

    #[test]
    fn the_shelf_is_open() {
        let both = vec!["books/a/x.yaml".to_owned(), "books/a/../tunes/x.yaml".to_owned()];
        assert_eq!(find("books/a/", Some("../tunes"), "", "x.yaml"), Ok(both));
        let shelf = vec!["books/a/../tunes/x.yaml".to_owned()];
        assert_eq!(find("books/a/", Some("../tunes/"), "", "../tunes/x.yaml"), Ok(shelf));
        assert!(find("books/a/", Some("../tunes"), "", "../other/x.yaml").is_err());
        assert!(find("books/a/", Some("../tunes"), "", "../tunes2/x.yaml").is_err());
        assert_eq!(find("", Some("../tunes"), "", "../tunes/x.yaml"), Ok(vec!["./../tunes/x.yaml".to_owned()]));
        // A tune on the shelf names its commentary from where it lies itself.
        let beside = find("books/a/", Some("../tunes"), "../tunes", "x.md").map(|all| all[0].clone());
        assert_eq!(beside, Ok("books/a/../tunes/x.md".to_owned()));
    }
}
