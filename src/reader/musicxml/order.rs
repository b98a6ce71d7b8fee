//! Signs of the played order, each with its place: at a bar's beginning, at its end, or inside it, where the bar is cut in two.
//!
//! Source: MusicXML 4.0, sound (coda, dacapo, dalsegno, fine, segno, tocoda), barline, rehearsal.

use super::losses::At;
use super::part::PartReader;
use crate::tune::{Bar, Barline, BarlineStyle, Duration, Ending, Jump, Landmark, Onset};

/// Signs of one bar, at most.
const MOST_SIGNS: usize = 64;
/// Named goals of jumps, and jumps to them, in one tune.
const MOST_NAMED: usize = 200;

/// A barline inside a bar.
#[derive(Debug, Clone, Default)]
pub(super) struct Line {
    /// How it ends what stands before it.
    pub right: Barline,
    /// Whether a repeat begins after it.
    pub repeat_start: bool,
    /// An ending that begins after it.
    pub ending: Option<Ending>,
    /// Whether an ending ends at it, and whether its bracket is closed.
    pub stops: Option<bool>,
}

/// What a sign says.
#[derive(Debug, Clone)]
pub(super) enum What {
    Landmark(Landmark),
    Jump(Jump),
    Part(String),
    Line(Line),
}

/// A sign as it waits for the end of its bar.
#[derive(Debug, Clone)]
pub(super) struct Sign {
    /// From the bar's start.
    pub at: Duration,
    pub what: What,
    /// Whether what is to be heard says so: its place is exact. Words are often set a little before theirs.
    pub heard: bool,
    /// What the file calls a landmark, or the goal of a jump.
    pub name: Option<String>,
}

/// Where in its bar a sign stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Spot {
    Start,
    /// Before this event.
    Inside(usize),
    /// Inside a note or a tuplet.
    Nowhere,
    End,
}

/// A named landmark of a bar, or a jump to one.
#[derive(Debug)]
pub(super) struct Named {
    bar: usize,
    landmark: Landmark,
    name: String,
    from: At,
}

