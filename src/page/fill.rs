//! Places the pieces of one page: natural gaps, or gaps widened or narrowed evenly so that the page ends at its foot.
//!
//! Takes a run of pieces and the height of the type area; gives tops. Pieces on the baseline grid are put on whole steps, so
//! systems may leave the grid and the text after them returns to it (common practice).

use super::flow::{Piece, Substance};
use crate::geom::Abs;

/// The height of a page and its grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    /// Height of the column.
    pub height: Abs,
    /// One baseline step.
    pub step: Abs,
}

/// Follows one column downwards with its gaps set at a factor: -1 narrowest, 0 natural, 1 widest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Walk {
    y: Abs,
    first: bool,
    music: bool,
    /// Whether the last piece was music.
    under_music: bool,
}

impl Walk {
    /// At the head of a page.
    pub const fn new() -> Self {
        Self { y: Abs::ZERO, first: true, music: false, under_music: false }
    }
    /// Puts the next piece, under its table's head where it is the first of a page; gives its top.
    pub fn put(&mut self, piece: &Piece, step: Abs, factor: f64) -> Abs {
        if self.first {
            self.y += piece.head.as_ref().map_or(Abs::ZERO, |head| head.size.height);
        } else {
            self.y += piece.gap.natural + given(piece, self.under_music, factor);
        }
        if piece.on_grid {
            self.y = onto_grid(self.y, step);
        }
        let top = self.y;
        self.y += piece.height;
        self.first = false;
        self.under_music = matches!(piece.substance, Substance::Music(_));
        self.music |= self.under_music;
        top
    }
    /// Whether it passed a system of music.
    pub const fn has_music(&self) -> bool {
        self.music
    }
    /// Where the last piece ends.
    pub const fn bottom(&self) -> Abs {
        self.y
    }
}

/// What a gap gives at a factor. Words give way first, then the white that parts them from the music: only when that is used up
/// do systems of music close up.
fn given(piece: &Piece, under_music: bool, factor: f64) -> Abs {
    if factor >= 0.0 {
        return piece.gap.stretch * factor;
    }
    let music = matches!(piece.substance, Substance::Music(_));
    let share = match (music, under_music) {
        (true, _) => -2.0 * factor - 1.0,
        (false, true) => -4.0 * factor - 1.0,
        (false, false) => -4.0 * factor,
    };
    piece.gap.shrink * -share.clamp(0.0, 1.0)
}

/// The next place on the grid at or below `y`.
fn onto_grid(y: Abs, step: Abs) -> Abs {
    // A hair of tolerance, so that a sum of whole steps does not slip to the next one.
    step * ((y / step) - 1e-6).ceil().max(0.0)
}

/// How many pages a run of pieces takes with its gaps as narrow as they go, filled one after the other.
pub(super) fn pages_needed(pieces: &[Piece], area: Area) -> usize {
    filled(pieces, area).0
}

/// The same, and how far the last of them is filled.
pub(super) fn filled(pieces: &[Piece], area: Area) -> (usize, Abs) {
    let mut walk = Walk::new();
    let mut pages = 1;
    for piece in pieces {
        walk.put(piece, area.step, -1.0);
        if !walk.bottom().fits(area.height) {
            pages += 1;
            walk = Walk::new();
            walk.put(piece, area.step, -1.0);
        }
    }
    (pages, walk.bottom())
}

/// The bottom of a run of pieces at a factor.
fn bottom(pieces: &[Piece], step: Abs, factor: f64) -> Abs {
    let mut walk = Walk::new();
    for piece in pieces {
        walk.put(piece, step, factor);
    }
    walk.bottom()
}

/// How far the gaps widen on a page that they cannot fill.
const HALF_FULL: f64 = 0.4;

