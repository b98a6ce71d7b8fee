//! The speed table: every stage of binding an invented book, cold, against the floor of deflating the same content.
//!
//! `cargo bench` prints it for books of about 20, 200 and 2,000 pages; `cargo bench --bench speed -- 150` for books of so many
//! tunes; `-- plans` for the table of single plans alone. Each book is bound by a process of its own, started anew,
//! so that start, fonts and peak memory count; as in the command, what pages were made of goes before they are written. The
//! floor is flate2 (zlib-rs) at level 6 over the very content streams of the finished file, on the same threads, in the same
//! process, after the peak has been read. The file itself is deflated by another library at a quicker level (`pdf/pack.rs`),
//! whose price its bytes a page show. Nothing here is asserted: speed depends on the machine, and a table beside its floor does
//! not.

#![expect(clippy::print_stdout, reason = "a bench prints its table")]

mod invent;
mod long;
mod stages;

use boxwright::diag::{Sink, Sources};
use boxwright::reader::abc::{self, AbcOptions};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// As the command has.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Tunes of the three books; about 20, 200 and 2,000 pages.
const BOOKS: [usize; 3] = [5, 88, 920];
/// Tunes of the tunebook, as many as the collections that the reader is checked against.
const TUNEBOOK: usize = 4_400;
/// How often a book is bound; the quickest run counts, as the machine is shared.
const RUNS: usize = 5;

/// What one run found out: microseconds of the stages, and other figures by name.
type Figures = BTreeMap<String, f64>;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    match arguments.iter().position(|argument| argument == "--child") {
        Some(at) => child(&arguments[at + 1..]),
        None => parent(&arguments),
    }
}

/// Binds the book of a folder once and prints `name value` lines.
fn child(arguments: &[String]) {
    let start = Instant::now();
    let (folder, since) = (Path::new(&arguments[0]), arguments[1].parse::<f64>().expect("the parent gives a time"));
    let mut figures = Figures::from([("start".to_owned(), now() - since)]);
    let bytes = stages::bind(&folder.join("book.yaml"), &mut figures);
    fs::write(folder.join("book.pdf"), &bytes).expect("the bench's folder is writable");
    figures.insert("total".to_owned(), figures["start"] + micros(start));
    figures.insert("peak".to_owned(), memory("VmHWM:"));
    stages::floor(&bytes, &mut figures);
    for (name, value) in figures {
        println!("{name} {value}");
    }
}

fn parent(arguments: &[String]) {
    if arguments.iter().any(|argument| argument == "plans") {
        return long::table();
    }
    let asked: Vec<usize> = arguments.iter().filter_map(|argument| argument.parse().ok()).collect();
    let books = if asked.is_empty() { BOOKS.to_vec() } else { asked };
    let columns: Vec<Figures> = books.iter().map(|tunes| quickest(*tunes)).collect();
    println!("| | {} |", books.iter().map(|tunes| format!("{tunes} tunes")).collect::<Vec<_>>().join(" | "));
    println!("| --- | {} |", vec!["---:"; books.len()].join(" | "));
    let cores = std::thread::available_parallelism().map_or(1, usize::from) as f64;
    let row = |name: &str, value: &dyn Fn(&Figures) -> String| {
        println!("| {name} | {} |", columns.iter().map(value).collect::<Vec<_>>().join(" | "));
    };
    let ms = |name: &'static str| move |figures: &Figures| format!("{:.1} ms", figures[name] / 1e3);
    let each = |name: &'static str| {
        move |figures: &Figures| format!("{:.2} ms", figures[name] / 1e3 * cores / figures["tunes"])
    };
    row("pages", &|f| format!("{:.0}", f["pages"]));
    row("process start", &ms("start"));
    row("fonts", &ms("fonts"));
    row("reading and checking (start, fonts and reading together at most 25 ms at 200 pages)", &ms("read"));
    row("plans", &ms("plan"));
    row("plans, a tune and core (at most 1 ms)", &each("plan"));
    row("engraving", &ms("engrave"));
    row("engraving, a tune and core (at most 0.6 ms)", &each("engrave"));
    row("text and pages (at most 50 ms at 200 pages)", &ms("pages-made"));
    row("content, deflate, finish, write", &ms("write"));
    row("floor: deflating the content", &ms("floor"));
    row("content, deflate, finish, write against the floor (at most 1.1)", &|f| times(f["write"], f["floor"]));
    row("**whole, cold process to finished file**", &ms("total"));
    row("**whole against the floor (at most 3)**", &|f| times(f["total"], f["floor"]));
    row("pages a second", &|f| format!("{:.0}", f["pages"] / f["total"] * 1e6));
    row("bytes a page", &|f| format!("{:.0}", f["bytes"] / f["pages"]));
    row("content a page before deflating", &|f| format!("{:.0}", f["content"] / f["pages"]));
    row("memory when pages are made", &|f| format!("{:.0} MB", f["held"] / 1024.0));
    row("peak memory (under 200 MB at 2,000 pages)", &|f| format!("{:.0} MB", f["peak"] / 1024.0));
    let (read, bars) = tunebook();
    println!(
        "\nA tunebook of {TUNEBOOK} tunes ({bars} bars) in ABC, read on one core (at most 2 s): {:.2} s",
        read / 1e6
    );
    println!("\n{cores} cores; the quickest of {RUNS} runs each.");
    long::table();
}

