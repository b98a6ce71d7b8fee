//! A file is the same whatever the machine is like, and whole whatever happens to the program.

use crate::invent::Dice;
use crate::program::{copy_of, run_in};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn program() -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin("boxwright"));
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Where the gate says so, the locales that are asked for have to be there: one that is not installed is as good as none, and
/// the test would ask nothing.
fn installed(surroundings: &[&[(&str, &str)]]) {
    if std::env::var_os("BOXWRIGHT_LOCALES").is_none() {
        return;
    }
    let known = Command::new("locale").arg("-a").output().expect("the gate has `locale`");
    let known = String::from_utf8_lossy(&known.stdout).to_lowercase().replace("utf8", "utf-8");
    let named = surroundings.iter().flat_map(|variables| variables.iter());
    let wanted = named.filter(|(key, value)| (key.starts_with("LC_") || *key == "LANG") && *value != "C");
    for (_, locale) in wanted {
        assert!(known.lines().any(|line| line == locale.to_lowercase()), "{locale} is not installed");
    }
}

/// Threads, locales and time zones change no byte.
#[test]
fn the_same_bytes_on_any_machine() {
    let (_keep, book) = copy_of("first-steps");
    let surroundings: [&[(&str, &str)]; 6] = [
        &[("RAYON_NUM_THREADS", "1"), ("LC_ALL", "C"), ("TZ", "UTC")],
        &[("RAYON_NUM_THREADS", "2"), ("LC_ALL", "tr_TR.UTF-8"), ("TZ", "Pacific/Kiritimati")],
        &[("RAYON_NUM_THREADS", "8"), ("LC_ALL", "de_DE.UTF-8"), ("TZ", "America/St_Johns")],
        &[("RAYON_NUM_THREADS", "3"), ("LANG", "ar_EG.UTF-8"), ("LC_NUMERIC", "fr_FR.UTF-8"), ("TZ", "XYZ-13:59")],
        &[("SOURCE_DATE_EPOCH", "1"), ("HOME", "/nowhere"), ("COLUMNS", "20")],
        &[],
    ];
    installed(&surroundings);
    for purpose in [
        &["--for", "reading"][..],
        &["--for", "press", "--impose", "saddle"],
        &["--for", "press", "--standard", "x-4"],
        &["--for", "press", "--standard", "a-2b"],
    ] {
        let mut first: Option<Vec<u8>> = None;
        for variables in surroundings {
            let done = program()
                .args(["bind", "book.yaml", "-o", "out.pdf"])
                .args(purpose)
                .current_dir(&book)
                .envs(variables.iter().copied())
                .status()
                .expect("the program starts");
            assert!(done.success());
            let bytes = fs::read(book.join("out.pdf")).expect("it is bound");
            fs::remove_file(book.join("out.pdf")).expect("it was there");
            assert!(first.as_ref().is_none_or(|first| *first == bytes), "{purpose:?} {variables:?}: other bytes");
            first = Some(bytes);
        }
    }
}

/// Four at once, at the same place, again and again: each has moved its own whole file there, and none has met another's.
#[test]
fn bindings_at_once_do_not_meet() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    assert_eq!(run_in(keep.path(), &["new-book", "small"]).status, 0);
    let book = keep.path().join("small");
    assert!(bind(&book).status().expect("it starts").success());
    let alone = fs::read(book.join("small.pdf")).expect("it is bound");
    let files = fs::read_dir(&book).expect("a folder").count();
    for round in 0..10 {
        let children: Vec<_> = (0..4).map(|_| bind(&book).spawn().expect("it starts")).collect();
        for mut child in children {
            assert!(child.wait().expect("it ends").success(), "round {round}");
        }
        assert!(fs::read(book.join("small.pdf")).expect("it is bound") == alone, "round {round}");
        assert_eq!(fs::read_dir(&book).expect("a folder").count(), files, "round {round}: litter");
    }
}

/// How often the program is killed.
const KILLS: usize = 200;

/// Killed at random moments, the program leaves the old file whole or the new one whole, and beside it nothing but its one
/// unfinished file.
#[test]
fn real_kills_leave_the_last_good_file_whole() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    assert_eq!(run_in(keep.path(), &["new-book", "small"]).status, 0);
    let book = keep.path().join("small");
    let source = fs::read_to_string(book.join("book.yaml")).expect("the book is there");
    let texts = [source.clone(), source.replacen("title: ", "title: Another ", 1)];
    assert_ne!(texts[0], texts[1]);
    // What whole files look like, and how long one takes.
    let mut whole = Vec::new();
    let mut longest = Duration::ZERO;
    for text in &texts {
        fs::write(book.join("book.yaml"), text).expect("written");
        let start = Instant::now();
        assert!(bind(&book).status().expect("it starts").success());
        longest = longest.max(start.elapsed());
        whole.push(fs::read(book.join("small.pdf")).expect("it is bound"));
    }
    assert!(whole[0] != whole[1]);
    let files = fs::read_dir(&book).expect("a folder").count();
    let mut dice = Dice::new(20_261_101);
    let (mut kept, mut replaced) = (0, 0);
    let mut last = 1;
    for round in 0..KILLS {
        let next = round % 2;
        fs::write(book.join("book.yaml"), &texts[next]).expect("written");
        let mut child = bind(&book).spawn().expect("it starts");
        let micros = u64::try_from(longest.as_micros()).unwrap_or(100_000);
        std::thread::sleep(Duration::from_micros(dice.roll() % (micros + micros / 8)));
        let _ = child.kill();
        child.wait().expect("it ends");
        let found = fs::read(book.join("small.pdf")).expect("there is always a file");
        let which = whole.iter().position(|good| *good == found);
        let which = which.unwrap_or_else(|| panic!("kill {round}: the file is neither the old one nor the new one"));
        assert!(which == last || which == next, "kill {round}");
        if which == next {
            replaced += 1
        } else {
            kept += 1
        }
        last = which;
        let count = fs::read_dir(&book).expect("a folder").count();
        assert!(count <= files + 1, "kill {round}: litter");
    }
    assert!(kept > KILLS / 20 && replaced > 0, "the kills fell at both ends: {kept} kept, {replaced} replaced");
    // The next binding clears up.
    fs::write(book.join("book.yaml"), &texts[0]).expect("written");
    assert!(bind(&book).status().expect("it starts").success());
    assert_eq!(fs::read_dir(&book).expect("a folder").count(), files);
}

fn bind(book: &Path) -> Command {
    let mut command = program();
    command.args(["bind", "book.yaml", "-o", "small.pdf"]).current_dir(book);
    command
}
