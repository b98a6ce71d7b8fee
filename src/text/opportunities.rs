//! Where a line of text may end, before any word is divided: the rules of Unicode Standard Annex 14 at Unicode 15.0, by crate
//! `unicode-linebreak`. A check outside the program compares them with the standard's own test file.

/// Byte offsets of a text before which a line may or must begin, ascending; its end is one of them.
pub fn line_breaks(text: &str) -> Vec<usize> {
    unicode_linebreak::linebreaks(text).map(|(offset, _)| offset).collect()
}
