//! Set blocks: steps, tags, gaps, keeping together, tables, pictures, bar labels.

use super::*;
use crate::diag::Sources;
use crate::font::Fonts;
use crate::style::Family;
use crate::text::parse;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;

fn fonts() -> &'static Fonts {
    static FONTS: OnceLock<Fonts> = OnceLock::new();
    FONTS.get_or_init(Fonts::embedded)
}

fn style(justified: bool) -> TextStyle {
    TextStyle {
        family: Family::Serif,
        labels: Family::Sans,
        size: Abs::pt(11.0),
        leading: Abs::pt(14.0),
        justified,
        hyphenate: true,
        language: "en-GB".into(),
        italics: true,
        smallest: Abs::pt(7.5),
    }
}

fn set_in(text: &str, style: &TextStyle, width: f64, hang_bars: bool) -> (Vec<SetBlock>, Sink) {
    let mut sources = Sources::default();
    let file = sources.add("a.md", text);
    let mut sink = Sink::default();
    let blocks = parse(&sources.excerpt(file), &mut sink);
    let size = |width, height| Some(Size::new(Abs::inches(width), Abs::inches(height)));
    let pictures = BTreeMap::from([
        ("box.png".to_owned(), size(4.0, 2.0)),
        ("huge.png".to_owned(), size(300.0, 450.0)),
        ("told.svg".to_owned(), None),
    ]);
    let surroundings = Surroundings { pictures: Some(&pictures), hang_bars, ..Surroundings::default() };
    let set = Typesetter::new(fonts(), style).set_blocks(&blocks, &surroundings, Abs::pt(width), &mut sink);
    (set, sink)
}

fn set(text: &str) -> (Vec<SetBlock>, Sink) {
    set_in(text, &style(false), 260.0, true)
}

/// Text of a frame in painting order.
fn said(frame: &Frame) -> String {
    let mut out = String::new();
    for (_, item) in frame.items() {
        match item {
            Item::Text(run) => out.push_str(&run.text),
            Item::Group(group) => out.push_str(&said(&group.frame)),
            _ => {}
        }
    }
    out
}

fn block_said(block: &SetBlock) -> String {
    match &block.content {
        Content::Lines(lines) => lines.iter().map(|line| said(&line.frame)).collect::<Vec<_>>().join("|"),
        Content::Piece(frame) => said(frame),
        Content::Picture { path, .. } => path.clone(),
        Content::Music(excerpt) => excerpt.text.clone(),
    }
}

const PAGE: &str = "# The box\n\nFirst words.\n\nSecond words, and these go on until there is more than one line of them.\n\n\
## Rows\n\nTwo of them:\n\n- outer\n- inner\n\n  more of it\n\n1. one\n2. two\n\n> said so\n\n| row | key |\n|---|--:|\n| outer | D |\n\
| inner | G |\n\n![The box](box.png)\n\n---\n\n```abc\nK:G\nG\n```\n\n    as typed\n      and in\n";

#[test]
fn every_block_is_whole_steps_high_and_tagged() {
    for justified in [false, true] {
        let (blocks, sink) = set_in(PAGE, &style(justified), 260.0, true);
        assert!(sink.items().is_empty(), "{:?}", sink.items());
        for block in &blocks {
            let steps = block.height() / Abs::pt(14.0);
            assert!((steps - steps.round()).abs() < 1e-6, "{}: {steps}", block_said(block));
        }
        let roles: Vec<_> = blocks.iter().map(|block| block.tag.role).collect();
        use Role::*;
        assert_eq!(
            roles,
            [
                Heading(1),
                Paragraph,
                Paragraph,
                Heading(2),
                Paragraph,
                ListItem,
                Paragraph,
                Paragraph,
                ListItem,
                ListItem,
                Paragraph,
                TableRow,
                TableRow,
                TableRow,
                Figure,
                Artifact,
                Figure,
                Paragraph
            ]
        );
        assert_eq!(blocks[4].keep_with_next, Keep::Always, "what ends in a colon stays with its list");
        let inside = |block: &SetBlock| block.containers.iter().map(|c| (c.tag.role, c.number)).collect::<Vec<_>>();
        let lists: Vec<_> = blocks[5..10].iter().map(|block| inside(block)[0]).collect();
        assert!(lists[0] == lists[2] && lists[2] != lists[3] && lists[3] == lists[4], "{lists:?}");
        assert_eq!((lists[0].0, lists[3].0), (List(Marks::Bullets), List(Marks::Numbers)));
        // An item of two paragraphs is one item.
        let item = inside(&blocks[6])[1];
        assert_eq!((item.0, inside(&blocks[7])[1]), (ListItem, item));
        assert_eq!(block_said(&blocks[5]), "•outer");
        assert_eq!(block_said(&blocks[8]), "1.one");
    }
}

