//! A score's head: titles, makers, and the texts on its page.

use super::{quarter, score, tune};
use crate::tune::Tune;

fn with_head(head: &str) -> (Tune, Vec<String>) {
    tune(&score(&[quarter() + &quarter()]).replacen("<part-list>", &format!("{head}<part-list>"), 1))
}

fn credit(kind: &str, words: &[&str]) -> String {
    let kind = if kind.is_empty() { String::new() } else { format!("<credit-type>{kind}</credit-type>") };
    let words: String = words.iter().map(|words| format!("<credit-words>{words}</credit-words>")).collect();
    format!("<credit page=\"1\">{kind}{words}</credit>")
}

/// Roles are kept where a tune has a field of its own for them, and else with their names.
#[test]
fn makers_and_numbers_are_kept() {
    let (tune, said) = with_head(
        "<work><work-number>Op. 3</work-number><work-title>Tunes</work-title></work><movement-number>2</movement-number><movement-title>Air</movement-title><identification><creator type=\"composer\">A</creator><creator type=\"lyricist\">B</creator><creator type=\"arranger\">C</creator><creator type=\"transcriber\">D</creator><rights>CC0</rights><source>a shelf</source><relation type=\"version\">of E</relation><miscellaneous><miscellaneous-field name=\"dance\">slow</miscellaneous-field></miscellaneous></identification>",
    );
    assert!(said.is_empty(), "{said:?}");
    assert_eq!((tune.title.as_str(), tune.other_titles.as_slice()), ("Air", ["Tunes".to_owned()].as_slice()));
    let credits = &tune.credits;
    assert_eq!(
        (credits.composer.as_slice(), credits.transcription.as_slice()),
        (["A".to_owned()].as_slice(), ["D".to_owned()].as_slice())
    );
    let notes =
        ["work number: Op. 3", "movement number: 2", "lyricist: B", "arranger: C", "version: of E", "dance: slow"];
    assert_eq!(credits.notes, notes);
    let written = crate::reader::abc::write(&tune);
    assert!(notes.iter().all(|note| written.contains(&format!("N:{note}\n"))), "{written}");
}

#[test]
fn texts_of_the_page_are_kept_or_told() {
    let head = credit("title", &["The Tin", " Roof"])
        + &credit("composer", &["Ann Other"])
        + &credit("lyricist", &["W"])
        + &credit("page number", &["1"])
        + &credit("", &["The Tin Roof"])
        + &credit("", &["2. And then she sang\nof tin"]);
    let (tune, said) = with_head(&head);
    assert_eq!(
        (tune.title.as_str(), tune.credits.composer.as_slice()),
        ("The Tin Roof", ["Ann Other".to_owned()].as_slice())
    );
    assert_eq!(tune.credits.notes, ["lyricist: W"]);
    assert_eq!(tune.words, ["2. And then she sang", "of tin"]);
    assert_eq!(
        said,
        [
            "not-kept what else stands on the page becomes words below the tune: \u{201c}2. And then she sang of tin\u{201d}"
        ]
    );
    let again = "<identification><creator type=\"composer\">Ann Other</creator></identification>".to_owned();
    let (tune, said) = with_head(&(again + &credit("composer", &["ann other"]) + &credit("", &["Ann Other."])));
    assert_eq!((tune.credits.composer.len(), tune.words.len(), said.len()), (1, 0, 0));
}
