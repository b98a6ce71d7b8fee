//! Writing results: beside the target first, then moved there, so that the last good file stays whole whatever happens.
//!
//! The unfinished file has a name of its own each time and is made anew: what lies there already, be it a link, a pipe or
//! another run's file, is neither followed nor waited for nor written to.

use super::files::{explain, folder};
use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process;
use std::sync::atomic::{AtomicU32, Ordering};

/// How the name of an unfinished file begins and ends; between them stand the number of the process and a count.
const BEGINNING: &str = ".boxwright-";
const END: &str = ".unfinished";
/// So many names are tried before giving up.
const TRIES: u32 = 100;

/// What a file must begin with to be replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// Any plain file: one of the program's own making by its name.
    Any,
    /// A PDF (ISO 32000-1, 7.5.2).
    Pdf,
    /// A page of HTML.
    Html,
}

impl Over {
    /// How such files begin, in lower case, and what they are called.
    const fn beginning(self) -> (&'static [u8], &'static str) {
        match self {
            Self::Any => (b"", "a file"),
            Self::Pdf => (b"%pdf-", "a PDF"),
            Self::Html => (b"<!doctype html", "a page of HTML"),
        }
    }
}

/// Writes a file whole: to a name beside its place first, flushed to the disk, then moved there.
///
/// # Errors
/// In the author's words; the file at `path` is then as it was, and nothing is left beside it.
pub fn write(path: &Path, bytes: &[u8], over: Over) -> Result<(), String> {
    replaceable(path, over)?;
    clear(&folder(path));
    put(path, bytes, true)
}

/// Takes away a file of the kind, and gives its bytes; nothing where none lies there.
///
/// # Errors
/// In the author's words; what lies there is then as it was.
pub fn withdraw(path: &Path, over: Over) -> Result<Option<Vec<u8>>, String> {
    replaceable(path, over)?;
    if !path.exists() {
        return Ok(None);
    }
    let cannot = |error: &io::Error| format!("cannot replace {}: {}", path.display(), explain(error));
    let bytes = fs::read(path).map_err(|error| cannot(&error))?;
    fs::remove_file(path).map_err(|error| cannot(&error))?;
    Ok(Some(bytes))
}

/// As [`write`] for one of many small files that can be made again at any time: it is not flushed, which takes as long as a hundred
/// of them.
///
/// # Errors
/// As [`write`].
pub fn write_many(path: &Path, bytes: &[u8]) -> Result<(), String> {
    replaceable(path, Over::Any)?;
    put(path, bytes, false)
}

/// Makes a folder and those it lies in.
///
/// # Errors
/// In the author's words.
pub fn make_folder(path: &Path) -> Result<(), String> {
    fs::create_dir_all(path).map_err(|error| format!("cannot make the folder {}: {}", path.display(), explain(&error)))
}

/// Whether what lies at a place may be replaced: nothing, an empty file, or a file of the kind.
fn replaceable(path: &Path, over: Over) -> Result<(), String> {
    let Ok(meta) = fs::metadata(path) else { return Ok(()) };
    if !meta.is_file() {
        return Err(format!("cannot write {}: it is a folder or a device, not a plain file", path.display()));
    }
    let (beginning, kind) = over.beginning();
    let mut found = Vec::new();
    // What cannot be read is left to the one who may replace it: it is not this program's to look into.
    if let Ok(file) = File::open(path) {
        let _ = file.take(beginning.len() as u64).read_to_end(&mut found);
    }
    if !found.is_empty() && !found.eq_ignore_ascii_case(beginning) {
        let shown = path.display();
        return Err(format!("cannot write {shown}: the file there is not {kind}, and is not replaced; name another"));
    }
    Ok(())
}

fn put(path: &Path, bytes: &[u8], flush: bool) -> Result<(), String> {
    if path.file_name().is_none() {
        return Err(format!("{} names no file", path.display()));
    }
    let cannot = |why: String| format!("cannot write {}: {why}", path.display());
    let folder = folder(path);
    for _ in 0..TRIES {
        let (mut file, beside) = match unfinished(&folder) {
            Ok(Some(made)) => made,
            Ok(None) => continue,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return Err(cannot("there is no such folder".into()));
            }
            Err(error) => return Err(cannot(explain(&error))),
        };
        let written = file.write_all(bytes).and_then(|()| if flush { file.sync_all() } else { Ok(()) });
        match written.and_then(|()| fs::rename(&beside, path)) {
            Ok(()) => return Ok(()),
            // Another run has cleared it away between its making and its locking.
            Err(error) if error.kind() == io::ErrorKind::NotFound && folder.is_dir() => {}
            Err(error) => {
                // Best effort: what could not be finished is not left lying about.
                let _ = fs::remove_file(&beside);
                return Err(cannot(explain(&error)));
            }
        }
    }
    Err(cannot(format!("too many files in {} are called {BEGINNING}...{END}", folder.display())))
}

