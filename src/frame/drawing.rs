//! Drawings by another hand: paths that are filled by either rule and cut by others, as our own pages never need them.

use super::{Ink, Stroke};
use crate::geom::{Abs, Path, Point, Size};

/// How a path tells its inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rule {
    /// Whatever the path winds around.
    NonZero,
    /// Whatever a ray out crosses the path for an odd number of times.
    EvenOdd,
}

/// The inside of a path.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// The path.
    pub path: Path,
    /// What is inside it.
    pub rule: Rule,
}

/// One mark of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// An area filled.
    Fill(Area, Ink),
    /// A path stroked.
    Stroke(Path, Stroke),
}

/// Marks that the same areas cut.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layer {
    /// What is outside of any of these is not painted.
    pub clips: Vec<Area>,
    /// The marks, in painting order.
    pub marks: Vec<Mark>,
}

/// A drawing: layers from the lowest to the topmost, places counted from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Its size; no mark reaches beyond it.
    pub size: Size,
    /// The layers.
    pub layers: Vec<Layer>,
}

impl Drawing {
    /// How many points its paths have, those that cut them among them.
    pub fn points(&self) -> usize {
        let mark = |mark: &Mark| match mark {
            Mark::Fill(area, _) => area.path.segments.len(),
            Mark::Stroke(path, _) => path.segments.len(),
        };
        let layer = |layer: &Layer| {
            let clips: usize = layer.clips.iter().map(|clip| clip.path.segments.len()).sum();
            clips + layer.marks.iter().map(mark).sum::<usize>()
        };
        self.layers.iter().map(layer).sum()
    }
    /// The same drawing at `factor` of its size, lines too.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let length = |length: Abs| length * factor;
        let path = |path: &Path| path.map(|at| Point::new(length(at.x), length(at.y)));
        let area = |area: &Area| Area { path: path(&area.path), rule: area.rule };
        let mark = |mark: &Mark| match mark {
            Mark::Fill(inside, ink) => Mark::Fill(area(inside), *ink),
            Mark::Stroke(line, stroke) => Mark::Stroke(path(line), stroke.scaled(factor)),
        };
        let layer = |layer: &Layer| Layer {
            clips: layer.clips.iter().map(area).collect(),
            marks: layer.marks.iter().map(mark).collect(),
        };
        Self {
            size: Size::new(length(self.size.width), length(self.size.height)),
            layers: self.layers.iter().map(layer).collect(),
        }
    }
}
