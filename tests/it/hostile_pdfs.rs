//! The rows of `bounds.rs` for finished files: hostile PDFs, given to `preflight` and to `reprint`.

use crate::hostile_rows::Fate::{self, Bounded, Refused};
use crate::hostile_rows::{Row, deflated};
use flate2::{Compression, write::ZlibEncoder};
use std::io::Write as _;

fn press(name: &'static str, bytes: impl Into<Vec<u8>>, fate: Fate) -> [Row; 2] {
    let bytes = bytes.into();
    let row = |words, fate| Row { name, words, files: vec![("a.pdf", bytes.clone())], fate };
    [row(vec!["preflight", "a.pdf"], fate), row(vec!["reprint", "book.yaml", "--against", "a.pdf"], Refused("a.pdf"))]
}

/// A file of one page whose objects are these, with a table of places that says nothing.
fn pdf(objects: &[(u32, Vec<u8>)]) -> Vec<u8> {
    let mut out = b"%PDF-1.4\n".to_vec();
    let mut places = Vec::new();
    for (number, body) in objects {
        places.push((*number, out.len()));
        out.extend(format!("{number} 0 obj\n").bytes());
        out.extend(body);
        out.extend(b"\nendobj\n");
    }
    let start = out.len();
    out.extend(b"xref\n0 1\n0000000000 65535 f \n");
    for (number, place) in places {
        out.extend(format!("{number} 1\n{place:010} 00000 n \n").bytes());
    }
    out.extend(format!("trailer\n<</Size 100/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n").bytes());
    out
}

fn stream(entries: &str, bytes: &[u8]) -> Vec<u8> {
    [format!("<<{entries}/Length {}>>\nstream\n", bytes.len()).as_bytes(), bytes, b"\nendstream"].concat()
}

fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut deflate = ZlibEncoder::new(Vec::new(), Compression::fast());
    deflate.write_all(bytes).expect("a vector takes all bytes");
    deflate.finish().expect("a vector takes all bytes")
}

/// So many pages with this content, which leads to one deflated stream, object 4.
fn shared(pages: u32, contents: &str, bytes: &[u8]) -> Vec<u8> {
    let kids = (0..pages).fold(String::new(), |out, n| out + &format!("{} 0 R ", 100 + n));
    let page = format!("<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents {contents}/Resources<<>>>>");
    let mut objects = vec![
        (1, b"<</Type/Catalog/Pages 2 0 R>>".to_vec()),
        (2, format!("<</Type/Pages/Kids[{kids}]/Count {pages}>>").into_bytes()),
        (4, stream("/Filter/FlateDecode", bytes)),
    ];
    objects.extend((0..pages).map(|n| (100 + n, page.clone().into_bytes())));
    pdf(&objects)
}

