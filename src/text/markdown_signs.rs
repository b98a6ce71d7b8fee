//! Signs between colons: `:outer:`. Takes words from a colon on, gives the sign they name or nearly name.

use crate::diag::nearest;
use crate::text::contract::SIGN_WORDS;

/// The sign word at the start of `:outer: ...`.
pub(super) fn sign_word(text: &str) -> Option<&'static str> {
    let rest = text.strip_prefix(':')?;
    SIGN_WORDS.into_iter().find(|word| rest.strip_prefix(word).is_some_and(|after| after.starts_with(':')))
}

/// A word between colons that is none of the signs but nearly one, and that sign: `12:30:` stays a time.
pub(super) fn near_sign(text: &str) -> Option<(&str, &'static str)> {
    let rest = text.strip_prefix(':')?;
    let end = rest.find(|c: char| !(c.is_ascii_alphabetic() || matches!(c, '-' | '_')))?;
    let word = rest[end..].starts_with(':').then_some(&rest[..end])?;
    Some((word, nearest(word, SIGN_WORDS)?))
}
