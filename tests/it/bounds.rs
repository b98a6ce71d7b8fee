//! Hostile files of every kind, one row each: given to the program as a user would, each is refused or read within bounds, in
//! under a second of processor time and 200 MB, and what is refused is told with its place.
//!
//! Fonts that a book brings in a folder have rows here; what is unfit in a sound font is told in `src/font/own_tests.rs`.

use crate::hostile_rows::{self, Fate, Row};
use rayon::prelude::*;
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// The bounds: processor time in seconds and the largest resident set in megabytes. A program built without the test profile's
/// own optimisation, to have it built sooner, gets ten times as long.
const SECONDS: f64 = if option_env!("CARGO_PROFILE_TEST_OPT_LEVEL").is_some() { 10.0 } else { 1.0 };
const MEGABYTES: f64 = 200.0;
/// A run that takes longer than this by the clock is ended: whatever the machine does beside, it hangs.
const CLOCK: Duration = Duration::from_secs(60);
/// Clock ticks a second in `/proc` (`CLK_TCK`, 100 on every Linux that Rust runs on).
const TICKS: f64 = 100.0;

/// What a run cost and said.
struct Cost {
    status: Option<i32>,
    seconds: f64,
    megabytes: f64,
    said: String,
}

/// Runs the program in a folder; its time and memory are read from `/proc` until it is gone.
fn run(folder: &Path, words: &[&str]) -> Cost {
    let said = folder.join(".said");
    let file = fs::File::create(&said).expect("a file for what is said");
    // Preflight's report is its output; that of other commands may be large and is not looked at.
    let out = if words[0] == "preflight" {
        Stdio::from(file.try_clone().expect("a second way to it"))
    } else {
        Stdio::null()
    };
    let mut child = Command::new(env!("CARGO_BIN_EXE_boxwright"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .stdout(out)
        .stderr(file)
        .spawn()
        .expect("the program starts");
    let proc = format!("/proc/{}", child.id());
    let (mut megabytes, mut seconds, start) = (0.0, 0.0, Instant::now());
    loop {
        let status = fs::read_to_string(format!("{proc}/status")).unwrap_or_default();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let peak = peak.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok());
        megabytes = f64::max(megabytes, peak.unwrap_or(0.0) / 1024.0);
        // After the name in brackets: state, then utime and stime as the 12th and 13th.
        let stat = fs::read_to_string(format!("{proc}/stat")).unwrap_or_default();
        let fields: Vec<&str> = stat.rsplit(')').next().unwrap_or("").split_whitespace().collect();
        let ticks = |at: usize| fields.get(at).and_then(|field| field.parse::<f64>().ok()).unwrap_or(0.0);
        seconds = f64::max(seconds, (ticks(11) + ticks(12)) / TICKS);
        let gone = fields.first().is_none_or(|state| matches!(*state, "Z" | "X"));
        if gone || start.elapsed() > CLOCK {
            break;
        }
        sleep(Duration::from_millis(1));
    }
    let _ = child.kill();
    let status = child.wait().expect("the program was started").code();
    let said = String::from_utf8_lossy(&fs::read(said).unwrap_or_default()).into_owned();
    Cost { status, seconds, megabytes, said }
}

/// Lays a row's files over a good book and runs it.
fn fault(row: &Row) -> (String, Option<String>) {
    let folder = tempfile::tempdir().expect("a folder for the row");
    let good = [
        ("book.yaml", hostile_rows::BOOK.as_bytes()),
        ("t.yaml", hostile_rows::TUNE.as_bytes()),
        ("t.md", b"Hello.\n"),
    ];
    for (name, bytes) in good.into_iter().chain(row.files.iter().map(|(name, bytes)| (*name, bytes.as_slice()))) {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("a folder of the row");
        fs::write(path, bytes).expect("a file of the row");
    }
    judge(row.name, row.fate, &run(folder.path(), &row.words))
}

/// A line of the table, and what is wrong with the run, if anything.
fn judge(name: &str, fate: Fate, cost: &Cost) -> (String, Option<String>) {
    let Cost { status, seconds, megabytes, said } = cost;
    let brief: String = said.chars().take(400).collect();
    let line = format!("{name}: status {status:?}, {seconds:.2} s, {megabytes:.0} MB");
    let wrong = match (fate, status) {
        (_, None) => Some("it was killed"),
        // Whatever aborts the program ends it with a status of its own: the reason tells.
        _ if ["overflowed its stack", "memory allocation of"].iter().any(|why| said.contains(why)) => {
            Some("it ended by an abort")
        }
        (_, Some(0..=2)) if *seconds >= SECONDS => Some("too slow"),
        (_, Some(0..=2)) if *megabytes >= MEGABYTES => Some("too large"),
        (Fate::Refused(_), Some(0)) => Some("not refused"),
        (Fate::Told(words), Some(0..=2)) if !said.contains(words) => Some("not told with its place or reason"),
        (Fate::Refused(words), Some(1..=2)) if !said.contains(words) => Some("refused without its place or reason"),
        (_, Some(0..=2)) => None,
        _ => Some("it ended in no way of its own"),
    };
    let fault = wrong.map(|wrong| format!("{line}: {wrong}\n    {brief}"));
    (line, fault)
}

#[test]
#[expect(clippy::print_stdout, reason = "the costs are what the table is for")]
fn hostile_files_are_bounded() {
    let mut rows = hostile_rows::all();
    assert!(rows.len() > 200, "{}", rows.len());
    // While one row is worked at: `ROWS=drawing`.
    if let Ok(part) = std::env::var("ROWS") {
        rows.retain(|row| row.name.contains(&part));
        assert!(!rows.is_empty(), "no row is called {part}");
    }
    // Two at a time: more would measure each other.
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("two threads");
    let judged: Vec<(String, Option<String>)> = pool.install(|| rows.par_iter().map(fault).collect());
    for (line, _) in &judged {
        println!("{line}");
    }
    let faults: Vec<String> = judged.into_iter().filter_map(|(_, fault)| fault).collect();
    assert!(faults.is_empty(), "{} of {} rows fail:\n{}", faults.len(), rows.len(), faults.join("\n"));
}

/// A good book in a folder, one of its files put in place by `put`.
fn odd(file: &str, put: impl FnOnce(&Path)) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let good = [("book.yaml", hostile_rows::BOOK), ("t.yaml", hostile_rows::TUNE), ("t.md", "Hello.\n")];
    for (name, text) in good {
        fs::write(folder.path().join(name), text).expect("a file");
    }
    let path = folder.path().join(file);
    let _ = fs::remove_file(&path);
    put(&path);
    folder
}

