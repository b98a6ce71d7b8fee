//! What of a score is left out, or stands in the tune as something else: each kind once, at its first measure, with the others.
//!
//! Takes kinds and measures as they are met, gives complaints. Knows no elements.

use std::collections::BTreeMap;

use super::Complaints;
use crate::diag::Place;

/// Kinds that are told apart; the rest are counted together.
const MOST_KINDS: usize = 80;
/// Measures that are named for one kind.
const MOST_NAMED: usize = 12;

/// A measure by its number as printed, and where it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct At {
    pub measure: String,
    pub place: Place,
}

/// One kind: where it is met first, and in which measures.
#[derive(Debug)]
struct Loss {
    place: Place,
    hint: &'static str,
    measures: Vec<String>,
    last: String,
    more: usize,
}

/// All kinds of one tune.
#[derive(Debug, Default)]
pub(super) struct Losses {
    kinds: BTreeMap<String, Loss>,
}

impl Losses {
    /// Takes note of what is left out or changed, said as a whole clause.
    pub fn note(&mut self, clause: String, at: &At) {
        self.note_with(clause, "say it in the commentary if it matters", at);
    }
    /// The same of what there is another way for.
    pub fn note_with(&mut self, clause: String, hint: &'static str, at: &At) {
        let clause = if self.kinds.len() < MOST_KINDS || self.kinds.contains_key(&clause) {
            clause
        } else {
            format!("what goes beyond {MOST_KINDS} kinds of such things is not kept")
        };
        let loss = self.kinds.entry(clause).or_insert_with(|| Loss {
            place: at.place,
            hint,
            measures: Vec::new(),
            last: String::new(),
            more: 0,
        });
        // Some losses are known only later than others of their kind that come after them in the file.
        loss.place = loss.place.min(at.place);
        if loss.measures.contains(&at.measure) || (loss.more > 0 && loss.last == at.measure) {
            return;
        }
        if loss.measures.len() < MOST_NAMED {
            loss.measures.push(at.measure.clone());
        } else {
            loss.more += 1;
            loss.last.clone_from(&at.measure);
        }
    }
    /// One complaint a kind.
    pub fn tell(self, complaints: &mut Complaints) {
        for (clause, loss) in self.kinds {
            let mut list = loss.measures.join(", ");
            if loss.more > 0 {
                list.push_str(&format!(" and {} more", loss.more));
            }
            let message = format!("{clause} (measure {list})");
            complaints.warn(code!("not-kept"), loss.place, message, loss.hint);
        }
    }
}
