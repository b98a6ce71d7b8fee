//! The glyphs of a run, held small: a book has millions of them.

use crate::geom::Abs;

/// One glyph of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glyph {
    /// Glyph id in its face.
    pub id: u16,
    /// From the run's origin to this glyph's origin, right.
    pub x: Abs,
    /// From the baseline, downwards positive.
    pub y: Abs,
    /// Byte offset into the run's text of the cluster it belongs to.
    pub cluster: u32,
}

/// Glyphs in visual order, with the place where the last one's advance ends. Places within a run are held as 32-bit floats: at
/// the far edge of the widest page they are right to 0.001 pt, on a page of common size to 0.00003 pt. Clusters beyond 65,535
/// bytes of text count as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyphs(Held);

#[derive(Debug, Clone, PartialEq)]
enum Held {
    /// A glyph at the origin, as most signs of music are, and its advance.
    One(u16, f32),
    /// The end (its place, and in `id` whether lifts follow), then the glyphs, then their lifts, one each in `x`: nearly all
    /// glyphs stand on the baseline, and a row without lifts is a third smaller.
    Row(Box<[Small]>),
}

/// A glyph as it is held.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Small {
    /// Glyph id in its face.
    pub id: u16,
    /// Byte offset into the run's text.
    pub cluster: u16,
    /// From the run's origin to this glyph's origin, right, in points.
    pub x: f32,
}

/// The glyphs of a run where they are held.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    single: [Small; 1],
    row: Option<&'a [Small]>,
    lifts: &'a [Small],
}

impl Row<'_> {
    /// The glyphs, left to right.
    #[inline]
    pub fn glyphs(&self) -> &[Small] {
        self.row.unwrap_or(&self.single)
    }
    /// Whether all of them stand on the baseline.
    #[inline]
    pub const fn is_flat(&self) -> bool {
        self.lifts.is_empty()
    }
    /// How far below the baseline the glyph at an index stands.
    #[inline]
    pub fn lift(&self, index: usize) -> Abs {
        self.lifts.get(index).map_or(Abs::ZERO, |lift| Abs::pt(f64::from(lift.x)))
    }
    fn get(&self, index: usize) -> Option<Glyph> {
        let Small { id, cluster, x } = *self.glyphs().get(index)?;
        Some(Glyph { id, x: Abs::pt(f64::from(x)), y: self.lift(index), cluster: u32::from(cluster) })
    }
}

/// What the end's `id` says of a row.
const FLAT: u16 = 0;
const LIFTED: u16 = 1;

impl Small {
    fn of(glyph: &Glyph) -> Self {
        let cluster = u16::try_from(glyph.cluster).unwrap_or(u16::MAX);
        Self { id: glyph.id, cluster, x: narrow(glyph.x) }
    }
}

/// How many glyphs are in a row.
const fn count(row: &[Small]) -> usize {
    match row {
        [Small { id: LIFTED, .. }, rest @ ..] => rest.len() / 2,
        [_, rest @ ..] => rest.len(),
        [] => 0,
    }
}

fn narrow(length: Abs) -> f32 {
    #[expect(clippy::cast_possible_truncation, reason = "as the type's description says")]
    let value = length.to_pt() as f32;
    value
}

impl Glyphs {
    /// Glyphs in visual order whose last advance ends at `end`.
    pub fn new(glyphs: impl IntoIterator<Item = Glyph>, end: Abs) -> Self {
        let end = narrow(end);
        let mut row = vec![Small { id: FLAT, x: end, ..Small::default() }];
        let mut lifts = Vec::new();
        for glyph in glyphs {
            row.push(Small::of(&glyph));
            lifts.push(narrow(glyph.y));
        }
        let is_flat = lifts.iter().all(|lift| *lift == 0.0);
        if let [_, Small { id, cluster: 0, x: 0.0 }] = row[..]
            && is_flat
        {
            return Self(Held::One(id, end));
        }
        if !is_flat {
            row[0].id = LIFTED;
            row.extend(lifts.into_iter().map(|x| Small { x, ..Small::default() }));
        }
        Self(Held::Row(row.into()))
    }
    /// A single glyph at the origin.
    pub fn one(id: u16, advance: Abs) -> Self {
        Self(Held::One(id, narrow(advance)))
    }
    /// How many there are.
    pub const fn len(&self) -> usize {
        match &self.0 {
            Held::One(..) => 1,
            Held::Row(row) => count(row),
        }
    }
    /// Whether there is none.
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// The glyphs as they are held, to be walked without a copy of each.
    #[inline]
    pub fn row(&self) -> Row<'_> {
        match &self.0 {
            Held::One(id, _) => Row { single: [Small { id: *id, ..Small::default() }], row: None, lifts: &[] },
            Held::Row(row) => {
                let (row, lifts) = row.get(1..).unwrap_or_default().split_at(count(row));
                Row { single: [Small::default()], row: Some(row), lifts }
            }
        }
    }
    /// The glyph at an index.
    pub fn get(&self, index: usize) -> Option<Glyph> {
        self.row().get(index)
    }
    /// The glyphs, left to right.
    pub fn iter(&self) -> impl Iterator<Item = Glyph> + '_ {
        let row = self.row();
        (0..self.len()).filter_map(move |index| row.get(index))
    }
    /// From the origin to where the last advance ends.
    pub fn end(&self) -> Abs {
        let end = match &self.0 {
            Held::One(_, advance) => *advance,
            Held::Row(row) => row.first().map_or(0.0, |end| end.x),
        };
        Abs::pt(f64::from(end))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_held_is_given_back() {
        let glyph = |id, x: f64, cluster| Glyph { id, x: Abs::pt(x), y: Abs::pt(-0.5), cluster };
        let row = [glyph(3, 0.0, 0), glyph(9, 4.25, 1), glyph(9, 8.5, 70_000)];
        let held = Glyphs::new(row, Abs::pt(12.75));
        assert_eq!((held.len(), held.end()), (3, Abs::pt(12.75)));
        assert_eq!(held.iter().take(2).collect::<Vec<_>>(), row[..2]);
        assert_eq!(held.get(2).map(|glyph| glyph.cluster), Some(65_535));
        assert_eq!(held.get(3), None);
        let single = Glyphs::new([Glyph { id: 7, x: Abs::ZERO, y: Abs::ZERO, cluster: 0 }], Abs::pt(2.0));
        assert_eq!(single, Glyphs::one(7, Abs::pt(2.0)));
        assert_eq!(single.iter().map(|glyph| glyph.id).collect::<Vec<_>>(), [7]);
        let flat = row.map(|glyph| Glyph { y: Abs::ZERO, ..glyph });
        let held = Glyphs::new(flat, Abs::pt(12.75));
        assert_eq!((held.len(), held.end()), (3, Abs::pt(12.75)));
        assert_eq!(held.iter().take(2).collect::<Vec<_>>(), flat[..2]);
        assert_eq!((held.get(3), Glyphs::new(row, Abs::ZERO).get(7)), (None, None));
        let lifted = Glyphs::new([Glyph { id: 7, x: Abs::ZERO, y: Abs::pt(1.0), cluster: 0 }], Abs::pt(2.0));
        assert_eq!(lifted.iter().map(|glyph| glyph.y).collect::<Vec<_>>(), [Abs::pt(1.0)]);
        assert!(Glyphs::new([], Abs::ZERO).is_empty());
        assert!(size_of::<Glyphs>() <= 16 && size_of::<Small>() <= 8);
    }
}
