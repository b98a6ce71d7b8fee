//! What a printer does with imposed sheets, in plain words, one sentence each.
//!
//! Takes how the document is imposed and the planned sheets; gives the orders. The order of the steps is *common practice, no
//! source*.

use super::Sheet;
use super::imposing::{Flip, Imposing};
use super::scheme::{Scheme, SheetPlan};
use crate::geom::{Abs, Size};

/// The orders for sheets of which `first` is the first side, with so many sections, or copies on a side; `page` is the trimmed
/// page. None for no sheets.
pub(super) fn orders(
    imposing: &Imposing,
    plans: &[SheetPlan],
    first: Option<&Sheet>,
    (sections, copies): (usize, usize),
    page: Size,
) -> Vec<String> {
    let Some(first) = first else { return Vec::new() };
    let media = first.boxes.media;
    let edge = if imposing.flip == Flip::ShortEdge { "short" } else { "long" };
    let sides = if plans.iter().all(|plan| plan.back.is_empty()) {
        "on one side at full size".to_owned()
    } else {
        format!("on both sides at full size, flipping on the {edge} edge")
    };
    let mut orders = vec![format!(
        "Print {} {sides}, on paper of at least {:.0} x {:.0} mm.",
        sheets_of(plans.len()),
        (media.width.to_mm() - 0.05).ceil(),
        (media.height.to_mm() - 0.05).ceil()
    )];
    orders.push(finishing(imposing, (sections, copies), page));
    if imposing.scheme.is_folded() && imposing.creep.caliper > Abs::ZERO {
        let cells = plans.iter().flat_map(|plan| plan.front.iter().chain(&plan.back));
        let most = cells.max_by_key(|cell| cell.depth).map_or(Abs::ZERO, |cell| imposing.crept(cell)).to_mm();
        let cover = imposing.creep.cover.to_mm();
        let cover = if imposing.scheme == Scheme::Saddle && cover > 0.0 {
            format!(", and all pages {cover:.2} mm for the cover that they lie in")
        } else {
            String::new()
        };
        orders.push(format!("Creep is taken up: the innermost pages stand {most:.2} mm nearer the fold{cover}."));
    }
    orders
}

/// From the printed sheets to the trimmed book.
fn finishing(imposing: &Imposing, (sections, copies): (usize, usize), page: Size) -> String {
    let size = format!("{:.1} x {:.1} mm", page.width.to_mm(), page.height.to_mm());
    // Sheets without marks are folded and cut by measure.
    let is_marked = imposing.look.crop_marks;
    let trim = if is_marked { "trim at the corner marks".to_owned() } else { format!("trim to {size}") };
    match imposing.scheme {
        Scheme::Saddle => {
            let fold = if is_marked { "at the dashed marks" } else { "in the middle" };
            format!(
                "Lay the sheets on one another as they come, sheet 1 outermost; fold {fold}, staple through the fold, {trim}."
            )
        }
        Scheme::Sections { .. } if sections == 1 => {
            format!(
                "Fold the sheets inside one another, sheet 1 outermost; {}, then trim.",
                bound(imposing.milled(), 1)
            )
        }
        Scheme::Sections { .. } => format!(
            "Fold each of the {sections} sections with its sheet 1 outermost; gather them so that the bars on the spine \
             form a staircase; {}, then trim.",
            bound(imposing.milled(), sections)
        ),
        Scheme::FoldedEight | Scheme::FoldedSixteen => {
            let gather = if sections == 1 { "" } else { "gather the sections by the bars on the spine; " };
            format!(
                "With the front up, fold the right half over the left where there are four columns, then the head down \
                 where there are two rows, then the left over the right; {gather}{}, then trim.",
                bound(imposing.milled(), sections)
            )
        }
        Scheme::NUp { .. } if copies > 1 => format!("Cut it apart between the pages into {copies} copies."),
        Scheme::NUp { .. } => "Nothing is folded or cut.".to_owned(),
        Scheme::CutAndStack { .. } => {
            let cut = if is_marked { "at the marks".to_owned() } else { format!("into pages of {size}") };
            format!(
                "Cut the whole pile {cut}; lay the piles on one another from left to right, then down, the first on top."
            )
        }
    }
}

/// How folded sections become one block: leaves hold by glue only where their folds are off (*common practice, no source*).
fn bound(milled: Abs, sections: usize) -> String {
    let folds = if sections == 1 { "fold" } else { "folds" };
    if milled > Abs::ZERO {
        format!("mill {:.1} mm off the {folds} and glue", milled.to_mm())
    } else {
        format!("sew through the {folds}")
    }
}

fn sheets_of(number: usize) -> String {
    if number == 1 { "1 sheet".to_owned() } else { format!("{number} sheets") }
}
