//! A page of ruled staves with clefs, for tunes of the learner's own and for dictation; as large as the book's music.

use super::names::anchor;
use crate::book::Matter;
use crate::frame::{Ink, Tag};
use crate::geom::{Abs, Point};
use crate::page::chart_staff::staff;
use crate::page::desk::Desk;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, words::Words};

/// From one staff's top to the next, in staff spaces: room for the band of the bellows above and the left hand's letters
/// below (our choice, no source).
const APART: f64 = 13.0;

/// The head, a sentence, and as many staves as fill the page.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let Words { staves, staves_intro, .. } = setting.words;
    let head = chapter::head(desk, staves, &anchor(Matter::Staves), comp);
    let mut intro = setting.paragraph(Named::Text, staves_intro, comp);
    intro[0].gap = fixed(setting.area.step);
    intro[0].before = Before::Never;
    let space = setting.book.engraving.space;
    let row = setting.whole_steps(space * APART);
    let above = head.height + setting.area.step * 2.0 + intro.iter().map(|piece| piece.height).sum();
    let count = ((setting.area.height - above) / row + 1e-6).floor().max(1.0) as usize;
    let mut out = vec![head];
    out.extend(intro);
    for nth in 0..count {
        let mut frame = staff(setting, &[], setting.width, space, false);
        // A staff ends in a line; the bars are for the learner to draw.
        let bottom = frame.size.height - space * 1.4;
        let right = setting.width - Abs::pt(0.2);
        frame.line(Point::new(right, bottom - space * 4.0), Point::new(right, bottom), Abs::pt(0.4), Ink::Black);
        frame.size.height = row;
        let mut piece = Piece::of_text(frame, row).breaking(Before::Never).tagged(comp.number(), Tag::figure(*staves));
        if nth == 0 {
            piece = piece.after(setting.area.step);
        }
        out.push(piece);
    }
    out
}
