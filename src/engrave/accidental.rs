//! Which accidentals are printed, and where they stand beside their heads.
//!
//! Takes the tune's pitches, gives a sign or none for each; takes a chord's heads and signs, gives places that interlock.
//!
//! Sources: a sign holds to the end of its bar at its own octave, and a tie carries it over the barline (common practice;
//! E. Gould, *Behind Bars*, from memory); signs interlock by the cut-outs of SMuFL's glyphsWithAnchors.

use super::canvas::ink_of;
use super::lettering::Area;
use crate::font::{Anchor, MusicFont};
use crate::tune::{Accidental, KeySignature, Note, Pitch, Step, Tune};
use std::collections::BTreeMap;

/// Between a sign and its head (Gould, from memory: 0.2 to 0.3).
const TO_HEAD: f64 = 0.25;
/// Between two signs of a chord.
const TO_SIGN: f64 = 0.15;
/// Above and below a sign.
const OVER_SIGN: f64 = 0.1;
/// Between a sign and its parentheses (Gould, from memory: 0.1 to 0.2).
const TO_PARENTHESIS: f64 = 0.1;

/// A sign that is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Printed {
    /// Which.
    pub(super) sign: Accidental,
    /// Whether it only reminds, and stands in parentheses.
    pub(super) courtesy: bool,
}

/// Signs of one event: of each grace's pitches, then of its own pitches.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct EventSigns {
    /// For each grace, for each pitch.
    pub(super) graces: Vec<Vec<Option<Printed>>>,
    /// For each pitch.
    pub(super) notes: Vec<Option<Printed>>,
    /// Pitches that a tie carries on and the key does not: their signs are repeated where a line begins with them (Gould,
    /// from memory).
    pub(super) again: Vec<(usize, Printed)>,
}

/// What is in force in a bar.
struct Scope {
    key: KeySignature,
    /// What signs in this bar have set, by letter and octave.
    here: BTreeMap<(Step, i8), i8>,
    /// Letters that ended the bar before at an alteration other than the key's, until they are met.
    before: BTreeMap<Step, i8>,
}

impl Scope {
    fn print(&mut self, note: &Note) -> Option<Printed> {
        let Pitch { step, alter, octave } = note.pitch;
        if note.tied_from_previous {
            return None;
        }
        let in_key = self.key.alter(step);
        let in_force = self.here.get(&(step, octave)).copied().unwrap_or(in_key);
        let sign = Accidental::from_alter(alter)?;
        let reminded = self.before.remove(&step);
        let other_octave = self.here.iter().any(|((s, o), a)| *s == step && *o != octave && *a != alter);
        let first_here = !self.here.contains_key(&(step, octave));
        if in_force != alter {
            self.here.insert((step, octave), alter);
            return Some(Printed { sign, courtesy: false });
        }
        let written = note.written_sign.is_some_and(|written| written.alter() == alter);
        let courtesy = first_here && (other_octave || written || reminded.is_some_and(|before| before != alter));
        self.here.insert((step, octave), alter);
        courtesy.then_some(Printed { sign, courtesy: true })
    }
    /// The sign of a tied note that is not in the key.
    fn again(&self, note: &Note) -> Option<Printed> {
        let Pitch { step, alter, .. } = note.pitch;
        let sign =
            Accidental::from_alter(alter).filter(|_| note.tied_from_previous && alter != self.key.alter(step))?;
        Some(Printed { sign, courtesy: false })
    }
    /// The bar ends: what differs from the key is remembered for one bar.
    fn turn_bar(&mut self) {
        self.before.clear();
        for ((step, _), alter) in std::mem::take(&mut self.here) {
            if alter != self.key.alter(step) {
                self.before.insert(step, alter);
            }
        }
    }
}

/// The signs of every event, in written order.
pub(super) fn printed(tune: &Tune) -> Vec<EventSigns> {
    let mut scope = Scope { key: tune.key.clone(), here: BTreeMap::new(), before: BTreeMap::new() };
    let mut all = Vec::new();
    for bar in &tune.bars {
        // The second half of a bar that a repeat sign splits is still the same bar.
        if !bar.label.second_half {
            scope.turn_bar();
        }
        if let Some(key) = &bar.key {
            scope.key.clone_from(key);
            scope.before.clear();
        }
        for event in &bar.events {
            let graces = event.graces.iter().map(|g| g.notes.iter().map(|n| scope.print(n)).collect()).collect();
            let notes = event.notes().iter().map(|n| scope.print(n)).collect();
            let again =
                event.notes().iter().enumerate().filter_map(|(n, note)| Some((n, scope.again(note)?))).collect();
            all.push(EventSigns { graces, notes, again });
        }
    }
    all
}

