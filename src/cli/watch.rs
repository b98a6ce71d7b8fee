//! Binds again at each save, and says what changed. Survives editors that save by renaming, files that vanish for a moment,
//! folders that move away and come back: while the book's folder is not there it is asked for again.
//!
//! A book with errors leaves the bound file as it was.

use super::args::Bind;
use super::bind;
use super::desk::{Desk, Outcome, Voice, print};
use super::files;
use super::report::path_shown;
use crate::font::Fonts;
use notify::{RecommendedWatcher, RecursiveMode, Watcher};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

/// Saves nearer together than this are one save.
const SETTLE: Duration = Duration::from_millis(60);
/// A folder that is never at rest is bound all the same after so long.
const PATIENCE: Duration = Duration::from_secs(1);
/// How often the folder itself is looked at, and asked for again when it has gone.
const LOOK: Duration = Duration::from_millis(300);

/// Watches until interrupted. A book that is not there at the start is a fault: its name is probably misspelt.
pub fn run(voice: Voice, arguments: &Bind) -> Outcome {
    let folder = files::folder(&arguments.book);
    if !arguments.book.is_file() {
        return Desk::new(voice).fault(&format!("{}: there is no such file to watch", path_shown(&arguments.book)));
    }
    let fonts = Fonts::embedded();
    loop {
        // Asked before the watch begins, so that a folder exchanged meanwhile is noticed.
        let identity = identity(&folder);
        let (mut watcher, changes) = match watcher() {
            Ok(pair) => pair,
            Err(error) => return Desk::new(voice).fault(&format!("cannot watch files: {error}")),
        };
        match watcher.watch(&folder, RecursiveMode::Recursive) {
            Ok(()) => {
                let mut shelves = BTreeSet::new();
                say(voice, &format!("watching {}; stop with Ctrl-C\n", path_shown(&folder)));
                loop {
                    round(voice, arguments, &fonts, |path| {
                        // A shelf that can't be watched is read all the same at the next save of the book.
                        if shelves.insert(path.to_owned()) {
                            let _ = watcher.watch(path, RecursiveMode::Recursive);
                        }
                    });
                    if !saved(&changes, || self::identity(&folder) == identity) {
                        break;
                    }
                }
            }
            Err(error) if folder.is_dir() => {
                return Desk::new(voice).fault(&format!("cannot watch {}: {error}", path_shown(&folder)));
            }
            Err(_) => {}
        }
        if !arguments.book.is_file() {
            say(voice, &format!("{} has gone; waiting for it\n", path_shown(&folder)));
        }
        while !arguments.book.is_file() {
            std::thread::sleep(LOOK);
        }
    }
}

fn say(voice: Voice, text: &str) {
    if !voice.quiet && !voice.json {
        print(text);
    }
}

/// A watcher, and where the paths of changed files arrive.
fn watcher() -> notify::Result<(RecommendedWatcher, Receiver<Vec<PathBuf>>)> {
    let (sender, changes) = channel();
    let watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let paths = event.map(|event| if event.kind.is_access() { Vec::new() } else { event.paths });
        // The receiver goes away only when the folder is asked for anew.
        let _ = sender.send(paths.unwrap_or_default());
    })?;
    Ok((watcher, changes))
}

/// Binds once, hands out the folders outside the book's own that its files came from, and says how it went.
fn round(voice: Voice, arguments: &Bind, fonts: &Fonts, mut read_from: impl FnMut(&Path)) {
    let began = Instant::now();
    let mut desk = Desk::new(voice);
    let outcome = bind::one(&mut desk, arguments, arguments.edition.as_deref(), fonts);
    let own = files::folder(&arguments.book);
    let folders: BTreeSet<PathBuf> = desk.sources.paths().map(|path| files::folder(Path::new(path))).collect();
    folders.iter().filter(|folder| is_outside(folder, &own)).for_each(|folder| read_from(folder));
    if outcome == Outcome::Done {
        desk.say(&format!("bound in {:.2} s\n\n", began.elapsed().as_secs_f64()));
    } else {
        let bound = bind::bound_to(arguments, arguments.edition.as_deref());
        let kept = if bound.is_file() { format!("; {} is as it was", path_shown(&bound)) } else { String::new() };
        desk.say(&format!("not bound{kept}\n\n"));
    }
}

