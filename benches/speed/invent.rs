//! Invents whole books: tunes that lie on a D/G box, commentary with facts, chapters.
//!
//! Takes a number of tunes and a seed; gives the texts of the files by path. The same seed gives the same book. Nothing in it is
//! a real tune: every bar is drawn from a table of rhythms and moves by steps between notes of its chord.

/// The files of a book: path within its folder, and text. The first is `book.yaml`.
pub type Files = Vec<(String, String)>;

/// A seeded generator (SplitMix64: Steele, Lea, Flood, 2014), so that no run depends on the machine.
pub struct Dice(u64);

impl Dice {
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }
    pub const fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// A number below `limit`.
    pub fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.roll() % limit.max(1) as u64).unwrap_or(0)
    }
    /// One of a list that is not empty.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
    /// True `percent` times of a hundred.
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}

/// A metre with its tempo and rhythms of one bar, in eighths.
pub struct Dance {
    name: &'static str,
    meter: &'static str,
    tempo: &'static str,
    bars: &'static [&'static [u32]],
    last: &'static [u32],
}

pub const DANCES: [Dance; 5] = [
    Dance {
        name: "Waltz",
        meter: "3/4",
        tempo: "1/4=108",
        bars: &[&[2, 2, 2], &[4, 2], &[2, 1, 1, 2], &[3, 1, 2], &[2, 2, 1, 1], &[1, 1, 1, 1, 1, 1]],
        last: &[6],
    },
    Dance {
        name: "March",
        meter: "4/4",
        tempo: "1/4=100",
        bars: &[
            &[2, 2, 2, 2],
            &[2, 1, 1, 2, 2],
            &[4, 2, 2],
            &[3, 1, 3, 1],
            &[1, 1, 1, 1, 2, 2],
            &[1, 1, 1, 1, 1, 1, 1, 1],
        ],
        last: &[4, 4],
    },
    Dance {
        name: "Polka",
        meter: "2/4",
        tempo: "1/4=92",
        bars: &[&[1, 1, 1, 1], &[2, 1, 1], &[1, 1, 2], &[2, 2]],
        last: &[4],
    },
    Dance {
        name: "Jig",
        meter: "6/8",
        tempo: "3/8=80",
        bars: &[&[1, 1, 1, 1, 1, 1], &[2, 1, 2, 1], &[2, 1, 1, 1, 1], &[3, 2, 1], &[1, 1, 1, 3]],
        last: &[3, 3],
    },
    Dance {
        name: "Hornpipe",
        meter: "3/2",
        tempo: "1/2=76",
        bars: &[&[2, 2, 2, 2, 2, 2], &[4, 2, 2, 4], &[2, 2, 4, 2, 2], &[2, 1, 1, 2, 2, 4]],
        last: &[8, 4],
    },
];

/// A key, its letters with a C natural or sharp as the key has it, and its phrases of chords, one a bar.
pub struct Home {
    key: &'static str,
    phrases: &'static [[&'static str; 4]],
    cadence: [&'static str; 4],
}

pub const HOMES: [Home; 4] = [
    Home {
        key: "G",
        phrases: &[["G", "C", "G", "D"], ["G", "G", "C", "D"], ["G", "D", "C", "G"]],
        cadence: ["C", "G", "D", "G"],
    },
    Home {
        key: "D",
        phrases: &[["D", "G", "D", "A"], ["D", "D", "G", "A"], ["D", "A", "G", "D"]],
        cadence: ["G", "D", "A", "D"],
    },
    Home { key: "Em", phrases: &[["Em", "D", "Em", "G"], ["Em", "G", "D", "Em"]], cadence: ["G", "D", "Em", "Em"] },
    Home { key: "Dmix", phrases: &[["D", "C", "D", "G"], ["D", "G", "C", "D"]], cadence: ["G", "C", "D", "D"] },
];