/// The SMuFL name of a sign.
pub(super) const fn glyph_name(sign: Accidental) -> &'static str {
    match sign {
        Accidental::DoubleFlat => "accidentalDoubleFlat",
        Accidental::Flat => "accidentalFlat",
        Accidental::Natural => "accidentalNatural",
        Accidental::Sharp => "accidentalSharp",
        Accidental::DoubleSharp => "accidentalDoubleSharp",
    }
}

/// A glyph of a placed sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SignAt {
    /// SMuFL name.
    pub(super) name: &'static str,
    /// Its origin.
    pub(super) x: f64,
    /// Its staff position.
    pub(super) y: f64,
    /// Its ink.
    pub(super) area: Area,
}

/// Places the signs of a chord left of its heads (boxes relative to the column), each as near as cut-outs allow: from the
/// outermost pitches inwards, top first. `scale` is 1, less for graces.
pub(super) fn place(music: &MusicFont, heads: &[Area], signs: &[(f64, Printed)], scale: f64) -> Vec<SignAt> {
    let mut order: Vec<usize> = Vec::with_capacity(signs.len());
    let (mut low, mut high) = (0, signs.len());
    while low < high {
        high -= 1;
        order.push(high);
        if low < high {
            order.push(low);
            low += 1;
        }
    }
    let mut taken: Vec<(Area, f64)> = heads.iter().map(|head| (*head, TO_HEAD)).collect();
    let mut placed = Vec::new();
    for index in order {
        let (y, sign) = signs[index];
        let parts = parts_of(music, sign, scale);
        let mut x = f64::INFINITY;
        for (_, area, boxes) in &parts {
            let boxes: &[Area] = if boxes.is_empty() { std::slice::from_ref(area) } else { boxes };
            for own in boxes {
                let own = own.moved(0.0, y);
                for (other, gap) in &taken {
                    if own.bottom - OVER_SIGN < other.top && other.bottom - OVER_SIGN < own.top {
                        x = x.min(other.left - gap * scale.max(0.8) - own.right);
                    }
                }
            }
        }
        let x = if x.is_finite() { x } else { -TO_HEAD - 1.0 };
        for (name, area, boxes) in parts {
            let boxes = if boxes.is_empty() { vec![area] } else { boxes };
            taken.extend(boxes.into_iter().map(|part| (part.moved(x, y), TO_SIGN)));
            // Glyph areas start at the glyph's own left edge within the sign.
            let glyph = ink_of(music.glyph(name)).scaled(scale);
            placed.push(SignAt { name, x: x + area.left - glyph.left, y, area: area.moved(x, y) });
        }
    }
    placed
}

/// The glyphs of a sign from its left edge: name, ink, and the boxes that cover the ink with its cut-outs left open.
fn parts_of(music: &MusicFont, sign: Printed, scale: f64) -> Vec<(&'static str, Area, Vec<Area>)> {
    let name = glyph_name(sign.sign);
    let area = ink_of(music.glyph(name)).scaled(scale);
    if !sign.courtesy {
        return vec![(name, area, cut_boxes(music, name, scale))];
    }
    let left = ink_of(music.glyph("accidentalParensLeft")).scaled(scale);
    let right = ink_of(music.glyph("accidentalParensRight")).scaled(scale);
    let gap = TO_PARENTHESIS * scale;
    let middle = left.right + gap - area.left;
    let last = middle + area.right + gap - right.left;
    vec![
        ("accidentalParensLeft", left, Vec::new()),
        (name, area.moved(middle, 0.0), Vec::new()),
        ("accidentalParensRight", right.moved(last, 0.0), Vec::new()),
    ]
}

/// Boxes that cover a glyph but leave its cut-out corners open.
fn cut_boxes(music: &MusicFont, name: &'static str, scale: f64) -> Vec<Area> {
    let glyph = music.glyph(name);
    let all = ink_of(glyph);
    let corner = |anchor, x: f64, y: f64| glyph.anchor(anchor).map_or((x, y), |point| (point.x.raw(), point.y.raw()));
    let ne = corner(Anchor::CutOutNE, all.right, all.top);
    let se = corner(Anchor::CutOutSE, all.right, all.bottom);
    let sw = corner(Anchor::CutOutSW, all.left, all.bottom);
    let nw = corner(Anchor::CutOutNW, all.left, all.top);
    let middle = (sw.1.max(se.1), nw.1.min(ne.1));
    [
        Area::new(all.left, middle.0, all.right, middle.1),
        Area::new(nw.0, middle.1, ne.0, all.top),
        Area::new(sw.0, all.bottom, se.0, middle.0),
    ]
    .into_iter()
    .filter(|part| part.right > part.left && part.top > part.bottom)
    .map(|part| part.scaled(scale))
    .collect()
}
