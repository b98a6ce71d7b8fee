//! The known word nearest to one that is not known. Knows nothing of what the words mean.
//!
//! The measure counts insertions, deletions, replacements and swaps of neighbours (optimal string alignment).

/// Longer words are not compared.
const LONGEST: usize = 64;

/// The known word that a writer most likely meant; `None` when none is near. Ties go to the first.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = plain(word);
    if word.is_empty() || word.len() > LONGEST {
        return None;
    }
    // One slip in a short word, two from six letters, three from ten: more would suggest words that nobody meant.
    let most = match word.len() {
        0..=2 => 0,
        3..=5 => 1,
        6..=9 => 2,
        _ => 3,
    };
    let mut best: Option<(usize, &str)> = None;
    for candidate in known {
        let letters = plain(candidate);
        if letters.len().abs_diff(word.len()) > most || letters.len() > LONGEST {
            continue;
        }
        let distance = distance(&word, &letters);
        if distance <= most && distance < letters.len() && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// Case and the choice of `_`, blank or `-` are no slips.
fn plain(word: &str) -> Vec<char> {
    word.trim().chars().flat_map(char::to_lowercase).map(|c| if c == '_' || c == ' ' { '-' } else { c }).collect()
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let replaced = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = replaced.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = least;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_find_their_word() {
        let known = ["title", "subtitle", "left-hand", "comb", "practice"];
        for (slip, meant) in [
            ("tittle", Some("title")),
            ("ttile", Some("title")),
            ("Left_Hand", Some("left-hand")),
            ("practise", Some("practice")),
            ("comp", Some("comb")),
            ("zebra", None),
            ("", None),
            ("is", None),
        ] {
            assert_eq!(nearest(slip, known), meant, "{slip}");
        }
        assert_eq!(nearest(&"x".repeat(100_000), known), None);
    }

    #[test]
    fn swaps_count_once() {
        let chars = |text: &str| text.chars().collect::<Vec<_>>();
        assert_eq!(distance(&chars("ab"), &chars("ba")), 1);
        assert_eq!(distance(&chars("kitten"), &chars("sitting")), 3);
    }
}
