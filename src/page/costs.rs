//! What a page costs: named prices, and the sums made of them.
//!
//! The idea of prices on pages, and the least sum over the whole book, is that of optimum line breaking turned upright (Plass,
//! *Optimal Pagination Techniques for Automatic Typesetting Systems*, 1981); the prices are ours. Two lines at least on either
//! side of a page break, heading with what follows: common practice, and US GPO Style Manual 2008, p. 10, for widows.

use super::document::Side;
use super::fill::{Area, Walk};
use super::flow::{Before, Opening, Piece, Substance};
use crate::frame::Role;

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
/// What is said about a tune is parted between the page of its music and the facing one: better that all of it stands there.
pub(super) const PARTED_ON_SPREAD: i64 = 500;
/// A page ends inside a paragraph of what is said about a tune: as dear as a page that ends seven steps short. Such paragraphs
/// are short, and begin with the number of a bar.
pub(super) const IN_PARAGRAPH: i64 = 1_500;
/// A tune that would go on one page is parted.
pub(super) const PARTED_TUNE: i64 = 20_000;
/// A page ends between an example and what is said before it: as dear as a page eleven steps short, or nine beside a full one.
pub(super) const EXPLAINED: i64 = 3_600;
/// A page ends between the stanzas that stand below a tune, or inside a long one: as dear as between an example and its words.
pub(super) const PARTED_VERSES: i64 = EXPLAINED;
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
/// Gaps at their narrowest, on a page of words.
const NARROWEST: f64 = 450.0;
/// Gaps at their narrowest, on a page with music: dearer than a spread that shares its systems out.
const NARROWEST_MUSIC: f64 = 2_400.0;
/// Facing pages differ by one step, times the steps.
const UNLEVEL: i64 = 120;
/// Facing pages differ: no more than this.
const UNLEVEL_AT_MOST: i64 = 1_200;
/// The two pages of a spread that a tune has to itself are not as full as each other: by a whole page more than
/// [`UNEVEN_FREE`], or fuller on the right with music there, squared with the share of a page. A crammed page beside a white one costs more than parted music.
const UNEVEN: f64 = 6_000.0;
/// By so much of a page may the left-hand page of a spread be fuller than the other, or words on the right fuller than it.
const UNEVEN_FREE: f64 = 0.25;
/// A spread is uneven: no more than this.
const UNEVEN_AT_MOST: i64 = 5_000;
/// A page ends where none should, since nothing else fits.
pub(super) const BROKEN_KEEP: i64 = 100_000;
/// One piece is higher than the page.
const OVERFULL: i64 = 1_000_000;

/// Price and depth of one page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PageFit {
    /// The price of its filling.
    pub cost: i64,
    /// What it costs besides that it ends short, unless it shares a tune with the page that faces it.
    pub short: i64,
    /// Where its last piece would end with natural gaps, in quarter steps; may be more than the page has.
    pub natural: i32,
    /// Whether music stands on it.
    pub music: bool,
    /// Where its last piece ends, in quarter steps; `None` when the part ends here and the page need not be level.
    pub depth: Option<i32>,
}

/// What one page costs by its filling, from the walks over its pieces with narrowest, natural and widest gaps.
/// `ends_part` says that nothing follows on another page of the same part.
pub(super) fn page_fit(walks: &[Walk; 3], area: Area, ends_part: bool) -> PageFit {
    let [least, natural, most] = walks.map(|walk| walk.bottom());
    let music = walks[1].has_music();
    let fit = PageFit { cost: PAGE, short: 0, natural: quarter_steps(natural / area.step), music, depth: None };
    if !least.fits(area.height) {
        let over = (least - area.height) / area.step;
        return PageFit { cost: PAGE + OVERFULL + (over * 100.0).round() as i64, ..fit };
    }
    if !natural.fits(area.height) {
        let narrowed = ((natural - area.height) / (natural - least)).clamp(0.0, 1.0);
        let price = if music { NARROWEST_MUSIC * narrowed.powi(2) } else { NARROWEST * narrowed.powi(3) };
        let cost = PAGE + price.round() as i64;
        return PageFit { cost, depth: (!ends_part).then(|| quarter_steps(area.height / area.step)), ..fit };
    }
    if ends_part {
        let cost = PAGE + if natural / area.step < FEW_STEPS { ALMOST_EMPTY } else { 0 };
        return PageFit { cost, ..fit };
    }
    let short = (area.height - natural) / area.step;
    let give = (most - natural) / area.step;
    if short <= give {
        let widened = if give > 0.0 { short / give } else { 0.0 };
        let cost = PAGE + (WIDEST * widened.powi(3)).round() as i64;
        return PageFit { cost, depth: Some(quarter_steps(area.height / area.step)), ..fit };
    }
    let short = short.ceil() as i64;
    PageFit { short: (SHORT * short * short).min(SHORT_AT_MOST), depth: Some(fit.natural), ..fit }
}

