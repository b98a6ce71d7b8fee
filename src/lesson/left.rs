//! The left hand in words, and moments of a bar in words.

use super::count::{Part, Spot};
use super::facts::Lesson;
use super::words::{join, say, way};
use crate::fingering::LeftPress;
use crate::tune::Fraction;

impl Lesson<'_> {
    /// The left hand of a bar as a sentence: what to press and when, and which way the bellows go if they go one way.
    pub(super) fn left(&self, bar: usize) -> String {
        let Some(mut presses) = self.presses(bar) else { return self.words.left.rests.to_owned() };
        if let Some(direction) = self.one_direction(bar) {
            presses = format!("{presses}, {}", self.words.on_direction[way(direction)]);
        }
        say(self.words.left.press, &[("presses", &presses)])
    }

    /// `the G bass on 1 and the G chord on 2 and 3`; `None` for a bar without presses.
    pub(super) fn presses(&self, bar: usize) -> Option<String> {
        let words = &self.words.left;
        let unit = super::count::Counting::of(self.tune, bar).unit;
        let mut groups: Vec<(String, bool, Vec<Spot>)> = Vec::new();
        let here: Vec<&LeftPress> = self.plan.left.iter().filter(|press| press.bar == bar && !press.dropped).collect();
        for together in here.chunk_by(|a, b| a.onset == b.onset) {
            let names: Vec<String> =
                together.iter().map(|press| self.words.left_name(press.kind, &press.name)).collect();
            let names = match &names[..] {
                [a, b] => say(words.with, &[("a", a), ("b", b)]),
                names => self.words.list(names),
            };
            let held = together.iter().all(|press| press.duration.over(unit) >= Fraction::new(2, 1));
            let spot = self.spot(bar, together[0].onset);
            match groups.iter_mut().find(|(known, long, _)| *known == names && *long == held) {
                Some((_, _, spots)) => spots.push(spot),
                None => groups.push((names, held, vec![spot])),
            }
        }
        let said: Vec<String> = groups
            .iter()
            .map(|(names, held, spots)| {
                say(if *held { words.held } else { words.one }, &[("names", names), ("on", &self.on(spots))])
            })
            .collect();
        (!said.is_empty()).then(|| join(&said, ", ", words.then))
    }

    /// `on 1`, `on 1 and 3`, `on the 'and' of 2`; each with its own word where beats and divisions mix.
    pub(super) fn on(&self, spots: &[Spot]) -> String {
        let beats = spots.iter().all(|spot| spot.part == Part::Beat);
        let same = spots.iter().all(|spot| Some(spot.part) == spots.first().map(|first| first.part));
        if beats || same && spots.first().is_some_and(|spot| spot.syllable(self.words).is_some()) {
            let numbers: Vec<String> = spots.iter().map(|spot| spot.beat.to_string()).collect();
            let Some(first) = spots.first() else { return String::new() };
            return self.on_one(*first, &self.words.list(&numbers));
        }
        let each: Vec<String> = spots.iter().map(|spot| self.on_one(*spot, &spot.beat.to_string())).collect();
        self.words.list(&each)
    }

    fn on_one(&self, spot: Spot, numbers: &str) -> String {
        match (spot.part, spot.syllable(self.words)) {
            (Part::Beat, _) => say(self.words.on, &[("n", numbers)]),
            (Part::Division(..) | Part::Triplet(_), Some(syllable)) => {
                say(self.words.on_part, &[("syllable", &syllable), ("n", numbers)])
            }
            (Part::After(place, of), _) => match self.words.division(place, of) {
                Some(syllable) => say(self.words.after_part, &[("syllable", syllable), ("n", numbers)]),
                None => say(self.words.after, &[("n", numbers)]),
            },
            (Part::Division(..) | Part::Triplet(_), None) => say(self.words.after, &[("n", numbers)]),
        }
    }
}
