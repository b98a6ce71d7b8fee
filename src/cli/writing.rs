//! Writing results: beside the target first, then moved there, so that the last good file stays whole whatever happens.
//!
//! The unfinished file has a name of its own each time and is made anew: what lies there already, be it a link, a pipe or
//! another run's file, is neither followed nor waited for nor written to.

use super::files::{explain, folder};
use super::report::path_shown;
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

/// What a file must be to be replaced: of a kind, and where files of the kind bear one, with the program's own mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// Any plain file: one of the program's own making by its name.
    Any,
    /// A PDF (ISO 32000-1, 7.5.2) with the record of a bound book.
    Pdf,
    /// A page of HTML that names this program as its maker.
    Html,
    /// A MIDI file (Standard MIDI Files 1.0), whoever wrote it: notes bear no mark.
    Midi,
}

impl Over {
    /// How such files begin, in lower case, and what they are called.
    const fn beginning(self) -> (&'static [u8], &'static str) {
        match self {
            Self::Any => (b"", "a file"),
            Self::Pdf => (b"%pdf-", "a PDF"),
            Self::Html => (b"<!doctype html", "a page of HTML"),
            Self::Midi => (b"mthd", "a MIDI file"),
        }
    }
    /// How much of a file is looked through for the mark: it stands in the head of a page of HTML, anywhere in a PDF.
    const fn looked_through(self) -> u64 {
        match self {
            Self::Any | Self::Midi => self.beginning().0.len() as u64,
            Self::Pdf => u64::MAX,
            Self::Html => 4096,
        }
    }
    /// What the program's own files of the kind have in them, as it is written there.
    const fn mark(self) -> Option<&'static [u8]> {
        match self {
            Self::Any | Self::Midi => None,
            Self::Pdf => Some(b"/BXWR_Record"),
            Self::Html => Some(b"<meta name=\"generator\" content=\"boxwright\">"),
        }
    }
}

/// Writes a file whole: to a name beside its place first, flushed to the disk, then moved there.
///
/// # Errors
/// In the author's words; the file at `path` is then as it was, and nothing is left beside it.
pub fn write(path: &Path, bytes: &[u8], over: Over) -> Result<(), String> {
    write_by(path, &mut |file| file.write_all(bytes), over)
}

/// As [`write`] for a file that is never in memory as a whole: `fill` writes it, once more should its unfinished file be taken away.
///
/// # Errors
/// As [`write`].
pub fn write_by(path: &Path, fill: &mut Fill<'_>, over: Over) -> Result<(), String> {
    replaceable(path, over)?;
    clear(&folder(path));
    put(path, fill, true)
}

/// Writes all that a file is to hold.
pub type Fill<'a> = dyn FnMut(&mut File) -> io::Result<()> + 'a;

/// One of several files that belong together.
#[derive(Debug, Clone, Copy)]
pub struct Whole<'a> {
    /// Its place.
    pub path: &'a Path,
    /// Its bytes.
    pub bytes: &'a [u8],
    /// What it may take the place of.
    pub over: Over,
}

/// Writes files that belong together; each goes with those before it. All are on the disk before any takes its place, in the order
/// of [`steps`]: whenever the program is stopped, no file lies beside one that it does not go with.
///
/// Names are moved one at a time, so between two sets there is a moment in which the first file lies alone. Only a folder of its own
/// for every set, moved as a whole, would spare that, and then no file would keep its place. The moment is that of two moves after
/// all has been written, and none where the companions are the same as before.
///
/// # Errors
/// In the author's words; the old files are then as they were, as far as the disk lets them be.
pub fn write_set(files: &[Whole<'_>]) -> Result<(), String> {
    let [first, others @ ..] = files else { return Ok(()) };
    if others.is_empty() {
        return write(first.path, first.bytes, first.over);
    }
    for file in files {
        replaceable(file.path, file.over)?;
    }
    clear(&folder(first.path));
    let staged = files.iter().map(Staged::new).collect::<Result<Vec<_>, _>>()?;
    let old = files.iter().map(|file| present(file.path)).collect::<Result<Vec<_>, _>>()?;
    let is_same: Vec<bool> = files.iter().zip(&old).map(|(file, old)| old.as_deref() == Some(file.bytes)).collect();
    let steps = steps(&is_same);
    // Old companions are moved aside and go when all is done: to free what a large file takes can last as long as to write it.
    let goes = |nth: usize| steps.contains(&Step::Remove(nth)) && old[nth].is_some();
    let aside = (0..files.len()).map(|nth| goes(nth).then(|| Staged::room(files[nth].path)).transpose());
    let aside = aside.collect::<Result<Vec<_>, _>>()?;
    let placed = steps.iter().try_for_each(|step| match *step {
        Step::Remove(nth) => aside[nth].as_ref().map_or(Ok(()), |room| room.take_away(files[nth].path)),
        Step::Place(nth) => staged[nth].place(&files[nth]),
    });
    placed.inspect_err(|_| {
        // Best effort: what is new goes, the companions first, and what was there comes back, the companions last.
        for file in others {
            let _ = remove(file.path);
        }
        for (file, old) in files.iter().zip(&old) {
            let _ = match old {
                Some(bytes) => put(file.path, &mut |file| file.write_all(bytes), true),
                None => remove(file.path),
            };
        }
    })
}

/// One act on a folder, with the place of its file in the set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    /// What lies at its place goes aside.
    Remove(usize),
    /// The new file takes its place.
    Place(usize),
}