/// What lists, tables and quotations in one another are for a reader.
#[test]
fn what_stands_in_an_item_is_part_of_it() {
    let text =
        "1. one\n\n   - first\n   - second\n\n   | a | b |\n   |---|---|\n   | c | d |\n\n2. > said\n   >\n   > - so\n";
    let (blocks, _) = set(text);
    let paths: Vec<String> = blocks
        .iter()
        .map(|block| {
            let name = |role: Role| match role {
                Role::List(Marks::Numbers) => "numbers".to_owned(),
                Role::List(Marks::Bullets) => "bullets".to_owned(),
                other => format!("{other:?}"),
            };
            let inside = block.containers.iter().map(|c| format!("{} {}/", name(c.tag.role), c.number));
            inside.collect::<String>() + &name(block.tag.role)
        })
        .collect();
    let want = [
        "numbers 1/ListItem 2/Paragraph",
        "numbers 1/ListItem 2/bullets 3/ListItem",
        "numbers 1/ListItem 2/bullets 3/ListItem",
        "numbers 1/ListItem 2/Table 4/TableRow",
        "numbers 1/ListItem 2/Table 4/TableRow",
        "numbers 1/ListItem 5/Quote 6/Paragraph",
        "numbers 1/ListItem 5/Quote 6/bullets 7/ListItem",
    ];
    assert_eq!(paths, want);
}

#[test]
fn a_second_paragraph_is_indented_or_spaced() {
    let first_x = |block: &SetBlock| match &block.content {
        Content::Lines(lines) => lines[0].frame.items()[0].0.x,
        _ => panic!("lines"),
    };
    let (blocks, _) = set_in(PAGE, &style(true), 260.0, true);
    assert_eq!((first_x(&blocks[1]), blocks[2].space_before), (Abs::ZERO, 0));
    assert!(first_x(&blocks[2]).is_near(Abs::pt(11.0)));
    let (blocks, _) = set_in(PAGE, &style(false), 260.0, true);
    assert_eq!((first_x(&blocks[2]), blocks[2].space_before), (Abs::ZERO, 1));
}

#[test]
fn bar_headings_become_labels_in_the_margin() {
    let text = "Play it.\n\n## Bars 1-2\n\nFirst.\n\nStill.\n\n## Bar 8+: the end\n\nLast.\n";
    let (blocks, _) = set(text);
    let found: Vec<_> = blocks
        .iter()
        .map(|block| {
            let bars = block.bars.as_ref().map(|bars| format!("{}..{}", bars.first, bars.last));
            (block_said(block), bars.unwrap_or_default(), block.hang.as_ref().map(said).unwrap_or_default())
        })
        .collect();
    let want = [
        ("Play it.", "", ""),
        ("First.", "1..2", "1–2"),
        ("Still.", "1..2", ""),
        ("the end", "8+..8+", "8+"),
        ("Last.", "8+..8+", ""),
    ];
    assert_eq!(found, want.map(|(a, b, c)| (a.to_owned(), b.to_owned(), c.to_owned())));
    let place = blocks[1].bars.as_ref().and_then(|bars| bars.place);
    assert_eq!(place.map(|place| (place.line, place.column)), Some((3, 4)));
    let (plain, _) = set_in(text, &style(false), 260.0, false);
    assert_eq!(plain[1].heading, Some((2, "Bars 1-2".to_owned())));
}

