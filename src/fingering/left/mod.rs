//! What the left hand wants to press, bar by bar, before anybody knows which way the bellows go.
//!
//! Takes a tune, a left hand and the author's wishes; gives [`Want`]s in written order. Chord symbols are spread over the
//! metre's pattern (`patterns`), the author's own bars stand as they are. Knows no right hand. Up-beats stay free unless a
//! chord is written over them; a chord that changes on a beat where the pattern has a chord gets its bass there, unless the
//! pattern has no basses or no other chord in the bar; between beats it gets its chord, and the bass waits for the beat; the
//! tune ends on one bass and one chord (common practice, no source).

mod author;
mod chords;
mod holds;
mod patterns;
mod press;

use super::request::{LeftHandSpec, LeftPattern};
use super::walk::lateness;
use crate::diag::{Place, Sink};
use crate::instrument::{Direction, Instrument, LeftButtonId, LeftHand, LeftKind};
use crate::tune::{Bar, BarLabel, ChordSymbol, Duration, Fraction, Meter, Onset, Tune};
use patterns::Stroke;
use std::collections::BTreeSet;

pub(super) use holds::check as check_holds;
pub(super) use press::presses;

/// One press that is wished for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Want {
    /// Index of its bar.
    pub bar: usize,
    /// From the bar's start.
    pub onset: Onset,
    /// How long.
    pub length: Duration,
    /// Bass or chord.
    pub kind: LeftKind,
    /// What asks for it, as the author wrote it.
    pub asked: String,
    /// The button on the push and on the pull.
    pub buttons: [Option<LeftButtonId>; 2],
    /// Whether the button of a direction belongs to another chord that stands in for the one asked for.
    pub substitute: [bool; 2],
    /// Whether the chord is on the box in no direction, which is said of the chord itself.
    pub missing: bool,
    /// Whether the author wrote the very press, which makes it a rule.
    pub author: bool,
    /// Whether it is held over turns (`-`).
    pub held: bool,
    /// One stroke of its pattern: where a turn ends a longer press, it is taken up again with a later stroke.
    pub stroke: Duration,
    /// Where it is written.
    pub place: Option<Place>,
}

impl Want {
    /// How well a direction serves it: 0 as asked, 1 by another chord, 2 not at all.
    pub(super) fn loss(&self, direction: Direction) -> i64 {
        match (self.buttons[direction as usize], self.substitute[direction as usize]) {
            (None, _) => 2,
            (_, true) => 1,
            (_, false) => 0,
        }
    }
    /// Whether it goes on sounding when the bellows turn.
    pub(super) fn survives_turn(&self) -> bool {
        self.buttons[0].is_some() && self.buttons[0] == self.buttons[1]
    }
}

/// A chord in force.
#[derive(Debug, Clone)]
struct Chord {
    text: String,
    place: Option<Place>,
    pairs: [chords::Pair; 2],
}

impl Chord {
    fn new(symbol: &ChordSymbol, place: Option<Place>, left: &LeftHand) -> Option<Self> {
        symbol.root?;
        let pairs = Direction::BOTH.map(|direction| chords::for_symbol(symbol, left, direction));
        Some(Self { text: symbol.text.clone(), place, pairs })
    }
    /// A press of it; `over` says which pitch classes sound over it (semitones above C).
    fn want(&self, bar: usize, onset: Onset, length: Duration, kind: LeftKind, over: impl Fn() -> Vec<i32>) -> Want {
        let instead = self.pairs.map(|pair| {
            let fits = |other: &chords::Substitute| !over().iter().any(|class| other.rubs(*class));
            pair.substitute.filter(fits).and_then(|other| match kind {
                LeftKind::Bass => other.bass,
                LeftKind::Chord => Some(other.chord),
            })
        });
        let own = self.pairs.map(|pair| match kind {
            LeftKind::Bass => pair.bass,
            LeftKind::Chord => pair.chord,
        });
        let buttons = [0, 1].map(|n| own[n].or(instead[n]));
        let substitute = [0, 1].map(|n| own[n].is_none() && instead[n].is_some());
        let (asked, place) = (self.text.clone(), self.place);
        let missing = self.pairs.iter().all(|pair| pair.bass.is_none() && pair.chord.is_none());
        let (author, held, stroke) = (false, false, length);
        Want { bar, onset, length, kind, asked, buttons, substitute, missing, author, held, stroke, place }
    }
}

/// The names of all patterns an author can choose.
pub fn pattern_names() -> impl Iterator<Item = &'static str> {
    patterns::PATTERNS.iter().map(|pattern| pattern.name)
}