/// The tops of the pieces of one page. `justify` widens gaps until the page is full, when they can; a page too full is
/// narrowed in any case. A piece at the foot goes there.
pub(super) fn place(pieces: &[Piece], area: Area, justify: bool) -> Vec<Abs> {
    let factor = factor(pieces, area, justify);
    let mut walk = Walk::new();
    let mut tops: Vec<Abs> = pieces.iter().map(|piece| walk.put(piece, area.step, factor)).collect();
    if let (Some(last), Some(top)) = (pieces.last(), tops.last_mut())
        && last.at_foot
    {
        *top = top.max(area.height - last.height);
    }
    tops
}

/// The factor that fills the page best without running over it.
fn factor(pieces: &[Piece], area: Area, justify: bool) -> f64 {
    let natural = bottom(pieces, area.step, 0.0);
    let (mut low, mut high) = if natural.fits(area.height) {
        if !justify {
            return 0.0;
        }
        // A page that no widening fills still gives its systems air, evenly, but does not tear them apart.
        let fills = area.height.fits(bottom(pieces, area.step, 1.0) + area.step);
        (0.0, if fills { 1.0 } else { HALF_FULL })
    } else {
        (-1.0, 0.0)
    };
    if low == 0.0 && bottom(pieces, area.step, high).fits(area.height) {
        return high;
    }
    // The bottom grows with the factor (in jumps where text snaps), so halving finds the largest that fits.
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if bottom(pieces, area.step, middle).fits(area.height) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::super::flow::Gap;
    use super::*;
    use crate::frame::Frame;

    fn system(height: f64) -> Piece {
        let mut piece = Piece::of_text(Frame::default(), Abs::pt(height));
        piece.on_grid = false;
        piece.gap = Gap { natural: Abs::pt(10.0), stretch: Abs::pt(10.0), shrink: Abs::pt(4.0) };
        piece
    }

    const AREA: Area = Area { height: Abs::pt(140.0), step: Abs::pt(10.0) };

    #[test]
    fn systems_spread_to_the_foot() {
        let tops = place(&[system(20.0), system(20.0), system(30.0)], AREA, true);
        // 140 - 70 leaves 70, much more than the two gaps may take (40): they widen a little.
        assert!(tops[1].is_near(Abs::pt(34.0)) && tops[2].is_near(Abs::pt(68.0)), "{tops:?}");
        let tops = place(&[system(34.0), system(34.0), system(36.0)], AREA, true);
        assert!(tops[2].is_near(Abs::pt(104.0)), "{tops:?}");
        assert!((tops[1] - Abs::pt(34.0)).is_near(tops[2] - tops[1] - Abs::pt(34.0)));
    }

    #[test]
    fn text_returns_to_the_grid_after_music() {
        let mut line = Piece::of_text(Frame::default(), Abs::pt(10.0));
        line.gap.natural = Abs::pt(5.0);
        let tops = place(&[system(33.0), line.clone(), line], AREA, false);
        assert!(tops[1].is_near(Abs::pt(40.0)));
        assert!(tops[2].is_near(Abs::pt(60.0)));
    }

    #[test]
    fn words_close_up_before_systems_do() {
        let music = |height: f64| Piece { substance: Substance::Music(0), ..system(height) };
        let tops = |last: f64| place(&[music(40.0), music(40.0), system(last)], AREA, false);
        // Three gaps' worth too many by 3: the words' own gap takes them in.
        let words = tops(43.0);
        assert!((words[1] - Abs::pt(40.0)).is_near(Abs::pt(10.0)), "{words:?}");
        assert!((words[2] - words[1] - Abs::pt(40.0)).is_near(Abs::pt(7.0)), "{words:?}");
        // By 6: the words' gap is used up, and the systems' gives the rest.
        let both = tops(46.0);
        assert!((both[1] - Abs::pt(40.0)).is_near(Abs::pt(8.0)), "{both:?}");
    }

    #[test]
    fn a_full_page_narrows_its_gaps() {
        let tops = place(&[system(42.0), system(42.0), system(42.0)], AREA, false);
        assert!(tops[2].is_near(Abs::pt(98.0)), "{tops:?}");
    }
}
