//! English words; American ones where they differ.

use super::en_signs::{sign, sign_us};
use super::{Term, Words};
use crate::tune::Mode;

pub(super) const EN_GB: Words = Words {
    contents: "Contents",
    my_box: "Your box",
    key: "Key to the signs",
    key_minor: "An m after it means minor.",
    key_second_half: "8+ is the second half of bar 8, after a repeat in the middle of it.",
    key_curve: "How far the bellows are open, from closed at the lower line to open at the upper one: the grey area the first time \
                through, thin lines the later times.",
    key_places: "Where the hand comes to a place: 9.1 is the first note of bar 9.",
    key_turned: "A line that is typed goes on here from the line above: type the two as one, with a blank between them.",
    key_intro: "Every sign of this book, at the size in which it is printed.",
    holding: "Holding, and comfort",
    how_to: "How this book works",
    measure: "How long do your bellows last?",
    chord_chart: "Chords and their directions",
    scales: "Scales and arpeggios",
    tempo_ladder: "The ladder of speeds",
    practice_log: "Practice log",
    staves: "Staves to write on",
    glossary: "Words of the trade",
    index: "Index",
    sources: "Sources and rights",
    corrections: "Correction slip",

    holding_text: include_str!("en/holding.md"),
    how_to_text: include_str!("en/how-to.md"),
    measure_text: include_str!("en/measure.md"),
    measure_maker: "For whoever makes the book: the smaller figure of step 3 is the one for the box’s file, `bellows: {seconds: ...}`; \
                    the air marks are then reckoned afresh.",
    measure_heads: ["Seconds", "1", "2", "3", "Middle"],
    measure_rows: [
        "One note, push",
        "One note, pull",
        "Note, bass and chord, push",
        "Note, bass and chord, pull",
        "No button, 5 cm",
        "Air button, open to closed",
        "Date",
    ],
    decimal: ".",

    right_hand: "Right hand",
    left_hand: "Left hand",
    push: "push",
    pull: "pull",
    chin: "chin",
    lap: "lap",
    bellows: "bellows",
    chord: "chord",
    outer_row: "outer row",
    inner_row: "inner row",
    half_row: "half row",
    on_staff: "on the staff",
    hand_line: "Where the hand begins: {row}, fingers {fingers} on buttons {buttons}, counted from the chin.",
    hand_from: "From {notes}: {row}, fingers {fingers} on buttons {buttons}, counted from the chin.",
    a_to_b: "{a} to {b}",
    my_box_intro: "As you look down on it with the box on your lap. Each button has two notes: the left half is what it gives on the push, \
                   the right half, with the heavy rim, on the pull. Button 1 is nearest your chin.",
    left_intro: "Capital letters are single bass notes, small letters are chords.",
    thirds_out: "The thirds of this box are out: its chords are neither major nor minor.",
    box_layout: "Layout: {source}",
    box_source: "Boxes differ, most of all in the lowest buttons: try yours against this page before you trust it.",

    arranged: "arr. {name}",
    from: "from {source}",
    box_for: "For the {box} box",
    box_parts: &[],
    buttons: "{n} buttons",
    edition_large: "Large-print edition, set afresh in larger type and larger music; tunes and bars are numbered as in the book itself.",
    edition_teacher: "Teacher’s edition.",
    edition_handout: "Handout.",
    impression: "Impression {number}, {date}",
    isbn_none: "This edition has no ISBN.",
    published_by: "Published by {publisher}",
    rights_of_tunes: "The tunes",
    local_law: "Who may copy, perform or record what is printed here, and for how long, differs from country to country: local law \
                decides.",
    fonts: "Set in {text} and {labels}, the music in Bravura: all under the SIL Open Font Licence 1.1.",
    fonts_one: "Set in {text}, the music in Bravura: both under the SIL Open Font Licence 1.1.",
    fonts_code: "What is typed is set in {code}, under the same licence.",
    errata_note: "Corrections are collected for the next impression; please use the slip at the back.",
    health_note: "Advice on holding and comfort is general and takes no doctor’s or teacher’s place.",
    rights_unstated: "rights not stated",

    along: "along the row",
    smooth: "smooth, across the rows",
    easy: "easy",
    listen: "listen",
    notes_page: "Notes",
    practice: "Practice",
    teacher_notes: "For the teacher",
    open: "open",
    closed: "closed",
    places: "Places of the hand",
    runner_up: "The next best way",

    no_chord: "{chord}, {direction}: none.",
    chord_intro: "Which chords your left hand has, and in which direction. Filled circles are the buttons to press: the solid one \
                  is the chord, the one with a white middle its bass.",
    chord_columns: "The left column is the {left}, the right column the {right}.",
    cross_intro: "A bass with the chord of another pair, in the same direction. What sounds is named as closely as four notes allow.",
    cross_chords: "Cross-chords",
    clash: "These clash, avoid them: {ways}.",

    scales_intro: "Each scale and its chord broken up: along its own row, and where that spares turns of the bellows, across the \
                   rows. Heavy numbers over the staff are fingers, those under it buttons; a boxed number says \
                   where the hand goes, the shape of a head its row.",
    major: "major",
    arpeggio: "arpeggio",
    scale_along: "along the row",
    scale_across: "across the rows",
    turns: "{n} turns",
    one_turn: "1 turn",
    no_turn: "no turn",
    scale_missing: "This box lacks {notes} for {key} in this octave.",

    ladder_intro: "Tick a speed when you have played the whole tune three times without stopping.",
    tune: "Tune",
    page: "Page",
    on_page: "page {page}",
    to_write: "A table to write in: {columns} columns, {rows} rows.",
    bar: "Bar",
    date: "Date",
    minutes: "Minutes",
    speed: "Speed",
    next_time: "What went well, what comes next",
    log_intro: "A little every day does more than an hour on Sunday. Stop before it hurts.",
    staves_intro: "For tunes of your own, and for tunes you hear. Give each note its row by the shape of its head.",
    week: "Week {n}",

    index_titles: "Tunes",
    index_first_lines: "First lines of words",
    index_keys: "By key",
    index_metres: "By metre",
    index_levels: "By level",
    index_teaches: "By what they teach",
    index_goes_on: "{name} (continued)",
    index_words: "Words of the text",
    level: "Level {n}",
    no_metre: "free metre",

    composer: "Composer",
    source: "Source",
    rights: "Rights",

    whose_book: "whoever made this book",
    corrections_intro: "Found something wrong? Write it here, cut the slip off, and give it to your teacher or send it to {publisher}. \
                        {title}, impression {number}.",
    stands: "Stands",
    should_be: "Should be",

    key_groups: ["Row, button, finger", "Bellows", "Left hand", "Notes", "Order of the bars", "What is typed"],
    articles: &["the ", "a ", "an ", "der ", "die ", "das ", "le ", "la ", "les ", "l'", "l’"],
    letters: ["C", "D", "E", "F", "G", "A", "B"],
    colon: ": ",
    terms: TERMS,
    sign,
    mode,
};

