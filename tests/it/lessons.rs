//! The words of lessons against the plans: every walk through every bar of the demo books, in three languages.
//!
//! Each clause is read again and compared with the plan's own figures: beat, note, button, row, finger, direction, how it is
//! sounded, how long it is held, and what the left hand does. What a clause ought to name is worked out here, apart from the
//! room that writes the words; only the words themselves are shared knowledge. A statement that is missing, false or about no
//! note at all fails.

use crate::program::tune_books;
use boxwright::book;
use boxwright::diag::{Place, Sink, Sources};
use boxwright::fingering::{Plan, PlannedNote, Press, Sound};
use boxwright::instrument::{Direction, Instrument, LeftKind, RowAt};
use boxwright::lesson::Lesson;
use boxwright::pipeline;
use boxwright::tune::{Event, Fraction, Onset, Pitch, Tune};
use std::fs;

/// What a language says; clauses are told apart by these pieces.
struct Language {
    tag: &'static str,
    and: &'static str,
    letters: [&'static str; 7],
    sharp: &'static str,
    flat: &'static str,
    way: [&'static str; 2],
    turn: [&'static str; 2],
    fingers: [&'static str; 4],
    button: [&'static str; 2],
    rows: [&'static str; 2],
    row_names: [&'static str; 2],
    on: &'static str,
    of: [&'static str; 4],
    run: [&'static str; 2],
    again: [&'static str; 4],
    kept: [&'static str; 2],
    afresh: [&'static str; 2],
    tie: &'static str,
    rest: &'static str,
    hand: &'static str,
    left: &'static [&'static str],
    left_rests: &'static str,
    names: [&'static str; 2],
    minor: &'static str,
    held: &'static str,
    numbers: [&'static str; 8],
}

const ENGLISH: Language = Language {
    tag: "en-GB",
    and: " and ",
    letters: ["C", "D", "E", "F", "G", "A", "B"],
    sharp: " sharp",
    flat: " flat",
    way: ["on the push", "on the pull"],
    turn: ["turn to the push", "turn to the pull"],
    fingers: ["index", "middle", "ring", "little"],
    button: ["button ", "buttons "],
    rows: ["of the outer row", "of the inner row"],
    row_names: ["outer row", "inner row"],
    on: "on ",
    of: ["on the ‘", "’ of ", "just after ", "just after the ‘"],
    run: ["follow one another", "run along"],
    again: ["same button again", "comes again", "again on", "again just after"],
    kept: ["down and turn", "without letting go"],
    afresh: ["lift the finger", "once more, pressed afresh"],
    tie: "through the tie",
    rest: "there is a rest",
    hand: "the hand ",
    left: &["the left hand plays ", "under it go "],
    left_rests: "the left hand rests",
    names: ["the {} bass", "the {} chord"],
    minor: " minor",
    held: "held for ",
    numbers: ["two", "three", "four", "five", "six", "seven", "eight", "nine"],
};

const FRENCH: Language = Language {
    tag: "fr",
    and: " et ",
    letters: ["do", "ré", "mi", "fa", "sol", "la", "si"],
    sharp: " dièse",
    flat: " bémol",
    way: ["en poussé", "en tiré"],
    turn: ["passez au poussé", "passez au tiré"],
    fingers: ["index", "majeur", "annulaire", "auriculaire"],
    button: ["touche ", "touches "],
    rows: ["du rang extérieur", "du rang intérieur"],
    row_names: ["rang extérieur", "rang intérieur"],
    on: "sur ",
    of: ["sur le « ", " » de ", "juste après ", "juste après le « "],
    run: ["se suivent", "s’enchaînent"],
    again: ["rejouez la même touche", "revient", "rejouez la touche", "rejouez la touche"],
    kept: ["enfoncée et", "sans lâcher"],
    afresh: ["levez le doigt", "relevée puis rejouée"],
    tie: "par la liaison",
    rest: "silence ",
    hand: "la main ",
    left: &["la main gauche joue ", "à la main gauche, "],
    left_rests: "la main gauche se repose",
    names: ["la basse de {}", "l’accord de {}"],
    minor: " mineur",
    held: "tenir ",
    numbers: ["deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf"],
};

/// One spelling of spaces, quotes and bars.
fn plain(text: &str) -> String {
    let text = text.replace(['\u{a0}', '\u{202f}'], " ").replace('“', "‘").replace('”', "’");
    text.replace("measure", "bar").replace("Measure", "Bar")
}

/// A bar under check, with what is needed to speak of it.
struct Bar<'a> {
    tune: &'a Tune,
    plan: &'a Plan,
    bar: usize,
    words: &'a Language,
}

impl Bar<'_> {
    fn list(&self, items: &[String]) -> String {
        match items {
            [] => String::new(),
            [one] => one.clone(),
            [front @ .., last] => format!("{}{}{last}", front.join(", "), self.words.and),
        }
    }
    /// The beat counted in a bar, and whether it falls into three.
    fn unit(&self) -> (Fraction, bool) {
        let (beats, unit) = self.tune.meter_at(self.bar).figures().expect("the demo tunes have metres in figures");
        let unit_length = Fraction::new(1, unit.into());
        match (beats, unit) {
            (6 | 9 | 12, 8) => (unit_length * Fraction::new(3, 1), true),
            _ => (unit_length, false),
        }
    }
    /// The beat (from 1) and the syllable of a moment, `None` on the beat itself; and whether it comes just after that.
    fn moment(&self, onset: Onset) -> (i64, Option<&'static str>, bool) {
        let (unit, threes) = self.unit();
        let here = &self.tune.bars[self.bar];
        let full = self.tune.meter_at(self.bar).bar_length().expect("a metre in figures has a length");
        let late =
            if here.label.second_half || here.label.number == 0 { full.0 - here.length.0 } else { Fraction::ZERO };
        let at = (late + onset.0).over(unit);
        let beat = at.floor();
        let rest = at - Fraction::new(beat, 1);
        let french = self.words.tag == "fr";
        let [and, e] = if french { ["et", "é"] } else { ["and", "e"] };
        let triplet = if french { ["et", "a"] } else { ["trip", "let"] };
        let (syllable, after) = match (rest.num(), rest.den(), threes) {
            (0, _, _) => (None, false),
            (1 | 2, 3, false) => (Some(triplet[rest.num() as usize - 1]), false),
            (1, 2, false) | (1, 3, true) => (Some(and), false),
            (1, 4, false) => (Some(e), false),
            (3, 4, false) | (2, 3, true) => (Some("a"), false),
            (_, 6, _) | (1, 2, true) => (Some("ti"), false),
            // Three syllables in threes, four in twos: the last one said is named.
            (.., true) => ([None, Some(and), Some("a")][(rest.to_f64() * 3.0) as usize], true),
            (.., false) => ([None, Some(e), Some(and), Some("a")][(rest.to_f64() * 4.0) as usize], true),
        };
        (beat + 1, syllable, after)
    }
    /// How moments are named together.
    fn on(&self, onsets: &[Onset]) -> String {
        let moments: Vec<_> = onsets.iter().map(|onset| self.moment(*onset)).collect();
        let one = |syllable: Option<&str>, after: bool, numbers: &str| match (syllable, after) {
            (None, false) => format!("{}{numbers}", self.words.on),
            (Some(syllable), false) => format!("{}{syllable}{}{numbers}", self.words.of[0], self.words.of[1]),
            (None, true) => format!("{}{numbers}", self.words.of[2]),
            (Some(syllable), true) => format!("{}{syllable}{}{numbers}", self.words.of[3], self.words.of[1]),
        };
        let alike = moments.iter().all(|moment| moment.1 == moments[0].1 && !moment.2);
        if alike {
            let numbers: Vec<String> = moments.iter().map(|moment| moment.0.to_string()).collect();
            return one(moments[0].1, false, &self.list(&numbers));
        }
        self.list(&moments.iter().map(|moment| one(moment.1, moment.2, &moment.0.to_string())).collect::<Vec<_>>())
    }
    fn pitch(&self, pitch: Pitch) -> String {
        let class = pitch.class();
        let sign = ["", self.words.sharp, self.words.flat][class.alter.rem_euclid(3) as usize];
        format!("{}{sign}", self.words.letters[class.step.index() as usize])
    }
    fn planned(&self, event: &Event) -> Option<&PlannedNote> {
        event.head().and_then(|id| self.plan.note(id)).filter(|note| !note.presses.is_empty())
    }
    fn is_grace(&self, note: &PlannedNote) -> bool {
        self.tune.addresses[note.id.index()].grace.is_some()
    }
    fn fail(&self, text: &str, why: &str) -> ! {
        panic!("{} bar {} ({}): {why}\n{text}", self.tune.title, self.tune.bars[self.bar].label, self.words.tag)
    }
    fn demand(&self, yes: bool, text: &str, why: &str) {
        if !yes {
            self.fail(text, why);
        }
    }

    /// Reads the whole walk of the bar.
    fn check(&self, walk: &str, said: &mut Said) {
        let text = plain(walk);
        let mut sentences = text.trim_end_matches('.').split(". ").map(lower).peekable();
        let opening = sentences.next().expect("a walk begins with the bar");
        let events: Vec<&Event> = self.tune.bars[self.bar].events.iter().collect();
        let ways: Vec<(Onset, Direction)> =
            events.iter().filter_map(|event| Some((event.onset, self.planned(event)?.direction))).collect();
        if !ways.is_empty() {
            self.opening(&opening, &ways);
        }
        let mut next = 0;
        let mut said_row = None;
        let mut left = None;
        let mut moves = 0;
        for sentence in sentences {
            if self.words.left.iter().any(|start| sentence.starts_with(start))
                || sentence.contains(self.words.left_rests)
            {
                self.demand(left.is_none(), &text, "two sentences for the left hand");
                left = Some(sentence);
                continue;
            }
            if sentence.starts_with(self.words.hand) && !sentence.contains(self.words.rest) {
                let place = events.get(next).and_then(|event| self.planned(event)).map(|note| note.place.0);
                let place = place.unwrap_or_else(|| self.fail(&text, "the hand moves for no note"));
                let named = sentence.contains(&format!("{}{}", self.words.button[0], place.number));
                self.demand(named, &sentence, "the place is another");
                let row = self.words.row_names[place.row as usize];
                self.demand(sentence.contains(row), &sentence, "the place is on another row");
                moves += 1;
                said.places += 1;
                // The row of the next button is said afresh.
                said_row = None;
                continue;
            }
            for clause in sentence.replace(" ; ", "; ").split("; ") {
                if next > 0 && self.graces(clause, events[next - 1]) {
                    said.graces += 1;
                    continue;
                }
                next += self.clause(clause, &events[next..], &mut said_row, said);
            }
        }
        self.demand(next == events.len(), &text, "not every event of the bar is told");
        let moves_at = |event: &&&Event| {
            let mut all = event.graces.iter().map(|grace| grace.id).chain(event.head());
            all.any(|id| self.plan.note(id).is_some_and(|note| note.place_moves))
        };
        let moved = events.iter().filter(moves_at).count();
        self.demand(moves == moved, &text, "not every move of the hand is told");
        self.left(left.as_deref(), &text, said);
    }

    fn opening(&self, opening: &str, ways: &[(Onset, Direction)]) {
        let first = ways[0].1;
        self.demand(opening.contains(self.words.way[first as usize]), opening, "the bar begins the other way");
        self.demand(!opening.contains(self.words.way[first.turned() as usize]), opening, "two directions");
        let turns: Vec<Onset> = ways.windows(2).filter(|pair| pair[0].1 != pair[1].1).map(|pair| pair[1].0).collect();
        let number = turns.len().checked_sub(2).and_then(|n| self.words.numbers.get(n)).copied().unwrap_or("?");
        let told = if turns.is_empty() {
            !opening.contains("turn") && !opening.contains("change")
        } else {
            let times = format!(" {number} ");
            opening.ends_with(&self.on(&turns)) || turns.len() > 3 && opening.contains(&times)
        };
        self.demand(told, opening, "the turns are others");
    }

    /// Whether a clause speaks of an event's graces, and does so rightly.
    fn graces(&self, clause: &str, event: &Event) -> bool {
        let presses: Vec<_> =
            event.graces.iter().filter_map(|g| self.plan.note(g.id)).flat_map(|note| &note.presses).collect();
        let quick = clause.contains("quick") || clause.contains("rapide");
        if quick {
            for press in &presses {
                let number = press.button.number.to_string();
                let right = clause.contains(&lower(&self.pitch(press.pitch))) && clause.contains(&number);
                self.demand(right, clause, "the graces are others");
            }
            self.demand(!presses.is_empty(), clause, "there is no grace");
        }
        quick
    }

    /// Checks one clause against the events it covers; gives how many.
    fn clause(&self, clause: &str, events: &[&Event], row: &mut Option<RowAt>, said: &mut Said) -> usize {
        let words = self.words;
        let Some(event) = events.first() else { self.fail(clause, "about no event") };
        if clause.contains(words.rest) {
            self.demand(event.head().is_none(), clause, "no rest is there");
            self.demand(clause.ends_with(&self.on(&[event.onset])), clause, "the rest is elsewhere");
            said.rests += 1;
            return 1;
        }
        let Some(note) = self.planned(event) else { self.fail(clause, "the note is not planned") };
        let has = |piece: &&str| clause.contains(*piece);
        if has(&words.tie) && !numbered(clause, words.button[0]) {
            self.demand(note.presses.iter().all(|press| press.sound == Sound::Tie), clause, "no tie is there");
            said.ties += 1;
            return 1;
        }
        let count = if words.run.iter().any(&has) {
            let list = |n: usize| self.buttons(&events[..n]);
            let run = (2..=events.len().min(6)).rev().find(|n| list(*n).is_some_and(|list| names(clause, &list)));
            run.unwrap_or_else(|| self.fail(clause, "the buttons of the run are others"))
        } else if words.again.iter().any(&has) && !words.afresh.iter().any(&has) {
            let on = |n: usize| self.on(&events[..n].iter().map(|event| event.onset).collect::<Vec<_>>());
            let all = (1..=events.len().min(6)).rev().find(|n| names(clause, &on(*n)));
            all.unwrap_or_else(|| self.fail(clause, "pressed again elsewhere"))
        } else {
            1
        };
        let covered: Vec<&PlannedNote> = events[..count].iter().filter_map(|event| self.planned(event)).collect();
        self.demand(covered.len() == count, clause, "a rest among the notes");
        self.sounds(clause, note, &covered, count);
        // Beats: of a run its first, of all others each.
        let run = words.run.iter().any(&has);
        let onsets: Vec<Onset> = events[..if run { 1 } else { count }].iter().map(|event| event.onset).collect();
        self.demand(names(clause, &self.on(&onsets)), clause, "the beat is another");
        // Buttons and their row, where the clause names them.
        let pressed: Vec<_> = covered.iter().flat_map(|note| &note.presses).filter(|p| p.sound != Sound::Tie).collect();
        if words.button.iter().any(|piece| numbered(clause, piece)) {
            for press in &pressed {
                let named = clause.split(|c: char| !c.is_ascii_digit()).any(|n| n == press.button.number.to_string());
                self.demand(named, clause, "the button is another");
            }
            let here = pressed[0].button.row;
            let spoken = [RowAt::Outer, RowAt::Inner].into_iter().find(|row| has(&words.rows[*row as usize]));
            let one_row = pressed.iter().all(|press| press.button.row == here);
            self.demand(spoken.or(*row) == Some(here) || !one_row, clause, "the row is another");
            *row = one_row.then_some(here);
            said.buttons += pressed.len();
        }
        // Fingers, where it names them: exactly those.
        for (n, finger) in words.fingers.iter().enumerate() {
            let spoken = clause.split(|c: char| !c.is_alphabetic()).filter(|word| word == finger).count();
            // A button pressed again and again names its finger once, and only where it is a new one.
            let again = covered[0].presses[0].sound == Sound::Repeat;
            let named = if again { &pressed[..covered[0].presses.len()] } else { &pressed[..] };
            let there = named.iter().filter(|press| usize::from(press.finger) == n + 1).count();
            let silent = words.fingers.iter().all(|finger| !clause.contains(finger));
            self.demand(silent || spoken == there, clause, "the finger is another");
            said.fingers += spoken;
        }
        let before = event.head().and_then(|id| self.tune.addresses.get(..id.index())).map_or(0, <[_]>::len);
        let before = self.plan.notes[..before].iter().rev().flatten().find(|before| !self.is_grace(before));
        let other = |a: &Press| note.presses.iter().any(|b| a.button == b.button && a.finger != b.finger);
        let new_finger = before.is_some_and(|before| before.presses.iter().any(other))
            && matches!(note.presses[0].sound, Sound::Repeat | Sound::Replay);
        let spoken = words.fingers.iter().any(|finger| clause.contains(finger));
        self.demand(!new_finger || spoken, clause, "the new finger is not named");
        // Pitches, but where the same button is just pressed again.
        if !clause.contains(words.again[0]) {
            let pitches: Vec<String> = if words.again.iter().any(&has) { &pressed[..1] } else { &pressed }
                .iter()
                .map(|press| lower(&self.pitch(press.pitch)))
                .collect();
            self.demand(names(clause, &self.list(&pitches)), clause, "the note is another");
            said.notes += pressed.len();
        }
        // How long the last one is held.
        let beats = events[count - 1].duration.0.over(self.unit().0);
        let number =
            beats.num().checked_sub(2).and_then(|n| words.numbers.get(n as usize)).filter(|_| beats.den() == 1);
        let held = number.is_some_and(|number| clause.contains(&format!("{}{number}", words.held)));
        self.demand(held == clause.contains(words.held), clause, "held otherwise");
        count
    }

    /// What a clause says of the way a note is sounded and of the bellows.
    fn sounds(&self, clause: &str, note: &PlannedNote, covered: &[&PlannedNote], count: usize) {
        let words = self.words;
        let any = |pieces: &[&str]| pieces.iter().any(|piece| clause.contains(piece));
        let sound = note.presses[0].sound;
        self.demand(any(&words.kept) == (sound == Sound::Reversal), clause, "kept down or not");
        self.demand(any(&words.afresh) == (sound == Sound::Replay), clause, "pressed afresh or not");
        let again = any(&words.again) && !any(&words.afresh);
        self.demand(again == (sound == Sound::Repeat), clause, "pressed again or not");
        let all = covered.iter().all(|other| other.direction == note.direction);
        self.demand(all, clause, &format!("{count} notes in two directions"));
        let way = note.direction as usize;
        self.demand(!clause.contains(words.turn[1 - way]), clause, "turned the wrong way");
        if matches!(sound, Sound::Reversal | Sound::Replay) {
            self.demand(clause.contains(words.turn[way]), clause, "the turn is not told");
        }
    }

    /// `3`, `3, 4 and 5`: the buttons of single notes one after another.
    fn buttons(&self, events: &[&Event]) -> Option<String> {
        let numbers: Option<Vec<String>> =
            events.iter().map(|event| Some(self.planned(event)?.presses.first()?.button.number.to_string())).collect();
        Some(format!("{}{}", self.words.button[1], self.list(&numbers?)))
    }

    fn left(&self, sentence: Option<&str>, text: &str, said: &mut Said) {
        let presses: Vec<_> = self.plan.left.iter().filter(|press| press.bar == self.bar && !press.dropped).collect();
        let Some(sentence) = sentence else {
            self.demand(self.plan.left.is_empty(), text, "nothing about the left hand");
            return;
        };
        self.demand(presses.is_empty() == sentence.contains(self.words.left_rests), sentence, "rests or not");
        for press in &presses {
            let name = press.name.trim_end_matches('m');
            let pitch = Pitch::parse(&format!("{}{}4", name[..1].to_uppercase(), &name[1..])).expect("a button's name");
            let pattern = self.words.names[usize::from(press.kind == LeftKind::Chord)];
            let minor = if press.name.ends_with('m') { self.words.minor } else { "" };
            let name = lower(&pattern.replace("{}", &format!("{}{minor}", self.pitch(pitch))));
            self.demand(sentence.contains(&name), sentence, &format!("no {name}"));
            let (beat, ..) = self.moment(press.onset);
            let beat = beat.to_string();
            let spoken = sentence.split(|c: char| !c.is_ascii_digit()).any(|number| number == beat);
            self.demand(spoken, sentence, "not on its beat");
            said.left += 1;
        }
        let told = sentence.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty()).count();
        let mut onsets: Vec<_> = presses.iter().map(|press| (press.onset, press.kind)).collect();
        onsets.dedup_by_key(|press| press.0);
        self.demand(told >= onsets.len().min(told + 1) && told <= presses.len(), sentence, "another number of presses");
    }
}

fn lower(text: &str) -> String {
    text.to_lowercase()
}

/// Whether a piece of a clause is followed by a number.
fn numbered(clause: &str, piece: &str) -> bool {
    clause.match_indices(piece).any(|(at, _)| clause[at + piece.len()..].starts_with(|c: char| c.is_ascii_digit()))
}

/// Whether a clause names a piece as whole words.
fn names(clause: &str, piece: &str) -> bool {
    let piece = lower(piece);
    clause.match_indices(&piece).any(|(at, _)| {
        let ends = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        let after = &clause[at + piece.len()..];
        // `on 1` is not `on 1 and 2`.
        let more = after.strip_prefix(" and ").or(after.strip_prefix(" et ")).or(after.strip_prefix(", "));
        let goes_on = more.is_some_and(|more| more.starts_with(|c: char| c.is_ascii_digit()));
        ends(clause[..at].chars().last())
            && ends(after.chars().next())
            && !(goes_on && piece.ends_with(char::is_numeric))
    })
}

/// How much has been said and found true, so that the test cannot pass on silence.
#[derive(Debug, Default)]
struct Said {
    notes: usize,
    buttons: usize,
    fingers: usize,
    places: usize,
    rests: usize,
    ties: usize,
    graces: usize,
    left: usize,
}

#[test]
fn every_walk_through_the_demo_books_is_true() {
    let american = Language { tag: "en-US", ..ENGLISH };
    for language in [&ENGLISH, &american, &FRENCH] {
        let mut said = Said::default();
        for (name, edition) in tune_books() {
            let path = format!("{}/books/{name}/book.yaml", env!("CARGO_MANIFEST_DIR"));
            let (mut sources, mut sink) = (Sources::default(), Sink::default());
            let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
            let book = book::read(&path, edition.as_deref(), &mut files, &mut sources, &mut sink)
                .expect("the demo book reads");
            let place = Place::new(sources.add("words", ""), 1, 1);
            let planned = pipeline::plan(&book, &mut sink);
            for (entry, plan) in book.tunes().zip(&planned.plans) {
                check(&entry.tune, plan, &book.instrument, language, place, &mut said);
            }
        }
        assert!(said.notes > 1000 && said.buttons > 1000 && said.fingers > 1000 && said.left > 1000, "{said:?}");
        assert!(said.rests > 0 && said.places > 30 && said.graces > 3, "{said:?}");
    }
}

fn check(tune: &Tune, plan: &Plan, box_: &Instrument, language: &Language, place: Place, said: &mut Said) {
    let lesson = Lesson::new(tune, plan, box_, language.tag, 1);
    for bar in 0..tune.bars.len() {
        let mut sink = Sink::default();
        let fact = format!("walk {}", tune.bars[bar].label);
        let walk = lesson.fact(&fact, place, &mut sink).expect("every bar can be walked");
        Bar { tune, plan, bar, words: language }.check(&walk, said);
    }
}