/// How a set takes the place of an older one, of which it is known which files are the same, byte for byte. A file goes before any
/// that it belongs to is changed, the last first; one that is the same as before fits the new ones and stays. Then all take their
/// places, the first first.
fn steps(is_same: &[bool]) -> Vec<Step> {
    let is_stale = |nth: &usize| !is_same[*nth] && is_same[..*nth].contains(&false);
    let stale = (1..is_same.len()).rev().filter(is_stale).map(Step::Remove);
    stale.chain((0..is_same.len()).map(Step::Place)).collect()
}

/// A file of a set on the disk, but not yet in its place, or no longer; locked, so that no other run clears it away. One that does not come to
/// its place is removed.
struct Staged {
    _file: File,
    beside: PathBuf,
}

impl Staged {
    fn new(of: &Whole<'_>) -> Result<Self, String> {
        let (mut file, beside) = begin(of.path)?;
        let staged = |file| Self { _file: file, beside };
        let written = file.write_all(of.bytes).and_then(|()| file.sync_all());
        let staged = staged(file);
        written.map(|()| staged).map_err(|error| cannot(of.path, &explain(&error)))
    }
    /// Room beside a place for what lies there.
    fn room(path: &Path) -> Result<Self, String> {
        begin(path).map(|(file, beside)| Self { _file: file, beside })
    }
    /// Moves what lies at a place into the room.
    fn take_away(&self, path: &Path) -> Result<(), String> {
        match fs::rename(path, &self.beside) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                Err(format!("cannot replace {}: {}", path.display(), explain(&error)))
            }
            _ => Ok(()),
        }
    }
    fn place(&self, of: &Whole<'_>) -> Result<(), String> {
        match fs::rename(&self.beside, of.path) {
            // Another run has cleared it away between its making and its locking.
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                put(of.path, &mut |file| file.write_all(of.bytes), true)
            }
            placed => placed.map_err(|error| cannot(of.path, &explain(&error))),
        }
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.beside);
    }
}

/// The bytes of what lies at a place; nothing where nothing does.
fn present(path: &Path) -> Result<Option<Vec<u8>>, String> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(format!("cannot replace {}: {}", path_shown(path), explain(&error))),
    }
}

fn remove(path: &Path) -> Result<(), String> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(format!("cannot replace {}: {}", path_shown(path), explain(&error)))
        }
        _ => Ok(()),
    }
}

/// As [`write`] for one of many small files that can be made again at any time: it is not flushed, which takes as long as a hundred
/// of them.
///
/// # Errors
/// As [`write`].
pub fn write_many(path: &Path, bytes: &[u8], over: Over) -> Result<(), String> {
    replaceable(path, over)?;
    put(path, &mut |file| file.write_all(bytes), false)
}

/// Makes a folder and those it lies in.
///
/// # Errors
/// In the author's words.
pub fn make_folder(path: &Path) -> Result<(), String> {
    fs::create_dir_all(path)
        .map_err(|error| format!("cannot make the folder {}: {}", path_shown(path), explain(&error)))
}

