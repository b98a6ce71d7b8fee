//! How notes had better be taken where their bar, or their pitch in a bar, comes again; for tests only.
//!
//! Written a second time on purpose, from the written music and the costs of whole playings, without the walk's bars and the
//! model: what it shares with them are the items and the ways to take them.

use super::hand::Take;
use super::left::Want;
use super::walk::Item;
use crate::instrument::{Direction, LeftButtonId};
use crate::tune::{NoteId, Tune, played};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A note and what is asked of it: direction, button and finger of each press; or the button alone, if it goes that way.
enum Asked {
    All(usize, Direction, Vec<(u16, u8)>),
    Button(usize, Direction, u16),
}

/// All that is asked.
pub(super) struct Returning {
    asked: Vec<Asked>,
    times: Vec<i64>,
}

/// Direction, and button and finger of each press.
type Grip = (Direction, Vec<(u16, u8)>);

fn grip(take: &Take) -> Grip {
    (take.direction, take.presses().iter().map(|press| (press.button, press.finger)).collect())
}

/// What is written in a bar and wanted of the left hand there, in plain text.
fn text(tune: &Tune, wants: &[Want], bar: usize, plays: &dyn Fn(NoteId) -> bool) -> Option<String> {
    let mut all = String::new();
    let mut any = false;
    for event in &tune.bars[bar].events {
        let Some(head) = event.head().filter(|id| plays(*id)) else { continue };
        any |= plays(head);
        let mut pitches: Vec<i32> = event.notes().iter().map(|note| note.pitch.midi()).collect();
        pitches.sort_unstable();
        // A head goes on sounding from the one before if all of it is tied and no grace comes between.
        let is_graced = event.graces.iter().any(|grace| plays(grace.id));
        let ties = (
            !is_graced && event.notes().iter().all(|note| note.tied_from_previous),
            event.notes().iter().any(|note| note.tied_to_next),
        );
        all += &format!("{:?} {:?} {pitches:?} {ties:?}; ", event.onset, event.duration);
    }
    let mut left: Vec<[Option<LeftButtonId>; 2]> = Vec::new();
    for want in wants.iter().filter(|want| want.bar == bar) {
        if !left.contains(&want.buttons) {
            left.push(want.buttons);
        }
    }
    any.then(|| format!("{all}{left:?}"))
}

