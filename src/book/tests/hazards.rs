//! The hazards of hand-written YAML, each with its full message.

use super::{BOOK, TUNE, about_book, about_tune};

/// The book with one line replaced.
fn book(from: &str, to: &str) -> Vec<String> {
    assert!(BOOK.contains(from), "{from}");
    about_book(&BOOK.replacen(from, to, 1))
}

fn tune(from: &str, to: &str) -> Vec<String> {
    assert!(TUNE.contains(from), "{from}");
    about_tune(&TUNE.replacen(from, to, 1))
}

#[test]
fn a_tab_as_indentation() {
    let hint = "[replace the tab by two spaces a level, and set the editor to insert spaces]";
    let message = "error tab: this line is indented with a tab; YAML takes spaces only";
    assert_eq!(book("  - title: One", "\t- title: One"), [format!("book.yaml:7:1: {message} {hint}")]);
    assert_eq!(book("    tunes:", "  \ttunes:"), [format!("book.yaml:8:3: {message} {hint}")]);
    // A tab inside a block of text is the author's affair.
    assert_eq!(tune("K:G\n", "K:G\n  \tG2 B |\n"), Vec::<String>::new());
}

#[test]
fn a_hash_that_cuts_a_value() {
    let hint = "[put the whole value in quotes; if it is a comment, put a space after the `#`]";
    let message = "error hash-cut: this `#` cuts the value: the rest of the line is a comment";
    assert_eq!(book("title: Small", "title: Small #4"), [format!("book.yaml:3:14: {message} {hint}")]);
    assert_eq!(book("title: Small", "title: Small # a comment"), Vec::<String>::new());
    assert_eq!(
        tune("id: kettle", "id: kettle\nsource: #12"),
        [
            "kettle.yaml:3:1: error no-value: `source` has no value [write a value after the colon, or take the key out]"
                .to_owned(),
            format!("kettle.yaml:3:9: {message} {hint}"),
        ]
    );
    assert_eq!(
        tune("id: kettle", "id: kettle\nteaches: [F #5, G]"),
        ["kettle.yaml:3:13: error hash-cut: everything after this `#` is a comment, so the bracket is never closed \
          [write a sharp right after its letter (`F#`), or put the value in quotes]"]
    );
}

#[test]
fn a_colon_inside_a_value() {
    assert_eq!(
        tune("title: Kettle", "title: Waltz: the second"),
        ["kettle.yaml:1:13: error colon-in-value: a colon inside a value without quotes \
          [put the whole value in double quotes: `title: \"Waltz: the second\"`]"]
    );
    assert_eq!(tune("title: Kettle", "title: \"Waltz: the second\""), Vec::<String>::new());
}

#[test]
fn curly_quotes() {
    assert_eq!(
        tune("title: Kettle", "title: \u{201c}Kettle\u{201d}"),
        ["kettle.yaml:1:8: error curly-quotes: these curly quotes are no quotes to YAML: they would be printed \
          [use straight quotes \" around the value; for curly ones in print, write them inside straight ones]"]
    );
    assert_eq!(
        tune("\"G\"G2 B", "\u{201c}G\u{201d}G2 B")[0],
        "kettle.yaml:7:3: error curly-quotes: a curly quote in the music: ABC takes straight ones \
         [write chord symbols as \"G\", with the quote key of a plain text editor]"
    );
    assert_eq!(tune("title: Kettle", "title: \u{2019}Twas the Kettle"), Vec::<String>::new());
}

#[test]
fn a_bare_off() {
    assert_eq!(
        book("chapters:", "signs: {direction: off}\nchapters:"),
        ["book.yaml:6:20: error bare-switch: `off` is YAML's yes or no, which `direction` does not take \
          [to switch something off write `none`; if it is a text, put it in quotes]"]
    );
    assert_eq!(
        tune("title: Kettle", "title: off"),
        ["kettle.yaml:1:8: error bare-switch: `off` is YAML's yes or no, which `title` does not take \
          [to switch something off write `none`; if it is a text, put it in quotes]"]
    );
}

#[test]
fn a_number_where_a_text_is_meant() {
    assert_eq!(
        book("title: Small", "title: 1.10"),
        ["book.yaml:3:8: error number-for-text: `title` is a text, but YAML reads `1.10` as a number \
          [put it in quotes: `\"1.10\"`]"]
    );
}

#[test]
fn a_comment_inside_music() {
    let message = "error comment-in-music: `#` starts no comment inside a block of ABC \
                   [ABC's comments start with `%`; or move the comment out of the block]";
    assert_eq!(tune("  K:G\n", "  # the key\n  K:G\n")[0], format!("kettle.yaml:6:3: {message}"));
    assert_eq!(tune("G3 |]", "G3 |] # the end")[0], format!("kettle.yaml:7:42: {message}"));
    assert_eq!(tune("G3 |]", "G3 |] % the end"), Vec::<String>::new());
}