#[test]
fn a_table_fits_or_wraps_or_is_told_row_by_row() {
    let table =
        "| The sign | What it means |\n|---|---|\n| hold bar | the button stays down while the bellows turn |\n";
    for (width, reported) in [(400.0, false), (150.0, false), (60.0, true)] {
        let (blocks, sink) = set_in(table, &style(false), width, true);
        assert_eq!(sink.items().iter().any(|item| item.code == "wide-table"), reported, "at {width}");
        let last = blocks.last().expect("rows are set");
        for word in ["hold", "bar", "button", "bellows"] {
            assert!(block_said(last).replace('|', " ").contains(word), "{word} at {width}: {}", block_said(last));
        }
        if let Content::Piece(frame) = &last.content {
            let Item::Group(cell) = &frame.items()[1].1 else { panic!("a cell") };
            let right = frame.items()[1].0.x + cell.frame.size.width;
            assert!(right.fits(Abs::pt(width)), "{right:?}");
        }
    }
}

/// Rows of which one has several lines would run together: a rule parts them all.
#[test]
fn rows_of_several_lines_are_parted_by_rules() {
    let table = "| part | first time |\n|---|---|\n| first lock | half the room, tune alone |\n| gate | everybody |\n| end | softly |\n";
    let ruled = |width: f64| {
        let (blocks, _) = set_in(table, &style(false), width, true);
        let rule = |item: &Item| matches!(item, Item::Group(group) if group.tag.as_ref().is_some_and(|tag| tag.role == Role::Artifact));
        let rules = |block: &SetBlock| match &block.content {
            Content::Piece(frame) => frame.items().iter().filter(|(_, item)| rule(item)).count(),
            _ => 0,
        };
        blocks.iter().map(rules).collect::<Vec<_>>()
    };
    assert_eq!((ruled(260.0), ruled(110.0)), (vec![1, 0, 0, 1], vec![1, 1, 1, 1]));
}

#[test]
fn pictures_fit_and_missing_ones_are_reported() {
    let (blocks, sink) = set("![The box](box.png)\n\n![Huge](huge.png)\n\n![Gone](gone.png)\n\n![Told](told.svg)\n");
    let sizes: Vec<_> = blocks
        .iter()
        .filter_map(|block| match &block.content {
            Content::Picture { size, .. } => Some(*size),
            _ => None,
        })
        .collect();
    assert!(sizes[0].width.fits(Abs::pt(260.0)) && sizes[1].height.fits(Abs::pt(260.0)));
    assert!((sizes[0].width / sizes[0].height - 2.0).abs() < 1e-9);
    assert!((sizes[1].height / sizes[1].width - 1.5).abs() < 1e-9);
    assert_eq!(sink.items()[0].code, "no-picture");
    assert_eq!(block_said(&blocks[2]), "[Gone]");
    // Why this one can't be set has been said.
    assert_eq!((block_said(&blocks[3]), sink.items().len()), ("[Told]".to_owned(), 1));
}

