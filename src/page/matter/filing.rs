//! Filing order for indexes.
//!
//! NISO TR03-1999, *Guidelines for Indexes*, by a second-hand table of its rules: word by word; spaces, then symbols, then
//! numerals, then letters; runs of spaces count as one; hyphen, dash and slash count as a space; other punctuation is ignored;
//! capitals and small letters are the same; letters with marks file as the plain letter, ligatures as their letters; numerals in
//! arithmetical order. Initial articles of titles are
//! passed over (common practice in title indexes; TR03 itself files as written).

use crate::text::plain_letters;

/// The key by which a heading is filed.
pub(super) fn key(heading: &str) -> Vec<(u8, u32)> {
    let mut out: Vec<(u8, u32)> = Vec::new();
    let mut in_number = false;
    for c in plain_letters(heading) {
        let goes_on = std::mem::replace(&mut in_number, c.is_ascii_digit());
        match c {
            c if c.is_whitespace() || matches!(c, '-' | '–' | '—' | '/' | '‐' | '‑') => {
                if out.last().is_some_and(|last| last.0 != SPACE) {
                    out.push((SPACE, 0));
                }
            }
            '.' | ',' | ';' | ':' | '(' | ')' | '[' | ']' | '{' | '}' | '\'' | '"' | '!' | '?' | '’' | '‘' | '“'
            | '”' => {}
            c if c.is_ascii_digit() => {
                let digit = c.to_digit(10).unwrap_or(0);
                match out.last_mut().filter(|_| goes_on) {
                    Some((_, number)) => *number = number.saturating_mul(10).saturating_add(digit),
                    None => out.push((NUMERAL, digit)),
                }
            }
            c if c.is_alphabetic() => out.push((LETTER, u32::from(c))),
            c => out.push((SYMBOL, u32::from(c))),
        }
    }
    while out.last().is_some_and(|last| last.0 == SPACE) {
        out.pop();
    }
    out
}

const SPACE: u8 = 0;
const SYMBOL: u8 = 1;
const NUMERAL: u8 = 2;
const LETTER: u8 = 3;

/// A title without its initial article, by the articles of a language.
pub(super) fn without_article<'a>(title: &'a str, articles: &[&str]) -> &'a str {
    let small = title.to_lowercase();
    // Lowering may change lengths; then the title is filed as it stands.
    articles
        .iter()
        .find(|article| small.len() == title.len() && small.starts_with(**article))
        .and_then(|article| title.get(article.len()..))
        .filter(|rest| !rest.trim().is_empty())
        .unwrap_or(title)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Terms of the trade and names filed by hand by the rules of NISO TR03-1999 (word by word, nothing before something; a
    /// hyphen is a space; marks and points are passed over). That letter by letter gives another order shows that the list
    /// tells the two apart.
    #[test]
    fn word_by_word() {
        let filed = [
            "a cappella",
            "a tempo",
            "accent",
            "al fine",
            "allegro",
            "alto",
            "atonal",
            "bar",
            "bar line",
            "baritone",
            "da capo",
            "D.C.",
            "dot",
            "double bar",
            "New Orleans",
            "New York",
            "Newark",
            "Newcastle",
            "Newt",
        ];
        let mut mixed = filed;
        mixed.reverse();
        mixed.sort_by_key(|heading| key(heading));
        assert_eq!(mixed, filed);
        let letters = |heading: &str| key(heading).into_iter().filter(|(class, _)| *class != SPACE).collect::<Vec<_>>();
        mixed.sort_by_key(|heading| letters(heading));
        assert_ne!(mixed, filed);
    }

    /// The order of characters and each rule on its own, clause by clause of the same guidelines.
    #[test]
    fn character_by_character() {
        for (first, then, why) in [
            ("% of air", "3 drips", "symbols before numerals"),
            ("3 drips", "Air", "numerals before letters"),
            ("9 Bouteilles", "10 Bouteilles", "numerals by what they count"),
            ("2/4", "12/8", "so in metres"),
            ("Nuit", "Œuvre du soir", "a ligature as its letters"),
            ("Œuvre du soir", "Palme", "a ligature as its letters"),
            ("bar", "bar line", "nothing before something"),
            ("bar line", "barline", "a space before any letter"),
            ("pick up", "pick-ups", "a hyphen is a space"),
            ("and/or", "andante", "a slash is a space"),
        ] {
            assert!(key(first) < key(then), "{why}: {first:?}, {then:?}");
        }
        for (one, other, why) in [
            ("two   homes", "Two Homes", "runs of spaces count as one, capitals as small letters"),
            ("D.C.", "dc", "full stops are passed over"),
            ("Winnie’s Shawl", "winnies shawl", "so are apostrophes"),
            ("(Eel) “Supper”!", "eel supper", "and brackets, quotation marks and exclamation marks"),
            ("Hôtel-Dieu", "hotel dieu", "letters with marks as without"),
            ("Ælf, Straße", "aelf strasse", "ligatures as their letters"),
        ] {
            assert_eq!(key(one), key(other), "{why}");
        }
    }

    #[test]
    fn articles_and_marks_are_passed_over() {
        let articles = ["the ", "a ", "l'"];
        assert_eq!(without_article("The Tin Lantern", &articles), "Tin Lantern");
        assert_eq!(without_article("A", &articles), "A");
        assert_eq!(without_article("Theodora", &articles), "Theodora");
        assert_eq!(key("Été"), key("ete"));
    }
}