/// The letters from D4 to B5 as ABC writes them: every one of them is on a D/G box in the keys above.
const LADDER: [&str; 13] = ["D", "E", "F", "G", "A", "B", "c", "d", "e", "f", "g", "a", "b"];

/// The letters of a chord.
fn chord(name: &str) -> &'static str {
    match name {
        "G" => "GBD",
        "C" => "CEG",
        "D" => "DFA",
        "A" => "ACE",
        _ => "EGB",
    }
}

const FIRST: [&str; 24] = [
    "Copper", "Thistle", "Kettle", "Lantern", "Heron", "Barley", "Gravel", "Slate", "Marsh", "Candle", "Rope", "Otter",
    "Willow", "Anvil", "Ember", "Saddle", "Pebble", "Turnip", "Chimney", "Harbour", "Meadow", "Walnut", "Feather",
    "Cinder",
];
const SECOND: [&str; 24] = [
    "Gate", "Stile", "Supper", "Ladder", "Bridge", "Bucket", "Corner", "Window", "Hollow", "Parlour", "Ferry",
    "Orchard", "Basket", "Turnpike", "Attic", "Bellows", "Cellar", "Drover", "Garden", "Signal", "Quarry", "Thimble",
    "Weir", "Yard",
];
const SENTENCES: [&str; 12] = [
    "Let the bellows begin the phrase and let the fingers follow them.",
    "The hand lies still here, so that the ear can be with the left hand.",
    "Count two bars before you start, and keep counting when you stop.",
    "Play it slowly enough that no note is late, then no slower.",
    "Where the row changes, look for the note that both rows have.",
    "The second part climbs; give it a little more air and no more speed.",
    "Lift the chord button at once: short chords leave room for the tune.",
    "If the wrist is tired, stop; a tired wrist learns nothing.",
    "Sing the bar before you play it, and play it the way you sang it.",
    "The turn of the bellows is heard as a breath, so put it where a singer would.",
    "Two players can share this one: melody from one box, basses from the other.",
    "Close the bellows well before the long pull, and there will be room for it.",
];

/// A book of so many tunes.
pub fn book(tunes: usize, seed: u64) -> Files {
    let mut dice = Dice::new(seed);
    let mut files = Vec::new();
    let mut chapters = String::new();
    for first in (0..tunes).step_by(10) {
        let number = first / 10 + 1;
        chapters
            .push_str(&format!("  - title: \"Week {number}: {}\"\n    text: weeks/{number}.md\n", dice.pick(&SECOND)));
        let names: Vec<_> = (first..tunes.min(first + 10)).map(|n| format!("tunes/{n:04}.yaml")).collect();
        chapters.push_str(&format!("    tunes: [{}]\n", names.join(", ")));
        files.push((format!("weeks/{number}.md"), prose(&mut dice, 3)));
    }
    for number in 0..tunes {
        files.push((format!("tunes/{number:04}.yaml"), tune(&mut dice, number)));
    }
    let head = format!(
        "book: 1\nid: invented-{seed}\ntitle: Invented Tunes\nauthor: R. Quill\ndate: 2026-09-01\nimpression: 1\n\
         language: en-GB\nbox: dg-21-third\nimprint: {{publisher: Lantern Room Press, isbn: none}}\n\
         page: {{size: a4, orientation: portrait, binding: perfect, tunes: new-page}}\n\
         type: {{text: 11pt, staff: 7.5mm, family: serif}}\n\
         front: [title, imprint, contents, my-box, key, holding]\nchapters:\n{chapters}\
         back: [chord-chart, glossary, index]\n"
    );
    files.insert(0, ("book.yaml".into(), head));
    files
}

/// Paragraphs of a few sentences.
fn prose(dice: &mut Dice, paragraphs: usize) -> String {
    let mut text = String::new();
    for _ in 0..paragraphs {
        let sentences: Vec<_> = (0..4 + dice.below(4)).map(|_| *dice.pick(&SENTENCES)).collect();
        text.push_str(&sentences.join(" "));
        text.push_str("\n\n");
    }
    text
}

