//! Counting: which syllable falls on which moment of a bar.
//!
//! Takes a tune; gives for every bar the beats with their numbers and the divisions that its notes need. Knows no buttons.
//! Numbers for beats, `and` for halves, `e` and `a` for quarters, two syllables for thirds, `trip` and `let` for a triplet
//! on a beat of two: common practice, no source.

use super::words::Words;
use crate::tune::{Duration, Fraction, Meter, Onset, Tune};

/// A counting syllable.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Count {
    /// Index into the tune's bars.
    pub bar: usize,
    /// From the bar's start.
    pub onset: Onset,
    /// The syllable.
    pub syllable: String,
}

/// Where in a beat a moment lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Part {
    /// On the beat.
    Beat,
    /// On one of the places that a division into so many parts makes: which place, of how many.
    Division(u32, u32),
    /// On one of the thirds of a beat that falls into two.
    Triplet(u32),
    /// Somewhere that no counting reaches, after one of those places (0: after the beat).
    After(u32, u32),
}

/// A moment of a bar as one counts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Spot {
    /// The beat, from 1.
    pub beat: u32,
    /// Where in it.
    pub part: Part,
}

/// How a bar is counted: its unit, and how far into a full bar it starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Counting {
    /// What one number is given to.
    pub unit: Duration,
    /// Whether the unit falls into three.
    pub threes: bool,
    /// What of a full bar has gone before this bar starts: for pick-ups and the second halves of split bars.
    pub before: Duration,
}

impl Counting {
    /// How bar `bar` of a tune is counted.
    pub fn of(tune: &Tune, bar: usize) -> Self {
        let meter = tune.meter_at(bar);
        // One number to each eighth in 3/8 and in metres written as sums: a beat there is too long or too uneven to count by.
        let unit = match meter {
            Meter::Figures { groups, unit } if groups.len() > 1 || (groups.first() == Some(&3) && *unit == 8) => {
                Duration::new(1, (*unit).into())
            }
            meter => meter.beat(),
        };
        let full = meter.bar_length();
        let here = &tune.bars[bar];
        let missing = full.filter(|full| here.length.0 < full.0).map(|full| full - here.length);
        let before = if here.label.second_half {
            let first = bar
                .checked_sub(1)
                .map(|first| &tune.bars[first])
                .filter(|first| first.label.number == here.label.number);
            first.map_or(Duration::ZERO, |first| first.length)
        } else if here.label.number == 0 {
            missing.unwrap_or_default()
        } else {
            Duration::ZERO
        };
        Self { unit, threes: meter.is_compound(), before }
    }

    /// The moment `onset` of the bar.
    pub fn spot(&self, onset: Onset) -> Spot {
        let from = Duration(self.before.0 + onset.0);
        let units = from.over(self.unit);
        let whole = units.num().div_euclid(units.den());
        let rest = units - Fraction::new(whole, 1);
        let beat = u32::try_from(whole + 1).unwrap_or(1);
        Spot { beat, part: self.part(rest) }
    }

    fn part(&self, rest: Fraction) -> Part {
        if rest.is_zero() {
            return Part::Beat;
        }
        let divisions: &[u32] = if self.threes { &[3, 6] } else { &[2, 4, 3] };
        for of in divisions {
            let place = rest * Fraction::new((*of).into(), 1);
            if place.den() == 1 {
                let nth = u32::try_from(place.num()).unwrap_or(0);
                return if *of == 3 && !self.threes { Part::Triplet(nth) } else { Part::Division(nth, *of) };
            }
        }
        // Named by the syllable that is said before it: thirds, or halves and quarters.
        let of = if self.threes { 3 } else { 4 };
        let place = rest * Fraction::new(of.into(), 1);
        Part::After(u32::try_from(place.num().div_euclid(place.den())).unwrap_or(0), of)
    }
}

impl Spot {
    /// The syllable that is counted there; `None` where none is.
    pub fn syllable(self, words: &Words) -> Option<String> {
        match self.part {
            Part::Beat => Some(self.beat.to_string()),
            Part::Division(place, of) => words.division(place, of).map(str::to_owned),
            Part::Triplet(place) => {
                place.checked_sub(1).and_then(|nth| words.triplet.get(nth as usize)).map(|word| (*word).to_owned())
            }
            Part::After(..) => None,
        }
    }
}

/// The counting of every bar in the language of a tag: each beat's number, and in beats where notes or rests begin off the
/// beat, all syllables of the division they need.
pub fn counts(tune: &Tune, language: &str) -> Vec<Count> {
    let words = Words::of(language);
    (0..tune.bars.len()).flat_map(|bar| bar_counts(tune, bar, words)).collect()
}

/// Two beats in halves as they are counted aloud, for the key.
pub fn counted_example(language: &str) -> String {
    let half = Words::of(language).half;
    format!("1 {half} 2 {half}")
}

pub(super) fn bar_counts(tune: &Tune, bar: usize, words: &Words) -> Vec<Count> {
    let counting = Counting::of(tune, bar);
    let here = &tune.bars[bar];
    let spots: Vec<Spot> = here.events.iter().map(|event| counting.spot(event.onset)).collect();
    let first = counting.spot(Onset::ZERO).beat;
    // No bar is counted further than this, whatever its length.
    const MOST_BEATS: u32 = 64;
    let mut found = Vec::new();
    for beat in first..first.saturating_add(MOST_BEATS) {
        let needed = spots.iter().filter(|spot| spot.beat == beat).fold(1, |needed, spot| match spot.part {
            Part::Triplet(_) if needed == 1 => 3,
            Part::Division(_, of) if needed == 1 || needed == 2 && of == 4 || needed == 3 && of == 6 => of,
            _ => needed,
        });
        let mut any = false;
        for place in 0..needed {
            let from_full = Fraction::new((beat - 1).into(), 1) + Fraction::new(place.into(), needed.into());
            let onset = Onset(counting.unit.0 * from_full - counting.before.0);
            if onset < Onset::ZERO {
                any = true;
                continue;
            }
            if onset.0 >= here.length.0 {
                break;
            }
            any = true;
            if let Some(syllable) = counting.spot(onset).syllable(words) {
                found.push(Count { bar, onset, syllable });
            }
        }
        if !any {
            break;
        }
    }
    found
}
