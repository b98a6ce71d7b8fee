//! The commands as a user runs them, and what becomes of bad input.

use crate::program::{copy_of, run, run_in};
use std::fs;

#[test]
fn boxes_are_listed_and_drawn() {
    let list = run(&["boxes"]);
    assert_eq!(list.status, 0, "{}", list.err);
    assert!(list.out.contains("dg-21-third") && list.out.contains("bc-21"), "{}", list.out);
    let one = run(&["boxes", "dg-21-third"]);
    // The button of the third-button start pushes the row's tonic (common practice, no source).
    assert!(one.out.contains("outer row (D)") && one.out.contains("inner row (G)"), "{}", one.out);
    let none = run(&["boxes", "dg-99"]);
    assert_eq!(none.status, 2);
    assert!(none.err.contains("there is no box `dg-99`"), "{}", none.err);
}

#[test]
fn stopwatch_times_become_a_bellows_line() {
    let three = run(&["boxes", "--measure", "8.4, 9.0,8.8"]);
    let line = |seconds: &str, times: &str| {
        format!("bellows: {{seconds: {seconds}, source: \"measured with a stopwatch, {times}\"}}\n")
    };
    assert_eq!(three.out, line("8.8", "3 times"));
    assert_eq!(run(&["boxes", "--measure", "8.4", "9.0", "8.8"]).out, line("8.8", "3 times"));
    let few = "Measure at least three times: fewer say little.\n";
    assert_eq!(run(&["boxes", "--measure", "8.4", "8.9"]).out, line("8.7", "2 times") + few);
    assert_eq!(run(&["boxes", "--measure", "8.4"]).out, line("8.4", "1 time") + few);
    let fast = run(&["boxes", "--measure", "8.4", "fast"]);
    assert_eq!(
        (fast.status, fast.err.as_str()),
        (2, "error: `fast` is no time in seconds; give them as 8.5 9.1 8.8\n")
    );
    let none = run(&["boxes", "--measure", ","]);
    assert_eq!(
        (none.status, none.err.as_str()),
        (2, "error: no time is given; give them in seconds, as 8.5 9.1 8.8\n")
    );
    let comma = run(&["boxes", "--measure", "8,4", "8,5 8,6"]);
    assert_eq!(
        (comma.status, comma.err.as_str()),
        (2, "error: `8,4` may be one time or two: write 8.4 for one, `8 4` for two\n")
    );
    assert_eq!(run(&["boxes", "--measure", "8,9,9"]).out, line("9.0", "3 times"));
    for time in ["200", "0.5"] {
        let out = run(&["boxes", "--measure", time]);
        let said = format!("error: {time} seconds are no full bellows: a box file takes 1 to 120 seconds\n");
        assert_eq!((out.status, out.err), (2, said));
    }
    assert_eq!(run(&["boxes", "dg-21-third", "--measure", "8.4"]).status, 2);
}

/// A file without tunes ends as a mistake does, and leaves no tune file behind.
#[test]
fn what_holds_no_tune_is_not_brought() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    for (name, text) in
        [("a.abc", "hello\n"), ("b.pdf", "%PDF-1.4\n"), ("c.mid", "MThd\0\0"), ("d.musicxml", "<html/>")]
    {
        fs::write(keep.path().join(name), text).expect("written");
        let brought = run_in(keep.path(), &["bring", name, "-o", "out"]);
        assert_eq!((brought.status, brought.out.as_str()), (1, "no tune was written\n"), "{name}: {}", brought.err);
        assert!(brought.err.starts_with(&format!("{name}:1:1: ")), "{}", brought.err);
        let tunes = fs::read_dir(keep.path().join("out")).map_or(0, Iterator::count);
        assert_eq!(tunes, 0, "{name}");
    }
}

/// A part, a voice or a tune that a score has not is a fault of the command line: nothing else is written in its place.
#[test]
fn what_a_score_has_not_is_not_replaced() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let note = "<note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration></note>";
    let text = format!(
        "<score-partwise><part-list/><part id=\"P1\"><measure number=\"1\">{note}</measure></part></score-partwise>"
    );
    fs::write(keep.path().join("a.musicxml"), text).expect("written");
    for wish in [["--part", "Whistle"], ["--voice", "9"], ["--tune", "7"]] {
        for more in [["-o", "out"].as_slice(), &["--json"]] {
            let words = [["bring", "a.musicxml"].as_slice(), &wish, more].concat();
            let brought = run_in(keep.path(), &words);
            assert_eq!(brought.status, 2, "{words:?}: {}", brought.err);
            assert!(brought.err.contains(wish[1]) || brought.err.contains(wish[0]), "{words:?}: {}", brought.err);
            assert!(!keep.path().join("out").exists(), "{words:?}");
        }
    }
}

