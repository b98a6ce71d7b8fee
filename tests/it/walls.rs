//! The walls of the house as a test: which room may name which, which crates live where, that no modules of a room need each
//! other both ways, and that no file grows over 500 lines. The table is the one in `DEVELOPERS.md`, read from there.

use crate::modules::{Modules, absolute, home, modules};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A room, the rooms it may name, and the outside crates that it may name beside those everybody may.
#[derive(Debug)]
struct Room {
    name: String,
    rooms: Vec<String>,
    crates: Vec<String>,
}

/// Crates that stand in no row of the table: rayon may be named by every room, the other two by `main.rs` alone.
const ROOMLESS: [&str; 3] = ["rayon", "mimalloc", "signal_hook"];

/// Modules that need each other both ways, room by room. The list may only shrink.
const CIRCLES: [&str; 6] = [
    "book: boxes library pins settled text",
    "page: chapter costs cover desk document facts material matter::back_cover matter::imprint matter::title paginate plate prose tune_head",
    "pdf: finish intent outline tags xmp",
    "pdf: preflight::drawn preflight::faces preflight::forms preflight::graphics preflight::layers preflight::oddities preflight::paths preflight::survey preflight::text preflight::walk",
    "reader: abc::music abc::sound",
    "reader: musicxml::asking musicxml::attributes musicxml::barline musicxml::direction musicxml::harmony musicxml::head musicxml::marks musicxml::order musicxml::part musicxml::score musicxml::system",
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The rooms of a table in Markdown, whose rows begin with a folder's name: the third column is what it may name, the fourth the
/// crates. `all above` are the rooms of the rows before, `but` takes some away.
fn rooms(table: &str) -> Vec<Room> {
    let mut rooms: Vec<Room> = Vec::new();
    for line in table.lines() {
        let columns: Vec<&str> = line.split('|').map(str::trim).collect();
        let [_, name, _, may_name, crates, _] = columns[..] else { continue };
        let Some(name) = name.strip_prefix('`').and_then(|name| name.strip_suffix("/`")) else { continue };
        let above = rooms.iter().map(|room| room.name.clone());
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        let may_name = match may_name.strip_prefix("all above") {
            Some(but) => above.filter(|room| !words(but).contains(room)).collect(),
            None => words(may_name),
        };
        let crates = crates.split(',').map(|name| name.trim().replace('-', "_")).filter(|name| !name.is_empty());
        rooms.push(Room { name: name.to_owned(), rooms: may_name, crates: crates.collect() });
    }
    rooms
}

fn house() -> Vec<Room> {
    let rooms = rooms(&text("DEVELOPERS.md"));
    assert!(rooms.len() > 20, "the table of rooms is in DEVELOPERS.md: {rooms:?}");
    rooms
}

/// The names of the crates that the program is built with, as its text names them.
fn dependencies() -> BTreeSet<String> {
    let manifest = text("Cargo.toml");
    let section = manifest.split("\n[dependencies]\n").nth(1).expect("there are dependencies");
    let lines = section.lines().take_while(|line| !line.starts_with('['));
    let names: BTreeSet<_> =
        lines.filter_map(|line| line.split_once(" = ")).map(|(name, _)| name.replace('-', "_")).collect();
    assert!(names.len() > 30, "{names:?}");
    names
}

/// What modules name that they may not, and the crates that each room names.
fn faults(
    rooms: &[Room],
    crates: &BTreeSet<String>,
    modules: &Modules,
) -> (Vec<String>, BTreeMap<String, BTreeSet<String>>) {
    let (mut faults, mut used) = (Vec::new(), BTreeMap::<String, BTreeSet<String>>::new());
    for module in modules.values().filter(|module| !module.path.is_empty()) {
        let Some(room) = rooms.iter().find(|room| room.name == module.path[0]) else {
            faults.push(format!("{} stands in no room", module.file.display()));
            continue;
        };
        for named in &module.named {
            let place = format!("{}:{}", module.file.display(), named.line);
            let first = &named.path[0];
            if let Some(path) = absolute(modules, &module.path, &named.path) {
                let other = path.first().filter(|other| rooms.iter().any(|room| room.name == **other));
                if let Some(other) = other.filter(|other| **other != room.name && !room.rooms.contains(other)) {
                    faults.push(format!("{place}: `{}` may not name `{other}`", room.name));
                }
            } else if crates.contains(first) {
                if !room.crates.contains(first) && first != "rayon" {
                    faults.push(format!("{place}: `{}` may not name the crate `{first}`", room.name));
                }
                used.entry(room.name.clone()).or_default().insert(first.clone());
            }
        }
    }
    (faults, used)
}

#[test]
fn rooms_keep_to_their_walls() {
    let (rooms, crates, modules) = (house(), dependencies(), modules(&root(), "src/lib.rs"));
    let (mut faults, used) = faults(&rooms, &crates, &modules);
    for room in &rooms {
        let used = used.get(&room.name).cloned().unwrap_or_default();
        let idle = room.crates.iter().filter(|name| !used.contains(*name));
        faults.extend(idle.map(|name| format!("`{}` may name the crate `{name}` and does not", room.name)));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_crate_has_its_rooms() {
    let rooms = house();
    let mut listed: BTreeSet<String> = rooms.iter().flat_map(|room| room.crates.iter().cloned()).collect();
    listed.extend(ROOMLESS.map(str::to_owned));
    assert_eq!(listed, dependencies(), "the crates of the table and of Cargo.toml");
    let main = modules(&root(), "src/main.rs");
    let named: BTreeSet<&str> =
        main.values().flat_map(|module| &module.named).map(|named| named.path[0].as_str()).collect();
    assert_eq!(named, BTreeSet::from(["boxwright", "mimalloc", "signal_hook", "std"]), "what main.rs names");
}

/// A room names rooms that stand above it, so that nothing flows back.
#[test]
fn the_table_goes_one_way() {
    let rooms = house();
    for (at, room) in rooms.iter().enumerate() {
        for name in &room.rooms {
            assert!(
                rooms[..at].iter().any(|above| above.name == *name),
                "`{}` may name `{name}`, which is not above",
                room.name
            );
        }
    }
}

#[test]
fn a_broken_wall_is_seen() {
    let rooms = house();
    let crates = dependencies();
    let seen = |text: &str| {
        let modules = crate::modules::of_text(&["pdf"], text);
        let (faults, _) = faults(&rooms, &crates, &modules);
        faults.into_iter().map(|fault| fault.split(": ").nth(1).unwrap_or_default().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(seen("use crate::tune::Tune;"), ["`pdf` may not name `tune`"]);
    assert_eq!(seen("use crate::{\n    frame::Frame,\n    engrave::System,\n};"), ["`pdf` may not name `engrave`"]);
    assert_eq!(seen("fn f(x: super::tune::Tune) {}"), ["`pdf` may not name `tune`"]);
    assert_eq!(seen("fn f() { vec![crate::cli::run()] }"), ["`pdf` may not name `cli`"]);
    assert_eq!(seen("fn f() { serde_yaml::from_str(text); }"), ["`pdf` may not name the crate `serde_yaml`"]);
    assert!(seen("use lopdf::Document; // not crate::tune").is_empty());
    assert!(rooms.iter().all(|room| !room.rooms.contains(&room.name)), "a room is not above itself");
}

/// Each module of a room with those of the same room that it needs; what tests need and what is handed on is left out, and so is
/// what a module and the parts of it say to each other.
fn needs(modules: &Modules) -> BTreeMap<Vec<String>, BTreeSet<Vec<String>>> {
    let mut needs = BTreeMap::<_, BTreeSet<_>>::new();
    for module in modules.values().filter(|module| !module.tests && !module.path.is_empty()) {
        for named in module.named.iter().filter(|named| !named.tests && !named.handed_on) {
            let Some(path) = absolute(modules, &module.path, &named.path) else { continue };
            let (path, is_module) = home(modules, &path);
            let Some(other) = modules.get(&path) else { continue };
            // What brings in a module needs what it then names of it.
            let idle = named.brought_in && is_module;
            let (from, to) = (&module.file_module, &other.file_module);
            if from[0] == to[0] && !idle && !from.starts_with(to) && !to.starts_with(from) {
                needs.entry(from.clone()).or_default().insert(to.clone());
            }
        }
    }
    needs
}

/// Sets of modules that can each be come to from each other, as `room: one two`.
fn circles(needs: &BTreeMap<Vec<String>, BTreeSet<Vec<String>>>) -> Vec<String> {
    let reach = |from: &Vec<String>| {
        let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
        while let Some(module) = next.pop() {
            next.extend(needs.get(module).into_iter().flatten().filter(|other| seen.insert((*other).clone())));
        }
        seen
    };
    let all: BTreeMap<&Vec<String>, BTreeSet<Vec<String>>> =
        needs.keys().map(|module| (module, reach(module))).collect();
    let mut circles = BTreeSet::new();
    for (module, reached) in &all {
        let both: Vec<&Vec<String>> =
            reached.iter().filter(|other| all.get(*other).is_some_and(|back| back.contains(*module))).collect();
        if both.len() > 1 {
            let names = both.iter().map(|path| if path.len() > 1 { path[1..].join("::") } else { "mod".into() });
            circles.insert(format!("{}: {}", module[0], names.collect::<Vec<_>>().join(" ")));
        }
    }
    circles.into_iter().collect()
}

#[test]
fn no_modules_of_a_room_need_each_other_both_ways() {
    let modules = modules(&root(), "src/lib.rs");
    let needs = needs(&modules);
    assert!(needs.len() > 200 && needs.values().map(BTreeSet::len).sum::<usize>() > 800, "{}", needs.len());
    let found = circles(&needs);
    assert!(found == CIRCLES, "circles of modules:\n{}", found.join("\n"));
}

#[test]
fn a_circle_of_modules_is_seen() {
    let text =
        "mod a { pub use super::b::B; use super::c::C; } mod b { fn f() { super::a::A; } } mod c { use super::a::B; }";
    let mut modules = crate::modules::of_text(&["pdf"], text);
    modules.values_mut().for_each(|module| module.file_module = module.path.clone());
    // `a` hands on what `c` takes from `b`; `b` needs `a`, and `a` needs `c`.
    assert_eq!(circles(&needs(&modules)), ["pdf: a b c"]);
}

/// Every file of code, the tests' too; what is written down in tables and books may be as long as it is.
#[test]
fn no_file_grows_over_500_lines() {
    let mut files = Vec::new();
    for folder in ["src", "tests/it", "tests/outside", "tests/fuzz", "benches", ".ci"] {
        let before = files.len();
        collect(&root().join(folder), &mut files);
        assert!(files.len() > before, "nothing is in {folder}");
    }
    let is_code = |path: &Path| match path.extension() {
        Some(ending) => ["rs", "py", "sh"].iter().any(|code| ending == *code),
        None => path.file_name().is_some_and(|name| name == "run" || name == "picture"),
    };
    let code: Vec<_> = files.into_iter().filter(|path| is_code(path)).collect();
    assert!(code.len() > 400, "only {} files of code were found", code.len());
    let count = |path: &Path| fs::read_to_string(path).expect("source files are readable").lines().count();
    let long: Vec<_> = code.iter().map(|path| (path, count(path))).filter(|(_, lines)| *lines > 500).collect();
    assert!(long.is_empty(), "split what has more than 500 lines: {long:?}");
}

/// Every room of the table is a folder and every folder a room; every file of source is a module of the program.
#[test]
fn every_room_and_file_is_there() {
    let folders = fs::read_dir(root().join("src")).expect("the source is there").flatten();
    let folders =
        folders.filter(|entry| entry.path().is_dir()).map(|entry| entry.file_name().to_string_lossy().into_owned());
    assert_eq!(house().into_iter().map(|room| room.name).collect::<BTreeSet<_>>(), folders.collect::<BTreeSet<_>>());
    let modules = modules(&root(), "src/lib.rs");
    let known: BTreeSet<PathBuf> = modules.values().map(|module| module.file.clone()).collect();
    let mut files = Vec::new();
    collect(&root().join("src"), &mut files);
    let files = files.iter().map(|path| path.strip_prefix(root()).expect("it lies under the root").to_owned());
    let files =
        files.filter(|path| path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("main.rs"));
    assert_eq!(known, files.collect::<BTreeSet<_>>());
}

fn collect(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("folders are readable").flatten() {
        // What cargo builds is not ours.
        if entry.path().is_dir() && entry.file_name() != "target" {
            collect(&entry.path(), found);
        } else if entry.path().is_file() {
            found.push(entry.path());
        }
    }
}