#[test]
fn large_print_uses_weight_and_no_size_below_the_smallest() {
    let large = TextStyle {
        family: Family::Legible,
        labels: Family::Legible,
        size: Abs::pt(18.0),
        leading: Abs::pt(24.0),
        justified: false,
        hyphenate: false,
        italics: false,
        smallest: Abs::pt(18.0),
        language: "en-GB".into(),
    };
    fn smallest(frame: &Frame) -> f64 {
        frame.items().iter().fold(f64::INFINITY, |least, (_, item)| match item {
            Item::Text(run) if run.face != fonts().music_face() => least.min(run.size.to_pt()),
            Item::Group(group) => least.min(smallest(&group.frame)),
            _ => least,
        })
    }
    let (blocks, _) = set_in(&format!("## Bars 1-2\n\n{PAGE}"), &large, 400.0, true);
    for block in &blocks {
        if let Content::Lines(lines) = &block.content {
            assert!(lines.iter().all(|line| smallest(&line.frame) >= 18.0 && !line.hyphenated));
        }
        assert!(block.hang.as_ref().is_none_or(|hang| smallest(hang) >= 18.0));
    }
}

/// Signs under a line of code point at letters of it, whatever the letters are, and blanks between words hold their columns.
#[test]
fn code_stands_in_columns() {
    let letters = |frame: &Frame| -> Vec<(char, f64)> {
        let mut found = Vec::new();
        for (at, item) in frame.items() {
            if let Item::Text(run) = item {
                for glyph in run.glyphs.iter() {
                    let said = run.text[glyph.cluster as usize..].chars().next().expect("a cluster says something");
                    found.push((said, (at.x + glyph.x).to_pt()));
                }
            }
        }
        found
    };
    let (blocks, _) = set_in("```\n1 | iii WWW\n  |     ^^^  |\n```", &style(true), 300.0, false);
    let Content::Lines(lines) = &blocks[0].content else { panic!("code is lines") };
    let (code, under) = (letters(&lines[0].frame), letters(&lines[1].frame));
    let x =
        |line: &[(char, f64)], sign: char| line.iter().find(|(c, _)| *c == sign).map(|(_, x)| *x).expect("it is there");
    // Places within a run are kept to 0.00003 pt, and lengths are the same within 0.0001.
    let near = |one: f64, other: f64| Abs::pt(one).is_near(Abs::pt(other));
    assert!(near(x(&code, '|'), x(&under, '|')));
    assert!(near(x(&code, 'W'), x(&under, '^')));
    let last = |line: &[(char, f64)]| line.last().map(|(_, x)| *x).expect("it is not empty");
    let letter = last(&code) / 10.0;
    assert!(near(last(&under), letter * 13.0), "two blanks are two letters wide");
    // A line that the column is too narrow for is set smaller, not broken.
    let long = format!("```\n{}\n```", "word ".repeat(12));
    for (width, count) in [(300.0, 1), (280.0, 1), (120.0, 2)] {
        let (blocks, _) = set_in(&long, &style(true), width, false);
        let Content::Lines(lines) = &blocks[0].content else { panic!("code is lines") };
        assert!(if count == 1 { lines.len() == 1 } else { lines.len() > 1 }, "at {width}: {}", lines.len());
    }
}