/// A new file under a name that nothing has, locked for as long as it is open, so that no other run clears it away; `None` when
/// the next name is to be tried.
fn unfinished(folder: &Path) -> io::Result<Option<(File, PathBuf)>> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = folder.join(format!("{BEGINNING}{}-{count}{END}", process::id()));
    let file = match OpenOptions::new().write(true).create_new(true).open(&path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Ok(None),
        Err(error) => return Err(error),
    };
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => Ok(None),
        // Some disks know no locks; then nothing is ever cleared there either.
        Ok(()) | Err(TryLockError::Error(_)) => Ok(Some((file, path))),
    }
}

/// Removes what runs that were killed have left in a folder; best effort. Only plain files go, and none that a run holds locked.
pub fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(|entry| is_unfinished(&entry.file_name())) {
        let path = entry.path();
        let is_plain = entry.file_type().is_ok_and(|kind| kind.is_file());
        if is_plain && File::open(&path).is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = fs::remove_file(&path);
        }
    }
}

fn is_unfinished(name: &OsStr) -> bool {
    let between = name.to_str().and_then(|name| name.strip_prefix(BEGINNING)?.strip_suffix(END));
    between.is_some_and(|between| between.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;

    #[test]
    fn a_failed_write_leaves_the_old_file_and_no_litter() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let target = folder.path().join("book.pdf");
        write(&target, b"%PDF-first", Over::Pdf).expect("writes");
        write(&target, b"%PDF-second", Over::Pdf).expect("writes again");
        assert_eq!(fs::read(&target).expect("is there"), b"%PDF-second");
        let why = write(&folder.path().join("none/book.pdf"), b"x", Over::Pdf).expect_err("there is no folder");
        assert!(why.ends_with("there is no such folder"), "{why}");
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
    }

    #[test]
    fn only_files_of_the_kind_are_replaced() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let target = folder.path().join("book.yaml");
        for (text, over) in [("book: 1", Over::Pdf), ("%PDF-1.7", Over::Html), ("%PD", Over::Pdf)] {
            fs::write(&target, text).expect("a file");
            let why = write(&target, b"new", over).expect_err("it is kept");
            assert!(why.contains("is not replaced"), "{why}");
            assert_eq!(fs::read(&target).expect("is there"), text.as_bytes());
        }
        for (text, over) in [("", Over::Pdf), ("<!DOCTYPE html>", Over::Html), ("book: 1", Over::Any)] {
            fs::write(&target, text).expect("a file");
            assert_eq!(write(&target, b"new", over), Ok(()), "{text}");
        }
    }

    /// Whatever a stranger's folder has under the names to come is left alone and written round.
    #[test]
    fn links_and_pipes_under_its_name_are_not_followed() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let precious = folder.path().join("precious");
        fs::write(&precious, "kept").expect("a file");
        // Other tests of this process count as well, but not so far.
        let name = |count: u32| folder.path().join(format!("{BEGINNING}{}-{count}{END}", process::id()));
        for count in 0..40 {
            match count % 2 {
                0 => symlink(&precious, name(count)).expect("a link"),
                _ => fs::create_dir(name(count)).expect("a folder"),
            }
        }
        let target = folder.path().join("book.pdf");
        assert_eq!(write(&target, b"%PDF-", Over::Pdf), Ok(()));
        assert_eq!(fs::read(&target).expect("is there"), b"%PDF-");
        assert!(fs::symlink_metadata(&target).is_ok_and(|meta| meta.is_file()));
        assert_eq!(fs::read(&precious).expect("is there"), b"kept");
        assert!((0..40).all(|count| fs::symlink_metadata(name(count)).is_ok()), "what was there is there");
    }

    #[test]
    fn litter_is_cleared_and_what_is_being_written_is_not() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let litter = folder.path().join(".boxwright-1-0.unfinished");
        let own = folder.path().join(".boxwright-notes.unfinished");
        fs::write(&litter, "half").expect("a file");
        fs::write(&own, "the user's").expect("a file");
        let (_file, busy) = (0..TRIES).find_map(|_| unfinished(folder.path()).expect("it is made")).expect("a name");
        clear(folder.path());
        assert!(!litter.exists() && busy.exists() && own.exists());
    }
}
