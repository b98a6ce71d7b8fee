//! Reading the author's files and writing results: the only place that touches the disk.
//!
//! Reads only plain files, of bounded size, that lie where their path says they lie: a link that leads out of the book's
//! folder (or its shelf) is refused. Writes beside the target and moves the finished file there, so that the last good file
//! stays whole whatever happens.

use crate::diag::nearest;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Component, Path, PathBuf};

/// No file of a book is larger than this.
const LARGEST: u64 = 64 << 20;

/// A folder with more files than this is not listed: which of them were read would depend on the machine.
const MOST_NAMES: usize = 1000;

/// Reads the file of a path that `book` has put together from the book's folder and the author's words; of a path that ends with `/`, the names in that folder.
///
/// # Errors
/// In the author's words: no such file, not a plain file, too large, a link out of the folder, unreadable.
pub fn read(root: &Path, path: &str) -> Result<Vec<u8>, String> {
    let is_folder = path.ends_with('/');
    let path = Path::new(path);
    let meta = fs::metadata(path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound if is_folder => "there is no such folder".to_owned(),
        io::ErrorKind::NotFound => match near(path) {
            Some(name) => format!("there is no such file; did you mean `{name}`?"),
            None => explain(&error),
        },
        _ => explain(&error),
    })?;
    if is_folder && meta.is_dir() {
        return list(root, path);
    }
    if meta.is_dir() {
        return Err("it is a folder; name the file in it, such as book.yaml".into());
    }
    if !meta.is_file() {
        return Err("it is not a plain file".into());
    }
    if meta.len() > LARGEST {
        return Err(format!("it is larger than {} MB", LARGEST >> 20));
    }
    let real = fs::canonicalize(path).map_err(|error| explain(&error))?;
    let base = fs::canonicalize(base_of(root, path)).map_err(|error| explain(&error))?;
    if !real.starts_with(&base) {
        return Err("it is a link that leads out of the book's folder".into());
    }
    let mut bytes = Vec::new();
    let file = File::open(&real).map_err(|error| explain(&error))?;
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| explain(&error))?;
    if bytes.len() as u64 > LARGEST {
        return Err(format!("it is larger than {} MB", LARGEST >> 20));
    }
    Ok(bytes)
}

/// The names of a folder's plain files in order, one a line; names that are no text, or hidden, are left out.
fn list(root: &Path, path: &Path) -> Result<Vec<u8>, String> {
    let real = fs::canonicalize(path).map_err(|error| explain(&error))?;
    let base = fs::canonicalize(base_of(root, path)).map_err(|error| explain(&error))?;
    if !real.starts_with(&base) {
        return Err("it is a link that leads out of the book's folder".into());
    }
    let entries = fs::read_dir(&real).map_err(|error| explain(&error))?;
    let plain = entries.flatten().filter(|entry| entry.path().is_file());
    let mut names: Vec<String> = plain
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.') && !name.contains('\n'))
        .take(MOST_NAMES + 1)
        .collect();
    if names.len() > MOST_NAMES {
        return Err(format!("has more than {MOST_NAMES} files"));
    }
    names.sort();
    Ok(names.join("\n").into_bytes())
}

/// The name in a missing file's folder that is nearest to its own.
fn near(path: &Path) -> Option<String> {
    let wanted = path.file_name()?.to_string_lossy().into_owned();
    let entries = fs::read_dir(folder(path)).ok()?;
    let mut names: Vec<String> =
        entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    nearest(&wanted, names.iter().map(String::as_str)).map(str::to_owned)
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

/// Writes a file whole: to a name beside its place first, flushed to the disk, then moved there.
///
/// # Errors
/// In the author's words; the file at `path` is then as it was, and nothing is left beside it.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let name = path.file_name().ok_or_else(|| format!("{} names no file", path.display()))?;
    if fs::metadata(path).is_ok_and(|meta| !meta.is_file()) {
        return Err(format!("cannot write {}: it is a folder or a device, not a plain file", path.display()));
    }
    let beside = folder(path).join(format!(".{}.unfinished", name.to_string_lossy()));
    let outcome = (|| {
        let mut file = File::create(&beside)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&beside, path)
    })();
    outcome.map_err(|error| {
        // Best effort: what could not be finished is not left lying about.
        let _ = fs::remove_file(&beside);
        format!("cannot write {}: {}", path.display(), explain(&error))
    })
}

/// An error of the machine in words.
pub fn explain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".into(),
        io::ErrorKind::PermissionDenied => "this program may not read or write there".into(),
        io::ErrorKind::StorageFull => "the disk is full".into(),
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
        assert_eq!(read(&root, &at("../tunes/a.yaml")), Ok(b"x".to_vec()));
        assert!(read(&root, &at("link.md")).is_err_and(|why| why.contains("link")));
        assert!(read(&root, &at("none.md")).is_err_and(|why| why.contains("no such file")));
        assert!(read(&root, &at("../tunes")).is_err());
        assert_eq!(read(&root, &at("../tunes/")), Ok(b"a.yaml".to_vec()), "a folder's names");
        assert!(read(&root, &at("a.yaml/")).is_err());
        std::os::unix::fs::symlink(all.path(), root.join("away")).expect("a link");
        assert!(read(&root, &at("away/")).is_err_and(|why| why.contains("link")));
    }

    #[test]
    fn a_failed_write_leaves_the_old_file_and_no_litter() {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let target = folder.path().join("book.pdf");
        write(&target, b"first").expect("writes");
        write(&target, b"second").expect("writes again");
        assert_eq!(fs::read(&target).expect("is there"), b"second");
        assert!(write(&folder.path().join("none/book.pdf"), b"x").is_err());
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
    }
}
