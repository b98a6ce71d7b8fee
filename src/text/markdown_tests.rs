//! Markdown into blocks: structure, places, and texts that mean harm.

use super::*;
use crate::diag::Sources;
use proptest::prelude::*;

fn read(text: &str) -> (Vec<Block>, Sink) {
    let mut sources = Sources::default();
    let file = sources.add("a.md", text);
    let mut sink = Sink::default();
    let blocks = parse(&sources.excerpt(file), &mut sink);
    (blocks, sink)
}

fn plain(block: &Block) -> String {
    match block {
        Block::Paragraph(inlines) | Block::Heading { inlines, .. } => Inline::plain(inlines),
        other => panic!("not words: {other:?}"),
    }
}

#[test]
fn blocks_come_in_order_and_inlines_know_their_places() {
    let (blocks, sink) = read("## Bars 1-2\n\nThe first is {how 3.1}, a *long*\nnote: the :outer: head.\n\n---\n");
    assert!(sink.items().is_empty(), "{sink:?}");
    assert_eq!(blocks.len(), 3);
    assert!(matches!(&blocks[0], Block::Heading { level: 2, .. }));
    let Block::Paragraph(inlines) = &blocks[1] else { panic!("a paragraph") };
    let Inline::Fact { text, place } = &inlines[1] else { panic!("a fact: {inlines:?}") };
    assert_eq!((text.as_str(), place.line, place.column), ("how 3.1", 3, 14));
    let sign = inlines.iter().find_map(|inline| match inline {
        Inline::Sign { word, place: Some(place) } => Some((word.as_str(), place.line, place.column)),
        _ => None,
    });
    assert_eq!(sign, Some(("outer", 4, 11)));
    assert!(inlines.iter().any(|inline| matches!(inline, Inline::Emphasis(_))));
    assert_eq!(blocks[2], Block::Rule);
}

#[test]
fn braces_doubled_or_escaped_are_braces() {
    let (blocks, sink) = read("a {{b} and \\{c} and 10:30:00");
    assert_eq!(plain(&blocks[0]), "a {b} and {c} and 10:30:00");
    assert!(sink.items().is_empty());
    let (blocks, sink) = read("a {b");
    assert_eq!(plain(&blocks[0]), "a {b");
    assert_eq!(sink.items()[0].code, "open-brace");
}

#[test]
fn lists_tables_quotes_pictures_and_code() {
    let text = "3. one\n4. two\n   - deep\n\n| a | b |\n|:--|--:|\n| 1 | {row 1.1} |\n\n> said\n\nSee ![a box](box.png) here.\n\n    typed\n";
    let (blocks, _) = read(text);
    let Block::List { ordered: true, start: 3, items } = &blocks[0] else { panic!("a list: {:?}", blocks[0]) };
    assert_eq!(items.len(), 2);
    assert!(matches!(&items[1][1], Block::List { ordered: false, .. }));
    let Block::Table(table) = &blocks[1] else { panic!("a table") };
    assert_eq!(table.columns, [ColumnAlign::Left, ColumnAlign::Right]);
    assert!(matches!(&table.rows[0][1][0], Inline::Fact { text, .. } if text == "row 1.1"));
    assert!(matches!(&blocks[2], Block::Quote(inner) if plain(&inner[0]) == "said"));
    assert_eq!(plain(&blocks[3]), "See  here.");
    assert!(matches!(&blocks[4], Block::Image { path, alt, .. } if path == "box.png" && alt == "a box"));
    assert!(matches!(&blocks[5], Block::Code { text, .. } if text == "typed"));
}

/// A complaint about a word of code shows the word's own line, whether the code stands in a fence or is indented.
#[test]
fn code_begins_where_its_first_line_does() {
    let (blocks, _) = read("Type:\n\n```text\none\ntwo\n```\n\nOr:\n\n    three\n");
    let lines: Vec<u32> = blocks
        .iter()
        .filter_map(|block| if let Block::Code { place, .. } = block { Some(place.line) } else { None })
        .collect();
    assert_eq!(lines, [4, 10]);
}

#[test]
fn an_example_keeps_its_lines_places() {
    let mut sources = Sources::default();
    let file = sources.add("t.yaml", "");
    let text = "Look:\n\n```abc\nK:G\n  GAB c\n```\n";
    let lines = (0..7).map(|n| (n + 10, 5)).collect();
    let mut sink = Sink::default();
    let blocks = parse(&Excerpt::new(file, text, lines), &mut sink);
    let Block::Music(music) = &blocks[1] else { panic!("an example: {blocks:?}") };
    assert_eq!(music.text, "K:G\n  GAB c\n");
    let place = music.place(1, 2);
    assert_eq!((place.line, place.column), (14, 7));
}

#[test]
fn html_and_odd_links_are_reported_and_stand_as_text() {
    let (blocks, sink) =
        read("a <b>bold</b> word\n\n<div>x</div>\n\n<!-- note -->\n\n[x](javascript:y) [y](https://e.org)\n");
    assert_eq!(plain(&blocks[0]), "a <b>bold</b> word");
    assert_eq!(plain(&blocks[1]), "<div>x</div>");
    assert_eq!(blocks.len(), 3);
    let codes: Vec<_> = sink.items().iter().map(|item| item.code).collect();
    assert_eq!(codes, ["html", "html", "html", "link-target"]);
    let Block::Paragraph(inlines) = &blocks[2] else { panic!("words") };
    assert!(
        inlines
            .iter()
            .any(|i| matches!(i, Inline::Link { target: LinkTarget::Url(url), .. } if &**url == "https://e.org"))
    );
}

