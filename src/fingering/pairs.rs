//! What one item after another costs, as tables: grips with grips, places with places.
//!
//! Takes the ways of two items and the prices of the step between them; gives tables that the solver's innermost loops read.
//! The same pair of pitches at the same kind of moment comes again and again in a tune and shares its table. Knows no tune.

use super::costs::Costs;
use super::hand::{FINGERS, Key, Offs, Spread, Take};
use super::moment::{FARTHEST, Link};
use super::solve::{Edge, Problem};
use crate::instrument::Direction;
use std::collections::BTreeMap;
use std::rc::Rc;

/// The ways of a head, taken apart: a grip is direction, buttons and fingers.
#[derive(Debug, Clone)]
pub(super) struct Forms {
    /// One way of each grip.
    pub grips: Vec<Take>,
    /// Every place of the hand.
    pub places: Vec<Key>,
    /// Grip and place of each way, as indexes.
    pub of: Vec<(u16, u16)>,
    /// How far from their own spots the fingers of each way lie.
    offs: Vec<Offs>,
    /// The ways from which or to which a spread may be other than easy.
    spreads: Vec<usize>,
}

impl Forms {
    fn new(takes: &[Take]) -> Self {
        let offs: Vec<Offs> = takes.iter().map(|take| take.off).collect();
        let spreads = (0..takes.len()).filter(|way| Spread::begins(&offs[*way])).collect();
        let mut forms = Self { grips: vec![], places: vec![], of: vec![], offs, spreads };
        let mut known: BTreeMap<(bool, [Key; FINGERS], [Key; FINGERS]), u16> = BTreeMap::new();
        for take in takes {
            let mut buttons = [0; FINGERS];
            buttons.iter_mut().zip(take.presses()).for_each(|(slot, press)| *slot = press.button + 1);
            let grip = *known.entry((take.direction == Direction::Push, take.lanes, buttons)).or_insert_with(|| {
                forms.grips.push(*take);
                forms.grips.len() as u16 - 1
            });
            let place = forms.places.iter().position(|place| *place == take.place).unwrap_or_else(|| {
                forms.places.push(take.place);
                forms.places.len() - 1
            });
            forms.of.push((grip, place as u16));
        }
        forms
    }
    /// The place of a way.
    fn place(&self, way: usize) -> Key {
        self.places[usize::from(self.of[way].1)]
    }
}

/// The forms of all items, each kind once.
#[derive(Debug, Clone)]
pub(super) struct Kinds {
    all: Vec<Forms>,
    of: Vec<u32>,
}

impl Kinds {
    /// Takes the ways of all items apart; items that share their ways share their forms.
    pub(super) fn new(takes: &[Rc<[Take]>]) -> Self {
        let mut kinds = Self { all: vec![], of: vec![] };
        // By address: only whether it is the same list is asked, never its order.
        let mut known: BTreeMap<*const Take, u32> = BTreeMap::new();
        for ways in takes {
            let kind = *known.entry(ways.as_ptr()).or_insert_with(|| {
                kinds.all.push(Forms::new(ways));
                kinds.all.len() as u32 - 1
            });
            kinds.of.push(kind);
        }
        kinds
    }
    /// The forms of an item.
    #[inline]
    pub(super) fn of(&self, item: usize) -> &Forms {
        &self.all[self.of[item] as usize]
    }
}

/// Pair costs of a link: a row for each way of its first item. None is below nothing.
#[derive(Debug, Clone)]
pub(super) struct Pairs {
    costs: Vec<i64>,
    width: usize,
}

impl Pairs {
    /// The costs after the first item's way `s`, one for each way of the second item.
    #[inline]
    pub(super) fn after(&self, s: usize) -> &[i64] {
        &self.costs[s * self.width..][..self.width]
    }
}

/// All that the pair costs of a link depend on, where no rule about buttons holds.
type Likeness = ((u32, u32), [[[i64; 2]; 2]; 2], [i64; 4], [i64; FARTHEST + 1], bool);

/// The steps as links between numbered variables, with their pair costs.
#[derive(Debug, Clone)]
pub(super) struct Joined {
    /// The links.
    pub edges: Vec<Edge>,
    tables: Vec<Pairs>,
    of: Vec<u32>,
}

