//! Parts set a little closer where that spares a page of a few lines: first the white between paragraphs gives way, then the
//! lines stand nearer to each other.
//!
//! Takes the pieces of a part, gives them back with other heights and gaps; never other ink. Lines set so leave the baseline
//! grid: a page that is nearly empty costs a reader more than a grid that is out by a hair (common practice, no source).

use super::fill::{Area, pages_needed};
use super::flow::{Before, Piece, Substance};
use crate::geom::Abs;

/// Shares of gaps and of lines, from what is seen least. At 0.94 of the usual leading of 1.3 lines are still 1.22 of their size
/// apart (DIN 1450 asks for 1.2).
const LEVELS: [(f64, f64); 3] = [(0.6, 1.0), (0.6, 0.97), (0.5, 0.94)];

/// The least white over a paragraph with a bar number beside it, in lines: under less the numbers no longer part what they stand
/// beside (judged on the page).
const LEAST_WHITE: f64 = 0.5;

/// The pieces as they are, or those from `from` on closer if that spares a page. The first piece of a part stays as it is.
pub(super) fn sparing(pieces: Vec<Piece>, from: usize, area: Area) -> Vec<Piece> {
    let usual = pages_needed(&pieces, area);
    if usual <= 1 {
        return pieces;
    }
    for (gaps, lines) in LEVELS {
        let closer = closer(&pieces, from, area, gaps, lines);
        if pages_needed(&closer, area) < usual {
            return closer;
        }
    }
    pieces
}

/// The white and the lines of words closer by two of the shares of [`LEVELS`], the first the gentlest.
pub(super) fn by_level(pieces: &[Piece], area: Area, level: usize) -> Vec<Piece> {
    let (gaps, lines) = LEVELS[level.min(LEVELS.len() - 1)];
    closer(pieces, 1, area, gaps, lines)
}

/// The pieces from one on with their gaps and the heights of their lines at shares of what they were. Music, drawings and
/// rows of tables keep their heights.
fn closer(pieces: &[Piece], from: usize, area: Area, gaps: f64, lines: f64) -> Vec<Piece> {
    let mut out = pieces.to_vec();
    for (piece, above) in out.iter_mut().zip(std::iter::once(None).chain(pieces.iter().map(Some))).skip(from.max(1)) {
        if matches!(piece.substance, Substance::Music(_)) || matches!(piece.before, Before::Opens(_)) {
            continue;
        }
        piece.on_grid = false;
        // White under music keeps its height: words as near to the last letters as to each other would read as their row.
        if above.is_some_and(|above| matches!(above.substance, Substance::Music(_))) {
            continue;
        }
        // Between paragraphs on a tune, which bar numbers part, half a line of white is left.
        let least = match piece.substance {
            Substance::Commentary(_) => piece.gap.natural.min(area.step * LEAST_WHITE),
            _ => Abs::ZERO,
        };
        piece.gap.natural = (piece.gap.natural * gaps).max(least);
        piece.gap.shrink = (piece.gap.natural * 0.4).min(piece.gap.natural - least).max(Abs::ZERO);
        if piece.head.is_none() && piece.height <= area.step * 2.0 {
            piece.height = piece.height * lines;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Frame;

    const AREA: Area = Area { height: Abs::pt(100.0), step: Abs::pt(10.0) };

    fn lines(count: usize) -> Vec<Piece> {
        (0..count)
            .map(|n| {
                let line = Piece::of_text(Frame::default(), Abs::pt(10.0));
                if n > 0 && n % 3 == 0 { line.after(Abs::pt(10.0)) } else { line }
            })
            .collect()
    }

    #[test]
    fn a_line_too_many_is_taken_in_and_a_paragraph_too_many_is_not() {
        // Eight lines and two gaps fill the page; nine are a line too many, which the gaps take in.
        assert_eq!(sparing(lines(8), 1, AREA), lines(8));
        let nine = sparing(lines(9), 1, AREA);
        assert_eq!((pages_needed(&lines(9), AREA), pages_needed(&nine, AREA)), (2, 1));
        assert!(nine.iter().all(|piece| piece.height.is_near(Abs::pt(10.0))), "the lines need not stand nearer");
        assert_eq!(sparing(lines(12), 1, AREA), lines(12));
    }
}