impl PartReader<'_> {
    /// Takes a landmark where the cursor stands.
    pub fn landmark(&mut self, landmark: Landmark, heard: bool, name: Option<&str>) {
        let here = self.cursor;
        let same = |sign: &&mut Sign| matches!(&sign.what, What::Landmark(known) if *known == landmark);
        let (elsewhere, mut known) = (self.elsewhere, self.signs.iter_mut().filter(same));
        if let Some(sign) = known.find(|sign| elsewhere || sign.at == here) {
            sign.heard |= heard;
            sign.name = sign.name.take().or(name.map(str::to_owned));
            return;
        }
        self.order_sign(What::Landmark(landmark), heard, name);
    }
    /// Orders a jump where the cursor stands; words tell more of it than what is to be heard.
    pub fn jump(&mut self, jump: Jump, heard: bool, name: Option<&str>) {
        let here = self.cursor;
        let (elsewhere, mut signs) = (self.elsewhere, self.signs.iter_mut());
        let known = signs.find_map(|sign| match &mut sign.what {
            What::Jump(known) if elsewhere || sign.at == here => Some((known, &mut sign.heard, &mut sign.name)),
            _ => None,
        });
        let Some((known, was_heard, known_name)) = known else {
            self.order_sign(What::Jump(jump), heard, name);
            return;
        };
        *was_heard |= heard;
        *known_name = known_name.take().or(name.map(str::to_owned));
        if is_fuller(jump, *known) {
            *known = jump;
        } else if *known != jump && !is_fuller(*known, jump) && !elsewhere {
            self.not_kept("a second jump in a bar");
        }
    }
    /// Takes a rehearsal mark where the cursor stands.
    pub fn rehearsal(&mut self, label: &str) {
        let known = self.signs.iter().any(|sign| matches!(&sign.what, What::Part(known) if known == label));
        let other = self.elsewhere && self.signs.iter().any(|sign| matches!(sign.what, What::Part(_)));
        if !(label.is_empty() || known || other) {
            self.order_sign(What::Part(label.to_owned()), false, None);
        }
    }
    /// Takes a sign where the cursor stands.
    pub fn order_sign(&mut self, what: What, heard: bool, name: Option<&str>) {
        if self.signs.len() >= MOST_SIGNS {
            return self.not_kept(&format!("a sign of the played order beyond {MOST_SIGNS} in a bar"));
        }
        self.signs.push(Sign { at: self.cursor, what, heard, name: name.map(str::to_owned) });
    }
    /// The sign over the way out is not the coda's own.
    pub fn one_coda(&mut self) {
        let here = self.cursor;
        let out = |sign: &Sign| sign.at == here && matches!(sign.what, What::Jump(Jump::ToCoda));
        if self.signs.iter().any(out) {
            self.signs.retain(|sign| sign.at != here || !matches!(sign.what, What::Landmark(Landmark::Coda)));
        }
    }
    /// Puts the signs of a bar on it, cuts it where one stands inside, and adds it to the tune.
    pub fn push_bar(&mut self, bar: Bar, end: Duration) {
        let edges = edges(&bar);
        let mut signs: Vec<(Spot, Sign)> = Vec::new();
        for sign in std::mem::take(&mut self.signs) {
            let spot = self.spot(&sign, &edges, end);
            let spot = self.settled(&sign, spot, edges.len());
            signs.extend(spot.map(|spot| (spot, sign)));
        }
        let mut cuts: Vec<usize> = signs
            .iter()
            .filter_map(|(spot, _)| match spot {
                Spot::Inside(event) => Some(*event),
                _ => None,
            })
            .collect();
        cuts.sort_unstable();
        cuts.dedup();
        let mut pieces = cut_at(bar, &cuts);
        let first = self.tune.bars.len();
        let mut stops = vec![None; pieces.len()];
        for (spot, sign) in signs {
            let after = match spot {
                Spot::Inside(event) => cuts.iter().position(|cut| *cut == event).map_or(0, |at| at + 1),
                Spot::Start | Spot::Nowhere => 0,
                Spot::End => pieces.len(),
            };
            self.place_sign(sign, after, &mut pieces, &mut stops, first);
        }
        if let Some(stop) = stops.last_mut() {
            *stop = stop.or(self.stops.take());
        }
        for (piece, stop) in pieces.into_iter().zip(stops) {
            let at = self.tune.bars.len();
            if piece.ending.is_some() {
                self.ending = Some(at);
            }
            self.tune.bars.push(piece);
            self.read_from.push(self.here.clone());
            if let Some(closed) = stop {
                self.end_ending(at, closed);
            }
        }
    }
    /// Ends the open ending with a bar of the tune.
    pub fn end_ending(&mut self, at: usize, closed: bool) {
        let from = self.ending.take();
        if let Some(ending) = from.and_then(|from| self.tune.bars.get_mut(from)).and_then(|bar| bar.ending.as_mut()) {
            (ending.last_bar, ending.closed) = (at, closed);
        }
    }
    fn spot(&self, sign: &Sign, edges: &[(Onset, bool)], end: Duration) -> Spot {
        let near = self.tolerance();
        if sign.at < near {
            return Spot::Start;
        }
        if sign.at + near > end {
            return Spot::End;
        }
        let at = edges.iter().position(|(onset, free)| {
            let apart = sign.at.0 - onset.0;
            *free && apart < near.0 && -apart < near.0
        });
        at.map_or(Spot::Nowhere, Spot::Inside)
    }
    /// Where a sign can be put that stands at a spot, told if it is elsewhere; `None` if it can't be kept.
    fn settled(&mut self, sign: &Sign, spot: Spot, events: usize) -> Option<Spot> {
        let name = match &sign.what {
            What::Landmark(Landmark::Segno) => "a segno",
            What::Landmark(Landmark::Coda) => "a coda sign",
            What::Landmark(Landmark::Fine) => "a Fine",
            What::Jump(_) => "a jump",
            What::Part(_) => "a rehearsal mark",
            What::Line(_) => {
                if spot == Spot::Nowhere {
                    self.not_kept("a barline inside a bar, with what stands at it,");
                    return None;
                }
                return Some(spot);
            }
        };
        let at_the_end = matches!(sign.what, What::Landmark(Landmark::Fine) | What::Jump(_));
        Some(match (spot, at_the_end) {
            (Spot::Start, true) => {
                self.changed(&format!("{name} at the beginning of a bar"), "one at its end");
                Spot::End
            }
            // Words are set over the last note of what they end; after a jump nothing is left to be cut off.
            (Spot::Inside(event), true)
                if !sign.heard
                    && (event + 1 == events || matches!(&sign.what, What::Jump(jump) if *jump != Jump::ToCoda)) =>
            {
                self.changed(&format!("{name} inside a bar"), "one at its end");
                Spot::End
            }
            (Spot::Nowhere, true) => {
                self.changed(&format!("{name} inside a bar"), "one at its end");
                Spot::End
            }
            (Spot::Inside(_), false) if matches!(sign.what, What::Part(_)) => {
                self.changed(&format!("{name} inside a bar"), "one at its beginning");
                Spot::Start
            }
            (Spot::Nowhere, false) => {
                self.changed(&format!("{name} inside a bar"), "one at its beginning");
                Spot::Start
            }
            (spot, _) => spot,
        })
    }
    /// Puts a sign on the pieces of a bar, of which so many stand before it.
    fn place_sign(&mut self, sign: Sign, after: usize, pieces: &mut [Bar], stops: &mut [Option<bool>], first: usize) {
        let before = after.checked_sub(1);
        let bar = match &sign.what {
            What::Landmark(Landmark::Fine) | What::Jump(_) => first + before.unwrap_or(0),
            _ => first + after,
        };
        if let (Some(name), true) = (sign.name, self.named.len() + self.leads.len() < MOST_NAMED) {
            let from = self.here.clone();
            match &sign.what {
                What::Landmark(landmark) => self.named.push(Named { bar, landmark: *landmark, name, from }),
                What::Jump(Jump::ToCoda) => self.leads.push(Named { bar, landmark: Landmark::Coda, name, from }),
                _ => self.leads.push(Named { bar, landmark: Landmark::Segno, name, from }),
            }
        }
        match sign.what {
            What::Landmark(Landmark::Fine) => pieces[before.unwrap_or(0)].landmarks.push(Landmark::Fine),
            What::Landmark(landmark) => match pieces.get_mut(after) {
                Some(piece) => piece.landmarks.push(landmark),
                None => self.next.landmarks.push(landmark),
            },
            What::Jump(jump) => {
                let place = &mut pieces[before.unwrap_or(0)].jump;
                if place.is_none_or(|known| is_fuller(jump, known)) {
                    *place = Some(jump);
                } else if *place != Some(jump) {
                    self.not_kept("a second jump in a bar");
                }
            }
            What::Part(label) => {
                let place = pieces.get_mut(after).map_or(&mut self.next.part, |piece| &mut piece.part);
                match place {
                    None => *place = Some(label),
                    Some(known) if *known == label => {}
                    Some(_) => self.not_kept("a second rehearsal mark in a bar"),
                }
            }
            What::Line(line) => {
                if let Some(before) = before {
                    let piece = &mut pieces[before].right;
                    if line.right.style != BarlineStyle::None {
                        *piece = line.right;
                    }
                    stops[before] = line.stops;
                }
                let (left, ending) = match pieces.get_mut(after) {
                    Some(piece) => (&mut piece.left, &mut piece.ending),
                    None => (&mut self.next.left, &mut self.next.ending),
                };
                if line.repeat_start {
                    (left.repeat_start, left.style) = (true, BarlineStyle::HeavyLight);
                }
                *ending = ending.take().or(line.ending);
            }
        }
    }
    /// Jumps whose goal is another than the one that the played order leads to.
    pub fn tell_of_goals(&mut self) {
        for lead in std::mem::take(&mut self.leads) {
            let goal = self.named.iter().find(|named| named.landmark == lead.landmark && named.name == lead.name);
            let marked = |at: &usize| self.tune.bars[*at].landmarks.contains(&lead.landmark);
            let count = self.tune.bars.len();
            let nearest = match lead.landmark {
                Landmark::Segno => (0..=lead.bar.min(count.saturating_sub(1))).rev().find(marked),
                _ => (lead.bar + 1..count).find(marked),
            };
            if let (Some(goal), Some(nearest)) = (goal, nearest)
                && goal.bar != nearest
            {
                let kind = if lead.landmark == Landmark::Segno { "segno" } else { "coda" };
                let name: String = lead.name.chars().take(30).collect();
                let clause = format!("a jump to the {kind} \u{201c}{name}\u{201d} becomes one to the nearest");
                self.losses.note(clause, &lead.from);
            }
        }
    }
}