/// Whatever stands where a file should, it is not opened, and the line that names it is told.
#[test]
fn odd_files_are_refused() {
    let link = |to: &'static str| move |path: &Path| symlink(to, path).expect("a link");
    let fifo = |path: &Path| {
        let made = Command::new("mkfifo").arg(path).status().expect("mkfifo is there");
        assert!(made.success());
    };
    let folders = [
        ("a link to a device", "t.md", odd("t.md", link("/dev/zero"))),
        ("a link out of the folder", "t.md", odd("t.md", link("/etc/hostname"))),
        ("a link to itself", "t.md", odd("t.md", link("t.md"))),
        ("a tune that is a link to a device", "t.yaml", odd("t.yaml", link("/dev/urandom"))),
        ("a pipe that nobody writes", "t.md", odd("t.md", fifo)),
        ("a tune that is a pipe", "t.yaml", odd("t.yaml", fifo)),
        ("a folder", "t.md", odd("t.md", |path| fs::create_dir(path).expect("a folder"))),
    ];
    let place = |file: &str| if file == "t.md" { "book.yaml:13:11" } else { "book.yaml:14:13" };
    for (name, file, folder) in &folders {
        let cost = run(folder.path(), &["check", "book.yaml"]);
        assert_eq!(judge(name, Fate::Refused(place(file)), &cost).1, None);
    }
    // What the command itself names, whichever reader it goes to.
    let empty = tempfile::tempdir().expect("a folder");
    fifo(&empty.path().join("pipe.abc"));
    for words in [
        ["check", "/dev/zero"],
        ["check", "pipe.abc"],
        ["bring", "/dev/zero"],
        ["bring", "pipe.abc"],
        ["bring", "/dev"],
        ["preflight", "/dev/zero"],
        ["preflight", "pipe.abc"],
        ["preflight", "/"],
    ] {
        assert_eq!(judge("a device", Fate::Refused(words[1]), &run(empty.path(), &words)).1, None, "{words:?}");
    }
    // A file without leave to read. The mightiest user may read everything: then there is nothing to see here.
    let folder = odd("t.md", |path| fs::write(path, "Hello.").expect("a file"));
    let path = folder.path().join("t.md");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).expect("its leave is taken away");
    if fs::read(&path).is_err() {
        let cost = run(folder.path(), &["check", "book.yaml"]);
        assert_eq!(judge("unreadable", Fate::Refused("book.yaml:13:11"), &cost).1, None);
    } else {
        skipped("the unreadable file: this user may read everything");
    }
}

