//! Headings that name bars: `Bars 1-2`, `Bar 8+`, `Mesures 1-2: la fin`.

use super::contract::BarSpan;
use super::model::{Block, Inline};

/// Words that begin such a heading, small letters. Longer ones first.
const WORDS: [&str; 4] = ["bars", "bar", "mesures", "mesure"];

/// The bars a heading names, and what else it says after a colon or dash; `None` for other headings.
pub(super) fn bar_heading(words: &str) -> Option<(BarSpan, Option<String>)> {
    let words = words.trim();
    let lower = words.to_lowercase();
    let word = WORDS
        .into_iter()
        .find(|word| lower.strip_prefix(word).is_some_and(|rest| rest.starts_with(char::is_whitespace)))?;
    // All of the words are ASCII, so their bytes are those of the heading itself.
    let rest = words.get(word.len()..)?.trim_start();
    let (first, rest) = label(rest)?;
    let mut last = first;
    let mut rest = rest.trim_start();
    if let Some(after) = rest.strip_prefix(['-', '\u{2013}'])
        && let Some((second, after)) = label(after.trim_start())
    {
        last = second;
        rest = after.trim_start();
    }
    let title = match rest.strip_prefix([':', '.', '\u{2014}']) {
        Some(title) => Some(title.trim().to_owned()).filter(|title| !title.is_empty()),
        None if rest.is_empty() => None,
        None => return None,
    };
    Some((BarSpan { first: first.to_owned(), last: last.to_owned(), place: None }, title))
}

/// The bars that the headings of a text name, in order, each with its place.
pub fn named_bars(blocks: &[Block]) -> Vec<BarSpan> {
    let mut found = Vec::new();
    for block in blocks {
        match block {
            Block::Heading { inlines, .. } => {
                let span = bar_heading(&Inline::plain(inlines)).map(|(span, _)| span);
                let place = inlines.iter().find_map(Inline::place);
                found.extend(span.map(|span| BarSpan { place, ..span }));
            }
            Block::Quote(inner) => found.extend(named_bars(inner)),
            Block::List { items, .. } => items.iter().for_each(|item| found.extend(named_bars(item))),
            _ => {}
        }
    }
    found
}

/// A bar's number at the start of a text, with what follows.
fn label(text: &str) -> Option<(&str, &str)> {
    let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let end = if text[digits..].starts_with('+') { digits + 1 } else { digits };
    (digits > 0).then(|| text.split_at(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Option<(String, String, Option<String>)> {
        bar_heading(text).map(|(span, title)| (span.first, span.last, title))
    }

    #[test]
    fn headings_that_name_bars_and_others() {
        let one = |a: &str, b: &str, t: Option<&str>| Some((a.to_owned(), b.to_owned(), t.map(str::to_owned)));
        assert_eq!(read("Bars 1-2"), one("1", "2", None));
        assert_eq!(read("bar 8+"), one("8+", "8+", None));
        assert_eq!(read("Bars 3 – 4: the turn"), one("3", "4", Some("the turn")));
        assert_eq!(read("Mesures 5–8"), one("5", "8", None));
        assert_eq!(read("Bar 0"), one("0", "0", None));
        for other in ["Bars", "Bars of gold", "Barline 2", "Bar 3 again", "Before bar 3", "İBars 1"] {
            assert_eq!(read(other), None, "{other}");
        }
    }
}
