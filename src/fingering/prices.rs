//! What each awkwardness costs, by style of playing: the table of prices, and how the moment scales them.
//!
//! Gives whole-number prices; knows neither notes nor boxes. The kinds and their order of weight follow published teaching
//! pages for two-row boxes (never the same finger on two buttons in a row; few shifts, and those at rests; turns on weak
//! parts of fast runs are the dear ones; chin buttons lie far off); the figures themselves are common practice, no source.

use super::plan::CostKind;
use super::request::{Style, Weights};

/// An ordinary occurrence costs its price times this; an easy moment costs fewer quarters of the price.
pub(super) const WHOLE: i64 = 4;

/// No price counts for more than this, so that sums over the longest tunes stay far below hard rules.
const MOST: u32 = 10_000;

/// A hard rule broken, once however often the place is played. Above every sum of prices of a tune that can be read;
/// 100,000 of them still fit the sum.
pub(super) const HARD: i64 = 1 << 44;
/// A settled note moved: above every sum of prices at the styles' own figures, below every hard rule.
pub(super) const MOVED: i64 = 1 << 32;

/// A sum of soft and hard costs, the soft part so many times.
pub(super) const fn times_soft(cost: i64, times: i64) -> i64 {
    (cost - cost % HARD) + (cost % HARD) * times
}

/// Prices in force: the style's, with the author's laid over them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Prices {
    by_kind: [i64; KINDS.len()],
}

/// Every kind once, in the order of [`CostKind`]: along, smooth, easy.
const KINDS: [(CostKind, [u32; 3]); 15] = [
    (CostKind::Turn, [2, 10, 6]),
    (CostKind::WeakTurn, [1, 6, 8]),
    (CostKind::RowChange, [20, 2, 8]),
    (CostKind::RowStay, [0, 1, 0]),
    (CostKind::PlaceShift, [12, 12, 20]),
    (CostKind::SameFinger, [16, 16, 16]),
    (CostKind::FingerSwap, [4, 4, 6]),
    (CostKind::Stretch, [6, 6, 12]),
    (CostKind::LittleFinger, [2, 2, 4]),
    (CostKind::ChinButton, [3, 3, 6]),
    (CostKind::MissingChord, [60, 60, 60]),
    (CostKind::AirPoint, [10, 10, 10]),
    (CostKind::Drift, [2, 2, 2]),
    (CostKind::BellowsEnd, [1, 1, 1]),
    (CostKind::Unlike, [4, 4, 6]),
];

impl Prices {
    /// The prices of a style, replaced where the author sets others.
    pub(super) fn new(weights: &Weights) -> Self {
        let column = match weights.style {
            Style::Along => 0,
            Style::Smooth => 1,
            Style::Easy => 2,
        };
        let by_kind = KINDS.map(|(kind, prices)| {
            let own = weights.changed.iter().rev().find(|weight| weight.kind == kind);
            i64::from(own.map_or(prices[column], |weight| weight.price).min(MOST))
        });
        Self { by_kind }
    }
    /// The price of one kind.
    pub(super) fn of(&self, kind: CostKind) -> i64 {
        self.by_kind[kind as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingering::request::Weight;

    #[test]
    fn the_table_stands_in_the_order_of_the_kinds() {
        for (n, (kind, _)) in KINDS.iter().enumerate() {
            assert_eq!(*kind as usize, n);
        }
    }

    #[test]
    fn the_authors_price_replaces_the_styles() {
        let changed = vec![Weight { kind: CostKind::Turn, price: 1 }, Weight { kind: CostKind::Turn, price: 99 }];
        let prices = Prices::new(&Weights { style: Style::Along, changed });
        assert_eq!((prices.of(CostKind::Turn), prices.of(CostKind::RowChange)), (99, 20));
        let huge = Weights { changed: vec![Weight { kind: CostKind::Turn, price: u32::MAX }], ..Weights::default() };
        assert!(Prices::new(&huge).of(CostKind::Turn) * WHOLE * 100_000 < HARD);
    }
}