/// A tune without `C:` is not called traditional, in its file or on the page.
#[test]
fn a_tune_without_composer_is_left_so() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let text = "X:1\nT:Rain\nM:4/4\nL:1/4\nK:Em\nE G B e|e B G2|\n";
    fs::write(keep.path().join("rain.abc"), text).expect("written");
    let brought = run_in(keep.path(), &["bring", "rain.abc"]);
    assert_eq!((brought.status, brought.err.as_str()), (0, ""));
    let tune = fs::read_to_string(keep.path().join("rain.yaml")).expect("it is written");
    let expected = "title: \"Rain\"\nid: rain\n\
        # composer: say here who made the tune, or trad. if you know that it is traditional\n\
        # rights: say here whose the tune is and on what terms you print it\nkind: tune\nmusic: |\n  X:1\n  T:Rain\n  M:4/4\n  \
        L:1/4\n  K:Em\n  E G B e | e B G2 |\n";
    assert_eq!(tune, expected);
    let book = "book: 1\nid: small\ntitle: Small\nauthor: none\ndate: 2026-09-01\nbox: dg-21-third\n\
        imprint: {publisher: none}\nfront: [title, imprint]\nchapters:\n  - title: One\n    tunes: [rain.yaml]\nback: [sources]\n";
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    let bound = run_in(keep.path(), &["proof", "book.yaml", "-o", "proof.html"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let page = fs::read_to_string(keep.path().join("proof.html")).expect("it is written");
    assert!(page.contains("rights not stated"), "the imprint is shown");
    for not in ["trad.", "Published", ">none<"] {
        assert!(!page.contains(not), "{not} is printed");
    }
}

/// Of chords that no pattern plays nothing is said.
#[test]
fn a_tune_without_left_hand_misses_no_chord() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let book = "book: 1\nid: small\ntitle: Small\ndate: 2026-09-01\nbox: dg-21-third\n\
        chapters:\n  - title: One\n    tunes: [a.yaml]\n";
    let tune = "title: Kettle\nid: kettle\nleft-hand: {pattern: PATTERN}\n\
        music: |\n  M:3/4\n  L:1/4\n  K:G\n  \"F#\"G A B | \"G\"d3 |\n";
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    fs::write(keep.path().join("a.yaml"), tune.replace("PATTERN", "none")).expect("written");
    let none = run_in(keep.path(), &["check", "book.yaml"]);
    assert_eq!((none.status, none.err.as_str()), (0, ""));
    fs::write(keep.path().join("a.yaml"), tune.replace("PATTERN", "auto")).expect("written");
    let auto = run_in(keep.path(), &["check", "book.yaml"]);
    assert!(auto.err.contains("warning[chord-missing]: the box has no F# chord"), "{}", auto.err);
}

#[test]
fn a_standard_is_of_files_for_the_press() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    for words in [&["--standard", "x-4"][..], &["--for", "reading", "--standard", "x-4"]] {
        let refused = run(&[&["bind", &source], words].concat());
        let why = "error: `--standard x-4` is a standard of files for the press; add `--for press`, or leave it out\n";
        assert_eq!((refused.status, refused.err.as_str()), (2, why));
    }
    assert!(!book.join("first-steps.pdf").exists());
    let press = run(&["bind", &source, "--for", "press", "--standard", "x-4", "--job-sheet"]);
    assert_eq!(press.status, 0, "{}", press.err);
    let sheet = book.join("first-steps.press.x-4.job.pdf");
    assert!(press.out.contains(&format!("the job sheet: {}\n", sheet.display())) && sheet.is_file(), "{}", press.out);
}

