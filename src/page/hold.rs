//! Pages held to their numbers in print: what grew gets point pages, what shrank leaves blank ones.
//!
//! Takes the pieces of the new column and the record of the printed file; gives plates. The column is parted where a part
//! began a page in print and still stands in that order; each stretch is cut into pages on its own and laid on the pages that
//! it had. A leaf is the least that can be put into a bound pile, so point pages come in pairs after a left-hand page: `12a` is
//! a right-hand page and `12b` its back, blank if need be. Source: replacement pages in manuals (MIL-STD-38784A and training
//! texts on it) for point pages; the leaf follows from how piles are bound.

use super::assemble::own_anchors;
use super::document::{Manifest, Side};
use super::fill::Area;
use super::flow::Piece;
use super::paginate::{PageSpan, paginate};
use super::plate::Plate;
use std::collections::BTreeMap;

/// The plates of a book whose parts keep the pages that they had; `None` where the record does not say which those were.
pub(super) fn plates(pieces: &[Piece], area: Area, printed: &Manifest) -> Option<Vec<Plate>> {
    let holds = holds(pieces, printed);
    let labels: Vec<&str> = printed.pages.iter().map(|page| page.label.as_str()).collect();
    let mut out = Vec::new();
    for (n, (from, page)) in holds.iter().enumerate() {
        let (to, next) = holds.get(n + 1).copied().unwrap_or((pieces.len(), labels.len()));
        let side = side_of(*page);
        let cut = paginate(&pieces[*from..to], area, side);
        let spans = pages(&cut.pages, *from);
        let slots = slots(&labels[..next], *page, spans.len());
        let mut side = side;
        let mut spans = spans.into_iter();
        for label in slots {
            out.push(Plate { span: spans.next().flatten(), side, label });
            side = side.next();
        }
    }
    (!out.is_empty()).then_some(out)
}

/// Printed files begin with a right-hand page, and their sides take turns.
const fn side_of(page: usize) -> Side {
    if page.is_multiple_of(2) { Side::Recto } else { Side::Verso }
}

/// The pages of a cut, blank ones among them, with the numbers of their pieces in the whole column.
fn pages(spans: &[PageSpan], from: usize) -> Vec<Option<PageSpan>> {
    let mut pages = Vec::with_capacity(spans.len());
    for span in spans {
        if span.blank_before {
            pages.push(None);
        }
        pages.push(Some(PageSpan { start: span.start + from, end: span.end + from, blank_before: false }));
    }
    pages
}

/// Where the column is parted: pieces that began a page in print, with the index of that page, both rising. The first piece
/// begins the first page.
fn holds(pieces: &[Piece], printed: &Manifest) -> Vec<(usize, usize)> {
    let index: BTreeMap<&str, usize> =
        printed.pages.iter().enumerate().rev().map(|(n, page)| (page.label.as_str(), n)).collect();
    let began: BTreeMap<&str, usize> = printed
        .starts
        .iter()
        .filter_map(|start| Some((start.anchor.as_str(), *index.get(start.page.as_str())?)))
        .collect();
    if pieces.is_empty() || began.is_empty() {
        return Vec::new();
    }
    let mut holds = vec![(0, 0)];
    for (n, piece) in pieces.iter().enumerate().skip(1) {
        let page = own_anchors(piece).iter().find_map(|anchor| began.get(anchor.as_str()).copied());
        if let Some(page) = page.filter(|page| holds.last().is_some_and(|(_, last)| page > last)) {
            holds.push((n, page));
        }
    }
    holds
}

/// The labels of a stretch that had the printed pages from `page` to the end of `labels` and now wants so many: those it
/// had, and point pages where they are too few.
fn slots(labels: &[&str], page: usize, wanted: usize) -> Vec<String> {
    let mut slots: Vec<String> = labels[page..].iter().map(|label| (*label).to_owned()).collect();
    let extra = wanted.saturating_sub(slots.len()).next_multiple_of(2);
    if extra == 0 {
        return slots;
    }
    // After the last left-hand page of the stretch, else after the one before it.
    let after = (page..labels.len()).rev().find(|n| !n.is_multiple_of(2)).or(page.checked_sub(1));
    let (base, letters) = parted(after.map_or("", |after| labels[after]));
    let at = after.map_or(0, |after| (after + 1).saturating_sub(page));
    // A Roman number with a letter might be another Roman number: the ninth page after `ii` is no `iii`.
    let apart = if base.ends_with(|sign: char| sign.is_ascii_digit()) { "" } else { "-" };
    let points = (letters + 1..).take(extra).map(|number| format!("{base}{apart}{}", letter(number)));
    slots.splice(at..at, points);
    slots
}

