//! What frames use: glyphs with what they say, pictures, and shapes that stand in many places.
//!
//! Gathered while frames are walked for other reasons: a walk over all pages of a book costs as much as painting a quarter of
//! them.

use super::{Frame, Image, Item, Row, Shape, Small, TextRun};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What frames use. The order in which they are taken decides where two of them differ.
#[derive(Debug, Clone, Default)]
pub struct Uses {
    faces: Vec<Vec<Option<Box<str>>>>,
    images: BTreeMap<Arc<str>, Image>,
    stamps: Vec<Arc<Shape>>,
    /// Where the shapes are held, which tells them apart.
    held: BTreeSet<usize>,
}

/// Where shapes are held is no part of what is used.
impl PartialEq for Uses {
    fn eq(&self, other: &Self) -> bool {
        self.faces == other.faces && self.images == other.images && self.stamps == other.stamps
    }
}

impl Uses {
    /// What each glyph says, by face and glyph id: the first use that says anything decides. Nothing for a glyph that is not
    /// used.
    pub fn faces(&self) -> &[Vec<Option<Box<str>>>] {
        &self.faces
    }
    /// The pictures by key, those whose bytes are not their pixels left out.
    pub const fn images(&self) -> &BTreeMap<Arc<str>, Image> {
        &self.images
    }
    /// The shapes that stand in many places, in the order of their first use.
    pub fn stamps(&self) -> &[Arc<Shape>] {
        &self.stamps
    }
    /// Takes a frame, with all that is in it.
    pub fn take(&mut self, frame: &Frame) {
        for (_, item) in frame.items() {
            match item {
                Item::Group(group) => self.take(&group.frame),
                item => self.item(item),
            }
        }
    }
    /// Takes one item; what is in a group is not looked at.
    pub fn item(&mut self, item: &Item) {
        match item {
            Item::Text(run) => self.run(run),
            Item::Image(image) => {
                let (width, height) = image.pixels;
                let is_whole = u64::from(width) * u64::from(height) == image.grey.len() as u64;
                if is_whole && !image.grey.is_empty() && !self.images.contains_key(&image.key) {
                    self.images.insert(image.key.clone(), Image::clone(image));
                }
            }
            Item::Stamp(shape) => self.stamp(shape),
            Item::Group(_) | Item::Shape(_) | Item::Rect(..) | Item::Drawing(_) | Item::Anchor(_) => {}
        }
    }
    fn stamp(&mut self, shape: &Arc<Shape>) {
        if self.held.insert(Arc::as_ptr(shape).addr()) {
            self.stamps.push(Arc::clone(shape));
        }
    }
    fn run(&mut self, run: &TextRun) {
        let face = usize::from(run.face.index());
        if self.faces.len() <= face {
            self.faces.resize_with(face + 1, Vec::new);
        }
        let glyphs = &mut self.faces[face];
        // Nearly every run holds nothing but glyphs that have been seen.
        let row = run.glyphs.row();
        let is_known =
            |glyph: &Small| matches!(glyphs.get(usize::from(glyph.id)), Some(Some(says)) if !says.is_empty());
        if row.glyphs().iter().all(is_known) {
            return;
        }
        for cluster in Clusters::of(run, &row) {
            for glyph in cluster.glyphs {
                let id = usize::from(glyph.id);
                if glyphs.len() <= id {
                    glyphs.resize_with((id + 1).next_power_of_two(), || None);
                }
                if glyphs[id].as_ref().is_some_and(|known| !known.is_empty()) {
                    continue;
                }
                // A glyph that shares its cluster with others says nothing of its own.
                let says = if cluster.glyphs.len() == 1 { cluster.text } else { "" };
                match &mut glyphs[id] {
                    Some(known) if known.is_empty() && !says.is_empty() => *known = says.into(),
                    Some(_) => {}
                    slot => *slot = Some(says.into()),
                }
            }
        }
    }
    /// Joins what later frames use.
    pub fn then(&mut self, later: Self) {
        for (key, image) in later.images {
            self.images.entry(key).or_insert(image);
        }
        later.stamps.iter().for_each(|shape| self.stamp(shape));
        if self.faces.len() < later.faces.len() {
            self.faces.resize_with(later.faces.len(), Vec::new);
        }
        for (mine, theirs) in self.faces.iter_mut().zip(later.faces) {
            if mine.len() < theirs.len() {
                mine.resize_with(theirs.len(), || None);
            }
            for (known, new) in mine.iter_mut().zip(theirs) {
                let worth = match (&*known, &new) {
                    (None, Some(_)) => true,
                    (Some(old), Some(new)) => old.is_empty() && !new.is_empty(),
                    _ => false,
                };
                if worth {
                    *known = new;
                }
            }
        }
    }
}

/// Glyphs of a run that stand for one stretch of its text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cluster<'a> {
    /// Where in the run they begin.
    pub first: usize,
    /// The glyphs.
    pub glyphs: &'a [Small],
    /// What they say.
    pub text: &'a str,
}

/// The clusters of a run, left to right.
#[derive(Debug, Clone)]
pub struct Clusters<'a> {
    text: &'a str,
    glyphs: &'a [Small],
    at: usize,
}

impl<'a> Clusters<'a> {
    /// The clusters of a run, whose glyphs are given as they are held.
    #[inline]
    pub fn of(run: &'a TextRun, row: &'a Row<'_>) -> Self {
        Self { text: &run.text, glyphs: row.glyphs(), at: 0 }
    }
}

impl<'a> Iterator for Clusters<'a> {
    type Item = Cluster<'a>;
    #[inline]
    fn next(&mut self) -> Option<Cluster<'a>> {
        let first = self.at;
        let start = self.glyphs.get(first)?.cluster;
        let end = loop {
            self.at += 1;
            match self.glyphs.get(self.at) {
                Some(glyph) if glyph.cluster == start => {}
                Some(glyph) => break usize::from(glyph.cluster),
                None => break self.text.len(),
            }
        };
        let text = self.text.get(usize::from(start)..end).unwrap_or("");
        Some(Cluster { first, glyphs: &self.glyphs[first..self.at], text })
    }
}
