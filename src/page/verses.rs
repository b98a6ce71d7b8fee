//! Words that stand below a tune (ABC 2.1 §3.1.20) into pieces: each line as the author ended it, a stanza held together where
//! it is not long, white between stanzas. Knows nothing of the words under the notes, which are the music's.

use super::costs::PARTED_VERSES;
use super::flow::{Before, Gap, Piece, Substance, lines};
use super::material::TuneMaterial;
use super::scale::Named;
use super::setting::{Compositor, Setting};
use crate::engrave::sung;
use crate::frame::{Role, Tag};
use crate::geom::{Abs, Em};
use crate::text::{Align, Inline, ParagraphLook};

/// How far the rest of a line that is too long for the column stands in.
const TURNOVER: Em = Em::em(1.5);
/// A stanza of so many set lines is not parted (our choice; most have four to eight).
const WHOLE: usize = 10;

/// The pieces of the words below the tune of this number in the book; none where it has no such words.
pub(super) fn pieces(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let words = &material.entry.tune.words;
    let stanzas = words.split(|line| line.trim().is_empty()).filter(|stanza| !stanza.is_empty());
    let mut out: Vec<Piece> = Vec::new();
    for stanza in stanzas {
        let first = out.len();
        for line in stanza {
            let at = Some(material.entry.place);
            out.extend(comp.at(at, |comp| verse_line(setting, &sung(line.trim()), comp)));
        }
        let count = out.len() - first;
        for (n, piece) in out[first..].iter_mut().enumerate() {
            let may_part = n == 0 || (count > WHOLE && n > 1 && count - n > 1 && piece.before != Before::Never);
            piece.before = match may_part {
                true if first + n == 0 => Before::Free,
                true => Before::Dear(PARTED_VERSES),
                false => Before::Never,
            };
        }
        let white = setting.steps(1.0);
        out[first].gap = Gap { natural: white, stretch: white, shrink: white * 0.5 };
    }
    out.iter_mut().for_each(|piece| piece.substance = Substance::Commentary(tune));
    out
}

/// One line; what goes beyond the column stands in below it, and stays with it.
fn verse_line(setting: &Setting<'_>, line: &str, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let look = look(setting, Abs::ZERO);
    let words = [Inline::text(line)];
    let mut set = comp.set(&words, &look, setting.measure);
    let mut x = Abs::ZERO;
    if set.len() > 1 {
        x = TURNOVER.at(look.size);
        set = comp.set(&words, &self::look(setting, -x), setting.measure - x);
    }
    let tag = (comp.number(), Tag::new(Role::Paragraph));
    let frames = set.into_iter().map(|line| line.frame).collect();
    let mut pieces = lines(frames, (1, 1), false);
    for piece in &mut pieces {
        piece.x = x;
        piece.tags.push(tag.clone());
    }
    pieces
}

/// Running text that keeps the author's line ends: ragged, no word divided.
fn look(setting: &Setting<'_>, indent: Abs) -> ParagraphLook {
    ParagraphLook { align: Align::Left, hyphenate: false, indent, ..setting.scale.look(Named::Text) }
}

#[cfg(test)]
mod tests {
    use super::super::{Document, lay_out, sample};
    use crate::diag::Sink;
    use crate::font::Fonts;
    use crate::frame::{Frame, Item, Role};
    use crate::geom::{Abs, Point, Size};

    const FIRST: &str = "2. A coat, a hat,";
    const LONG: &str = "a sleepin' cat, the journey's done and nobody knows who had the key to the door of the house by the \
        river, or whose turn it was to look for it";
    const LAST: &str = "3. The bell, the gate,";

    /// Every paragraph and every line of music in its order: what is read, and the left edge of each line of words.
    fn read(frame: &Frame, origin: Point, out: &mut Vec<(String, Vec<Abs>)>) {
        for (at, item) in frame.items() {
            let Item::Group(group) = item else { continue };
            let at = origin + *at;
            match &group.tag {
                Some(tag) if tag.role == Role::Paragraph => {
                    let (mut words, mut edges) = (Vec::new(), Vec::new());
                    runs(&group.frame, at, &mut words, &mut edges);
                    out.push((words.join(" "), edges));
                }
                Some(tag) if tag.role == Role::Figure => out.push(("music".to_owned(), Vec::new())),
                _ => read(&group.frame, at, out),
            }
        }
    }

    fn runs(frame: &Frame, origin: Point, words: &mut Vec<String>, edges: &mut Vec<Abs>) {
        for (at, item) in frame.items() {
            match item {
                Item::Text(run) => {
                    words.push(run.text.trim().to_owned());
                    edges.push(origin.x + at.x);
                }
                Item::Group(group) => runs(&group.frame, origin + *at, words, edges),
                _ => {}
            }
        }
    }

    fn bound(text: f64, words: &[&str]) -> (Document, Sink) {
        let size = if text < 14.0 {
            Size::new(Abs::mm(148.0), Abs::mm(210.0))
        } else {
            Size::new(Abs::mm(210.0), Abs::mm(297.0))
        };
        let mut entry = sample::entry("sung", "Sung", 16);
        entry.tune.words = words.iter().map(|&line| line.to_owned()).collect();
        let mut book = sample::book(size, Abs::pt(text), vec![entry]);
        (book.front, book.back) = (Vec::new(), Vec::new());
        let plan = sample::plan();
        let mut sink = Sink::default();
        let document = lay_out(&sample::material(&book, &plan, &[4]), &Fonts::embedded(), &mut sink);
        (document, sink)
    }

    fn all(document: &Document) -> Vec<(String, Vec<Abs>)> {
        let mut out = Vec::new();
        document.pages.iter().for_each(|page| read(&page.frame, Point::default(), &mut out));
        out
    }

    #[test]
    fn words_below_stand_between_the_music_and_what_is_said_of_it() {
        for text in [10.0, 18.0] {
            let (document, sink) = bound(text, &["", FIRST, LONG, "", "", LAST, ""]);
            assert!(sink.items().iter().all(|item| item.code == "page-turn"), "{:?}", sink.items());
            let read = all(&document);
            let at = |words: &str| {
                let found: Vec<usize> = (0..read.len()).filter(|n| read[*n].0.starts_with(words)).collect();
                assert_eq!(found.len(), 1, "{words} at {text}: {read:?}");
                found[0]
            };
            let long = at("a sleepin’ cat, the journey’s done");
            assert_eq!((at(FIRST) + 1, long + 1), (long, at(LAST)), "one element a line, in their order");
            assert_eq!(read[at(FIRST) - 1].0, "music");
            assert!(at("The tune stays on four buttons") > at(LAST));
            // No line is lost, and the rest of a long one stands in.
            assert_eq!(read[long].0.replace('’', "'"), LONG);
            let edges = &read[long].1;
            assert!(edges.len() > 1 && edges[1..].iter().all(|edge| *edge > edges[0] + Abs::pt(text)), "{edges:?}");
            assert_eq!(read[at(FIRST)].1[0], edges[0]);
        }
    }

    #[test]
    fn more_verses_than_a_page_holds_go_on() {
        let many: Vec<String> = (0..200).map(|n| format!("line {n} of a ballad,")).collect();
        let many: Vec<&str> = many.iter().map(String::as_str).collect();
        let (document, sink) = bound(12.0, &many);
        assert!(sink.items().iter().all(|item| item.code == "page-turn"), "{:?}", sink.items());
        let read = all(&document);
        assert_eq!(read.iter().filter(|(words, _)| words.ends_with("of a ballad,")).count(), 200);
    }
}