/// The quickest reading of a whole tunebook in microseconds, and how many bars were read. The reader uses one thread.
fn tunebook() -> (f64, usize) {
    let mut dice = invent::Dice::new(11);
    let mut text = String::from("%abc-2.1\n");
    for number in 1..=TUNEBOOK {
        let file = invent::tune(&mut dice, number);
        let music = file.split("music: |\n").nth(1).and_then(|rest| rest.split("left-hand:").next());
        let music = music.expect("an invented tune has its music before its left hand").replace("\n  ", "\n");
        text.push_str(&format!("\nX:{number}\nT:Tune {number}\n{}\n", music.trim()));
    }
    let mut best = (f64::INFINITY, 0);
    for _ in 0..RUNS {
        let mut sources = Sources::default();
        let file = sources.add("book.abc", text.as_str());
        let excerpt = sources.excerpt(file);
        let mut sink = Sink::default();
        let start = Instant::now();
        let tunes = abc::read(&excerpt, &AbcOptions::default(), &mut sink);
        let took = micros(start);
        assert!(
            tunes.len() == TUNEBOOK && sink.items().is_empty(),
            "the invented tunebook is sound: {:?}",
            sink.items().first()
        );
        best = (best.0.min(took), tunes.iter().map(|tune| tune.bars.len()).sum());
    }
    best
}

fn times(value: f64, floor: f64) -> String {
    format!("{:.2} ×", value / floor.max(1.0))
}

/// Writes the book of so many tunes, and binds it several times in fresh processes.
fn quickest(tunes: usize) -> Figures {
    let folder = std::env::temp_dir().join(format!("boxwright-bench-{}-{tunes}", std::process::id()));
    for (path, text) in invent::book(tunes, 7) {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("the temporary folder is writable");
        fs::write(path, text).expect("the temporary folder is writable");
    }
    let runs = (0..RUNS).map(|_| run(&folder));
    let best = runs.min_by(|one, other| one["total"].total_cmp(&other["total"])).expect("there is a run");
    fs::remove_dir_all(&folder).expect("the bench's own folder can be removed");
    best
}

fn run(folder: &Path) -> Figures {
    let bench: PathBuf = std::env::current_exe().expect("a running program has a path");
    let done = Command::new(bench)
        .arg("--child")
        .arg(folder)
        .arg(now().to_string())
        .output()
        .expect("the bench can start itself");
    let text = String::from_utf8_lossy(&done.stdout);
    assert!(done.status.success(), "the bench's book does not bind:\n{}", String::from_utf8_lossy(&done.stderr));
    text.lines()
        .filter_map(|line| line.split_once(' '))
        .filter_map(|(name, value)| Some((name.to_owned(), value.parse().ok()?)))
        .collect()
}

/// Microseconds since the epoch, to measure from one process into another.
fn now() -> f64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0.0, |time| time.as_secs_f64() * 1e6)
}

/// Microseconds since a moment.
pub fn micros(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e6
}

/// The resident set of this process in KiB, now (VmRSS of Linux) or the largest so far (VmHWM); 0 where there is none.
pub fn memory(key: &str) -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix(key));
    line.and_then(|line| line.split_whitespace().next()?.parse().ok()).unwrap_or(0.0)
}