/// A label as its number and the letter behind it, counted: `12b` is `12` and 2, `ii-c` is `ii` and 3.
fn parted(label: &str) -> (&str, usize) {
    let is_letters = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_lowercase());
    let (base, letters) = match label.split_once('-').filter(|(_, letters)| is_letters(letters)) {
        Some(parts) => parts,
        None => label.split_at(label.trim_end_matches(|sign: char| sign.is_ascii_lowercase()).len()),
    };
    if base.is_empty() {
        return (label, 0);
    }
    (base, letters.bytes().fold(0, |number, byte| number * 26 + usize::from(byte - b'a') + 1))
}

/// The letters of a number: a to z, then aa.
fn letter(mut number: usize) -> String {
    let mut out = Vec::new();
    while number > 0 {
        number -= 1;
        out.push(char::from(b'a' + u8::try_from(number % 26).unwrap_or(0)));
        number /= 26;
    }
    out.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The worked cases: pages 12 and 13 belong to one part, 14 to the next.
    #[test]
    fn leaves_go_in_after_a_left_hand_page() {
        let labels: Vec<String> = (1..=14).map(|n| n.to_string()).collect();
        let labels: Vec<&str> = labels.iter().map(String::as_str).collect();
        // Pages 11 and 12 had the part; it wants three, then five.
        assert_eq!(slots(&labels[..12], 10, 3), ["11", "12", "12a", "12b"]);
        assert_eq!(slots(&labels[..12], 10, 5), ["11", "12", "12a", "12b", "12c", "12d"]);
        // Pages 12 and 13 had it: the leaf goes in between them.
        assert_eq!(slots(&labels[..13], 11, 3), ["12", "12a", "12b", "13"]);
        // Page 13 alone had it: the leaf goes in before it, and the part still begins on a right-hand page.
        assert_eq!(slots(&labels[..13], 12, 2), ["12a", "12b", "13"]);
        // It shrank, or stayed.
        assert_eq!(slots(&labels[..13], 10, 1), ["11", "12", "13"]);
        // Point pages after point pages.
        assert_eq!(slots(&["1", "2", "2a", "2b"], 2, 4), ["2a", "2b", "2c", "2d"]);
        assert_eq!(slots(&["i", "ii"], 0, 3), ["i", "ii", "ii-a", "ii-b"]);
        assert_eq!(slots(&["i", "ii", "ii-a", "ii-b"], 0, 5), ["i", "ii", "ii-a", "ii-b", "ii-c", "ii-d"]);
    }

    /// However many pages a part grows by, time after time, no label is another page's.
    #[test]
    fn no_two_pages_have_one_label() {
        let numbers = ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii"];
        for at in (1..numbers.len()).step_by(2) {
            let mut part: Vec<String> = numbers[..=at].iter().map(|label| (*label).to_owned()).collect();
            for wanted in [2, 12, 40, 62] {
                let labels: Vec<&str> = part.iter().map(String::as_str).collect();
                part = slots(&labels, 0, labels.len() + wanted);
            }
            let mut all: Vec<&str> = part.iter().map(String::as_str).chain(numbers[at + 1..].iter().copied()).collect();
            let count = all.len();
            all.sort_unstable();
            all.dedup();
            assert_eq!(all.len(), count, "{part:?}");
        }
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([1, 26, 27, 53].map(letter), ["a", "z", "aa", "ba"].map(str::to_owned));
        assert_eq!(parted("12b"), ("12", 2));
        assert_eq!(parted("12"), ("12", 0));
        assert_eq!(parted("iv"), ("iv", 0));
        assert_eq!(parted("iv-aa"), ("iv", 27));
    }
}