fn quarter_steps(steps: f64) -> i32 {
    (steps * 4.0).round() as i32
}

/// Whether two pieces are of one tune.
pub(super) fn same_tune(above: &Piece, below: &Piece) -> bool {
    above.substance.tune().is_some() && above.substance.tune() == below.substance.tune()
}

/// Whether two pieces are lines of one paragraph.
fn same_paragraph(above: &Piece, below: &Piece) -> bool {
    let innermost = |piece: &Piece| piece.tags.last().filter(|(_, tag)| tag.role == Role::Paragraph).map(|(n, _)| *n);
    innermost(above).is_some_and(|number| innermost(below) == Some(number))
}

/// What it costs to end a page of this side between two pieces.
pub(super) fn seam(side: Side, above: &Piece, below: &Piece) -> i64 {
    let price = match below.before {
        Before::Dear(price) => price,
        Before::Never => BROKEN_KEEP,
        Before::Free | Before::Opens(_) => 0,
    };
    if !same_tune(above, below) {
        return price;
    }
    let in_music = matches!(below.substance, Substance::Music(_));
    let after_words = matches!(above.substance, Substance::Commentary(_));
    let inside = if same_paragraph(above, below) { IN_PARAGRAPH } else { 0 };
    price
        + inside
        + match (side, in_music) {
            (Side::Recto, true) => TURN_IN_MUSIC,
            (Side::Recto, false) if after_words => TURN_IN_COMMENTARY + PARTED_COMMENTARY,
            (Side::Recto, false) => TURN_IN_COMMENTARY,
            (Side::Verso, true) => SPREAD_IN_MUSIC,
            (Side::Verso, false) if after_words => SPREAD_IN_COMMENTARY + PARTED_ON_SPREAD,
            (Side::Verso, false) => SPREAD_IN_COMMENTARY,
        }
}

/// What a left-hand page is to the page beside it, in quarter steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beside {
    /// It ends at this depth.
    Ends(i32),
    /// The same tune goes on on both pages, and it would be so full with natural gaps.
    Shares(i32),
    /// The same tune goes on on both pages, and it holds words alone.
    Words,
}

impl Beside {
    /// What the page beside it may cost more for it, at most.
    pub(super) const fn at_most(self) -> i64 {
        match self {
            Self::Ends(_) => UNLEVEL_AT_MOST,
            Self::Shares(_) => UNEVEN_AT_MOST,
            Self::Words => 0,
        }
    }
}

/// What a page of a side costs beyond its filling and its seam, beside the left-hand page before it; and what it is, as a
/// left-hand page, to the next. `shares` says that the same tune goes on on the next page. Pages of music share it out; a page
/// of words alone is filled as far as it goes.
pub(super) fn facing(
    side: Side,
    beside: Option<Beside>,
    fit: PageFit,
    shares: bool,
    area: Area,
) -> (i64, Option<Beside>) {
    match side {
        Side::Verso if shares && fit.music => (0, Some(Beside::Shares(fit.natural))),
        Side::Verso if shares => (fit.short, Some(Beside::Words)),
        Side::Verso => (fit.short, fit.depth.map(Beside::Ends)),
        Side::Recto => {
            let own_short = if fit.music { 0 } else { fit.short };
            let price = match (beside, fit.depth) {
                (Some(Beside::Shares(verso)), _) => own_short + uneven(verso, fit, area),
                (Some(Beside::Words), _) => own_short,
                (Some(Beside::Ends(verso)), Some(recto)) => fit.short + unlevel(verso, recto),
                _ => fit.short,
            };
            (price, None)
        }
    }
}

/// What it costs that facing pages end at different depths.
fn unlevel(verso: i32, recto: i32) -> i64 {
    (i64::from(verso.abs_diff(recto)) * UNLEVEL / 4).min(UNLEVEL_AT_MOST)
}

/// What it costs that a tune is not shared out over its spread. Words alone may well fill more of their page than music does
/// of the one beside them.
fn uneven(verso: i32, recto: PageFit, area: Area) -> i64 {
    let fuller = f64::from(verso - recto.natural) / f64::from(quarter_steps(area.height / area.step)).max(1.0);
    let free = if fuller > 0.0 || !recto.music { UNEVEN_FREE } else { 0.0 };
    let apart = (fuller.abs() - free).max(0.0);
    let price = UNEVEN * apart * apart;
    (price.round() as i64).min(UNEVEN_AT_MOST)
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
