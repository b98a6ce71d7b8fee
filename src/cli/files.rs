//! Reading the author's files: with `writing`, the only place that touches the disk.
//!
//! Reads only plain files, of bounded size, that lie where their path says they lie: a link that leads out of the book's
//! folder (or its shelf) is refused.

use crate::book::Unread;
use crate::diag::nearest;
use crate::pdf;
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// No file of a book is larger than this.
const LARGEST: u64 = 64 << 20;

/// A folder with more files than this is not listed: which of them were read would depend on the machine.
const MOST_NAMES: usize = 1000;

/// Reads what one file names, and what those files name: a book, a tune, a box, whose path is the user's and may be no text.
#[derive(Debug)]
pub struct Reader {
    first: PathBuf,
    root: PathBuf,
    /// Every file that has been read, as it can be opened again.
    pub read: Vec<PathBuf>,
}

impl Reader {
    /// Begins at the file that the user has named.
    pub fn new(first: &Path) -> Self {
        Self { first: first.to_owned(), root: folder(first), read: Vec::new() }
    }
    /// How the first file is called in messages, and the folder of all others begins.
    pub fn name(&self) -> String {
        self.first.to_string_lossy().into_owned()
    }
    /// The file of a path that `book` has put together from the first file's folder and the author's words; of a path that ends
    /// with `/`, the names in that folder and the sizes of the files.
    ///
    /// # Errors
    /// In the author's words: no such file, not a plain file, too large, a link out of the folder, unreadable.
    pub fn file(&mut self, path: &str) -> Result<Vec<u8>, Unread> {
        let real = self.real(path);
        let bytes = if path.ends_with('/') { list(&self.root, &real) } else { read(&self.root, &real) }?;
        self.read.push(real);
        Ok(bytes)
    }
    /// A path in words with the bytes that the user's own path had in place of its beginning.
    fn real(&self, path: &str) -> PathBuf {
        let name = self.name();
        if path == name {
            return self.first.clone();
        }
        let shown = name.rsplit_once('/').map(|(folder, _)| format!("{folder}/"));
        match shown.and_then(|shown| path.strip_prefix(&shown)) {
            Some(rest) => self.root.join(rest),
            None => PathBuf::from(path),
        }
    }
}

/// Reads a file that the user names, a text or a score.
///
/// # Errors
/// In the author's words, as [`Reader::file`].
pub fn read_named(path: &Path) -> Result<Vec<u8>, Unread> {
    read(&folder(path), path)
}

/// Reads a finished PDF, which may be larger than any file it was made of.
///
/// # Errors
/// In the author's words, as [`Reader::file`].
pub fn read_finished(path: &Path) -> Result<Vec<u8>, Unread> {
    read_within(&folder(path), path, pdf::LARGEST)
}

fn read(root: &Path, path: &Path) -> Result<Vec<u8>, Unread> {
    read_within(root, path, LARGEST)
}

fn read_within(root: &Path, path: &Path, largest: u64) -> Result<Vec<u8>, Unread> {
    let meta = fs::metadata(path).map_err(|error| {
        let gone = error.kind() == io::ErrorKind::NotFound;
        let near = gone.then(|| near(path)).flatten();
        // A link that leads nowhere is there all the same.
        let absent = gone && fs::symlink_metadata(path).is_err();
        let why = near.map_or_else(|| explain(&error), |name| format!("there is no such file; did you mean `{name}`?"));
        Unread { absent, why }
    })?;
    let there = |why: String| Unread { absent: false, why };
    if meta.is_dir() {
        return Err(there("it is a folder; name a file in it".into()));
    }
    if !meta.is_file() {
        return Err(there("it is not a plain file".into()));
    }
    let too_large = || there(format!("it is larger than {} MB", largest >> 20));
    if meta.len() > largest {
        return Err(too_large());
    }
    let real = inside(root, path).map_err(there)?;
    let mut bytes = Vec::new();
    let file = File::open(&real).map_err(|error| there(explain(&error)))?;
    file.take(largest + 1).read_to_end(&mut bytes).map_err(|error| there(explain(&error)))?;
    if bytes.len() as u64 > largest {
        return Err(too_large());
    }
    Ok(bytes)
}

