//! Parts set a little closer where that spares a page of a few lines: first the white between paragraphs gives way, then the
//! lines stand nearer to each other.
//!
//! Takes the pieces of a part, gives them back with other heights and gaps; never other ink. Lines set so leave the baseline
//! grid: a page that is nearly empty costs a reader more than a grid that is out by a hair (common practice, no source).

use super::fill::{Area, pages_needed};
use super::flow::{Before, Piece, Substance};
use crate::frame::Role;
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

/// The pieces from one on with their gaps and the heights of their lines at shares of what they were. Music, drawings, rows of
/// tables and entries of several lines keep their heights; where there are such entries, so do all lines: a line of the next
/// entry would stand nearer to an entry than its own lines to each other.
fn closer(pieces: &[Piece], from: usize, area: Area, gaps: f64, lines: f64) -> Vec<Piece> {
    let mut out = pieces.to_vec();
    let entries = pieces.iter().skip(from.max(1)).any(|piece| is_entry(piece, area));
    let lines = if entries { 1.0 } else { lines };
    for (piece, above) in out.iter_mut().zip(std::iter::once(None).chain(pieces.iter().map(Some))).skip(from.max(1)) {
        if matches!(piece.substance, Substance::Music(_)) || matches!(piece.before, Before::Opens(_)) {
            continue;
        }
        piece.on_grid = false;
        if is_line(piece, area) {
            piece.height = piece.height * lines;
        }
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
    }
    out
}

/// Whether a piece is one line of words, a heading's too.
fn is_line(piece: &Piece, area: Area) -> bool {
    piece.head.is_none() && !is_entry(piece, area) && piece.height <= area.step * 2.0
}

/// Whether a piece is an entry of a list of a generated part, of several lines: they keep their distance, whatever is done to its
/// height.
fn is_entry(piece: &Piece, area: Area) -> bool {
    let is_list = matches!(piece.substance, Substance::Text);
    is_list && piece.tags.iter().any(|(_, tag)| tag.role == Role::ListItem) && !piece.height.fits(area.step)
}

/// White over the first words under music, by the white between the paragraphs that follow: the music's end is the greatest seam
/// of a page, and words nearer to its last letters than to each other would read as one more row of them. `baseline` is from the
/// top of a line to its baseline: letters under the music stand on its lower edge.
pub(super) fn seams(pieces: &mut [Piece], area: Area, baseline: Abs) {
    let is_words = |piece: &Piece| {
        matches!(piece.substance, Substance::Commentary(_)) && !matches!(piece.before, Before::Opens(_))
    };
    for first in 1..pieces.len() {
        let under_music = matches!(pieces[first - 1].substance, Substance::Music(_));
        if !under_music || !is_words(&pieces[first]) {
            continue;
        }
        let (mut natural, mut least) = (Abs::ZERO, Abs::ZERO);
        for piece in pieces[first + 1..].iter().take_while(|piece| is_words(piece)) {
            // Headings may have more.
            natural = natural.max(piece.gap.natural.min(area.step));
            least = least.max((piece.gap.natural - piece.gap.shrink).min(area.step));
        }
        let hangs = area.step - baseline;
        let gap = &mut pieces[first].gap;
        let own = gap.natural - gap.shrink;
        gap.natural = gap.natural.max(natural + hangs);
        gap.shrink = gap.natural - own.max(least + hangs).min(gap.natural);
    }
}

#[cfg(test)]
mod tests {
    use super::super::fill::place;
    use super::super::flow::{Gap, fixed};
    use super::*;
    use crate::frame::{Frame, Tag};

    const AREA: Area = Area { height: Abs::pt(100.0), step: Abs::pt(10.0) };

    fn lines(count: usize) -> Vec<Piece> {
        (0..count)
            .map(|n| {
                let line = Piece::of_text(Frame::default(), Abs::pt(10.0));
                if n > 0 && n % 3 == 0 { line.after(Abs::pt(10.0)) } else { line }
            })
            .collect()
    }

    const BASELINE: Abs = Abs::pt(7.5);

    /// Music, then three paragraphs of two lines each with white between them.
    fn tune() -> Vec<Piece> {
        let mut out = lines(6);
        for (n, piece) in out.iter_mut().enumerate() {
            piece.substance = Substance::Commentary(0);
            piece.gap = fixed(if n.is_multiple_of(2) { AREA.step } else { Abs::ZERO });
        }
        out[0].gap = Gap { natural: AREA.step, stretch: AREA.step, shrink: AREA.step * 0.5 };
        let music =
            Piece { on_grid: false, substance: Substance::Music(0), ..Piece::of_text(Frame::default(), Abs::pt(33.0)) };
        out.insert(0, music);
        out
    }

    /// From the letters at the music's lower edge to the first words, and from paragraph to paragraph, on baselines.
    fn distances(pieces: &[Piece], height: f64) -> (Abs, Abs) {
        let tops = place(pieces, Area { height: Abs::pt(height), ..AREA }, false);
        (tops[1] + BASELINE - pieces[0].height, (tops[3] - tops[2]).max(tops[5] - tops[4]))
    }

    #[test]
    fn words_stand_no_nearer_to_the_music_than_to_each_other() {
        for level in [None, Some(0), Some(1), Some(2)] {
            let usual = tune();
            let mut pieces = level.map_or(usual.clone(), |level| by_level(&usual, AREA, level));
            seams(&mut pieces, AREA, BASELINE);
            for height in 90..160 {
                let (seam, paragraphs) = distances(&pieces, f64::from(height));
                assert!(paragraphs.fits(seam), "{level:?}, {height}: {seam:?} over {paragraphs:?}");
            }
        }
        // A single paragraph needs no more than it has.
        let mut alone = tune();
        alone.truncate(3);
        let before = alone[1].gap;
        seams(&mut alone, AREA, BASELINE);
        assert_eq!(alone[1].gap.natural, before.natural);
    }

    #[test]
    fn all_words_of_a_tune_have_one_leading() {
        let closer = by_level(&tune(), AREA, 2);
        assert!(closer[1..].iter().all(|piece| piece.height.is_near(Abs::pt(9.4))), "the first line as well");
    }

    #[test]
    fn entries_stand_no_nearer_than_their_own_lines() {
        let entry =
            |count: f64| Piece::of_text(Frame::default(), Abs::pt(10.0 * count)).tagged(0, Tag::new(Role::ListItem));
        let list = vec![entry(1.0), entry(2.0), entry(1.0), entry(1.0)];
        for level in 0..LEVELS.len() {
            let closer = by_level(&list, AREA, level);
            assert!(closer.iter().zip(&list).all(|(closer, usual)| closer.height == usual.height), "{level}");
        }
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