#[test]
fn deep_nesting_is_flattened() {
    let (blocks, _) = read(&format!("{}x\n", ">".repeat(5000)));
    assert_eq!(blocks.len(), 1);
    let (blocks, _) = read(&format!("{}x{}\n", "*".repeat(3001), "*".repeat(3001)));
    assert_eq!(blocks.len(), 1);
    let (_, _) = read(&format!("{}x\n", "- ".repeat(3000)));
    let (_, _) = read(&"[".repeat(20_000));
    let (_, _) = read(&"![a](".repeat(5_000));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_text_makes_it_panic(text in "([ -~]|[\n\t{}:*_`#>|\\-\\[\\]()!<&]|[é♯\u{0}\u{200d}]|:outer:|\\{how 1.1\\}|```abc\n|\r\n){0,60}") {
        let _ = read(&text);
    }
}

/// CommonMark 0.31, 4.6: a comment's block ends with its line, and browsers show what follows on it.
#[test]
fn words_behind_a_comment_are_kept() {
    let (blocks, sink) = read("one\n\n<!-- a note --> These words are the *author's*.\n\ntwo\n");
    assert_eq!(blocks.iter().map(plain).collect::<Vec<_>>(), ["one", "These words are the author’s.", "two"]);
    let Block::Paragraph(inlines) = &blocks[1] else { panic!("a paragraph") };
    assert!(inlines.iter().any(|inline| matches!(inline, Inline::Emphasis(_))));
    assert!(matches!(&inlines[0], Inline::Text { place: Some(place), .. } if (place.line, place.column) == (3, 17)));
    assert!(sink.items().is_empty(), "{sink:?}");
    let (blocks, sink) = read("<!-- open\nnote --> and *these* too\n");
    assert_eq!(blocks.iter().map(plain).collect::<Vec<_>>(), ["and these too"]);
    assert!(sink.items().is_empty(), "{sink:?}");
    let (blocks, _) = read("<!-- a --><!-- b -->\n\nwords <!-- c --> go on\n");
    assert_eq!(blocks.iter().map(plain).collect::<Vec<_>>(), ["words  go on"]);
    let (blocks, sink) = read("one\n\n<!-- for ever\n\ntwo\n");
    assert_eq!((blocks.len(), sink.items()[0].code.name()), (1, "open-comment"));
}

/// GitHub Flavored Markdown 0.29, 4.10: what is beyond the head's columns is ignored.
#[test]
fn cells_beyond_the_head_are_told() {
    let (_, sink) = read("| a | b |\n|--|--|\n| 1 | 2 |\n| 1 | 2 | 3 |\n| 1 \\| 2 | 3 |\n| 1 |\n");
    assert_eq!(sink.items().len(), 1, "{sink:?}");
    assert_eq!((sink.items()[0].code.name(), sink.items()[0].place.map(|place| place.line)), ("table-row", Some(4)));
}

#[test]
fn an_address_in_angle_brackets_is_a_link() {
    let (blocks, sink) = read("<me@example.org>\n");
    assert!(sink.items().is_empty(), "{sink:?}");
    let Block::Paragraph(inlines) = &blocks[0] else { panic!("a paragraph") };
    assert!(
        matches!(&inlines[0], Inline::Link { target: LinkTarget::Url(url), .. } if &**url == "mailto:me@example.org")
    );
}

/// CommonMark 0.31, 4.7 and 4.5: a line that defines a link is no content, nor is what stands behind a fence.
#[test]
fn words_that_markdown_keeps_to_itself_are_told() {
    let told = |text: &str| -> Vec<(&'static str, u32, u32)> {
        let (_, sink) = read(text);
        let place = |item: &crate::diag::Diagnostic| item.place.map_or((0, 0), |place| (place.line, place.column));
        sink.items().iter().map(|item| (item.code.name(), place(item).0, place(item).1)).collect()
    };
    assert_eq!(told("[^1]: Kettle\n\nWords.\n"), [("unused-link", 1, 1)]);
    assert_eq!(told("[a]: b\nWords\n"), [("unused-link", 1, 1)], "words follow at once");
    let in_blocks = "- [x]: y\n\n> [z]: w\n\n1. [q]:\n   where\n";
    assert_eq!(told(in_blocks), [("unused-link", 1, 3), ("unused-link", 3, 3), ("unused-link", 5, 4)]);
    assert_eq!(told("[over\ntwo]: lines\n"), [("unused-link", 1, 1)]);
    let twice = "[a]: https://e.org\n[A]: https://f.org\n\n[a]\n";
    assert_eq!(told(twice), [("unused-link", 2, 1)], "the first one holds");
    let used = "See [here][a], ![b][] and [C\nD].\n\n[a]: https://e.org\n[b]: b.png\n[c  d]: https://e.org\n";
    for fine in [
        used,
        "Words\n[a]: go on\n",
        "- [](#a)\n- [b](#b)\n",
        "```\n[a]: b\n```\n",
        "    [a]: b\n",
        "<!--\n[a]: b\n-->\n",
        "\\[a]: b\n",
    ] {
        assert_eq!(told(fine), [], "{fine}");
    }
    assert_eq!(told("``` four bars\nG G B\n```\n"), [("fence-words", 1, 5)]);
    assert_eq!(told("> ~~~abc so wide\n> K:G\n> ~~~\n"), [("fence-words", 1, 6)]);
    assert_eq!(told("```abc\nK:G\n```\n\n~~~ yaml\na: 1\n~~~\n\n```\nx\n```\n"), []);
}
