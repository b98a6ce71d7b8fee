//! A file of many tunes, of which each of a book's tunes takes one: cut at its `X:` lines once, so that no tune's reader goes
//! through the whole file again. Takes an excerpt, gives excerpts; reads no music.

use crate::diag::Excerpt;
use crate::reader::abc;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// A tunebook as found.
#[derive(Debug)]
pub struct Tunebook {
    whole: Excerpt,
    /// The lines before the first tune, 0-based.
    head: Range<usize>,
    /// The lines of each tune by its number; those whose number stands once.
    tunes: BTreeMap<u32, Range<usize>>,
}

impl Tunebook {
    /// Cuts a text. One that includes others or holds typeset text, whose ends a cut might miss, stays whole, and so does one
    /// that is refused for its size.
    pub fn new(whole: Excerpt) -> Self {
        let text = whole.text.as_str();
        let is_plain = text.len() <= abc::MOST_BYTES && !text.contains("abc-include") && !text.contains("%%begintext");
        let entries = if is_plain { abc::contents(text) } else { Vec::new() };
        let starts: Vec<usize> = entries.iter().map(|entry| entry.line - 1).collect();
        let end = whole.text.matches('\n').count() + 1;
        let mut tunes = BTreeMap::new();
        let mut twice = Vec::new();
        for (nth, entry) in entries.iter().enumerate() {
            let lines = starts[nth]..starts.get(nth + 1).copied().unwrap_or(end);
            if let Some(number) = entry.number
                && tunes.insert(number, lines).is_some()
            {
                twice.push(number);
            }
        }
        tunes.retain(|number, _| !twice.contains(number));
        let head = 0..starts.first().copied().unwrap_or(0);
        Self { whole, head, tunes }
    }
    /// The lines in the file, counted from 1, on which tunes of a number begin.
    pub fn lines_of(&self, number: u32) -> Vec<usize> {
        let entries = abc::contents(&self.whole.text);
        entries.into_iter().filter(|entry| entry.number == Some(number)).map(|entry| entry.line).collect()
    }
    /// The text in which a tune stands, with the file's header; all of it when no number is given or none or several tunes have it.
    pub fn tune(&self, number: Option<u32>) -> Cow<'_, Excerpt> {
        match number.and_then(|number| self.tunes.get(&number)) {
            Some(lines) => Cow::Owned(self.whole.lines(&[self.head.clone(), lines.clone()])),
            None => Cow::Borrowed(&self.whole),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Place, Sink, Sources};
    use crate::reader::abc::{AbcOptions, Choice};

    const BOOK: &str = "M:3/4\nL:1/8\n\nX:1\nT:One\nK:G\nGAB\n\nfree text\n\nX:2\nT:Two\nK:D\nDEFGAB|\n\nX:3\nT:Three\nK:C\nz\nX:3\nT:Again\nK:C\nc\n";

    #[test]
    fn a_tune_is_read_from_its_part_as_from_the_whole() {
        let mut sources = Sources::default();
        let file = sources.add("a.abc", BOOK);
        let book = Tunebook::new(sources.excerpt(file));
        for number in 1..5 {
            let options = AbcOptions { choose: Some(Choice::Number(number)), ..AbcOptions::default() };
            let (mut of_whole, mut of_part) = (Sink::default(), Sink::default());
            let whole = abc::read(&book.tune(None), &options, &mut of_whole);
            let part = abc::read(&book.tune(Some(number)), &options, &mut of_part);
            assert_eq!(whole, part, "{number}");
            assert_eq!(of_whole.items(), of_part.items(), "{number}");
        }
        let second = book.tune(Some(2));
        assert_eq!(second.text, "M:3/4\nL:1/8\n\nX:2\nT:Two\nK:D\nDEFGAB|\n\n");
        assert_eq!(second.place(3, 0), Place::new(file, 11, 1));
        assert_eq!(book.tune(Some(3)).text, BOOK, "two tunes have this number");
    }
}