/// Everything the left hand wants, by bar, onset, bass before chord. Complains of unknown patterns, bars and names.
pub(super) fn wants(tune: &Tune, instrument: &Instrument, spec: &LeftHandSpec, sink: &mut Sink) -> Vec<Want> {
    let left = &instrument.left;
    let chosen = match &spec.pattern {
        LeftPattern::Auto => None,
        LeftPattern::None => None,
        LeftPattern::Named(name) => {
            let found = patterns::named(name);
            if found.is_none() {
                let known: Vec<_> = patterns::PATTERNS.iter().map(|pattern| pattern.name).collect();
                sink.error(code!("unknown-pattern"), tune.place, format!("there is no left-hand pattern `{name}`"))
                    .hints
                    .push(format!("choose one of {}", known.join(", ")));
            }
            found
        }
    };
    let silent = spec.pattern == LeftPattern::None || left.buttons.is_empty();
    let mut wanted = Vec::new();
    let mut meter = &tune.meter;
    let mut chord: Option<Chord> = None;
    let mut last_author: Vec<usize> = Vec::new();
    let mut written: Vec<(Chord, BarLabel)> = Vec::new();
    for (n, bar) in tune.bars.iter().enumerate() {
        meter = bar.meter.as_ref().unwrap_or(meter);
        let changes = changes(tune, n, left);
        let own = spec.bars.iter().rev().find(|own| own.bar == bar.label);
        if let Some(own) = own {
            last_author = author::bar(tune, n, meter, own, left, &last_author, &mut wanted, sink);
        } else {
            last_author.clear();
            if !silent {
                let pattern = chosen.unwrap_or_else(|| patterns::of_meter(meter));
                let beats = beats(pattern, meter, chosen.is_some());
                spread(tune, n, meter, &beats, &changes, chord.clone(), &mut wanted);
            }
        }
        if let Some((_, last)) = changes.last() {
            chord = last.clone();
        }
        written.extend(changes.into_iter().filter_map(|(_, chord)| Some((chord?, bar.label))));
    }
    // Only of chords that the left hand is to play: where it rests or the author wrote its bar, none is missed.
    let played: BTreeSet<(Option<Place>, &str)> =
        wanted.iter().filter(|want| !want.author).map(|want| (want.place, want.asked.as_str())).collect();
    for (chord, bar) in written.iter().filter(|(chord, _)| played.contains(&(chord.place, chord.text.as_str()))) {
        complain_of_chord(chord, *bar, left, sink);
    }
    for own in &spec.bars {
        if tune.bar_index(own.bar).is_none() {
            complain_of_bar(own.bar, tune, own.place, sink);
        }
    }
    wanted
}

fn complain_of_bar(bar: BarLabel, tune: &Tune, place: Place, sink: &mut Sink) {
    let complaint = sink.error(code!("unknown-bar"), Some(place), format!("the tune has no bar {bar}"));
    if let Some(last) = tune.bars.last() {
        complaint.hints.push(format!("its last bar is {}", last.label));
    }
}

/// Where chords change in a bar; `None` where the left hand is told to stop.
fn changes(tune: &Tune, bar: usize, left: &LeftHand) -> Vec<(Onset, Option<Chord>)> {
    let mut found: Vec<(Onset, Option<Chord>)> = Vec::new();
    for event in &tune.bars[bar].events {
        for symbol in &event.chord_symbols {
            let silence = symbol.text.eq_ignore_ascii_case("n.c.") || symbol.text.eq_ignore_ascii_case("nc");
            let chord = Chord::new(symbol, event.place, left);
            if chord.is_some() || silence {
                found.push((event.onset, chord));
            }
        }
    }
    found
}

/// Says when a box has a chord in no direction, or only a plainer one.
fn complain_of_chord(chord: &Chord, bar: BarLabel, left: &LeftHand, sink: &mut Sink) {
    if left.buttons.is_empty() {
        return;
    }
    let text = &chord.text;
    if chord.pairs.iter().all(|pair| pair.chord.is_none()) {
        let instead: Vec<String> = Direction::BOTH
            .iter()
            .zip(&chord.pairs)
            .filter_map(|(way, pair)| {
                let sound = left.buttons[pair.substitute?.chord.0].sound(*way);
                Some(format!("{} on the {way}", sound.name(LeftKind::Chord)))
            })
            .collect();
        let nearest = || match &instead[..] {
            [] => None,
            instead => Some(format!("the nearest chord instead where the tune lets it: {}", instead.join(", "))),
        };
        let sounds: Vec<String> = Direction::BOTH
            .iter()
            .zip(&chord.pairs)
            .filter_map(|(way, pair)| pair.bass.map(|_| way.to_string()))
            .collect();
        let rest = match &sounds[..] {
            [] => nearest().unwrap_or_else(|| "nothing there".to_owned()),
            [way] => match nearest() {
                Some(nearest) => format!("the bass alone on the {way}, else {nearest}"),
                None => format!("the bass alone on the {way}, and nothing else"),
            },
            _ => "the bass alone".to_owned(),
        };
        sink.warn(
            code!("chord-missing"),
            chord.place,
            format!("the box has no {text} chord in either direction (bar {bar}); the left hand plays {rest}"),
        )
        .hints
        .push(format!("its left hand has {}", chords::names(left).join(", ")));
    } else if chord.pairs.iter().any(|pair| pair.chord.is_some() && pair.plainer) {
        sink.warn(
            code!("chord-substitute"),
            chord.place,
            format!("{text} in bar {bar} is played as the plain chord on its root"),
        )
        .hints
        .push("write another left hand for that bar if it does not please: `left-hand: {bars: ...}`".into());
    }
}