#[test]
fn what_is_said_of_all_editions_names_each() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let book = "book: 1\nid: small\ntitle: Small\ndate: 2026-09-01\nbox: dg-21-third\n\
        chapters:\n  - title: One\n    tunes: [a.yaml]\neditions:\n  large: {like: large-print}\n";
    let tune = "title: Kettle\nid: kettle\nmusic: |\n  M:3/4\n  L:1/4\n  K:G\n  G A B | d2 |\n";
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    fs::write(keep.path().join("a.yaml"), tune).expect("written");
    let all = run_in(keep.path(), &["bind", "book.yaml", "--all-editions"]);
    assert_eq!(all.status, 0, "{}", all.err);
    let parts: Vec<&str> = all.err.split("In the edition `large`:\n\n").collect();
    let own = parts[0].strip_prefix("In the book itself:\n\n").unwrap_or_else(|| panic!("{}", all.err));
    assert!(parts.len() == 2 && own.contains("[bar-length]"), "{}", all.err);
    // What is said of the book is not said anew of each edition.
    assert_eq!(parts[1], "1 warning as in the book itself\n");
    let one = run_in(keep.path(), &["bind", "book.yaml"]);
    assert!(!one.err.contains("In the"), "{}", one.err);
    // Of those that are not bound the last line tells, and the others are bound.
    fs::write(keep.path().join("book.yaml"), format!("{book}  row: {{box: c-10}}\n")).expect("written");
    fs::write(keep.path().join("a.yaml"), tune.replace("G A B", "G A F")).expect("written");
    let all = run_in(keep.path(), &["bind", "book.yaml", "--all-editions"]);
    assert!(all.status == 1 && all.err.contains("[not-on-box]"), "{}", all.err);
    assert!(all.err.ends_with("\n1 of 3 not bound: row; its file is as it was\n"), "{}", all.err);
    assert!(all.out.contains(".large.pdf") && !all.out.contains(".row.pdf"), "{}", all.out);
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    // One text of JSON, each part with its name.
    let all = run_in(keep.path(), &["bind", "book.yaml", "--all-editions", "--json"]);
    let told: serde_json::Value = serde_json::from_str(&all.out).expect("one text of JSON");
    let names: Vec<_> = told.as_array().expect("a list").iter().map(|part| part["edition"].as_str()).collect();
    assert_eq!(names, [None, Some("large")]);
    assert!(told[0]["edition"].is_null() && told[1]["complaints"][0]["code"] == "bar-length", "{}", all.out);
    let one = run_in(keep.path(), &["bind", "book.yaml", "--json"]);
    let told: serde_json::Value = serde_json::from_str(&one.out).expect("JSON");
    assert_eq!(told[0]["code"], "bar-length");
}

#[test]
fn a_turn_is_of_sheets() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let alone = run(&["bind", &source, "--turn", "long"]);
    assert_eq!((alone.status, alone.out.as_str()), (2, ""));
    assert!(
        alone.err.starts_with("error: `--turn long` is for pages laid on larger sheets; add `--impose`"),
        "{}",
        alone.err
    );
    assert!(!book.join("first-steps.pdf").exists());
    let turned = run(&["bind", &source, "--turn", "long", "--impose", "saddle"]);
    assert_eq!(turned.status, 0, "{}", turned.err);
}

#[test]
fn binding_again_says_nothing_of_printed_copies_and_one_page_has_one_side() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let book = "book: 1\nid: small\ntitle: Small\ndate: 2026-09-01\nbox: dg-21-third\nchapters:\n  - title: One\n    text: One line.\n";
    fs::write(keep.path().join("book.yaml"), book.replace("One line.", "|\n      One line.")).expect("written");
    let first = run_in(keep.path(), &["bind", "book.yaml", "-o", "small.pdf", "--job-sheet"]);
    assert_eq!(first.status, 0, "{}", first.err);
    assert!(first.out.contains("\n1 page, 1 sheet printed on one side, "), "{}", first.out);
    let again = run_in(keep.path(), &["bind", "book.yaml", "-o", "small.pdf"]);
    assert!(again.out.ends_with("\nnothing changed since the last time: 1 page\n"), "{}", again.out);
    let reprint = run_in(keep.path(), &["reprint", "book.yaml", "--against", "small.pdf"]);
    fs::write(keep.path().join("b.yaml"), book.replace("One line.", "|\n      One line.") + "page: {size: a5}\n")
        .expect("written");
    let copy = keep.path().join("copy.pdf");
    fs::copy(keep.path().join("small.pdf"), &copy).expect("copied");
    let smaller = run_in(keep.path(), &["bind", "b.yaml", "-o", "copy.pdf"]);
    let said = "every page is set anew since the last time: paper was 210.0 x 297.0 mm, is now 148.0 x 210.0 mm\n";
    assert!(smaller.out.ends_with(said), "{}{}", smaller.out, smaller.err);
    let said = "nothing changed since the last time: 1 page\nthe printed copies are up to date\n";
    assert_eq!((reprint.status, reprint.out.as_str()), (0, said));
    fs::write(keep.path().join("book.yaml"), book.replace("One line.", "|\n      Another line.")).expect("written");
    let reprint = run_in(keep.path(), &["reprint", "book.yaml", "--against", "small.pdf"]);
    assert_eq!(reprint.out.matches("page 1: text, numbers or setting changed").count(), 1, "{}", reprint.out);
    assert!(reprint.out.contains("1 page changed since the last time: 1\n  page 1: text"), "{}", reprint.out);
}

