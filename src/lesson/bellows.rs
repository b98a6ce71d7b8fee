//! The bellows in words: how far they are open over a bar, and how far to open them before a tune begins.

use super::facts::{Lesson, tidy};
use super::words::{Words, air, say, sentence};
use crate::fingering::{BellowsPoint, Plan};
use crate::tune::{NoteId, Tune};

/// A tune that begins with no more of the bellows open is begun as the box comes to hand, nearly closed (common practice, no
/// source).
const NEARLY_CLOSED: f64 = 0.3;
/// Openings that differ by no more of a full bellows are the same to the player.
const SAME: f64 = 0.02;

/// How far open a tune begins, as a phrase in the language of a tag: `begin with the bellows half open`; `None` where they
/// may be nearly closed, or nothing is known of them.
pub fn bellows_begin(tune: &Tune, plan: &Plan, language: &str) -> Option<String> {
    let words = Words::of(language);
    let opening = plan.bellows.curve.points(tune).next()?.from;
    (opening > NEARLY_CLOSED).then(|| say(words.bellows.begin, &[("from", words.share(opening).1)]))
}

impl Lesson<'_> {
    /// How far the bellows are open over a bar on one pass, with the air to take.
    pub(super) fn bellows(&self, bar: usize, pass: u32) -> String {
        let words = &self.words.bellows;
        let name = self.bar_name(bar);
        let of_bar = |point: &BellowsPoint| point.bar == bar && point.pass == pass;
        let all = self.plan.bellows.curve.points(self.tune);
        let points: Vec<BellowsPoint> = all.skip_while(|point| !of_bar(point)).take_while(of_bar).collect();
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            return tidy(&say(words.unknown, &[("bar", &name)]));
        };
        let ((from, from_word), (to, to_word)) = (self.words.share(first.from), self.words.share(last.to));
        let more = last.to - first.from;
        let one_way =
            points.iter().all(|point| point.to > point.from) || points.iter().all(|point| point.to < point.from);
        let phrase = match (from == to, more > 0.0) {
            _ if more.abs() <= SAME && !one_way => words.stay,
            (false, true) => words.open,
            (false, false) => words.close,
            (true, true) => words.open_little,
            (true, false) => words.close_little,
        };
        let mut said = vec![tidy(&sentence(&say(phrase, &[("bar", &name), ("from", from_word), ("to", to_word)])))];
        let note = |id: NoteId| say(words.note, &[("n", &self.tune.address(id).note.to_string())]);
        let here = |id: NoteId| self.tune.address(id).bar == self.tune.bars[bar].label;
        for point in self.plan.bellows.air.iter().filter(|point| here(point.after)) {
            said.push(say(words.air[air(point.air)], &[("note", &note(point.after))]));
        }
        if let Some(id) = self.plan.bellows.runs_out.filter(|id| here(*id)) {
            said.push(say(words.runs_out, &[("note", &note(id))]));
        }
        said.join(" ")
    }
}
