//! Finds the files that a book names, and takes their texts in: takes paths as written, asks the reading function it was
//! given, complains about paths that lead out of the book. Opens nothing itself.

use super::words::{RelativePath, Word};
use crate::diag::{FileId, Place, Sink, Sources};

/// All files of a book together are not larger than this, in bytes.
const MOST_BYTES: usize = 256 << 20;

/// Reads a file by its path.
pub type Files<'a> = &'a mut dyn FnMut(&str) -> Result<Vec<u8>, String>;

/// The folder of a book and the one shelf it declares.
pub struct Library<'a> {
    folder: String,
    shelf: Option<String>,
    files: Files<'a>,
    /// All texts read so far.
    pub sources: &'a mut Sources,
    read: usize,
}

impl<'a> Library<'a> {
    /// A library whose folder is that of the file `path`.
    pub fn new(path: &str, files: Files<'a>, sources: &'a mut Sources) -> Self {
        Self { folder: folder_of(path).to_owned(), shelf: None, files, sources, read: 0 }
    }
    /// Declares the shelf, as written in the book.
    pub fn set_shelf(&mut self, path: &str) {
        self.shelf = join(&self.folder, path);
    }
    /// The folder of the book.
    pub fn folder(&self) -> &str {
        &self.folder
    }
    /// The file that the run starts with: its path is the user's, not the author's, and is taken as it is.
    pub fn first(&mut self, path: &str, sink: &mut Sink) -> Option<FileId> {
        match (self.files)(path) {
            Ok(bytes) => self.take(path, bytes, None, sink),
            Err(why) => {
                sink.error("missing-file", None, format!("`{path}` can't be read: {why}"));
                None
            }
        }
    }
    /// A text that a file names: `from` is the folder of that file, `place` where the name stands.
    pub fn text(&mut self, from: &str, path: &str, place: Place, sink: &mut Sink) -> Option<(String, FileId)> {
        let (found, bytes) = self.bytes(from, path, place, sink)?;
        let file = self.take(&found, bytes, Some(place), sink)?;
        Some((found, file))
    }
    /// The bytes of a file that a file names, and its path from where the run was started.
    pub fn bytes(&mut self, from: &str, path: &str, place: Place, sink: &mut Sink) -> Option<(String, Vec<u8>)> {
        let candidates = match self.find(from, path) {
            Ok(candidates) => candidates,
            Err(why) => {
                let hint = "a book's files lie in its folder, or in the one folder that `shelf:` names";
                sink.error("path-outside", Some(place), why).hints.push(hint.into());
                return None;
            }
        };
        let mut whys = Vec::new();
        for candidate in &candidates {
            match (self.files)(candidate) {
                Ok(bytes) => return Some((candidate.clone(), bytes)),
                Err(why) => whys.push(format!("`{candidate}`: {why}")),
            }
        }
        let complaint = sink.error("missing-file", Some(place), format!("`{path}` can't be read"));
        complaint.hints = whys;
        None
    }
    /// A text that may be missing without harm.
    pub fn optional(&mut self, path: &str, sink: &mut Sink) -> Option<FileId> {
        let bytes = (self.files)(path).ok()?;
        self.take(path, bytes, None, sink)
    }

    fn take(&mut self, path: &str, bytes: Vec<u8>, place: Option<Place>, sink: &mut Sink) -> Option<FileId> {
        self.read += bytes.len();
        if self.read > MOST_BYTES {
            sink.error(
                "too-large",
                place,
                format!("the files of this book are larger than 256 MB together; `{path}` is not read"),
            );
            return None;
        }
        match String::from_utf8(bytes) {
            Ok(text) => Some(self.sources.add(path, text)),
            Err(error) => {
                let start = error.utf8_error().valid_up_to();
                let line = error.as_bytes()[..start].iter().filter(|b| **b == b'\n').count() + 1;
                let message = format!("`{path}` is not text in UTF-8 (line {line})");
                sink.error("not-utf8", place, message).hints.push("save it again as UTF-8 in your editor".into());
                None
            }
        }
    }

