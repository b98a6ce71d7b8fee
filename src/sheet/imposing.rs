//! How a document is to be put on sheets: the scheme, the turn of the machine, the paper, what the bindery takes off.

use super::scheme::{Cell, Scheme};
use super::{Creep, PressLook};
use crate::geom::Abs;

/// About which edge the printer's machine turns a sheet for its back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Flip {
    /// The short edge.
    ShortEdge,
    /// The long edge.
    LongEdge,
}

/// How a document is imposed.
#[derive(Debug, Clone, PartialEq)]
pub struct Imposing {
    /// Which page goes where.
    pub scheme: Scheme,
    /// How the machine turns sheets.
    pub flip: Flip,
    /// How far leaves stand out of those they lie in; the cover counts for sheets that are stapled into it.
    pub creep: Creep,
    /// What the bindery mills off each fold before it glues the leaves; zero where folds stay whole, as for sewing.
    pub milling: Abs,
    /// Bleed, marks, slug, and the room around the pages.
    pub look: PressLook,
}

impl Imposing {
    /// How far the page of a cell is moved towards its fold. What is glued or sewn is one block level at its folds: its cover is put
    /// round it afterwards.
    pub(super) fn crept(&self, cell: &Cell) -> Abs {
        match self.scheme {
            Scheme::Saddle => self.creep.at(cell.depth),
            Scheme::Sections { .. } | Scheme::FoldedEight | Scheme::FoldedSixteen => {
                Creep { cover: Abs::ZERO, ..self.creep }.at(cell.depth)
            }
            Scheme::NUp { .. } | Scheme::CutAndStack { .. } => Abs::ZERO,
        }
    }
    /// What is milled off: nothing where nothing is folded, or where it is stapled.
    pub(super) fn milled(&self) -> Abs {
        match self.scheme {
            Scheme::Sections { .. } | Scheme::FoldedEight | Scheme::FoldedSixteen => self.milling,
            Scheme::Saddle | Scheme::NUp { .. } | Scheme::CutAndStack { .. } => Abs::ZERO,
        }
    }
}