/// Whether what lies at a place may be replaced: nothing, an empty file, or one of the program's own of the kind that nobody has
/// set read-only.
fn replaceable(path: &Path, over: Over) -> Result<(), String> {
    let Ok(meta) = fs::metadata(path) else { return Ok(()) };
    if !meta.is_file() {
        return Err(format!("cannot write {}: it is a folder or a device, not a plain file", path_shown(path)));
    }
    let shown = path_shown(path);
    if meta.permissions().readonly() {
        return Err(format!(
            "cannot write {shown}: the file there is set read-only, and is not replaced; name another"
        ));
    }
    let (beginning, kind) = over.beginning();
    let mut found = Vec::new();
    // What cannot be read is left to the one who may replace it: it is not this program's to look into.
    if let Ok(file) = File::open(path) {
        let _ = file.take(over.looked_through().min(meta.len())).read_to_end(&mut found);
    }
    let is_kind = found.get(..beginning.len()).is_some_and(|start| start.eq_ignore_ascii_case(beginning));
    if !found.is_empty() && !is_kind {
        return Err(format!("cannot write {shown}: the file there is not {kind}, and is not replaced; name another"));
    }
    let is_own = over.mark().is_none_or(|mark| found.windows(mark.len()).any(|piece| piece == mark));
    if !found.is_empty() && !is_own {
        let why = format!("the file there is {kind} that boxwright has not made, and is not replaced; name another");
        return Err(format!("cannot write {shown}: {why}"));
    }
    Ok(())
}

fn cannot(path: &Path, why: &str) -> String {
    format!("cannot write {}: {why}", path_shown(path))
}

/// Begins an unfinished file for a place.
fn begin(path: &Path) -> Result<(File, PathBuf), String> {
    if path.file_name().is_none() {
        return Err(format!("{} names no file", path_shown(path)));
    }
    let folder = folder(path);
    for _ in 0..TRIES {
        match unfinished(&folder) {
            Ok(Some(made)) => return Ok(made),
            Ok(None) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return Err(cannot(path, "there is no such folder"));
            }
            Err(error) => return Err(cannot(path, &explain(&error))),
        }
    }
    Err(crowded(path, &folder))
}

fn crowded(path: &Path, folder: &Path) -> String {
    cannot(path, &format!("too many files in {} are called {BEGINNING}...{END}", path_shown(folder)))
}