pub(super) const EN_US: Words = Words {
    index_metres: "By meter",
    key_second_half: "8+ is the second half of measure 8, after a repeat in the middle of it.",
    key_places: "Where the hand comes to a place: 9.1 is the first note of measure 9.",
    no_metre: "free meter",
    fonts: "Set in {text} and {labels}, the music in Bravura: all under the SIL Open Font License 1.1.",
    fonts_one: "Set in {text}, the music in Bravura: both under the SIL Open Font License 1.1.",
    fonts_code: "What is typed is set in {code}, under the same license.",
    sign: sign_us,
    ..EN_GB
};

const fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Major => "major",
        Mode::Minor => "minor",
        Mode::Dorian => "dorian",
        Mode::Phrygian => "phrygian",
        Mode::Lydian => "lydian",
        Mode::Mixolydian => "mixolydian",
        Mode::Locrian => "locrian",
    }
}

const TERMS: &[Term] = &[
    Term {
        term: "air button",
        used_as: &["air button", "air"],
        meaning: "The button under the left thumb that lets air in or out without a note.",
    },
    Term {
        term: "arpeggio",
        used_as: &["arpeggio", "arpeggios"],
        meaning: "The notes of a chord played one after the other.",
    },
    Term {
        term: "bar",
        used_as: &["bar", "bars"],
        meaning: "The music between two upright lines on the staff; its number is counted from the first full one.",
    },
    Term {
        term: "bass",
        used_as: &["bass", "basses"],
        meaning: "A left-hand button that gives one low note; printed as a capital letter.",
    },
    Term {
        term: "bellows",
        used_as: &["bellows"],
        meaning: "The folds between the two ends; all sound is made by moving them.",
    },
    Term {
        term: "box",
        used_as: &["box", "boxes"],
        meaning: "The instrument: a button accordion whose buttons give one note on the push and another on the pull.",
    },
    Term {
        term: "chin end, lap end",
        used_as: &["chin", "lap"],
        meaning: "The upper and the lower end of the keyboard; buttons are counted from the chin.",
    },
    Term {
        term: "chord",
        used_as: &["chord", "chords"],
        meaning: "Three notes together; a left-hand button that gives them, printed as a small letter.",
    },
    Term {
        term: "cross-chord",
        used_as: &["cross-chord", "cross-chords"],
        meaning: "The bass of one pair with the chord of another.",
    },
    Term {
        term: "crossing",
        used_as: &["crossing", "cross", "crosses", "crossed"],
        meaning: "Taking a note from the other row, so that the bellows need not turn or the left hand gets its chord.",
    },
    Term {
        term: "ending",
        used_as: &["ending", "endings"],
        meaning: "A bracketed passage played on one time through only.",
    },
    Term {
        term: "grace note",
        used_as: &["grace", "graces"],
        meaning: "A small quick note before another; it takes no time of its own.",
    },
    Term {
        term: "hold bar",
        used_as: &["hold bar", "hold bars"],
        meaning: "The solid bar under the staff while one button stays in use.",
    },
    Term { term: "hornpipe", used_as: &["hornpipe", "hornpipes"], meaning: "A dance in four, played with a lilt." },
    Term { term: "jig", used_as: &["jig", "jigs"], meaning: "A dance in two, each beat of three quick notes." },
    Term { term: "march", used_as: &["march", "marches"], meaning: "A tune to walk to, in two or four." },
    Term {
        term: "outer row, inner row",
        used_as: &["outer row", "inner row", "outer", "inner"],
        meaning: "The row furthest from the bellows, and the row next to them.",
    },
    Term {
        term: "pick-up",
        used_as: &["pick-up", "pick-ups"],
        meaning: "The note or notes before the first full bar.",
    },
    Term {
        term: "place",
        used_as: &["place", "places"],
        meaning: "Where the hand lies: the button under the index finger. The other fingers lie on the next three, and in the other row on those beside them, towards the chin. There the hand may lean by half a button: a button of that row may take either of two fingers.",
    },
    Term { term: "polka", used_as: &["polka", "polkas"], meaning: "A quick dance in two." },
    Term { term: "pull", used_as: &["pull", "pulls"], meaning: "Opening the bellows." },
    Term { term: "push", used_as: &["push", "pushes"], meaning: "Closing the bellows." },
    Term { term: "reel", used_as: &["reel", "reels"], meaning: "A fast, even dance in two or four." },
    Term {
        term: "repeat sign",
        used_as: &["repeat", "repeats"],
        meaning: "Two dots by a double line: play again from the sign that faces it, or from the beginning.",
    },
    Term {
        term: "replay",
        used_as: &["replay", "replays"],
        meaning: "The same button lifted and pressed again after a turn of the bellows.",
    },
    Term {
        term: "reversal",
        used_as: &["reversal", "reversals"],
        meaning: "The bellows turn while the button stays down: one finger, two notes.",
    },
    Term {
        term: "row",
        used_as: &["row", "rows"],
        meaning: "A line of buttons that gives the scale of one key; named after it.",
    },
    Term { term: "scale", used_as: &["scale", "scales"], meaning: "The notes of a key in order, one step at a time." },
    Term {
        term: "slur",
        used_as: &["slur", "slurs"],
        meaning: "A curve over different notes: play them smoothly, without a gap.",
    },
    Term {
        term: "thirds",
        used_as: &["thirds"],
        meaning: "The notes that make a chord major or minor; many boxes have a stop that takes them out.",
    },
    Term {
        term: "tie",
        used_as: &["tie", "ties", "tied"],
        meaning: "A curve between two notes of the same pitch: hold on, don’t play again.",
    },
    Term { term: "triplet", used_as: &["triplet", "triplets"], meaning: "Three notes in the time of two." },
    Term { term: "turn", used_as: &["turn", "turns", "turned"], meaning: "The change from push to pull or back." },
    Term { term: "waltz", used_as: &["waltz", "waltzes"], meaning: "A dance in three, strong on the first beat." },
];
