//! Binds again at each save. Survives editors that save by renaming, files that vanish for a moment, folders that move away
//! and come back: while the folder cannot be watched it is asked for again.

use super::args::Bind;
use super::bind;
use super::desk::{Desk, Outcome, Voice, print};
use super::files;
use notify::{RecursiveMode, Watcher};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

/// Saves nearer together than this are one save.
const SETTLE: Duration = Duration::from_millis(60);
/// How often the folder itself is looked at, and asked for again when it has gone.
const LOOK: Duration = Duration::from_millis(500);

/// Watches until interrupted.
pub fn run(voice: Voice, arguments: &Bind) -> Outcome {
    let folder = files::folder(&arguments.book);
    loop {
        let (sender, changes) = channel();
        let watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
            // The receiver goes away only when the folder is asked for anew.
            let _ = sender.send(
                event.map(|event| if event.kind.is_access() { Vec::new() } else { event.paths }).unwrap_or_default(),
            );
        });
        let mut watcher = match watcher {
            Ok(watcher) => watcher,
            Err(error) => return Desk::new(voice).fault(&format!("cannot watch files: {error}")),
        };
        if watcher.watch(&folder, RecursiveMode::Recursive).is_ok() {
            print(&format!("watching {}; stop with Ctrl-C\n", folder.display()));
            bind::run(voice, arguments);
            while saved(&changes, &folder) {
                bind::run(voice, arguments);
            }
        }
        print(&format!("{} has gone; waiting for it\n", folder.display()));
        while !arguments.book.is_file() {
            std::thread::sleep(LOOK);
        }
    }
}

/// Waits for a save of the author's and for it to settle; `false` when the folder has gone.
fn saved(changes: &Receiver<Vec<PathBuf>>, folder: &Path) -> bool {
    loop {
        match changes.recv_timeout(LOOK) {
            Ok(paths) if paths.iter().any(|path| is_the_authors(path)) => break,
            Ok(_) => {}
            Err(RecvTimeoutError::Timeout) if folder.is_dir() => {}
            Err(_) => return false,
        }
    }
    while changes.recv_timeout(SETTLE).is_ok() {}
    folder.is_dir()
}

/// Whether a changed file is one that authors write: not what we write, nor an editor's own litter.
fn is_the_authors(path: &Path) -> bool {
    const ENDINGS: [&str; 10] = ["yaml", "yml", "md", "abc", "musicxml", "xml", "mxl", "png", "jpg", "jpeg"];
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    !name.starts_with('.') && !name.ends_with('~') && ENDINGS.contains(&ending.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_authors_files_count() {
        assert!(is_the_authors(Path::new("book/tunes/a.yaml")));
        assert!(!is_the_authors(Path::new("book/book.pdf")));
        assert!(!is_the_authors(Path::new("book/.book.pdf.unfinished")));
        assert!(!is_the_authors(Path::new("book/.a.yaml.swp")));
        assert!(!is_the_authors(Path::new("book/a.yaml~")));
    }
}