#[test]
fn a_plan_is_shown_in_words_and_as_json() {
    let tune = "books/first-steps/tunes/two-gates.yaml";
    let words = run(&["plan", tune]);
    assert_eq!(words.status, 0, "{}", words.err);
    assert!(words.out.contains("left hand:"), "{}", words.out);
    let json = run(&["plan", tune, "--json"]);
    let shape: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!(shape["box"], "dg-21-third");
    let first = &shape["bars"][0]["notes"][0];
    assert_eq!(first["note"], 1);
    assert!(first["presses"][0]["button"].as_u64().is_some_and(|button| (1..=11).contains(&button)));
}

#[test]
fn keys_are_ranked_and_the_written_one_is_among_them() {
    let keys = run(&["keys", "books/first-steps/tunes/two-gates.yaml"]);
    assert_eq!(keys.status, 0, "{}", keys.err);
    assert!(keys.out.contains("as written"), "{}", keys.out);
    // A teacher asks which note a key wants.
    let (_, rest) =
        keys.out.split_once("Does not fit, for notes that the box has not:\n\n").expect("some keys do not fit");
    assert!(rest.lines().count() > 3, "{rest}");
    for line in rest.lines() {
        let (_, notes) = line.split_once(" semitone").expect("it says how far the key is");
        let notes = notes.trim_start_matches('s').trim();
        let is_note = |note: &str| {
            note.starts_with(|c: char| ('A'..='G').contains(&c)) && note.ends_with(|c: char| c.is_ascii_digit())
        };
        assert!(notes.split(" and ").next().is_some_and(|notes| notes.split(", ").all(is_note)), "{line}");
    }
}

#[test]
fn a_settled_plan_is_kept() {
    let (_keep, book) = copy_of("first-steps");
    let tune = book.join("tunes/two-gates.yaml").to_string_lossy().into_owned();
    let before = run(&["plan", &tune, "--json"]).out;
    let settle = run(&["settle", &tune]);
    assert_eq!(settle.status, 0, "{}", settle.err);
    assert!(book.join("tunes/two-gates.settled.yaml").is_file());
    let presses = |text: &str| {
        let shape: serde_json::Value = serde_json::from_str(text).expect("JSON");
        shape["bars"].as_array().expect("bars").iter().map(|bar| bar["notes"].clone()).collect::<Vec<_>>()
    };
    let after = run(&["plan", &tune, "--json"]);
    assert_eq!(after.status, 0, "{}", after.err);
    let (before, after) = (presses(&before), presses(&after.out));
    for (a, b) in before.iter().zip(&after) {
        for (a, b) in a.as_array().expect("notes").iter().zip(b.as_array().expect("notes")) {
            assert_eq!((&a["direction"], &a["presses"][0]["button"]), (&b["direction"], &b["presses"][0]["button"]));
        }
    }
}

/// Settling fixes what was going to be played: nothing of the plan changes, neither its cost nor the next best ways. In this tune
/// places are named half a button beside where the hand is reckoned to lie, and bars come again.
#[test]
fn settling_changes_nothing_of_a_plan() {
    let (_keep, book) = copy_of("lantern-nights");
    let path = |name: &str| book.join(name).to_string_lossy().into_owned();
    let (tune, of) = (path("tunes/coal-sack.yaml"), path("book.yaml"));
    let before = run(&["plan", &tune, "--book", &of]);
    assert!(before.out.contains("Next best"), "{}", before.out);
    let settle = run(&["settle", &tune, "--book", &of]);
    assert_eq!(settle.status, 0, "{}", settle.err);
    assert!(book.join("tunes/coal-sack.settled.yaml").is_file());
    let after = run(&["plan", &tune, "--book", &of]);
    assert_eq!((before.status, &before.out), (after.status, &after.out));
}

