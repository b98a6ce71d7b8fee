//! The walls of the house as a test: which room may name which, which crates live where, and that no file grows over 500
//! lines. The table is the one in `DEVELOPERS.md`.

use std::fs;
use std::path::{Path, PathBuf};

/// A room, the rooms it may name, and the outside crates that it may name beside those everybody may.
struct Room {
    name: &'static str,
    rooms: &'static str,
    crates: &'static str,
}

const fn room(name: &'static str, rooms: &'static str, crates: &'static str) -> Room {
    Room { name, rooms, crates }
}

const ROOMS: [Room; 23] = [
    room("geom", "", ""),
    room("diag", "", ""),
    room("style", "geom diag", ""),
    room("font", "geom diag", "ttf_parser owned_ttf_parser harfrust"),
    room("frame", "geom font", ""),
    room("tune", "diag", "smallvec thin_vec"),
    room("xml", "", "roxmltree"),
    room("reader", "diag tune xml", "encoding_rs roxmltree zip"),
    room("drawing", "geom diag frame xml", "roxmltree usvg"),
    room("instrument", "diag tune", ""),
    room("fingering", "diag tune instrument", ""),
    room("book", "geom diag style tune reader drawing instrument fingering", "serde serde_yaml saphyr_parser schemars"),
    room("lesson", "diag tune instrument fingering", ""),
    room(
        "text",
        "geom diag style font frame",
        "unicode_segmentation unicode_linebreak unicode_normalization hyphenation pulldown_cmark",
    ),
    room("engrave", "geom diag style font frame tune instrument fingering lesson text", ""),
    room(
        "page",
        "geom diag style font frame tune drawing instrument fingering book lesson text engrave",
        "qrcodegen barcoders image",
    ),
    room("sheet", "geom diag style font frame page", ""),
    room("pdf", "geom diag style font frame page sheet", "printpdf lopdf subsetter flate2 libdeflater sha2 twox_hash"),
    room("reprint", "diag page sheet pdf", ""),
    room("proof", "geom diag font frame page", "base64 image"),
    room("practice", "diag tune instrument fingering", "midly"),
    room("pipeline", ALL, ""),
    room("cli", ALL, "clap clap_complete clap_mangen serde serde_json schemars notify"),
];

const ALL: &str = "geom diag style font frame tune xml reader drawing instrument fingering book lesson text engrave page \
                   sheet pdf reprint proof practice pipeline cli";

/// Crates that any room with a loop over tunes, pages or streams may use, and the language's own.
const EVERYWHERE: &str = "rayon std core crate self super";

#[test]
fn rooms_keep_to_their_walls() {
    let mut faults = Vec::new();
    for (path, text) in sources() {
        let parts: Vec<_> = path.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
        let Some(room) = ROOMS.iter().find(|room| parts.get(1).is_some_and(|part| part == room.name)) else {
            // `lib.rs` lists the rooms and `main.rs` names `cli` only.
            let known = ["lib.rs", "main.rs"];
            assert!(known.contains(&parts[1].as_str()), "{} stands in no room", path.display());
            continue;
        };
        for (number, line) in text.lines().enumerate() {
            for fault in faults_of(room, line) {
                faults.push(format!("{}:{}: {fault}", path.display(), number + 1));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What one line does wrong: it names a room through `crate::` or a crate through a path that starts with its name.
fn faults_of(room: &Room, line: &str) -> Vec<String> {
    let code = line.split("//").next().unwrap_or("");
    let mut faults = Vec::new();
    for piece in code.split("crate::").skip(1) {
        let named = word(piece);
        let listed: Vec<&str> = match piece.strip_prefix('{') {
            Some(list) => list.split(',').map(|item| word(item.trim())).collect(),
            None => vec![named],
        };
        for named in listed {
            let is_room = ROOMS.iter().any(|other| other.name == named);
            if is_room && named != room.name && !room.rooms.split_whitespace().any(|allowed| allowed == named) {
                faults.push(format!("`{}` may not name `{named}`", room.name));
            }
        }
    }
    for guarded in ROOMS.iter().flat_map(|room| room.crates.split_whitespace()) {
        let named = code.match_indices(guarded).any(|(at, _)| {
            let starts =
                at == 0 || !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':' || c == '.');
            starts && code[at + guarded.len()..].starts_with("::")
        });
        let allowed = room.crates.split_whitespace().any(|own| own == guarded)
            || EVERYWHERE.split_whitespace().any(|own| own == guarded);
        if named && !allowed {
            faults.push(format!("`{}` may not name the crate `{guarded}`", room.name));
        }
    }
    faults
}

fn word(text: &str) -> &str {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_')).next().unwrap_or("")
}

#[test]
fn a_broken_wall_is_seen() {
    let pdf = ROOMS.iter().find(|room| room.name == "pdf").expect("pdf is a room");
    assert_eq!(faults_of(pdf, "use crate::tune::Tune;"), ["`pdf` may not name `tune`"]);
    assert_eq!(faults_of(pdf, "use crate::{frame::Frame, engrave::System};"), ["`pdf` may not name `engrave`"]);
    assert_eq!(
        faults_of(pdf, "    let x = serde_yaml::from_str(text);"),
        ["`pdf` may not name the crate `serde_yaml`"]
    );
    assert!(faults_of(pdf, "use lopdf::Document; // not crate::tune").is_empty());
}

#[test]
fn no_file_grows_over_500_lines() {
    let long: Vec<_> = sources()
        .into_iter()
        .filter(|(_, text)| text.lines().count() > 500)
        .map(|(path, text)| format!("{}: {} lines; split it at 500", path.display(), text.lines().count()))
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

/// Every room's table row must stand for a folder that is there.
#[test]
fn every_room_is_there() {
    for room in &ROOMS {
        let folder = root().join("src").join(room.name);
        assert!(folder.join("mod.rs").is_file(), "{} has no mod.rs", folder.display());
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All Rust files under `src`, as paths from the crate's root, with their texts.
fn sources() -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    collect(&root().join("src"), &mut found);
    assert!(found.len() > 40, "the walk found the source files");
    found
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("source files are readable");
            (path.strip_prefix(root()).expect("sources lie under the root").to_owned(), text)
        })
        .collect()
}

fn collect(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> = fs::read_dir(folder).expect("folders are readable").flatten().map(|e| e.path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}