/// The pitch classes that sound at a moment of a bar, in semitones above C.
fn melody(bar: &Bar, at: Onset) -> Vec<i32> {
    let over = bar.events.iter().filter(|event| event.onset <= at && at < event.onset + event.duration);
    over.flat_map(|event| event.notes()).map(|note| note.pitch.midi().rem_euclid(12)).collect()
}

/// A bar's beats: the tokens of each, and how long it is.
type Beats = Vec<(Vec<Stroke>, Duration)>;

/// One full bar of a pattern in a metre. In a summed metre each group is a bass and chords unless the author chose.
fn beats(pattern: patterns::Pattern, meter: &Meter, chosen: bool) -> Beats {
    let strokes = patterns::strokes(pattern);
    let press = |bass| Stroke::Press { bass, chord: !bass };
    if let (Some(groups), false, Some((_, unit))) = (patterns::groups(meter), chosen, meter.figures()) {
        let beat = |group: &u32| {
            let tokens = (0..(*group).clamp(1, 64)).map(|n| press(n == 0)).collect();
            (tokens, Duration::new((*group).into(), unit.into()))
        };
        return groups.iter().take(64).map(beat).collect();
    }
    let beat = meter.beat();
    let count = meter.bar_length().map_or(4, |full| full.over(beat).floor().clamp(1, 64));
    (0..count as usize).map(|n| (strokes[n % strokes.len()].clone(), beat)).collect()
}

/// Spreads the chords in force over one bar.
fn spread(
    tune: &Tune,
    bar: usize,
    meter: &Meter,
    beats: &Beats,
    changes: &[(Onset, Option<Chord>)],
    before: Option<Chord>,
    wanted: &mut Vec<Want>,
) {
    let this = &tune.bars[bar];
    let late = lateness(tune, bar, meter);
    // An up-beat stays free unless a chord is written over it.
    if !late.is_zero() && changes.is_empty() {
        return;
    }
    // Whether each slot begins a beat stands last.
    let mut slots: Vec<(Onset, Duration, Stroke, bool)> = Vec::new();
    let mut at = Onset::ZERO;
    let end = Onset::ZERO + late + this.length;
    // A bar of free length repeats the pattern until it is full.
    'bar: loop {
        for (tokens, length) in beats {
            let share = length.times(Fraction::new(1, tokens.len() as i64));
            for (n, token) in tokens.iter().enumerate() {
                if at >= end || share.is_zero() || slots.len() >= 512 {
                    break 'bar;
                }
                slots.push((at, share, *token, n == 0));
                at = at + share;
            }
        }
    }
    // A pattern without basses never plays one, and none takes the place of a bar's only chord.
    let plays = |wanted: fn(bool, bool) -> bool| {
        let plays = |slot: &&(Onset, Duration, Stroke, bool)| matches!(slot.2, Stroke::Press { bass, chord } if wanted(bass, chord));
        slots.iter().filter(plays).count()
    };
    let moves_bass = plays(|bass, _| bass) > 0 && plays(|_, chord| chord) > 1;
    let last_bar = bar + 1 == tune.bars.len();
    let last_head = this.events.iter().rev().find(|event| event.head().is_some()).map(|event| event.onset);
    let mut sounded: Option<String> = None;
    let (mut basses, mut chords_played) = (0, 0);
    let first = wanted.len();
    for (slot, share, stroke, on_beat) in slots {
        if slot < Onset::ZERO + late {
            continue;
        }
        let onset = Onset::ZERO + (slot - (Onset::ZERO + late));
        let share = if onset + share > Onset::ZERO + this.length { this.length - (onset - Onset::ZERO) } else { share };
        let chord = changes.iter().rev().find(|(from, _)| *from <= onset).map_or(&before, |(_, chord)| chord);
        let Some(chord) = chord else {
            continue;
        };
        let changed = sounded.as_ref().is_some_and(|text| *text != chord.text);
        let (bass, with) = match stroke {
            Stroke::Rest => continue,
            Stroke::Hold if changed => (true, true),
            Stroke::Hold => {
                for want in wanted[first..].iter_mut() {
                    if want.onset + want.length == onset {
                        want.length += share;
                    }
                }
                continue;
            }
            Stroke::Press { chord: true, bass: false } if changed && on_beat && moves_bass => (true, false),
            Stroke::Press { bass, chord } => (bass, chord),
        };
        // The tune ends on one bass and one chord under its last note.
        let ending = last_bar && last_head.is_some_and(|head| onset > head);
        if ending && ((bass && basses > 0) || (with && chords_played > 0)) {
            break;
        }
        sounded = Some(chord.text.clone());
        for (kind, yes) in [(LeftKind::Bass, bass), (LeftKind::Chord, with)] {
            if yes {
                wanted.push(chord.want(bar, onset, share, kind, || melody(this, onset)));
            }
        }
        basses += usize::from(bass);
        chords_played += usize::from(with);
    }
}