/// The rows.
pub fn rows() -> Vec<Row> {
    let page =
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<</XObject<</X 5 0 R>>>>>>".to_vec();
    let catalog = |more: &str| format!("<</Type/Catalog/Pages 2 0 R{more}>>").into_bytes();
    let pages = b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec();
    let whole = |content: Vec<u8>, form: Vec<u8>| {
        pdf(&[(1, catalog("")), (2, pages.clone()), (3, page.clone()), (4, content), (5, form)])
    };
    let form =
        |content: &[u8]| stream("/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</X 5 0 R>>>>", content);
    let plain = || form(b"0 0 m");
    let deep = [b"[".repeat(200_000), b"]".repeat(200_000)].concat();
    let record = |bytes: &[u8]| {
        let mut objects =
            vec![(1, catalog("/BXWR_Record 6 0 R")), (2, pages.clone()), (3, page.clone()), (4, stream("", b""))];
        objects.push((6, stream("/Type/BXWR_Record/Filter/FlateDecode", bytes)));
        pdf(&objects)
    };
    let loops = pdf(&[(1, catalog("")), (2, b"<</Type/Pages/Kids[2 0 R 2 0 R 2 0 R]/Count 999999999>>".to_vec())]);
    let many_streams = {
        let bomb = deflated(60_000_000);
        let mut objects = vec![(1, catalog("")), (2, pages.clone()), (3, page.clone()), (4, stream("", b""))];
        objects.extend((6..16).map(|n| (n, stream("/Type/ObjStm/N 1/First 4/Filter/FlateDecode", &bomb))));
        pdf(&objects)
    };
    let overlapping = |count: usize, object: &str| {
        let index = (0..count).fold(String::new(), |out, n| out + &format!("{} 0 ", 100 + n));
        let keys = format!("/Type/ObjStm/N {count}/First {}/Filter/FlateDecode", index.len());
        let held = stream(&keys, &packed(&[index.as_bytes(), object.as_bytes()].concat()));
        pdf(&[(1, catalog("")), (2, pages.clone()), (3, page.clone()), (4, stream("", b"")), (6, held)])
    };
    let numbers = |count: usize| format!("[{}]", "0 ".repeat(count));
    let previous =
        b"%PDF-1.4\nxref\n0 1\n0000000000 65535 f \ntrailer\n<</Size 1/Prev 9/Root 1 0 R>>\nstartxref\n9\n%%EOF"
            .to_vec();
    let huge_table = b"%PDF-1.4\nxref\n0 999999999\n0000000000 65535 f \ntrailer\n<</Size 999999999/Root 1 0 R>>\nstartxref\n9\n%%EOF".to_vec();
    let calls = b"/X Do ".repeat(20_000);
    let mut rows = Vec::new();
    rows.extend(press("no PDF", vec![0; 60_000_000], Refused("cannot be checked")));
    rows.extend(press(
        "a PDF cut short",
        whole(stream("", b"q Q"), plain())[..200].to_vec(),
        Refused("cannot be checked"),
    ));
    rows.extend(press(
        "arrays in arrays",
        pdf(&[(1, catalog("/A 5 0 R")), (2, pages.clone()), (3, page.clone()), (5, deep)]),
        Bounded,
    ));
    rows.extend(press("pages in a ring", loops, Bounded));
    rows.extend(press("a table that leads to itself", previous, Refused("cannot be checked")));
    rows.extend(press("a table of 999,999,999", huge_table, Refused("cannot be checked")));
    rows.extend(press("ten object streams of 60 MB", many_streams, Bounded));
    rows.extend(press("20,000 objects in one place", overlapping(20_000, &numbers(20_000)), Bounded));
    rows.extend(press("1,000 times one text", overlapping(1_000, &format!("({})", "a".repeat(500_000))), Bounded));
    rows.extend(press("an array of 2,000,000 numbers", overlapping(1, &numbers(2_000_000)), Bounded));
    rows.extend(press(
        "a page of 200 MB",
        whole(stream("/Filter/FlateDecode", &deflated(200_000_000)), plain()),
        Bounded,
    ));
    rows.extend(press("a form in itself", whole(stream("", b"/X Do"), form(&calls)), Bounded));
    rows.extend(press("a form 20,000 times", whole(stream("", &calls), form(&b"0 0 m ".repeat(2_000))), Bounded));
    let noted = b"BI (\\".to_vec();
    rows.extend(press("a string that breaks off", whole(stream("", &noted), plain()), Bounded));
    let (kids, long) = (3_000, b"0 0 m 9 9 l ".repeat(4_500_000));
    rows.extend(press("3,000 pages of one content of 54 MB", shared(kids, "4 0 R", &packed(&long)), Bounded));
    let parts = format!("[{}]", "4 0 R ".repeat(300_000));
    rows.extend(press("a page of 300,000 parts", shared(1, &parts, &packed(&long[..18_000])), Bounded));
    rows.extend(press("a record of 200 MB", record(&deflated(200_000_000)), Bounded));
    rows.extend(tiring());
    rows
}

/// Small files that say one thing without end: entries behind references, properties, operands, names that lead nowhere.
fn tiring() -> Vec<Row> {
    let whole = |catalog: &str, content: Vec<u8>, more: Vec<(u32, Vec<u8>)>| {
        let page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/TrimBox[9 9 90 90]/Contents 4 0 R/Resources<</XObject<</X 5 0 R>>/ColorSpace<</DefaultGray[/CalGray<<>>]>>>>>>";
        let mut objects = vec![
            (1, format!("<</Type/Catalog/Pages 2 0 R{catalog}>>").into_bytes()),
            (2, b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec()),
            (3, page.to_vec()),
            (4, stream("/Filter/FlateDecode", &packed(&content))),
            (5, stream("/Subtype/Form/BBox[0 0 9 9]", b"0 0 m 9 9 l S")),
        ];
        objects.extend(more);
        pdf(&objects)
    };
    let drawn = |operators: &[u8], times: usize| whole("", operators.repeat(times), Vec::new());
    let string = (6, format!("({})", "a".repeat(16_000)).into_bytes());
    let referring = (7, [&b"["[..], &b"<</A 6 0 R>>".repeat(50_000), b"]"].concat());
    let titles = ["<dc:title>".repeat(400_000), "</dc:title>".to_owned()].concat();
    let mut rows = Vec::new();
    rows.extend(press("50,000 references to one string", whole("", Vec::new(), vec![string, referring]), Bounded));
    let properties = whole("/Metadata 6 0 R", Vec::new(), vec![(6, stream("", titles.as_bytes()))]);
    rows.extend(press("400,000 titles in one another", properties, Bounded));
    rows.extend(press("4,000,000 greys", drawn(b"1 g ", 4_000_000), Bounded));
    rows.extend(press("1,300,000 lines in a path", drawn(b"0 0 m 9 9 l ", 1_300_000), Bounded));
    rows.extend(press(
        "a picture of 3,000,000 entries",
        whole("", [&b"BI "[..], &b"/W 1 ".repeat(3_000_000)].concat(), Vec::new()),
        Bounded,
    ));
    rows.extend(press("600,000 forms, each smaller", drawn(b".9 0 0 .9 0 0 cm /X Do ", 600_000), Bounded));
    rows.extend(press("2,500,000 names that lead nowhere", drawn(b"/Y Do ", 2_500_000), Bounded));
    rows
}
