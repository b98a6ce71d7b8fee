//! What a page costs: named prices, and the sums made of them.
//!
//! The idea of prices on pages, and the least sum over the whole book, is that of optimum line breaking turned upright (Plass,
//! *Optimal Pagination Techniques for Automatic Typesetting Systems*, 1981); the prices are ours. Two lines at least on either
//! side of a page break, heading with what follows: common practice, and US GPO Style Manual 2008, p. 10, for widows.

use super::document::Side;
use super::fill::{Area, Walk};
use super::flow::{Before, Opening, Piece, Substance};

/// The reader must turn the leaf while playing.
pub(super) const TURN_IN_MUSIC: i64 = 18_000;
/// The reader must turn the leaf between a tune and what is said about it.
pub(super) const TURN_IN_COMMENTARY: i64 = 7_000;
/// What is said about a tune is parted by a leaf: better that all of it stands overleaf than a line or two.
pub(super) const PARTED_COMMENTARY: i64 = 4_000;
/// A tune goes on on the facing page.
pub(super) const SPREAD_IN_MUSIC: i64 = 1_000;
/// What is said about a tune goes on on the facing page.
pub(super) const SPREAD_IN_COMMENTARY: i64 = 300;
/// A tune that would go on one page is parted.
pub(super) const PARTED_TUNE: i64 = 20_000;
/// A page ends between an example and what is said before it: as dear as a page eleven steps short, or nine beside a full one.
pub(super) const EXPLAINED: i64 = 3_600;
/// A blank page where the order does not ask for one.
pub(super) const BLANK: i64 = 3_000;
/// A blank page before the back cover, where nobody misses the page.
pub(super) const BLANK_INSIDE_COVER: i64 = 200;
/// A chapter opens on a left-hand page.
pub(super) const OPENS_VERSO: i64 = 400;
/// A page ends short by one step, squared with the steps.
const SHORT: i64 = 30;
/// A page ends very short: no more than this.
const SHORT_AT_MOST: i64 = 6_000;
/// Every page: paper, and one more to turn. More than a blank page, so that no part spreads over a page more than it needs only
/// to spare a blank one.
const PAGE: i64 = 4_000;
/// A part's last page holds next to nothing: fewer than [`FEW_STEPS`] steps.
const ALMOST_EMPTY: i64 = 900;
/// See [`ALMOST_EMPTY`].
const FEW_STEPS: f64 = 5.0;
/// Gaps at their widest.
const WIDEST: f64 = 300.0;
/// Gaps at their narrowest.
const NARROWEST: f64 = 450.0;
/// Facing pages differ by one step, times the steps.
const UNLEVEL: i64 = 120;
/// Facing pages differ: no more than this.
pub(super) const UNLEVEL_AT_MOST: i64 = 1_200;
/// A page ends where none should, since nothing else fits.
pub(super) const BROKEN_KEEP: i64 = 100_000;
/// One piece is higher than the page.
const OVERFULL: i64 = 1_000_000;

/// Price and depth of one page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PageFit {
    /// The price of its filling.
    pub cost: i64,
    /// Where its last piece ends, in quarter steps; `None` when the part ends here and the page need not be level.
    pub depth: Option<i32>,
}

/// What one page costs by its filling, from the walks over its pieces with narrowest, natural and widest gaps.
/// `ends_part` says that nothing follows on another page of the same part.
pub(super) fn page_fit(walks: &[Walk; 3], area: Area, ends_part: bool) -> PageFit {
    let [least, natural, most] = walks.map(|walk| walk.bottom());
    if !least.fits(area.height) {
        let over = (least - area.height) / area.step;
        return PageFit { cost: PAGE + OVERFULL + (over * 100.0).round() as i64, depth: None };
    }
    if !natural.fits(area.height) {
        let narrowed = ((natural - area.height) / (natural - least)).clamp(0.0, 1.0);
        let cost = PAGE + (NARROWEST * narrowed.powi(3)).round() as i64;
        return PageFit { cost, depth: (!ends_part).then(|| quarter_steps(area.height / area.step)) };
    }
    if ends_part {
        let cost = PAGE + if natural / area.step < FEW_STEPS { ALMOST_EMPTY } else { 0 };
        return PageFit { cost, depth: None };
    }
    let short = (area.height - natural) / area.step;
    let give = (most - natural) / area.step;
    if short <= give {
        let widened = if give > 0.0 { short / give } else { 0.0 };
        let cost = PAGE + (WIDEST * widened.powi(3)).round() as i64;
        return PageFit { cost, depth: Some(quarter_steps(area.height / area.step)) };
    }
    let short = short.ceil() as i64;
    PageFit { cost: PAGE + (SHORT * short * short).min(SHORT_AT_MOST), depth: Some(quarter_steps(natural / area.step)) }
}

fn quarter_steps(steps: f64) -> i32 {
    (steps * 4.0).round() as i32
}

/// What it costs to end a page of this side between two pieces.
pub(super) fn seam(side: Side, above: &Piece, below: &Piece) -> i64 {
    let price = match below.before {
        Before::Dear(price) => price,
        Before::Never => BROKEN_KEEP,
        Before::Free | Before::Opens(_) => 0,
    };
    let same_tune = above.substance.tune().is_some() && above.substance.tune() == below.substance.tune();
    if !same_tune {
        return price;
    }
    let in_music = matches!(below.substance, Substance::Music(_));
    let after_words = matches!(above.substance, Substance::Commentary(_));
    price
        + match (side, in_music) {
            (Side::Recto, true) => TURN_IN_MUSIC,
            (Side::Recto, false) if after_words => TURN_IN_COMMENTARY + PARTED_COMMENTARY,
            (Side::Recto, false) => TURN_IN_COMMENTARY,
            (Side::Verso, true) => SPREAD_IN_MUSIC,
            (Side::Verso, false) => SPREAD_IN_COMMENTARY,
        }
}

/// What it costs that facing pages end at different depths.
pub(super) fn unlevel(verso: Option<i32>, recto: Option<i32>) -> i64 {
    match (verso, recto) {
        (Some(verso), Some(recto)) => (i64::from(verso.abs_diff(recto)) * UNLEVEL / 4).min(UNLEVEL_AT_MOST),
        _ => 0,
    }
}

/// What it costs that a piece opens a page of this side, without and with a blank page before it; `None` where the rule
/// forbids it. The side is that of the page without a blank.
pub(super) fn opening(side: Side, before: Before) -> [Option<i64>; 2] {
    match (before, side) {
        (Before::Opens(Opening::Page), _) => [Some(0), Some(BLANK)],
        (Before::Opens(Opening::LikesRecto), Side::Recto) => [Some(0), Some(BLANK + OPENS_VERSO)],
        (Before::Opens(Opening::LikesRecto), Side::Verso) => [Some(OPENS_VERSO), Some(BLANK)],
        (Before::Opens(Opening::Recto), Side::Verso) => [None, Some(BLANK)],
        (Before::Opens(Opening::Verso), Side::Recto) => [None, Some(BLANK_INSIDE_COVER)],
        _ => [Some(0), None],
    }
}