fn put(path: &Path, fill: &mut Fill<'_>, flush: bool) -> Result<(), String> {
    let folder = folder(path);
    for _ in 0..TRIES {
        let (mut file, beside) = begin(path)?;
        let written = fill(&mut file).and_then(|()| if flush { file.sync_all() } else { Ok(()) });
        match written.and_then(|()| fs::rename(&beside, path)) {
            Ok(()) => return Ok(()),
            // Another run has cleared it away between its making and its locking.
            Err(error) if error.kind() == io::ErrorKind::NotFound && folder.is_dir() => {}
            Err(error) => {
                // Best effort: what could not be finished is not left lying about.
                let _ = fs::remove_file(&beside);
                return Err(cannot(path, &explain(&error)));
            }
        }
    }
    Err(crowded(path, &folder))
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
        write(&target, b"%PDF-first /BXWR_Record", Over::Pdf).expect("writes");
        write(&target, b"%PDF-second", Over::Pdf).expect("writes again");
        assert_eq!(fs::read(&target).expect("is there"), b"%PDF-second");
        let why = write(&folder.path().join("none/book.pdf"), b"x", Over::Pdf).expect_err("there is no folder");
        assert!(why.ends_with("there is no such folder"), "{why}");
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
    }

    /// A set whose last file cannot take its place, for a folder lies there: the old ones are as they were, and there is no litter.
    #[test]
    fn a_set_is_written_whole_or_not_at_all() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let [book, cover, sheet] = ["book.pdf", "book.cover.pdf", "book.job.pdf"].map(|name| folder.path().join(name));
        fn set<'a>(paths: &[&'a Path], bytes: &'a [u8]) -> Vec<Whole<'a>> {
            paths.iter().map(|path| Whole { path, bytes, over: Over::Pdf }).collect()
        }
        assert_eq!(write_set(&set(&[&book, &cover], b"%PDF-1 /BXWR_Record")), Ok(()));
        fs::create_dir(&sheet).expect("a folder");
        assert!(write_set(&set(&[&book, &cover, &sheet], b"%PDF-2 /BXWR_Record")).is_err());
        let held = |path: &Path| fs::read(path).expect("it is there");
        assert_eq!((held(&book), held(&cover)), (b"%PDF-1 /BXWR_Record".to_vec(), b"%PDF-1 /BXWR_Record".to_vec()));
        fs::remove_dir(&sheet).expect("it is empty");
        assert_eq!(write_set(&set(&[&book, &cover, &sheet], b"%PDF-3 /BXWR_Record")), Ok(()));
        assert_eq!(
            (held(&book), held(&cover), held(&sheet)),
            (b"%PDF-3 /BXWR_Record".to_vec(), b"%PDF-3 /BXWR_Record".to_vec(), b"%PDF-3 /BXWR_Record".to_vec())
        );
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 3);
        // One that fails when the others have taken their places already.
        let none = folder.path().join("none/book.job.pdf");
        let files = set(&[&book, &cover, &none], b"%PDF-4 /BXWR_Record");
        let staged: Vec<Staged> = files[..2].iter().map(|file| Staged::new(file).expect("it is written")).collect();
        drop(staged);
        assert!(write_set(&files).is_err());
        assert_eq!((held(&book), held(&cover)), (b"%PDF-3 /BXWR_Record".to_vec(), b"%PDF-3 /BXWR_Record".to_vec()));
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 3);
    }

    /// Stopped between any two acts, for every way in which the files of two sets may be the same: a companion that lies there is of
    /// the set of the file before it, the first file always lies there, and it lies alone for no more than two of them.
    #[test]
    fn a_set_that_is_stopped_is_never_mixed() {
        for bits in 0..8_u8 {
            let is_same: Vec<bool> = (0..3).map(|nth| bits >> nth & 1 == 1).collect();
            // What a file says: the set it is of, or both where it is the same in both.
            let fits = |place: &[Option<bool>], nth: usize| {
                place[nth].is_none_or(|new| (0..nth).all(|of| is_same[nth] || is_same[of] || place[of] == Some(new)))
            };
            let mut place = [Some(false); 3];
            let mut alone = 0;
            for step in steps(&is_same) {
                match step {
                    Step::Remove(nth) => place[nth] = None,
                    Step::Place(nth) => place[nth] = Some(true),
                }
                assert!(place[0].is_some() && fits(&place, 1) && fits(&place, 2), "{is_same:?}: {place:?}");
                alone += usize::from(place[1].is_none());
            }
            assert_eq!(place, [Some(true); 3], "{is_same:?}");
            assert!(alone <= if is_same[0] || is_same[1] { 0 } else { 2 }, "{is_same:?}: alone for {alone} acts");
        }
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
        let own = "<!DOCTYPE html><meta name=\"generator\" content=\"boxwright\">";
        for (text, over) in [("", Over::Pdf), (own, Over::Html), ("MThd", Over::Midi), ("book: 1", Over::Any)] {
            fs::write(&target, text).expect("a file");
            assert_eq!(write(&target, b"new", over), Ok(()), "{text}");
        }
    }

    #[test]
    fn what_others_made_and_what_is_set_read_only_is_kept() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let (target, beside) = (folder.path().join("class"), folder.path().join("beside"));
        for (text, over) in [("%PDF-1.4 a scan", Over::Pdf), ("<!DOCTYPE html> a class's page", Over::Html)] {
            fs::write(&target, text).expect("a file");
            let why = write(&target, b"new", over).expect_err("it is kept");
            assert!(why.contains("has not made, and is not replaced"), "{why}");
            let set = [Whole { path: &target, bytes: b"new", over }, Whole { path: &beside, bytes: b"new", over }];
            assert!(write_set(&set).is_err() && !beside.exists());
            assert_eq!(fs::read(&target).expect("is there"), text.as_bytes());
        }
        fs::write(&target, "my own").expect("a file");
        assert!(write_many(&target, b"MThd", Over::Midi).is_err_and(|why| why.contains("not a MIDI file")));
        fs::write(&target, "%PDF-1.7 /BXWR_Record").expect("a file");
        let mut only_read = fs::metadata(&target).expect("is there").permissions();
        only_read.set_readonly(true);
        fs::set_permissions(&target, only_read).expect("it is set read-only");
        let why = write(&target, b"new", Over::Pdf).expect_err("it is kept");
        assert!(why.contains("is set read-only, and is not replaced"), "{why}");
        assert_eq!(fs::read(&target).expect("is there"), b"%PDF-1.7 /BXWR_Record");
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