/// Whether a jump says more than another of its kind.
const fn is_fuller(jump: Jump, known: Jump) -> bool {
    matches!(
        (known, jump),
        (Jump::DaCapo, Jump::DaCapoAlFine | Jump::DaCapoAlCoda)
            | (Jump::DalSegno, Jump::DalSegnoAlFine | Jump::DalSegnoAlCoda)
    )
}

/// The onsets of a bar's events, and whether the bar can be cut before each.
fn edges(bar: &Bar) -> Vec<(Onset, bool)> {
    let mut onset = Onset::ZERO;
    let mut before = None;
    let mut edges = Vec::with_capacity(bar.events.len());
    for (nth, event) in bar.events.iter().enumerate() {
        edges.push((onset, nth > 0 && (event.tuplet.is_none() || event.tuplet != before)));
        (onset, before) = (onset + event.duration, event.tuplet);
    }
    edges
}

/// A bar in pieces, cut before some of its events; nothing is drawn at the cuts.
fn cut_at(mut bar: Bar, cuts: &[usize]) -> Vec<Bar> {
    let mut pieces = Vec::with_capacity(cuts.len() + 1);
    for cut in cuts.iter().rev() {
        let mut piece = Bar { events: bar.events.split_off(*cut), place: bar.place, ..Bar::blank() };
        if let Some(event) = piece.events.first_mut() {
            event.beamed_to_previous = false;
        }
        piece.right =
            std::mem::replace(&mut bar.right, Barline { style: BarlineStyle::Invisible, ..Barline::default() });
        piece.barline_marks = std::mem::take(&mut bar.barline_marks);
        pieces.push(piece);
    }
    pieces.push(bar);
    pieces.reverse();
    pieces
}