impl Joined {
    /// Makes the tables. `apart` gives the distance of two places, at most [`FARTHEST`].
    pub(super) fn new(links: &[Link], kinds: &Kinds, apart: impl Fn(Key, Key) -> u8) -> Self {
        let mut joined = Self { edges: vec![], tables: vec![], of: vec![] };
        let mut known: BTreeMap<Likeness, u32> = BTreeMap::new();
        for link in links {
            joined.edges.push(Edge { from: link.from, to: link.to });
            let tables = &mut joined.tables;
            let mut made = || {
                tables.push(table(link, kinds.of(link.from), kinds.of(link.to), &apart));
                tables.len() as u32 - 1
            };
            joined.of.push(if link.strict {
                made()
            } else {
                let both = (kinds.of[link.from], kinds.of[link.to]);
                let prices = [link.same_finger, link.swap, link.far, link.arriving];
                *known.entry((both, link.ways, prices, link.shift, link.same_pitch)).or_insert_with(made)
            });
        }
        joined
    }
    /// The links as a problem to solve, with costs of the ways as given.
    pub(super) fn problem<'a>(&'a self, unary: &'a Costs) -> Problem<'a, impl Fn(usize, usize) -> &'a [i64]> {
        self.problem_on(unary, &self.edges)
    }
    /// The same with the links between other variables than the items, of as many states.
    pub(super) fn problem_on<'a>(
        &'a self,
        unary: &'a Costs,
        edges: &'a [Edge],
    ) -> Problem<'a, impl Fn(usize, usize) -> &'a [i64]> {
        Problem { unary, edges, after: |n, s| self.table(n).after(s) }
    }
    /// The pair costs of a link.
    #[inline]
    fn table(&self, link: usize) -> &Pairs {
        &self.tables[self.of[link] as usize]
    }
}

fn table(link: &Link, from: &Forms, to: &Forms, apart: impl Fn(Key, Key) -> u8) -> Pairs {
    let grips: Vec<i64> = from.grips.iter().flat_map(|a| to.grips.iter().map(move |b| grip_pair(link, a, b))).collect();
    let apart = &apart;
    let shift = |a: &Key| to.places.iter().map(|b| link.shift[usize::from(apart(*a, *b))]).collect::<Vec<i64>>();
    let places: Vec<Vec<i64>> = from.places.iter().map(shift).collect();
    let mut costs = Vec::with_capacity(from.of.len() * to.of.len());
    for (grip, place) in &from.of {
        let grips = &grips[usize::from(*grip) * to.grips.len()..][..to.grips.len()];
        let places = &places[usize::from(*place)];
        costs.extend(to.of.iter().map(|(grip, place)| grips[usize::from(*grip)] + places[usize::from(*place)]));
    }
    let width = to.of.len();
    // Few ways stretch, and only they can be part of a wide spread: they are paired with all others of their place.
    let there = |place: Key, forms: &Forms| forms.places.iter().position(|other| *other == place);
    for s in from.spreads.iter().copied() {
        let Some(place) = there(from.place(s), to) else { continue };
        for (t, _) in to.of.iter().enumerate().filter(|(_, way)| usize::from(way.1) == place) {
            costs[s * width + t] += link.spread(Spread::of(&from.offs[s], &to.offs[t]));
        }
    }
    for t in to.spreads.iter().copied() {
        let place = there(to.place(t), from);
        // The hand moves to where a finger stretches.
        let moves = from.of.iter().enumerate().filter(|(_, way)| Some(usize::from(way.1)) != place);
        moves.for_each(|(s, _)| costs[s * width + t] += link.arriving);
        let Some(place) = place else { continue };
        for (s, _) in from.of.iter().enumerate().filter(|(_, way)| usize::from(way.1) == place) {
            if !Spread::begins(&from.offs[s]) {
                costs[s * width + t] += link.spread(Spread::of(&from.offs[s], &to.offs[t]));
            }
        }
    }
    Pairs { costs, width }
}

/// What a step costs apart from the place of the hand: the model's `each_pair` and the broken rules in one sum, made for
/// speed.
fn grip_pair(link: &Link, a: &Take, b: &Take) -> i64 {
    let shared = usize::from(a.rows & b.rows != 0);
    let (same, swaps) = fingers(link.same_pitch, a, b);
    let sum = link.ways[a.direction as usize][b.direction as usize][shared];
    let sum = sum + same * link.same_finger + swaps * link.swap;
    if link.strict { sum + link.broken(a, b) } else { sum }
}

/// Fingers that would have to jump to another button; and buttons that change finger, or one pitch that goes on in its direction
/// on another button.
pub(super) fn fingers(same_pitch: bool, a: &Take, b: &Take) -> (i64, i64) {
    let other_button = |a: &Take, b: &Take| a.presses()[0].button != b.presses()[0].button;
    let (mut same, mut swaps) = (0, i64::from(same_pitch && a.direction == b.direction && other_button(a, b)));
    for press in b.presses() {
        let before = a.lanes[usize::from(press.finger - 1)];
        same += i64::from(before != 0 && before != press.button + 1);
        let mut earlier = a.presses().iter();
        swaps += i64::from(earlier.any(|e| e.button == press.button && e.finger != press.finger));
    }
    (same, swaps)
}
