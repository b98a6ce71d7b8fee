//! Letters without their marks, for names of files and for the order of an index. Takes a text, gives small letters.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Letters that Unicode does not take apart, as catalogues write them without their own signs (common practice, no source).
const WHOLE: [(char, &str); 9] =
    [('ß', "ss"), ('æ', "ae"), ('œ', "oe"), ('ø', "o"), ('ł', "l"), ('đ', "d"), ('ð', "d"), ('þ', "th"), ('ı', "i")];

/// Small letters without their accents: a letter with a mark is taken apart (Unicode Standard Annex 15), and the mark falls.
pub fn plain_letters(text: &str) -> impl Iterator<Item = char> {
    let letters = text.chars().flat_map(char::to_lowercase).nfd().filter(|c| !is_combining_mark(*c));
    let whole = |c: char| WHOLE.iter().find(|(letter, _)| *letter == c).map(|(_, plain)| *plain);
    letters.flat_map(move |c| whole(c).map_or_else(|| c.to_string(), str::to_owned).chars().collect::<Vec<_>>())
}