#[expect(clippy::print_stderr, reason = "what is not tested is said aloud")]
fn skipped(what: &str) {
    eprintln!("SKIPPED {what}");
}

/// A folder that came with a book is no way out of it; one that the user names is.
#[test]
fn practice_files_stay_in_the_book() {
    let away = tempfile::tempdir().expect("a folder");
    let folder = odd("practice", |path| symlink(away.path(), path).expect("a link"));
    fs::write(folder.path().join("t.yaml"), format!("{}practice: [80%]\n", hostile_rows::TUNE)).expect("a file");
    let cost = run(folder.path(), &["practice", "book.yaml"]);
    assert_eq!(judge("practice", Fate::Refused("it is a link that leads out of the book's folder"), &cost).1, None);
    assert_eq!(fs::read_dir(away.path()).expect("a folder").count(), 0);
    assert_eq!(run(folder.path(), &["practice", "book.yaml", "-o", "practice"]).status, Some(0));
    assert!(fs::read_dir(away.path()).expect("a folder").count() > 0);
}

/// What stands for a file bound before: only a PDF of the program's own is replaced.
const GOOD: &[u8] = b"%PDF-1.7 /BXWR_Record, the last good file";

/// A plan that was settled and can't be read is never passed over: the tune would be printed otherwise than before.
#[test]
fn a_settled_plan_that_cannot_be_read_is_an_error() {
    type Put = fn(&Path);
    let put: [(&str, Put); 5] = [
        ("a folder", |path| fs::create_dir(path).expect("a folder")),
        ("a pipe", |path| assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo is there").success())),
        ("a link out of the folder", |path| symlink("/etc/hostname", path).expect("a link")),
        ("a link to nowhere", |path| symlink("nowhere", path).expect("a link")),
        ("65 MB", |path| fs::File::create(path).and_then(|file| file.set_len(65 << 20)).expect("a large file")),
    ];
    for (name, put) in put {
        let folder = odd("t.settled.yaml", put);
        for words in [&["check", "book.yaml"][..], &["bind", "book.yaml", "-o", "out.pdf"]] {
            let cost = run(folder.path(), words);
            assert_eq!(judge(name, Fate::Refused("book.yaml:14:13: error[settled-unread]"), &cost).1, None);
            assert!(!folder.path().join("out.pdf").exists(), "{name}");
        }
        let cost = run(folder.path(), &["settle", "t.yaml"]);
        assert_eq!(judge(name, Fate::Refused("t.settled.yaml"), &cost).1, None);
        let is_there = fs::symlink_metadata(folder.path().join("t.settled.yaml")).expect("it is still there");
        assert!(!is_there.is_file() || is_there.len() == 65 << 20, "{name}: it was replaced");
    }
}

/// A result never takes the place of what it was made from, nor of a file of another kind.
#[test]
fn sources_are_not_written_over() {
    let folder = odd("t.md", |path| fs::write(path, "![a](a.png)\n").expect("a file"));
    fs::write(folder.path().join("a.png"), hostile_rows::png(4, 4, 8, 65_536)).expect("a file");
    // A picture is a source as well, however it is called.
    fs::write(folder.path().join("notes.txt"), "my own").expect("a file");
    let all = ["book.yaml", "t.yaml", "t.md", "a.png", "notes.txt"];
    let read = || all.map(|name| fs::read(folder.path().join(name)).expect("it is there"));
    let before = read();
    for name in all {
        for command in ["bind", "proof"] {
            let cost = run(folder.path(), &[command, "book.yaml", "-o", name]);
            assert_eq!(cost.status, Some(2), "{command} {name}: {}", cost.said);
            assert!(cost.said.contains(&format!("cannot write {name}")), "{}", cost.said);
        }
    }
    // The file of the printed copies is all that is known of them.
    assert_eq!(run(folder.path(), &["bind", "book.yaml", "-o", "printed.pdf"]).status, Some(0));
    let printed = fs::read(folder.path().join("printed.pdf")).expect("it is bound");
    let changed = hostile_rows::BOOK.replace("title: A", "title: B").replace("impression: 1", "impression: 2");
    fs::write(folder.path().join("book.yaml"), changed).expect("a file");
    let words = ["reprint", "book.yaml", "--against", "printed.pdf", "-o", "printed.pdf"];
    let cost = run(folder.path(), &words);
    assert_eq!(cost.status, Some(2), "{}", cost.said);
    assert!(fs::read(folder.path().join("printed.pdf")).expect("it is there") == printed);
    assert!(read()[1..] == before[1..]);
}

/// Whatever lies under the name of the unfinished file is neither followed nor waited for.
#[test]
fn the_unfinished_file_is_always_a_new_one() {
    for make in ["ln -s precious", "mkfifo", "mkdir"] {
        let folder = odd("precious", |path| fs::write(path, "kept").expect("a file"));
        let name = "\".boxwright-$$-0.unfinished\"";
        let script = format!("{make} {name}; exec '{}' bind book.yaml -o out.pdf", env!("CARGO_BIN_EXE_boxwright"));
        let mut child = Command::new("sh").args(["-c", &script]).current_dir(folder.path()).spawn().expect("a shell");
        let start = Instant::now();
        while child.try_wait().expect("it is our child").is_none() && start.elapsed() < CLOCK {
            sleep(Duration::from_millis(5));
        }
        let _ = child.kill();
        assert_eq!(child.wait().expect("it was started").code(), Some(0), "{make}");
        assert!(fs::read(folder.path().join("out.pdf")).expect("it is bound").starts_with(b"%PDF-"), "{make}");
        assert_eq!(fs::read(folder.path().join("precious")).expect("it is there"), b"kept", "{make}");
    }
}

/// What could not be said is told, but for a reader that has gone away.
#[test]
fn a_full_disk_behind_standard_output_is_a_fault() {
    let folder = odd("t.md", |path| fs::write(path, "Hello.").expect("a file"));
    for words in ["schema book", "plan t.yaml --json", "check book.yaml", "manual", "presets", "boxes", "--help"] {
        let with = |out: &str| {
            let script = format!("'{}' {words} {out}", env!("CARGO_BIN_EXE_boxwright"));
            Command::new("bash").args(["-c", &script]).current_dir(folder.path()).output().expect("a shell")
        };
        let full = with("> /dev/full");
        assert_eq!(full.status.code(), Some(2), "{words}");
        let said = String::from_utf8_lossy(&full.stderr).into_owned();
        assert!(said.ends_with("error: cannot write to standard output: the disk is full\n"), "{words}: {said}");
        assert_eq!(with("> >(exec true); exit ${PIPESTATUS[0]}").status.code(), Some(0), "{words}");
    }
}

/// Where there is too little memory to work with, one line says so; where it runs out in the middle, that is a fault like any other.
#[test]
fn little_memory_is_a_fault() {
    let folder = odd("t.md", |path| fs::write(path, "Hello.").expect("a file"));
    fs::write(folder.path().join("out.pdf"), GOOD).expect("a file");
    for kilobytes in [120_000, 160_000, 200_000, 240_000, 280_000, 320_000, 500_000, 4_000_000] {
        let script =
            format!("ulimit -v {kilobytes}; exec '{}' bind book.yaml -o out.pdf", env!("CARGO_BIN_EXE_boxwright"));
        let done = Command::new("sh").args(["-c", &script]).current_dir(folder.path()).output().expect("a shell");
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        let bytes = fs::read(folder.path().join("out.pdf")).expect("it is there");
        match done.status.code() {
            Some(0) => assert!(kilobytes > 256_000 && bytes != GOOD, "{kilobytes}: {said}"),
            Some(2) => assert!(kilobytes < 4_000_000 && bytes == GOOD, "{kilobytes}: {said}"),
            other => panic!("{kilobytes}: {other:?}, {said}"),
        }
        if kilobytes < 256_000 {
            let line = "error: less than 256 MB of memory can be had here (`ulimit -v` says what is allowed)\n";
            assert_eq!(said, line, "{kilobytes}");
        }
        fs::write(folder.path().join("out.pdf"), GOOD).expect("a file");
    }
    // An abort in the middle, as the standard library makes one where memory runs out.
    let script = "\"$0\" watch book.yaml & sleep 0.5; kill -ABRT $!; wait $!";
    let args = ["-c", script, env!("CARGO_BIN_EXE_boxwright")];
    let done = Command::new("sh").args(args).current_dir(folder.path()).output().expect("a shell");
    assert_eq!(done.status.code(), Some(2));
}

/// A bound on the size of files is told as a full disk is, and leaves as little behind.
#[test]
fn a_bound_on_the_size_of_files_is_a_fault() {
    let folder = odd("t.md", |path| fs::write(path, "Hello.").expect("a file"));
    fs::write(folder.path().join("out.pdf"), GOOD).expect("a file");
    let script = format!("ulimit -f 8; exec '{}' bind book.yaml -o out.pdf", env!("CARGO_BIN_EXE_boxwright"));
    let entries = || fs::read_dir(folder.path()).expect("a folder").count();
    let before = entries();
    let done = Command::new("sh").args(["-c", &script]).current_dir(folder.path()).output().expect("a shell");
    let said = String::from_utf8_lossy(&done.stderr);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("cannot write out.pdf"), "{said}");
    assert_eq!((fs::read(folder.path().join("out.pdf")).expect("it is there"), entries()), (GOOD.to_vec(), before));
}

