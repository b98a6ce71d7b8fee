//! The rows of `bounds.rs` for drawings in SVG.

use crate::hostile_rows::{
    Fate::{Bounded, Refused, Told},
    Row,
};

/// Drawings that would be made into more than a book can hold, and some that a careless reader would open other files for.
pub fn rows() -> Vec<Row> {
    let drawn = |name, inside: String, fate| Row {
        name,
        words: vec!["check", "book.yaml"],
        files: vec![
            ("t.md", b"# A\n\n![a](a.svg)\n".to_vec()),
            (
                "a.svg",
                format!("<svg xmlns='http://www.w3.org/2000/svg' width='96' height='96'>\n{inside}</svg>").into(),
            ),
        ],
        fate,
    };
    let bound = |row: Row| Row { words: vec!["bind", "book.yaml"], ..row };
    let wide = |name, pen: &str, inside: &str| {
        bound(drawn(
            name,
            format!("<g fill='none' stroke='#000' stroke-width='{pen}'>\n{inside}</g>"),
            Told("a.svg:2:1"),
        ))
    };
    let arcs = format!("<path d='M0 0{}'/>", "a9 9 0 1 1 1 1".repeat(200));
    let rect = "<rect width='9' height='9'/>";
    let tenfold = (1..40).fold(format!("<g id='g0'>{rect}</g>"), |out, nth| {
        out + &format!("<g id='g{nth}'>{}</g>", format!("<use href='#g{}'/>", nth - 1).repeat(10))
    });
    let chain = (1..5_000).fold(rect.replace("<rect", "<rect id='u0'"), |out, nth| {
        out + &format!("<use id='u{nth}' href='#u{}'/>", nth - 1)
    });
    let clips = (1..30).fold(String::new(), |out, nth| {
        let cut = format!("<rect clip-path='url(#c{})' width='1' height='1'/>", nth - 1).repeat(10);
        out + &format!("<clipPath id='c{nth}' clipPathUnits='objectBoundingBox'>{cut}</clipPath>")
    });
    let patterns = (0..20).fold(String::new(), |out, nth| {
        out + &format!(
            "<pattern id='p{nth}'>{}</pattern>",
            format!("<rect fill='url(#p{})'/>", (nth + 1) % 20).repeat(10)
        )
    });
    let head = format!("<marker id='m'>{}</marker>", "<path d='M0 0h1v1z'/>".repeat(2_000));
    vec![
        wide("drawing: a pen of 10,000,000 round 200 arcs", "1e7", &arcs),
        wide("drawing: a pen of 100,000,000 round 300 circles", "1e8", &"<circle r='9'/>".repeat(300)),
        wide(
            "drawing: a pen of 1,000,000,000 along 100 bends",
            "1e9",
            &format!("<path d='M0 0{}'/>", "c1 9 9 1 9 9".repeat(100)),
        ),
        drawn(
            "drawing: a pen of 10,000,000 in a style sheet",
            format!("<style>path{{fill:none;stroke:#000;stroke-width:1e7}}</style>{arcs}"),
            Told("a.svg:2:1"),
        ),
        bound(drawn(
            "drawing: a pen round 50,000 large arcs",
            format!(
                "<path fill='none' stroke='#000' d='M0 0{}'/>",
                "a9e5 9e5 0 1 1 1 1a9e5 9e5 0 1 1-1-1".repeat(25_000)
            ),
            Told("a.svg:1:1"),
        )),
        bound(drawn(
            "drawing: a bent pen round 2,000 large arcs in a large scale",
            format!(
                "<g transform='scale(900 9)'><path fill='none' stroke='#000' d='M0 0{}'/></g>",
                "a9e3 9e3 0 1 1 1 1a9e3 9e3 0 1 1-1-1".repeat(1_000)
            ),
            Told("a.svg:1:1"),
        )),
        bound(drawn(
            "drawing: a scale of 1e20",
            "<rect width='1' height='1' transform='scale(1e20)'/>".into(),
            Told("a.svg:1:1"),
        )),
        bound(drawn("drawing: places of 1e20", "<path id='a' d='M0 0H1e20V9z'/>".into(), Told("a.svg:2:1"))),
        bound(drawn(
            "drawing: a pen of 1e20 by its scale",
            "<path id='a' stroke='#000' d='M0 0H1' transform='scale(1e18)'/>".into(),
            Told("a.svg:2:1"),
        )),
        bound(Row {
            files: vec![
                ("t.md", b"# A\n\n![a](a.svg)\n".to_vec()),
                (
                    "a.svg",
                    b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 1e-9 1e-9'><path d='M0 0h9v9z'/></svg>"
                        .to_vec(),
                ),
            ],
            ..drawn("drawing: a viewBox of nearly nothing", String::new(), Told("a.svg:1:1"))
        }),
        drawn("drawing: parts used tenfold, forty times", tenfold, Told("a.svg:")),
        drawn("drawing: a part that uses itself", "<g id='a'><use href='#a'/></g>".into(), Told("a.svg:2:1")),
        drawn("drawing: a chain of 5,000 parts", chain, Told("a.svg:")),
        drawn("drawing: clips in clips", clips, Told("a.svg:2:")),
        drawn("drawing: patterns in patterns", patterns, Told("a.svg:2:")),
        drawn(
            "drawing: 2,000 heads on 4,000 corners",
            format!("{head}<path marker-mid='url(#m)' d='M0 0{}'/>", "h1v1".repeat(2_000)),
            Told("a.svg:1:1"),
        ),
        drawn("drawing: groups in groups", "<g>".repeat(200_000), Told("a.svg:")),
        drawn("drawing: 150,000 shapes", rect.repeat(37_000), Told("a.svg:")),
        drawn(
            "drawing: a path of 250,000 points",
            format!("<path d='M0 0{}'/>", "h1v1".repeat(125_000)),
            Told("a.svg:"),
        ),
        drawn(
            "drawing: a bent pen along 200,000 points",
            format!(
                "<path fill='none' stroke='#000' stroke-linejoin='round' transform='scale(1 2)' d='M0 0{}'/>",
                "q1 1 0 2".repeat(100_000)
            ),
            Told("a.svg:"),
        ),
        drawn(
            "drawing: dashes without end",
            "<path stroke='#000' stroke-dasharray='1e-9' d='M0 0H1e9'/>".into(),
            Told("a.svg:2:1"),
        ),
        drawn("drawing: 900 kB in one attribute", format!("<path d='{}'/>", "1".repeat(900_000)), Told("a.svg:")),
        drawn("drawing: 8 MB", " ".repeat(8_000_000), Told("a.svg:1:1")),
        drawn("drawing: 60 MB", " ".repeat(60_000_000), Refused("t.md:3:")),
        drawn(
            "drawing: 3,000 rules on 9,000 shapes",
            format!("<style>{}</style>{}", "* *{fill:#000}".repeat(3_000), rect.repeat(9_000)),
            Told("a.svg:1:1"),
        ),
        drawn(
            "drawing: rules that look far back",
            format!("<style>{}{{fill:#000}}</style>{}", "g + g ".repeat(400), "<g/>".repeat(8_000)),
            Told("a.svg:1:1"),
        ),
        drawn(
            "drawing: 20,000 styles in one attribute",
            format!("<g style='{}'>{rect}</g>", "fill:red;".repeat(20_000)),
            Told("a.svg:2:1"),
        ),
        drawn(
            "drawing: turned 50,000 times",
            format!("<g transform='{}'>{rect}</g>", "rotate(1)".repeat(50_000)),
            Bounded,
        ),
        drawn("drawing: absurd places", "<path d='M1e38 1e38L-1e38-1e38A1e38 1e-38 9 0 1 1e38 0Z'/>".into(), Bounded),
        drawn(
            "drawing: absurd scales",
            format!("<g transform='scale(1e30)'><g transform='scale(1e-38)'>{rect}</g></g>"),
            Bounded,
        ),
        drawn(
            "drawing: no numbers",
            "<rect width='NaN' height='Infinity'/><path d='M NaN NaN L inf inf'/>".into(),
            Told("a.svg:1:1"),
        ),
        drawn(
            "drawing: a picture from the disk",
            "<image href='/etc/passwd' width='9' height='9'/>".into(),
            Told("a.svg:2:1"),
        ),
        drawn("drawing: a part from the disk", "<use href='file:///dev/zero#a'/>".into(), Told("a.svg:2:1")),
        drawn(
            "drawing: a style sheet from the net",
            "<style>@import url(http://example.org/a.css);</style>".into(),
            Told("a.svg:2:1"),
        ),
        Row {
            name: "drawing: entities that multiply",
            words: vec!["check", "book.yaml"],
            files: vec![
                ("t.md", b"# A\n\n![a](a.svg)\n".to_vec()),
                ("a.svg", b"<!DOCTYPE svg [<!ENTITY a \"aaaa\">\n<!ENTITY b \"&a;&a;\">]><svg>&b;</svg>".to_vec()),
            ],
            fate: Told("a.svg:1:16"),
        },
    ]
}