/// Where a file or folder lies, if that is where its path says: within the book's folder or its shelf.
///
/// # Errors
/// In the author's words.
pub fn inside(root: &Path, path: &Path) -> Result<PathBuf, String> {
    let real = fs::canonicalize(path).map_err(|error| explain(&error))?;
    let base = fs::canonicalize(base_of(root, path)).map_err(|error| explain(&error))?;
    if !real.starts_with(&base) {
        return Err("it is a link that leads out of the book's folder".into());
    }
    Ok(real)
}

/// A folder's plain files in order, one a line, each as its size in bytes, a blank, its name; names that are no text, or hidden,
/// are left out.
fn list(root: &Path, path: &Path) -> Result<Vec<u8>, Unread> {
    let there = |why: String| Unread { absent: false, why };
    match fs::metadata(path) {
        Ok(meta) if !meta.is_dir() => return Err(there("it is no folder".into())),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            return Err("there is no such folder".to_owned().into());
        }
        // Any other error comes again below.
        _ => {}
    }
    let real = inside(root, path).map_err(there)?;
    let mut names: Vec<(String, u64)> = Vec::new();
    for entry in fs::read_dir(&real).map_err(|error| there(explain(&error)))? {
        let entry = entry.map_err(|error| there(explain(&error)))?;
        let Ok(name) = entry.file_name().into_string() else { continue };
        if name.starts_with('.') || name.contains('\n') {
            continue;
        }
        let Some(meta) = fs::metadata(entry.path()).ok().filter(fs::Metadata::is_file) else { continue };
        if names.len() == MOST_NAMES {
            return Err(there(format!("it has more than {MOST_NAMES} files")));
        }
        names.push((name, meta.len()));
    }
    names.sort();
    let lines: Vec<String> = names.iter().map(|(name, size)| format!("{size} {name}")).collect();
    Ok(lines.join("\n").into_bytes())
}

/// The path nearest to a missing file's own, from the first name on that differs; `None` if no file lies near.
fn near(path: &Path) -> Option<String> {
    let mut there = PathBuf::new();
    let mut differing = PathBuf::new();
    for part in path.components() {
        let Component::Normal(name) = part else {
            there.push(part);
            continue;
        };
        let is_there = there.join(name).exists();
        let found = if is_there { name.to_owned() } else { near_name(&there, name.to_str()?)?.into() };
        there.push(&found);
        if !is_there || !differing.as_os_str().is_empty() {
            differing.push(&found);
        }
    }
    // With `/` on every machine, as an author writes it.
    let names: Vec<&str> = differing.iter().map(OsStr::to_str).collect::<Option<_>>()?;
    (!names.is_empty()).then(|| names.join("/"))
}

/// The name in a folder that is nearest to one that is not there; in a very large folder, none.
fn near_name(folder: &Path, wanted: &str) -> Option<String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let entries = fs::read_dir(folder).ok()?.take(MOST_NAMES + 1);
    // A name that cannot be read is no help to anyone.
    let mut names: Vec<String> = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect();
    if names.len() > MOST_NAMES {
        return None;
    }
    names.sort();
    nearest(wanted, names.iter().map(String::as_str)).map(str::to_owned)
}

/// The folder a path must stay in: the book's own, or the shelf when the path climbs out of it (the book has then declared
/// that shelf, and climbs nowhere else).
fn base_of(root: &Path, path: &Path) -> PathBuf {
    let Ok(inside) = path.strip_prefix(root) else { return root.to_owned() };
    let parts: Vec<_> = inside.components().collect();
    match parts.iter().rposition(|part| matches!(part, Component::ParentDir)) {
        Some(last) => {
            let shelf: PathBuf = parts.iter().take(last + 2).collect();
            root.join(shelf)
        }
        None => root.to_owned(),
    }
}