/// What is too long at the least size of code hangs four letters in behind a sign that nobody hears; what fits is as it was.
#[test]
fn a_long_line_of_code_hangs_behind_a_sign() {
    let long = format!("- said\n\n  ```\n  {}\n  ```", "word ".repeat(12));
    for (width, is_turned) in [(300.0, false), (150.0, true)] {
        let (blocks, sink) = set_in(&long, &style(true), width, false);
        let block = blocks.last().expect("there is code");
        assert_eq!((block.is_turned, sink.items().len()), (is_turned, 0), "at {width}");
        let Content::Lines(lines) = &block.content else { panic!("code is lines") };
        let left = |line: &Line| {
            let runs = line.frame.items().iter().filter(|(_, item)| matches!(item, Item::Text(_)));
            runs.map(|(at, _)| at.x).fold(Abs::pt(1e6), Abs::min)
        };
        let sign = |line: &Line| {
            line.frame.items().iter().find_map(|(at, item)| match item {
                Item::Group(group) if group.tag == Some(Tag::new(Role::Artifact)) => Some(*at),
                _ => None,
            })
        };
        assert_eq!(sign(&lines[0]), None);
        assert_eq!(lines.len() > 1, is_turned);
        for line in &lines[1..] {
            let at = sign(line).expect("a sign stands before what goes on");
            assert!(left(&lines[0]) < at.x && at.x < left(line), "at {width}");
            // A letter of the least size is 0.6 of it wide, in the carried face.
            let letter = Abs::pt(7.5) * 0.6;
            assert!((left(line) - left(&lines[0]) - letter * 4.0).to_pt().abs() < 0.2, "{:?}", left(line));
            assert!(line.width.fits(Abs::pt(width)));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_markdown_panics(
        text in "([ -~]|[\n|>*-]|# |- |1\\. |\\| a \\| b \\|\n|\\|---\\|---\\|\n|## Bars 1-2\n|!\\[a\\]\\(box.png\\)|\n\n){0,80}",
        width in 20.0..300.0f64,
    ) {
        let (blocks, _) = set_in(&text, &style(true), width, true);
        for block in blocks {
            let steps = block.height() / Abs::pt(14.0);
            prop_assert!((steps - steps.round()).abs() < 1e-6);
        }
    }
}

/// Code as long as a message is whole; longer code has four lines on either side. What announces it stays with it, and under a
/// heading it stands as near as a paragraph.
#[test]
fn short_code_is_whole_and_near_what_announces_it() {
    let code = |lines: usize| "    a line\n".repeat(lines);
    let text = format!("# One\n\n{}\nIt answers:\n\n{}\nAnd so on.\n\n{}", code(3), code(12), code(13));
    let (blocks, _) = set(&text);
    let [_, first, announces, short, says, long] = &blocks[..] else { panic!("{}", blocks.len()) };
    assert_eq!((first.space_before, short.space_before, long.space_before), (0, 1, 1));
    assert_eq!((announces.keep_with_next, says.keep_with_next), (Keep::Always, Keep::Rather));
    assert_eq!((first.may_split, short.may_split, long.may_split), (false, false, true));
    assert_eq!((long.least_first, long.least_last), (4, 4));
    // On a small page even twelve lines may have to part.
    let mut sink = Sink::default();
    let surroundings = Surroundings { height: Some(Abs::pt(14.0 * 20.0)), ..Surroundings::default() };
    let parsed = [Block::Code { text: "a line\n".repeat(12), place: announces_place() }];
    let set = Typesetter::new(fonts(), &style(false)).set_blocks(&parsed, &surroundings, Abs::pt(260.0), &mut sink);
    assert!(set[0].may_split);
}

fn announces_place() -> Place {
    let mut sources = Sources::default();
    Place::new(sources.add("a.md", ""), 1, 1)
}

#[test]
fn a_list_under_a_heading_is_as_near_as_a_paragraph() {
    let (blocks, _) = set("# One\n\n- a\n- b\n\n## Two\n\nWords.\n\n- c\n");
    let spaces: Vec<u32> = blocks.iter().map(|block| block.space_before).collect();
    assert_eq!(spaces, [0, 0, 0, 1, 0, 1]);
    // A label in the margin takes no line of its own.
    let (blocks, _) = set("Play.\n\n## Bar 1\n\n- a\n");
    assert_eq!(blocks[1].space_before, 1);
}

/// A file's name is typed as it is printed: no hyphen of it ends a line unless the column is narrower than the name.
#[test]
fn code_in_a_table_is_parted_only_where_nothing_else_helps() {
    let text = "| key | what it does to the page that is printed |\n|---|---|\n| `--hold-pages` | keeps the numbers of all pages |\n";
    let rows = |width: f64| {
        let (blocks, sink) = set_in(text, &style(false), width, false);
        assert!(sink.items().is_empty(), "{:?}", sink.items());
        block_said(&blocks[1])
    };
    for width in [260.0, 170.0] {
        assert!(rows(width).contains("--hold-pages"), "{}", rows(width));
    }
}