impl Returning {
    /// `cheapest` is the playing that costs least by itself, `cost` what any playing costs, `price` what a note costs that is
    /// not taken as it had better be.
    pub(super) fn new(
        (tune, wants): (&Tune, &[Want]),
        items: &[Item],
        ways: &[Rc<[Take]>],
        cheapest: &[usize],
        price: i64,
        cost: &dyn Fn(&[usize]) -> i64,
    ) -> Self {
        let mut bars = vec![0; tune.bars.len()];
        played(tune).iter().for_each(|passage| bars[passage.bar] += 1);
        let times: Vec<i64> = items.iter().map(|item| i64::max(bars[item.bar], 1)).collect();
        let is_head = |n: &usize| items[*n].grace_of.is_none();
        let all = |bar: usize| (0..items.len()).filter(move |n| items[*n].bar == bar);
        let its = |bar: usize| all(bar).filter(is_head).collect::<Vec<usize>>();
        let plays = |id: NoteId| items.iter().any(|item| item.note == id);
        let texts: Vec<Option<String>> = (0..tune.bars.len()).map(|bar| text(tune, wants, bar, &plays)).collect();
        let mut now = cheapest.to_vec();
        let mut alike: Vec<(usize, Grip)> = Vec::new();
        for first in 0..texts.len() {
            let same: Vec<usize> =
                (0..texts.len()).filter(|bar| texts[*bar].is_some() && texts[*bar] == texts[first]).collect();
            if same.len() < 2 || same[0] != first {
                continue;
            }
            // Each bar's way in all of them; the first of the cheapest stays.
            let mut best: Option<(i64, Vec<usize>, usize)> = None;
            for leader in &same {
                let mut trial = now.clone();
                let mut strays = 0;
                for bar in &same {
                    for (from, to) in its(*leader).into_iter().zip(its(*bar)) {
                        let wanted = &ways[from][now[from]];
                        let exact = (0..ways[to].len()).find(|s| ways[to][*s] == *wanted);
                        match exact.or_else(|| (0..ways[to].len()).find(|s| grip(&ways[to][*s]) == grip(wanted))) {
                            Some(state) => trial[to] = state,
                            None => strays += times[to],
                        }
                    }
                }
                let sum = if same.iter().all(|bar| {
                    its(*bar).iter().zip(its(first)).all(|(a, b)| grip(&ways[*a][now[*a]]) == grip(&ways[b][now[b]]))
                }) {
                    i64::MIN
                } else {
                    cost(&trial) + strays * price
                };
                if best.as_ref().is_none_or(|(least, ..)| sum < *least) {
                    best = Some((sum, trial, *leader));
                }
            }
            let (sum, states, leader) = best.expect("there are two bars");
            let led: Vec<_> = its(leader).into_iter().map(|n| grip(&ways[n][now[n]])).collect();
            if sum != i64::MIN {
                now = states;
            }
            for bar in same {
                alike.extend(its(bar).into_iter().zip(led.iter().cloned()));
            }
        }
        let mut asked = Vec::new();
        let mut strays = Vec::new();
        for bar in 0..tune.bars.len() {
            let single: Vec<usize> = all(bar).filter(|n| items[*n].midis.len() == 1).collect();
            let button = |n: usize| ways[n][now[n]].presses()[0].button;
            let way = |n: usize| ways[n][now[n]].direction;
            for n in &single {
                let like = |m: &&usize| items[**m].midis == items[*n].midis && way(**m) == way(*n);
                let group: Vec<usize> = single.iter().filter(like).copied().collect();
                if group[0] != *n || group.iter().all(|m| button(*m) == button(*n)) {
                    continue;
                }
                let mut counts: BTreeMap<u16, usize> = BTreeMap::new();
                group.iter().for_each(|m| *counts.entry(button(*m)).or_default() += 1);
                let most = *counts.values().max().expect("a button");
                let wanted = group.iter().map(|m| button(*m)).find(|b| counts[b] == most).expect("one of them");
                for m in single.iter().filter(|m| items[**m].midis == items[*n].midis) {
                    asked.push(Asked::Button(*m, way(*n), wanted));
                }
                strays.extend(group.into_iter().filter(|m| button(*m) != wanted));
            }
        }
        let alike = alike.into_iter().filter(|(n, _)| !strays.contains(n));
        asked.extend(alike.map(|(n, (direction, presses))| Asked::All(n, direction, presses)));
        Self { asked, times }
    }

    /// Which of all playings take bars that are the same music alike, where the same ways are left to them.
    pub(super) fn alike(
        (tune, wants): (&Tune, &[Want]),
        items: &[Item],
        ways: &[Rc<[Take]>],
    ) -> impl Fn(&[usize]) -> bool {
        let plays = |id: NoteId| items.iter().any(|item| item.note == id);
        let texts: Vec<Option<String>> = (0..tune.bars.len()).map(|bar| text(tune, wants, bar, &plays)).collect();
        let its = |bar: usize| (0..items.len()).filter(|n| items[*n].bar == bar).collect::<Vec<usize>>();
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        for later in 0..texts.len() {
            for earlier in (0..later).filter(|earlier| texts[*earlier].is_some() && texts[*earlier] == texts[later]) {
                let both: Vec<(usize, usize)> = its(earlier).into_iter().zip(its(later)).collect();
                if both.iter().all(|(a, b)| ways[*a] == ways[*b]) {
                    pairs.extend(both);
                }
            }
        }
        move |states| pairs.iter().all(|(a, b)| states[*a] == states[*b])
    }

    /// How many notes of a playing are not taken as they had better be, each as often as it is played.
    pub(super) fn left(&self, ways: &[Rc<[Take]>], states: &[usize]) -> i64 {
        let take = |n: &usize| grip(&ways[*n][states[*n]]);
        let left = self.asked.iter().map(|asked| match asked {
            Asked::All(n, direction, presses) => (n, take(n) != (*direction, presses.clone())),
            Asked::Button(n, direction, button) => (n, take(n).0 == *direction && take(n).1[0].0 != *button),
        });
        left.filter(|(_, left)| *left).map(|(n, _)| self.times[*n]).sum()
    }
}
