//! American English: British English with its own words for bars and note values.

use super::{AltWords, LeftWords, Words, en_gb};

pub(super) const WORDS: Words = Words {
    bar: ["measure\u{a0}{n}", "measures\u{a0}{a}\u{2013}{b}"],
    on_part: "on the \u{201c}{syllable}\u{201d} of\u{a0}{n}",
    after_part: "just after the \u{201c}{syllable}\u{201d} of\u{a0}{n}",
    pick_up: "the pickup",
    second_half: "the second half of measure\u{a0}{n}",
    left: LeftWords { as_before: "The left hand does as it did in the measure before.", ..en_gb::WORDS.left },
    alt: AltWords {
        values: ["whole note", "half note", "quarter note", "eighth note", "16th note", "32nd note", "64th note"],
        breve: "double whole note",
        bar_rest: "rest for the whole measure",
        bars_rest: "rest for {n} measures",
        metres: ["common time, 4/4", "cut time, 2/2", "no meter"],
        ..en_gb::WORDS.alt
    },
    ..en_gb::WORDS
};
