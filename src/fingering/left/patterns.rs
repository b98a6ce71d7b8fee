//! Left-hand patterns by metre, as data.
//!
//! `B` is the bass of the chord in force, `C` its chord, `+` together, `-` held on, `.` nothing; commas part beats and the
//! tokens of a beat share it equally, as an author writes them. Sources: root-chord-root-chord and waltz from a published
//! box lesson; 4/4 bass on 1 and 3 from a published teaching page; triple hornpipes sustained, because oom-pah flattens
//! their syncopation, from a published workshop programme; 6/8, 9/8, 12/8 and the rest are common practice, no source.

use crate::tune::Meter;

/// A pattern: its name, and one bar of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Pattern {
    /// What an author calls it.
    pub name: &'static str,
    /// Its beats; repeated or cut to the bar's number of beats.
    pub beats: &'static str,
}

/// All patterns an author can name.
pub(super) const PATTERNS: &[Pattern] = &[
    Pattern { name: "march", beats: "B, C, B, C" },
    Pattern { name: "polka", beats: "B C, B C" },
    Pattern { name: "waltz", beats: "B, C, C" },
    Pattern { name: "mazurka", beats: "B, ., C" },
    Pattern { name: "jig", beats: "B . C, B . C" },
    Pattern { name: "plain-jig", beats: "B, C" },
    Pattern { name: "slip-jig", beats: "B . C, B . C, B . C" },
    Pattern { name: "plain-slip-jig", beats: "B, C, C" },
    Pattern { name: "three-eight", beats: "B C C" },
    Pattern { name: "held", beats: "B+C, -, -, -" },
    Pattern { name: "block", beats: "B+C, B+C, B+C" },
    Pattern { name: "off-beats", beats: ". C, . C, . C, . C" },
    Pattern { name: "bass-only", beats: "B, ., B, ." },
    Pattern { name: "chords-only", beats: "C, ., C, ." },
];

/// The pattern of this name.
pub(super) fn named(name: &str) -> Option<Pattern> {
    PATTERNS.iter().copied().find(|pattern| pattern.name == name)
}

/// The pattern a metre asks for.
pub(super) fn of_meter(meter: &Meter) -> Pattern {
    let name = match meter.figures() {
        Some((3, 8)) => "three-eight",
        Some((2, 2)) | Some((2, 4)) => "polka",
        Some((3, 4)) => "waltz",
        Some((3 | 6, 2)) => "held",
        Some((9, 4 | 8 | 16)) => "slip-jig",
        Some(_) if meter.is_compound() => "jig",
        Some((3 | 5 | 7, _)) => "waltz",
        Some(_) => "march",
        None => "held",
    };
    named(name).expect("every metre's pattern stands in the table")
}

/// What one token of a pattern sounds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stroke {
    /// Bass, chord, or both.
    Press {
        /// The bass.
        bass: bool,
        /// The chord.
        chord: bool,
    },
    /// The last stroke goes on.
    Hold,
    /// Nothing.
    Rest,
}

/// The strokes of a pattern, beat by beat.
pub(super) fn strokes(pattern: Pattern) -> Vec<Vec<Stroke>> {
    let stroke = |token: &str| match token {
        "-" => Stroke::Hold,
        "." => Stroke::Rest,
        _ => Stroke::Press { bass: token.contains('B'), chord: token.contains('C') },
    };
    pattern.beats.split(',').map(|beat| beat.split_whitespace().map(stroke).collect()).collect()
}

/// The lengths of a bar's beats, in parts of the metre's lower figure: groups of a summed metre are beats of their own.
pub(super) fn groups(meter: &Meter) -> Option<Vec<u32>> {
    match meter {
        Meter::Figures { groups, .. } if groups.len() > 1 => Some(groups.clone()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metres_find_their_patterns() {
        let name = |beats, unit| of_meter(&Meter::simple(beats, unit)).name;
        assert_eq!([name(3, 4), name(6, 8), name(9, 8), name(3, 2)], ["waltz", "jig", "slip-jig", "held"]);
        assert_eq!([name(4, 4), name(2, 4), name(12, 8), name(3, 8)], ["march", "polka", "jig", "three-eight"]);
        assert_eq!(of_meter(&Meter::Common).name, "march");
        assert_eq!(of_meter(&Meter::Cut).name, "polka");
    }

    #[test]
    fn names_are_unique_and_tokens_known() {
        for (n, pattern) in PATTERNS.iter().enumerate() {
            assert!(PATTERNS[..n].iter().all(|other| other.name != pattern.name));
            assert!(pattern.beats.chars().all(|c| "BC+-., ".contains(c)), "{}", pattern.name);
            assert!(strokes(*pattern).iter().all(|beat| !beat.is_empty()));
        }
    }
}