/// Whether a folder that was read from is another one than the book's and lies not within it.
fn is_outside(folder: &Path, own: &Path) -> bool {
    match (folder.canonicalize(), own.canonicalize()) {
        (Ok(folder), Ok(own)) => !folder.starts_with(own),
        _ => false,
    }
}

/// Waits for a save of the author's and for it to settle; `false` when the folder has gone or another stands in its place.
fn saved(changes: &Receiver<Vec<PathBuf>>, is_there: impl Fn() -> bool) -> bool {
    loop {
        match changes.recv_timeout(LOOK) {
            Ok(paths) if paths.iter().any(|path| is_the_authors(path)) => break,
            Ok(_) | Err(RecvTimeoutError::Timeout) if is_there() => {}
            _ => return false,
        }
    }
    let began = Instant::now();
    while began.elapsed() < PATIENCE && changes.recv_timeout(SETTLE).is_ok() {}
    is_there()
}

/// What tells a folder from another of the same name, where the system says so; `None` when it is not there.
fn identity(folder: &Path) -> Option<(u64, u64)> {
    let meta = std::fs::metadata(folder).ok().filter(std::fs::Metadata::is_dir)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        Some((meta.dev(), meta.ino()))
    }
    #[cfg(not(unix))]
    {
        let _ = meta;
        Some((0, 0))
    }
}

/// Whether a changed file is one that authors write: not what we write, nor an editor's own litter. A name without an ending
/// may be a folder that was moved or removed with files in it.
fn is_the_authors(path: &Path) -> bool {
    const ENDINGS: [&str; 12] =
        ["yaml", "yml", "md", "abc", "musicxml", "xml", "mxl", "png", "jpg", "jpeg", "otf", "ttf"];
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    if name.starts_with('.') || name.ends_with('~') {
        return false;
    }
    match path.extension() {
        Some(ending) => ENDINGS.contains(&ending.to_string_lossy().to_lowercase().as_str()),
        None => !path.is_file(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_authors_files_count() {
        assert!(is_the_authors(Path::new("book/tunes/a.yaml")));
        assert!(!is_the_authors(Path::new("book/book.pdf")));
        assert!(!is_the_authors(Path::new("book/.boxwright-12-0.unfinished")));
        assert!(!is_the_authors(Path::new("book/.a.yaml.swp")));
        assert!(!is_the_authors(Path::new("book/a.yaml~")));
        // A folder that has gone took its files with it.
        assert!(is_the_authors(Path::new("book/tunes")));
    }

    #[test]
    fn a_folder_is_told_from_another_of_the_same_name() {
        let all = tempfile::tempdir().expect("a folder for the test");
        let book = all.path().join("book");
        assert_eq!(identity(&book), None);
        std::fs::create_dir(&book).expect("a folder");
        let first = identity(&book);
        assert!(first.is_some());
        std::fs::rename(&book, all.path().join("elsewhere")).expect("it moves");
        std::fs::create_dir(&book).expect("another");
        assert_ne!(identity(&book), first);
    }

    #[test]
    fn a_shelf_is_outside_and_the_books_own_folders_are_not() {
        let all = tempfile::tempdir().expect("a folder for the test");
        let (book, shelf) = (all.path().join("book"), all.path().join("tunes"));
        std::fs::create_dir_all(book.join("tunes")).expect("a folder");
        std::fs::create_dir_all(&shelf).expect("a folder");
        assert!(is_outside(&shelf, &book));
        assert!(is_outside(&book.join("../tunes"), &book));
        assert!(!is_outside(&book.join("tunes"), &book));
    }
}
