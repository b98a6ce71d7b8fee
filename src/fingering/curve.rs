//! The curve of the bellows, held small: a book has a point for every played head and rest.
//!
//! Takes openings in ticks, gives them as parts of a full bellows. Must not know how they were found.

use crate::tune::{Onset, Tune};

/// The bellows at one played head or rest, as parts of a full bellows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BellowsPoint {
    /// Index of its bar.
    pub bar: usize,
    /// From the bar's start.
    pub onset: Onset,
    /// Which time through the bar, from 1.
    pub pass: u32,
    /// Opening at its beginning, 0 to 1; air may have changed it since the end of the one before.
    pub from: f64,
    /// Opening at its end, 0 to 1.
    pub to: f64,
}

/// One head or rest as it moves the bellows.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    /// Index of its bar.
    pub bar: usize,
    /// Index of its event in the bar.
    pub event: usize,
    /// Which time through the bar.
    pub pass: u32,
    /// Ticks, pulls positive.
    pub ticks: i64,
    /// How long it lasts, in milliseconds.
    pub millis: i64,
}

/// One head or rest as it is held: indices, and openings in ticks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Held {
    bar: u32,
    event: u32,
    pass: u32,
    from: i32,
    to: i32,
}

/// One head or rest in ticks of the bellows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct InTicks {
    /// Index of its bar.
    pub bar: usize,
    /// Index of its event in the bar.
    pub event: usize,
    /// Which time through the bar.
    pub pass: u32,
    /// Opening at its beginning.
    pub from: i64,
    /// Opening at its end.
    pub to: i64,
}

/// How far the bellows are open on one pass through the whole tune, as parts of a full bellows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BellowsCurve {
    held: Vec<Held>,
    /// A full bellows in ticks.
    capacity: i32,
    /// The widest opening.
    pub most_open: f64,
    /// The narrowest opening.
    pub least_open: f64,
}

impl BellowsCurve {
    /// The curve of a bellows of `capacity` ticks, at most an hour of them; openings beyond its ends count as at the end.
    pub(crate) fn new(capacity: i64, points: impl ExactSizeIterator<Item = InTicks>) -> Self {
        let within = |ticks: i64| i32::try_from(ticks.clamp(0, capacity)).unwrap_or(i32::MAX);
        let index = |n: usize| u32::try_from(n).expect("readers bound the number of notes");
        // A curve is kept as long as its plan, so it gets no more room than it needs.
        let mut held = Vec::with_capacity(points.len());
        held.extend(points.map(|point| Held {
            bar: index(point.bar),
            event: index(point.event),
            pass: point.pass,
            from: within(point.from),
            to: within(point.to),
        }));
        let mut curve = Self { held, capacity: within(capacity), ..Self::default() };
        let all = || curve.held.iter().flat_map(|point| [point.from, point.to]);
        let ends = (all().max(), all().min());
        (curve.most_open, curve.least_open) = (curve.share(ends.0.unwrap_or(0)), curve.share(ends.1.unwrap_or(0)));
        curve
    }
    /// Whether nothing is known of the bellows.
    pub const fn is_empty(&self) -> bool {
        self.held.is_empty()
    }
    /// The bellows at each played head and rest of the tune that was planned, in playing order.
    pub fn points<'a>(&'a self, tune: &'a Tune) -> impl ExactSizeIterator<Item = BellowsPoint> + Clone + 'a {
        self.held.iter().map(|point| {
            let (bar, event) = (point.bar as usize, point.event as usize);
            let event = tune.bars.get(bar).and_then(|bar| bar.events.get(event));
            let onset = event.map_or(Onset::ZERO, |event| event.onset);
            BellowsPoint { bar, onset, pass: point.pass, from: self.share(point.from), to: self.share(point.to) }
        })
    }
    fn share(&self, ticks: i32) -> f64 {
        f64::from(ticks) / f64::from(self.capacity.max(1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingering::testing::tune;
    use crate::tune::Meter;

    #[test]
    fn points_come_back_as_parts_of_a_full_bellows() {
        let tune = tune(Meter::simple(4, 4), "G4*4 B4*4 | G4*8");
        let at = |bar, event, from, to| InTicks { bar, event, pass: 1, from, to };
        let curve = BellowsCurve::new(80, [at(0, 0, 20, 40), at(0, 1, 40, 90), at(1, 0, 80, -3)].into_iter());
        let points: Vec<BellowsPoint> = curve.points(&tune).collect();
        assert_eq!(
            points.iter().map(|point| (point.from, point.to)).collect::<Vec<_>>(),
            [(0.25, 0.5), (0.5, 1.0), (1.0, 0.0)]
        );
        assert_eq!(
            points.iter().map(|point| (point.bar, point.onset)).collect::<Vec<_>>(),
            [(0, Onset::ZERO), (0, Onset::new(1, 2)), (1, Onset::ZERO)]
        );
        assert_eq!((curve.most_open, curve.least_open, curve.is_empty()), (1.0, 0.0, false));
        assert!(BellowsCurve::default().is_empty() && size_of::<Held>() <= 20);
    }
}