/// A disk with no room left: the fault is told, the last good file stays as it was, and no litter lies beside it.
#[test]
fn a_full_disk_leaves_the_last_good_file() {
    let keep = |folder: &Path, how: &str| {
        let out = folder.join("out.pdf");
        assert_eq!(fs::read(&out).expect("it is there"), GOOD, "{how}");
        let litter = fs::read_dir(folder)
            .expect("a folder")
            .flatten()
            .filter(|e| e.path().extension().is_some_and(|x| x == "unfinished"));
        assert_eq!(litter.count(), 0, "{how}");
    };
    // No file may grow beyond 8 blocks of 512 bytes; the signal that says so is not heeded, as on a full disk.
    let book = odd("t.md", |path| fs::write(path, "Hello.").expect("a file"));
    fs::write(book.path().join("out.pdf"), GOOD).expect("a file");
    let script =
        format!("trap '' XFSZ; ulimit -f 8; exec '{}' bind book.yaml -o out.pdf", env!("CARGO_BIN_EXE_boxwright"));
    let done = Command::new("sh").args(["-c", &script]).current_dir(book.path()).output().expect("a shell");
    assert_eq!(done.status.code(), Some(2), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(String::from_utf8_lossy(&done.stderr).contains("cannot write out.pdf"));
    keep(book.path(), "a limit");
    // A device is no place for a book: it must not be replaced by one.
    let cost = run(book.path(), &["bind", "book.yaml", "-o", "/dev/full"]);
    assert_eq!(judge("a device", Fate::Refused("/dev/full"), &cost).1, None);
    // A disk of its own with 16 kB, where this user may mount one.
    let disk = tempfile::tempdir().expect("a folder");
    let mount = Command::new("mount").args(["-t", "tmpfs", "-o", "size=16k", "none"]).arg(disk.path()).output();
    if !mount.is_ok_and(|done| done.status.success()) {
        skipped("the disk of 16 kB: this user may not mount one");
        return;
    }
    let out = disk.path().join("out.pdf");
    fs::write(&out, GOOD).expect("it has room for this");
    let cost = run(book.path(), &["bind", "book.yaml", "-o", &out.to_string_lossy()]);
    let verdict = judge("a full disk", Fate::Refused("the disk is full"), &cost).1;
    let gone = std::panic::catch_unwind(|| keep(disk.path(), "a full disk"));
    let done = Command::new("umount").arg(disk.path()).status().expect("umount is there");
    assert!(done.success() && gone.is_ok());
    assert_eq!(verdict, None);
}