#[test]
fn a_new_book_binds_at_once_and_is_not_overwritten() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let made = run_in(keep.path(), &["new-book", "evening"]);
    assert_eq!(made.status, 0, "{}", made.err);
    let bound = run_in(keep.path(), &["bind", "evening/book.yaml"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    assert!(keep.path().join("evening/evening.pdf").is_file());
    assert_eq!(run_in(keep.path(), &["new-book", "evening"]).status, 2);
    // Its id and title are the folder's, and what is said can be typed.
    let made = run_in(keep.path(), &["new-book", "Ma Classe éé"]);
    assert_eq!(made.out, "Bind it with: boxwright bind 'Ma Classe éé/book.yaml'\n", "{}", made.err);
    let text = fs::read_to_string(keep.path().join("Ma Classe éé/book.yaml")).expect("the book is there");
    assert!(text.contains("\nid: ma-classe-ee ") && text.contains("\ntitle: \"Ma Classe éé\"\n"), "{text}");
}

#[test]
fn errors_leave_the_last_good_file_as_it_was() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source]).status, 0);
    let pdf = book.join("first-steps.pdf");
    let good = fs::read(&pdf).expect("the PDF is there");
    let tune = book.join("tunes/porch-step.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replace("title:", "tilte:")).expect("written");
    let run = run(&["bind", &source]);
    assert_eq!(run.status, 1);
    assert!(run.err.contains("porch-step.yaml:1:1") && run.err.contains("did you mean `title`"), "{}", run.err);
    assert_eq!(fs::read(&pdf).expect("still there"), good);
}

#[test]
fn files_of_nonsense_end_in_a_clear_error() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let long = "a: ".to_owned() + &"[".repeat(5000);
    let nonsense: [(&str, &[u8]); 6] = [
        ("empty.yaml", b""),
        ("nul.yaml", b"book: 1\0\0"),
        ("binary.yaml", &[0xff, 0xfe, 0x00, 0x80]),
        ("deep.yaml", long.as_bytes()),
        ("alias.yaml", b"a: &a [x]\nb: *a\n"),
        ("list.yaml", b"- 1\n- 2\n"),
    ];
    for (name, bytes) in nonsense {
        fs::write(keep.path().join(name), bytes).expect("written");
        let run = run_in(keep.path(), &["bind", name]);
        assert_eq!(run.status, 1, "{name}: {}", run.err);
        assert!(run.err.contains("error["), "{name}: {}", run.err);
    }
    assert_eq!(run_in(keep.path(), &["bind", "none.yaml"]).status, 1);
    for name in ["empty.yaml", "binary.yaml"] {
        let run = run_in(keep.path(), &["preflight", name]);
        assert_eq!(run.status, 1, "{}", run.out);
    }
}

/// A printed file against its own book changes nothing; against another book it is refused and nothing is written.
#[test]
fn reprint_knows_its_own_book() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source]).status, 0);
    let printed = book.join("first-steps.pdf").to_string_lossy().into_owned();
    let same = run(&["reprint", &source, "--against", &printed]);
    assert_eq!(same.status, 0, "{}", same.err);
    assert!(!book.join("first-steps.reprint.pdf").exists());
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1)).expect("written");
    let changed = run(&["reprint", &source, "--against", &printed, "--json"]);
    assert_eq!(changed.status, 0, "{}", changed.err);
    assert!(book.join("first-steps.reprint.pdf").is_file());
    let json = &changed.out[changed.out.find('{').expect("JSON")..];
    let shape: serde_json::Value = serde_json::from_str(json).expect("JSON");
    assert_eq!(shape["pages"].as_array().map(Vec::len), Some(1), "{shape}");
    assert_eq!(shape["bars"][0]["bar"], "9");
    let (_other, other) = copy_of("lantern-nights");
    let refused = run(&["reprint", &other.join("book.yaml").to_string_lossy(), "--against", &printed]);
    assert_eq!(refused.status, 2);
}

/// Faults of a box's file are the author's; a name that no box has is a fault of the command line.
#[test]
fn a_faulty_box_ends_as_other_files_do() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    fs::write(keep.path().join("b.yaml"), "name: X\nrows: []\nleft: {rows: [outer]}\n").expect("written");
    let run = run_in(keep.path(), &["boxes", "b.yaml"]);
    assert_eq!((run.status, run.err.contains("b.yaml:2:7")), (1, true), "{}", run.err);
    assert_eq!(run_in(keep.path(), &["boxes", "dg-12"]).status, 2);
}

