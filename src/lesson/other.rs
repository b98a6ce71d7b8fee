//! Another way to play a tune, in words for the teacher.

use super::facts::{Lesson, tidy};
use super::words::{say, way};
use crate::fingering::{CostKind, Difference, RunnerUp};
use crate::tune::BarLabel;

/// A way that costs more than this part of the plan more is nothing that a teacher would weigh, and under the second as good
/// as it (ours).
const WEIGHED: f64 = 0.15;
const AS_GOOD: f64 = 0.05;
/// Bars named at most.
const MOST_BARS: usize = 6;

impl Lesson<'_> {
    /// How another plan differs, bar by bar, with how good it is; `None` where it is much more work than the plan, or does not
    /// differ.
    pub fn other_way(&self, other: &RunnerUp) -> Option<String> {
        let words = &self.words.other;
        // Other plans are priced without their bellows.
        let bellows = [CostKind::AirPoint, CostKind::Drift, CostKind::BellowsEnd];
        let own = self.plan.cost.by_kind.iter().filter(|(kind, _)| !bellows.contains(kind)).map(|(_, cost)| cost);
        let own = own.sum::<i64>() as f64;
        let dearer = other.cost as f64 - own;
        if !(0.0..=own * WEIGHED).contains(&dearer) || other.differs.is_empty() {
            return None;
        }
        let mut bars: Vec<(BarLabel, Vec<String>)> = Vec::new();
        for difference in &other.differs {
            let label = self.tune.address(difference.note).bar;
            let said = self.otherwise(difference);
            match bars.last_mut().filter(|(known, _)| *known == label) {
                Some((_, notes)) => notes.push(said),
                None => bars.push((label, vec![said])),
            }
        }
        let more = bars.len().saturating_sub(MOST_BARS);
        let named = bars.iter().take(MOST_BARS).filter_map(|(label, notes)| {
            let bar = self.bar_name(self.tune.bar_index(*label)?);
            Some(tidy(&say(words.in_bar, &[("bar", &bar), ("notes", &self.words.list(notes))])))
        });
        let mut named: Vec<String> = named.collect();
        if more > 0 {
            named.push(say(words.more, &[("n", &more.to_string())]));
        }
        let lead = words.lead[usize::from(dearer > own * AS_GOOD)];
        Some(say(lead, &[("bars", &named.join("; "))]))
    }

    /// One note that is taken otherwise: `note 2 with button 6 of the outer row, on the push`.
    fn otherwise(&self, difference: &Difference) -> String {
        let buttons: Vec<String> = difference.buttons.iter().map(|button| self.button(*button)).collect();
        let note = self.tune.address(difference.note).note.to_string();
        let direction = self.words.on_direction[way(difference.direction)];
        say(self.words.other.note, &[("n", &note), ("buttons", &self.words.list(&buttons)), ("direction", direction)])
    }
}