    /// Where a path may lead: from the folder of the file that names it, else from the book's folder, else on the shelf.
    fn find(&self, from: &str, path: &str) -> Result<Vec<String>, String> {
        let path = RelativePath::read(path)?.0;
        let mut found = Vec::new();
        let bases = [Some(from), Some(self.folder.as_str()), self.shelf.as_deref()];
        for candidate in bases.into_iter().flatten().filter_map(|base| join(base, &path)) {
            if self.is_inside(&candidate) && !found.contains(&candidate) {
                found.push(candidate);
            }
        }
        if found.is_empty() { Err(format!("`{path}` leads out of the book's folder")) } else { Ok(found) }
    }

    fn is_inside(&self, path: &str) -> bool {
        let folders = [Some(self.folder.as_str()), self.shelf.as_deref()];
        folders.into_iter().flatten().any(|folder| {
            if folder.is_empty() {
                return !path.is_empty() && !path.starts_with("..") && !path.starts_with('/');
            }
            path.strip_prefix(folder.trim_end_matches('/')).is_some_and(|rest| rest.starts_with('/'))
        })
    }
}

/// The folder of a file; empty for a file without one.
pub fn folder_of(path: &str) -> &str {
    match path.rsplit_once('/') {
        Some(("", _)) => "/",
        Some((folder, _)) => folder,
        None => "",
    }
}

/// A path from a folder, without `.` and `..` in its middle; `None` when it leads above the root.
pub fn join(folder: &str, path: &str) -> Option<String> {
    let rooted = folder.starts_with('/');
    let mut parts: Vec<&str> = Vec::new();
    for part in folder.split('/').chain(path.split('/')) {
        match part {
            "" | "." => {}
            ".." => match parts.last() {
                Some(&"..") => parts.push(".."),
                Some(_) => {
                    parts.pop();
                }
                None if rooted => return None,
                None => parts.push(".."),
            },
            part => parts.push(part),
        }
    }
    Some(format!("{}{}", if rooted { "/" } else { "" }, parts.join("/")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(folder: &str, shelf: Option<&str>, path: &str) -> Result<Vec<String>, String> {
        let mut sources = Sources::default();
        let mut files = |_: &str| Err("none here".to_owned());
        let mut library = Library::new(&format!("{folder}book.yaml"), &mut files, &mut sources);
        if let Some(shelf) = shelf {
            library.set_shelf(shelf);
        }
        library.find(&library.folder.clone(), path)
    }

    #[test]
    fn nothing_leads_out_of_the_folder() {
        assert_eq!(find("books/a/", None, "tunes/x.yaml"), Ok(vec!["books/a/tunes/x.yaml".into()]));
        assert_eq!(find("", None, "./tunes/../x.yaml"), Ok(vec!["x.yaml".into()]));
        for path in ["../b/x.yaml", "tunes/../../b/x.yaml", "../../x.yaml", "..", "."] {
            assert!(find("books/a/", None, path).is_err(), "{path}");
            assert!(find("", None, path).is_err(), "{path}");
            assert!(find("/home/a/", None, path).is_err(), "{path}");
        }
        // A folder whose name only starts like the book's is another folder.
        assert!(find("books/a/", None, "../ab/x.yaml").is_err());
    }

    #[test]
    fn the_shelf_is_open() {
        let both = vec!["books/a/x.yaml".to_owned(), "books/tunes/x.yaml".to_owned()];
        assert_eq!(find("books/a/", Some("../tunes"), "x.yaml"), Ok(both));
        assert_eq!(find("books/a/", Some("../tunes"), "../tunes/x.yaml"), Ok(vec!["books/tunes/x.yaml".to_owned()]));
        assert!(find("books/a/", Some("../tunes"), "../other/x.yaml").is_err());
        assert_eq!(find("", Some("../tunes"), "../tunes/x.yaml"), Ok(vec!["../tunes/x.yaml".to_owned()]));
    }
}