/// A tune file: two parts of eight bars, each repeated; every fourth tune has three parts.
pub fn tune(dice: &mut Dice, number: usize) -> String {
    let dance = dice.pick(&DANCES);
    let home = dice.pick(&HOMES);
    let title = format!("{} {} {}", dice.pick(&FIRST), dice.pick(&SECOND), dance.name);
    let parts = if dice.chance(25) { 3 } else { 2 };
    let music = parts_of(dice, dance, home, parts);
    let bars = parts * 8;
    let mut text = format!(
        "title: {title}\nid: t{number:04}\ncomposer: R. Quill\nrights: CC0\nkind: tune\nlevel: {}\nteaches: [{}]\nmusic: |\n  \
         M:{}\n  L:1/8\n  Q:{}\n  K:{}\n{music}",
        1 + dice.below(4),
        dance.name.to_lowercase(),
        dance.meter,
        dance.tempo,
        home.key
    );
    text.push_str("left-hand:\n  pattern: auto\ncommentary: |\n");
    let from = 1 + dice.below(bars - 1);
    let blocks = [
        format!("{}\n", prose(dice, 1).trim()),
        format!("## Bars {from}-{}\n{{walk {from}-{}}}\n", from + 1, from + 1),
        format!("## Bar {bars}\nThe last bar begins like this: {{how {bars}.1}}. {}\n", dice.pick(&SENTENCES)),
        "## Bar 1\nCount it: {count 1} The left hand: {left 1}\n".to_owned(),
    ];
    for block in &blocks {
        for line in block.lines().chain([""]) {
            text.push_str(if line.is_empty() { "" } else { "  " });
            text.push_str(line);
            text.push('\n');
        }
    }
    text.push_str("practice: [60%, 80%, 100%]\n");
    text
}

/// So many parts of eight bars, each repeated.
pub fn parts_of(dice: &mut Dice, dance: &Dance, home: &Home, parts: usize) -> String {
    let mut music = String::new();
    let mut at = 4;
    for part in 0..parts {
        let phrase = dice.pick(home.phrases);
        let chords: Vec<&str> = phrase.iter().chain(&home.cadence).copied().collect();
        music.push_str("  |: ");
        for (nth, name) in chords.iter().enumerate() {
            let rhythm = if nth == 7 { dance.last } else { *dice.pick(dance.bars) };
            at = bar(dice, name, rhythm, at + part % 4, &mut music);
            at -= (part % 4).min(at);
            music.push_str(match nth {
                7 => " :|\n",
                3 => " |\n  ",
                _ => " | ",
            });
        }
    }
    music
}

/// One bar over a chord: its first note is of the chord, the others move by a step or two. Gives the last note's place on the
/// ladder.
fn bar(dice: &mut Dice, name: &str, rhythm: &[u32], mut at: usize, music: &mut String) -> usize {
    music.push_str(&format!("\"{name}\""));
    let letters = chord(name);
    for (nth, length) in rhythm.iter().enumerate() {
        let step = [1, 1, 1, 2][dice.below(4)];
        at = if dice.chance(50) { at + step } else { at.saturating_sub(step) }.clamp(0, LADDER.len() - 1);
        if nth == 0 {
            at = nearest(letters, at);
        }
        if nth > 0 && *length > 1 {
            music.push(' ');
        }
        music.push_str(LADDER[at]);
        if *length > 1 {
            music.push_str(&length.to_string());
        }
    }
    at
}

/// The place nearest to `at` whose letter is in the chord.
fn nearest(letters: &str, at: usize) -> usize {
    (0..LADDER.len())
        .filter(|place| letters.contains(&LADDER[*place].to_ascii_uppercase()))
        .min_by_key(|place| place.abs_diff(at))
        .unwrap_or(at)
}
