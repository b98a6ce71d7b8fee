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
    assert!(three.out.contains("seconds: 8.8"), "{}", three.out);
    assert_eq!(run(&["boxes", "--measure", "fast"]).status, 2);
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

#[test]
fn a_new_book_binds_at_once_and_is_not_overwritten() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let made = run_in(keep.path(), &["new-book", "evening"]);
    assert_eq!(made.status, 0, "{}", made.err);
    let bound = run_in(keep.path(), &["bind", "evening/book.yaml"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    assert!(keep.path().join("evening/evening.pdf").is_file());
    assert_eq!(run_in(keep.path(), &["new-book", "evening"]).status, 2);
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