/// The folder of a file, `.` for a bare name.
pub fn folder(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// An error of the machine in words.
pub fn explain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".into(),
        io::ErrorKind::PermissionDenied => "this program may not read or write there".into(),
        io::ErrorKind::StorageFull => "the disk is full".into(),
        io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
            "there is a file where a folder should be".into()
        }
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_out_of_the_folder_is_refused_and_the_shelf_is_read() {
        let all = tempfile::tempdir().expect("a folder for the test");
        let root = all.path().join("book");
        let shelf = all.path().join("tunes");
        fs::create_dir_all(&root).expect("a folder");
        fs::create_dir_all(&shelf).expect("a folder");
        fs::write(shelf.join("a.yaml"), "x").expect("a file");
        fs::write(all.path().join("secret"), "x").expect("a file");
        std::os::unix::fs::symlink(all.path().join("secret"), root.join("link.md")).expect("a link");
        let at = |name: &str| root.join(name).to_string_lossy().into_owned();
        let mut reader = Reader::new(&root.join("book.yaml"));
        let mut why = |name: &str| reader.file(&at(name)).expect_err("it is not read");
        assert!(why("link.md").why.contains("link") && !why("link.md").absent);
        assert!(why("none.md").why.contains("no such file") && why("none.md").absent);
        assert!(!why("../tunes").absent);
        assert!(why("a.yaml/").absent);
        std::os::unix::fs::symlink(all.path(), root.join("away")).expect("a link");
        assert!(why("away/").why.contains("link"));
        std::os::unix::fs::symlink("nowhere", root.join("broken.md")).expect("a link");
        assert!(!why("broken.md").absent, "a link that leads nowhere is there");
        assert_eq!(reader.file(&at("../tunes/a.yaml")), Ok(b"x".to_vec()));
        assert_eq!(reader.file(&at("../tunes/")), Ok(b"1 a.yaml".to_vec()), "a folder's names");
    }

    #[test]
    fn a_near_path_is_named_whatever_its_capitals() {
        let all = tempfile::tempdir().expect("a folder for the test");
        fs::create_dir(all.path().join("tunes")).expect("a folder");
        fs::write(all.path().join("tunes/kettle.yaml"), "x").expect("a file");
        let of = |path: &str| near(&all.path().join(path));
        assert_eq!(of("Tunes/Kettle.yaml").as_deref(), Some("tunes/kettle.yaml"));
        assert_eq!(of("tunes/ketle.yaml").as_deref(), Some("kettle.yaml"));
        assert_eq!(of("tune/kettle.yaml").as_deref(), Some("tunes/kettle.yaml"));
        assert_eq!(of("tunes/zebra.yaml"), None);
        assert_eq!(of("zebra/kettle.yaml"), None);
    }

    #[test]
    fn a_path_that_is_no_text_is_opened_all_the_same() {
        use std::os::unix::ffi::OsStrExt;
        let all = tempfile::tempdir().expect("a folder for the test");
        let root = all.path().join(std::ffi::OsStr::from_bytes(b"b\xff\xfe"));
        fs::create_dir(&root).expect("a folder");
        let first = root.join(std::ffi::OsStr::from_bytes(b"\xff.yaml"));
        fs::write(&first, "book").expect("a file");
        fs::write(root.join("a.md"), "text").expect("a file");
        let mut reader = Reader::new(&first);
        let name = reader.name();
        assert_eq!(reader.file(&name), Ok(b"book".to_vec()));
        let (folder, _) = name.rsplit_once('/').expect("it lies in a folder");
        assert_eq!(reader.file(&format!("{folder}/a.md")), Ok(b"text".to_vec()));
        assert_eq!(reader.read, [first, root.join("a.md")]);
    }
}