/// What a title holds does nothing to the terminal that it is said on.
#[test]
fn no_control_sign_is_said() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml");
    let text = fs::read_to_string(&source).expect("the book is there");
    let title = text.lines().find(|line| line.starts_with("title:")).expect("it has a title");
    fs::write(&source, text.replacen(title, "title: \"a\\u0007b\\u001bc\"", 1)).expect("written");
    let run = run(&["bind", &source.to_string_lossy()]);
    assert!(run.out.contains("a\u{b7}b\u{b7}c"), "{}{}", run.out, run.err);
    assert!(!(run.out + &run.err).contains(['\u{7}', '\u{1b}']));
}

/// A folder's name may hold anything but a slash; what is said of it is one line all the same.
#[test]
fn a_path_with_a_line_end_is_shown_on_one_line() {
    let (keep, book) = copy_of("first-steps");
    let odd = keep.path().join("a\nb\u{202e}c");
    fs::rename(book, &odd).expect("it is moved");
    for words in [vec!["bind", "book.yaml", "-o"], vec!["proof", "book.yaml", "-o"]] {
        let to = odd.join("out\nput");
        let run = run_in(&odd, &[words.as_slice(), &[&*to.to_string_lossy()]].concat());
        assert_eq!(run.status, 0, "{}", run.err);
        let named: Vec<&str> = run.out.lines().filter(|line| line.contains("a\u{b7}b\u{b7}c/out\u{b7}put")).collect();
        assert_eq!(named.len(), 1, "{}", run.out);
        assert!(!run.out.lines().any(|line| line.starts_with("put")), "{}", run.out);
        fs::remove_file(to).expect("it is there");
    }
    let gone = run_in(&odd, &["preflight", "no\nfile"]);
    assert_eq!((gone.status, gone.err.lines().count()), (2, 1), "{}", gone.err);
}

/// However many threads the surroundings ask for, the work is done by a few.
#[test]
fn thousands_of_threads_are_not_started() {
    let (_keep, book) = copy_of("first-steps");
    let mut child = std::process::Command::new(assert_cmd::cargo::cargo_bin("boxwright"))
        .args(["watch", "book.yaml"])
        .current_dir(&book)
        .env("RAYON_NUM_THREADS", "3000")
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .expect("it starts");
    let bound = book.join("first-steps.pdf");
    for _ in 0..6_000 {
        if bound.exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    let threads = fs::read_dir(format!("/proc/{}/task", child.id())).map(Iterator::count);
    child.kill().expect("it still watches");
    child.wait().expect("it ends");
    assert!(bound.exists(), "nothing was bound");
    let threads = threads.expect("it had threads");
    assert!((2..100).contains(&threads), "{threads} threads");
}

/// What stands beside the notes of a tune is in what `bring --json` says of it, so that a program that compares two tunes sees it lost.
#[test]
fn brought_tunes_say_their_signs() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let text = "X:1\nT:A\nP:AB\nM:3/4\nL:1/4\nK:G\nP:A\n!segno!(.G \"^slow\"!trill!A) (3B/c/d/ | z !f!G2 !D.S.! |]\n\
                w: one two-three_ four\nW: 2. The cup\n";
    fs::write(keep.path().join("a.abc"), text).expect("written");
    let run = run_in(keep.path(), &["bring", "a.abc", "--json"]);
    let said: serde_json::Value = serde_json::from_str(&run.out).expect("it is JSON");
    let tune = &said[0];
    assert_eq!(tune["slurs"], serde_json::json!([{"from": "1.1", "to": "1.2", "dotted": false}]), "{tune}");
    assert_eq!((&tune["words"][0], &tune["part_order"][1]), (&"2. The cup".into(), &"B".into()));
    let (first, last) = (&tune["bars"][0], &tune["bars"][1]);
    assert_eq!((&first["part"], &first["landmarks"][0], &last["jump"]), (&"A".into(), &"segno".into(), &"D.S.".into()));
    let events = first["events"].as_array().expect("it has events");
    assert_eq!((&events[0]["marks"][0], &events[1]["marks"][0]), (&"staccato".into(), &"trill".into()));
    assert_eq!(events[1]["annotations"], serde_json::json!([["above", "slow"]]));
    assert_eq!((&events[2]["tuplet"], &last["events"][1]["marks"][0]), (&"3:2".into(), &"f".into()));
    let ends: Vec<&serde_json::Value> = events.iter().map(|event| &event["syllables"][0]).collect();
    assert_eq!(ends, ["end", "hyphen", "end", "held", "end"]);
    assert!(last["events"][0].get("marks").is_none(), "what is not there is left out");
}
