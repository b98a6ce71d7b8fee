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
    /// Glyphs, and an entry for the end, which is no glyph.
    Row(Box<[Small]>),
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Small {
    id: u16,
    cluster: u16,
    x: f32,
    y: f32,
}

impl Small {
    fn of(glyph: Glyph) -> Self {
        let cluster = u16::try_from(glyph.cluster).unwrap_or(u16::MAX);
        Self { id: glyph.id, cluster, x: narrow(glyph.x), y: narrow(glyph.y) }
    }
    fn glyph(self) -> Glyph {
        Glyph {
            id: self.id,
            x: Abs::pt(f64::from(self.x)),
            y: Abs::pt(f64::from(self.y)),
            cluster: u32::from(self.cluster),
        }
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
        let end = Glyph { id: 0, x: end, y: Abs::ZERO, cluster: 0 };
        let row: Vec<Small> = glyphs.into_iter().chain([end]).map(Small::of).collect();
        match row[..] {
            [Small { id, cluster: 0, x: 0.0, y: 0.0 }, end] => Self(Held::One(id, end.x)),
            _ => Self(Held::Row(row.into())),
        }
    }
    /// A single glyph at the origin.
    pub fn one(id: u16, advance: Abs) -> Self {
        Self(Held::One(id, narrow(advance)))
    }
    /// How many there are.
    pub const fn len(&self) -> usize {
        match &self.0 {
            Held::One(..) => 1,
            Held::Row(row) => row.len().saturating_sub(1),
        }
    }
    /// Whether there is none.
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// The glyph at an index.
    pub fn get(&self, index: usize) -> Option<Glyph> {
        match &self.0 {
            Held::One(id, _) => (index == 0).then_some(Glyph { id: *id, x: Abs::ZERO, y: Abs::ZERO, cluster: 0 }),
            Held::Row(row) => (index + 1 < row.len()).then(|| row[index].glyph()),
        }
    }
    /// The glyphs, left to right.
    pub fn iter(&self) -> impl Iterator<Item = Glyph> + '_ {
        (0..self.len()).filter_map(|index| self.get(index))
    }
    /// From the origin to where the last advance ends.
    pub fn end(&self) -> Abs {
        let end = match &self.0 {
            Held::One(_, advance) => *advance,
            Held::Row(row) => row.last().map_or(0.0, |end| end.x),
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
        assert!(Glyphs::new([], Abs::ZERO).is_empty());
        assert!(size_of::<Glyphs>() <= 16 && size_of::<Small>() <= 12);
    }
}