#[test]
fn anchors_aliases_tags_and_merge_keys() {
    assert_eq!(
        book("title: Small", "title: &name Small"),
        ["book.yaml:3:8: error anchor: `&` at the start of a value makes it an anchor, which book files don't use \
          [write the value out, or put it in quotes if the `&` belongs to it]"]
    );
    assert_eq!(
        book("title: Small", "title: *name"),
        ["book.yaml:3:8: error alias: `*` at the start of a value makes it an alias, which book files don't use \
          [put the value in quotes if the `*` belongs to it]"]
    );
    assert_eq!(
        book("title: Small", "title: !Small tune"),
        ["book.yaml:3:8: error tag: `!` at the start of a value makes it a tag, which book files don't use \
          [put the value in quotes if the `!` belongs to it]"]
    );
    assert_eq!(
        book("title: Small", "title: Small\n<<: {author: Q}"),
        ["book.yaml:4:1: error merge-key: `<<` merges maps, which book files don't use [write the keys out]"]
    );
}

#[test]
fn two_documents() {
    assert_eq!(
        about_book(&format!("{BOOK}---\n{BOOK}")),
        ["book.yaml:9:1: error two-documents: a second document starts here \
          [a file holds one book, tune or box: take out the `---` line, or make it a file of its own]"]
    );
    assert_eq!(about_book(&format!("---\n{BOOK}")), Vec::<String>::new());
}

#[test]
fn duplicate_keys() {
    assert_eq!(
        about_book(&format!("{BOOK}title: Again\n")),
        ["book.yaml:9:1: error duplicate-key: `title` is written twice; the first is on line 3 [keep one of them]"]
    );
}

#[test]
fn byte_order_mark_and_windows_line_ends_are_accepted() {
    let windows = |text: &str| format!("\u{feff}{}", text.replace('\n', "\r\n"));
    assert_eq!(about_book(&windows(BOOK)), Vec::<String>::new());
    assert_eq!(about_tune(&windows(TUNE)), Vec::<String>::new());
    // Places are those of the file as an editor shows it.
    let wrong = windows(&TUNE.replace("id: kettle", "id: Kettle"));
    assert_eq!(
        about_tune(&wrong),
        ["kettle.yaml:2:5: error wrong-value: `Kettle` has `K` in it (`id`) \
          [write a short name of small letters, digits and hyphens, such as `tin-lantern`]"]
    );
}

#[test]
fn a_wrong_escape_is_no_open_quote() {
    for wrong in [r"\ud800", r"\U00110000", r"\q", r"\xg1"] {
        let told = book("title: Small", &format!("title: \"a{wrong}\""));
        assert!(
            told[0].starts_with("book.yaml:3:8: error wrong-value: a backslash in these double quotes"),
            "{told:?}"
        );
    }
}

#[test]
fn what_else_the_parser_refuses() {
    assert_eq!(
        book("title: Small", "title: \"Small"),
        [
            "book.yaml:3:8: error open-quote: a quotation mark is opened and not closed, or text follows the closing one \
          [quotes come in pairs; inside double quotes write `\\\"` for a quotation mark]"
        ]
    );
    assert_eq!(
        book("[kettle.yaml]", "[kettle.yaml"),
        ["book.yaml:8:12: error open-bracket: a bracket is not closed, or a comma is missing between two values \
          [`[` needs its `]` and `{` its `}`, with commas between the values]"]
    );
    assert_eq!(
        book("title: Small", "title: @home"),
        ["book.yaml:3:8: error reserved-character: a value can't start with `@` [put the value in double quotes]"]
    );
    assert_eq!(
        book("title: Small", "title Small"),
        [
            "book.yaml:3:1: error no-colon: this line has no colon with a space after it, so it is no key [write `key: value`]"
        ]
    );
    assert_eq!(
        book("title: Small", "title:Small"),
        [
            "book.yaml:3:1: error no-colon: this line has no colon with a space after it, so it is no key [write `key: value`]"
        ]
    );
    assert_eq!(
        book("    tunes:", "   tunes:"),
        ["book.yaml:8:4: error indent: this line does not fit the ones above it \
          [keys of one map start in the same column, and each has a colon and a space after it]"]
    );
    assert_eq!(
        about_book(""),
        ["book.yaml:1:1: error empty-file: there is nothing in this file \
         [`boxwright new-book FOLDER` writes files to start from]"]
    );
}
