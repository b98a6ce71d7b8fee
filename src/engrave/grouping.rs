//! Which notes share a beam, and where inner beams break.
//!
//! Takes the bars of a tune, gives groups of events. Where the source itself groups (some flagged neighbours joined, some
//! apart), its groups stand; else the metre decides.
//!
//! Sources: grouping by metre after The Open University, *An introduction to music theory*, 3.6, R. Thomas, *Micrologus*
//! handbook ("Beams part 1") and, for 2/2, 3/2, 5/4, 5/8 and 7/8, E. Gould, *Behind Bars* (from memory).

use crate::tune::{Bar, Event, Fraction, Meter, Tune};

/// A beam over two events or more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Group {
    /// Index into the tune's bars.
    pub(super) bar: usize,
    /// Indices into the bar's events, neighbours in time.
    pub(super) events: Vec<usize>,
    /// For each gap between neighbours: how many beams go through it at most.
    pub(super) through: Vec<u8>,
}

/// How many flags or beams a drawn value has.
pub(super) fn flags(event: &Event) -> u8 {
    if event.head().is_none() { 0 } else { u8::try_from(event.value.halvings - 2).unwrap_or(0).min(6) }
}

/// All beams of a tune, in order.
pub(super) fn groups(tune: &Tune) -> Vec<Group> {
    let authored = source_groups(tune);
    let mut all = Vec::new();
    let mut meter = &tune.meter;
    for (index, bar) in tune.bars.iter().enumerate() {
        meter = bar.meter.as_ref().unwrap_or(meter);
        let start = start_in_metre(bar, meter);
        let beats = Beats::of(meter, bar, start);
        let mut current: Vec<usize> = Vec::new();
        for (n, event) in bar.events.iter().enumerate() {
            if flags(event) == 0 {
                close(&mut all, index, bar, start, &beats, &mut current);
                continue;
            }
            let joined = if authored { event.beamed_to_previous } else { !beats.begins(start + event.onset.0) };
            if !joined {
                close(&mut all, index, bar, start, &beats, &mut current);
            }
            current.push(n);
        }
        close(&mut all, index, bar, start, &beats, &mut current);
    }
    all
}

/// Whether the source shows by its gaps that it groups: some flagged neighbours are joined and some are apart.
fn source_groups(tune: &Tune) -> bool {
    let pairs = || {
        tune.bars.iter().flat_map(|bar| bar.events.windows(2)).filter(|pair| flags(&pair[0]) > 0 && flags(&pair[1]) > 0)
    };
    pairs().any(|pair| pair[1].beamed_to_previous) && pairs().any(|pair| !pair[1].beamed_to_previous)
}

/// A pick-up and the second half of a split bar end where a full bar ends.
fn start_in_metre(bar: &Bar, meter: &Meter) -> Fraction {
    match meter.bar_length() {
        Some(full) if (bar.label.number == 0 || bar.label.second_half) && bar.length < full => (full - bar.length).0,
        _ => Fraction::ZERO,
    }
}

fn close(all: &mut Vec<Group>, bar_index: usize, bar: &Bar, start: Fraction, beats: &Beats, current: &mut Vec<usize>) {
    let events = std::mem::take(current);
    if events.len() < 2 {
        return;
    }
    let through = events.windows(2).map(|pair| beats.kept(start + bar.events[pair[1]].onset.0)).collect();
    all.push(Group { bar: bar_index, events, through });
}

/// Where beams begin in one bar.
struct Beats {
    /// Onsets in the full bar at which a beam of this bar begins, ascending.
    starts: Vec<Fraction>,
    /// Whether starts repeat over and over by this step instead (free metre).
    step: Option<Fraction>,
    /// Inner beams break at multiples of this, down to one beam.
    beat: Fraction,
    /// Groups of three eighths in a metre that is not compound (3/8, 5/8, 7/8): where they begin. Inside them, inner beams
    /// break at no quarter.
    threes: Vec<Fraction>,
}

impl Beats {
    fn of(meter: &Meter, bar: &Bar, start: Fraction) -> Self {
        let quarter = Fraction::new(1, 4);
        let eighth = Fraction::new(1, 8);
        let Some((count, unit)) = meter.figures() else {
            return Self { starts: Vec::new(), step: Some(quarter), beat: quarter, threes: Vec::new() };
        };
        let one = Fraction::new(1, i64::from(unit.max(1)));
        let short = |from: Fraction, to: Fraction| {
            bar.events.iter().any(|e| {
                let at = start + e.onset.0;
                at >= from && at < to && flags(e) > 1
            })
        };
        let sums = |groups: &[u32]| {
            let mut at = Fraction::ZERO;
            groups
                .iter()
                .map(|group| {
                    let here = at;
                    at = at + one * Fraction::new(i64::from(*group), 1);
                    here
                })
                .collect::<Vec<_>>()
        };
        let every = |step: Fraction, wide: Fraction| {
            // Beams over `wide` stretches, or over `step` where a stretch has sixteenths.
            let end = one * Fraction::new(i64::from(count), 1);
            let mut starts = Vec::new();
            let mut at = Fraction::ZERO;
            while at < end && starts.len() < 256 {
                let next = at + wide;
                if short(at, next) && step < wide {
                    let mut inner = at;
                    while inner < next {
                        starts.push(inner);
                        inner = inner + step;
                    }
                } else {
                    starts.push(at);
                }
                at = next;
            }
            starts
        };
        let beat = if meter.is_compound() { meter.beat().0 } else { quarter };
        let starts = match (meter, count, unit) {
            (Meter::Figures { groups, .. }, ..) if groups.len() > 1 && unit >= 8 => sums(groups),
            (Meter::Figures { groups, .. }, ..) if groups.len() > 1 => {
                sums(groups).into_iter().flat_map(|at| [at]).collect()
            }
            _ if meter.is_compound() => every(meter.beat().0, meter.beat().0),
            (_, 3, 8) => vec![Fraction::ZERO],
            (_, 5, 8) => sums(&[3, 2]),
            (_, 7, 8) => sums(&[2, 2, 3]),
            (_, 8, 8) => sums(&[4, 4]),
            (_, 2 | 3, 4) => every(quarter, one * Fraction::new(i64::from(count), 1)),
            (_, 4, 4) => every(quarter, Fraction::new(1, 2)),
            (_, 5, 4) => {
                let mut starts = sums(&[2, 1, 2]);
                if (0..5).any(|n| short(quarter * Fraction::new(n, 1), quarter * Fraction::new(n + 1, 1))) {
                    starts = sums(&[1, 1, 1, 1, 1]);
                }
                starts
            }
            (_, _, 2) => every(Fraction::new(1, 2), Fraction::new(1, 2)),
            (_, _, 1) => every(Fraction::new(1, 2), Fraction::new(1, 2)),
            (_, _, 4) => every(quarter, quarter),
            (_, _, 8) => every(quarter, quarter),
            _ => every(eighth, if count.is_multiple_of(3) { one * Fraction::new(3, 1) } else { quarter }),
        };
        let three = eighth * Fraction::new(3, 1);
        let full = one * Fraction::new(i64::from(count), 1);
        let ends = starts.iter().skip(1).copied().chain([full]);
        let threes = match unit {
            8 if !meter.is_compound() => {
                starts.iter().zip(ends).filter(|(from, to)| **from + three == *to).map(|(from, _)| *from).collect()
            }
            _ => Vec::new(),
        };
        Self { starts, step: None, beat, threes }
    }
    /// Whether a beam begins at an onset of the full bar.
    fn begins(&self, at: Fraction) -> bool {
        match self.step {
            Some(step) => at.remainder(step).is_zero(),
            None => self.starts.binary_search(&at).is_ok(),
        }
    }
    /// How many beams go on before an onset: one at a beat, two at an eighth, all elsewhere.
    fn kept(&self, at: Fraction) -> u8 {
        let three = Fraction::new(3, 8);
        let inside = self.threes.iter().any(|from| at > *from && at < *from + three);
        if !inside && at.remainder(self.beat).is_zero() {
            1
        } else if at.remainder(Fraction::new(1, 8)).is_zero() {
            2
        } else {
            u8::MAX
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engrave::testing::{tune_of, values};

    /// Groups of a bar as the lengths of its beams and single notes, for a bar of plain values (halvings).
    fn grouped(meter: Meter, halvings: &[i8]) -> Vec<usize> {
        let tune = tune_of(meter, &[values(halvings)]);
        groups(&tune).iter().map(|group| group.events.len()).collect()
    }

    /// The table of the handbooks named above, row by row.
    #[test]
    fn the_metre_groups() {
        assert_eq!(grouped(Meter::simple(2, 4), &[3; 4]), [4]);
        assert_eq!(grouped(Meter::simple(3, 4), &[3; 6]), [6]);
        assert_eq!(grouped(Meter::simple(4, 4), &[3; 8]), [4, 4]);
        assert_eq!(grouped(Meter::Common, &[4; 16]), [4, 4, 4, 4]);
        assert_eq!(grouped(Meter::simple(3, 8), &[3; 3]), [3]);
        assert_eq!(grouped(Meter::simple(6, 8), &[3; 6]), [3, 3]);
        assert_eq!(grouped(Meter::simple(9, 8), &[3; 9]), [3, 3, 3]);
        assert_eq!(grouped(Meter::simple(12, 8), &[3; 12]), [3, 3, 3, 3]);
        assert_eq!(grouped(Meter::Cut, &[3; 8]), [4, 4]);
        assert_eq!(grouped(Meter::simple(3, 2), &[3; 12]), [4, 4, 4]);
        assert_eq!(grouped(Meter::simple(5, 4), &[3; 10]), [4, 2, 4]);
        assert_eq!(grouped(Meter::simple(5, 8), &[3; 5]), [3, 2]);
        assert_eq!(grouped(Meter::Figures { groups: vec![2, 2, 3], unit: 8 }, &[3; 7]), [2, 2, 3]);
    }

    #[test]
    fn mixed_values_show_the_quarter() {
        assert_eq!(grouped(Meter::simple(4, 4), &[3, 4, 4, 3, 3, 3, 3, 3, 3]), [3, 2, 4]);
        assert_eq!(grouped(Meter::simple(2, 4), &[3, 4, 4, 3, 3]), [3, 2]);
    }

    #[test]
    fn inner_beams_break_at_the_beat() {
        let tune = tune_of(Meter::Cut, &[values(&[4; 16])]);
        let groups = groups(&tune);
        assert_eq!(groups.len(), 2);
        assert_eq!(groups[0].through, [255, 2, 255, 1, 255, 2, 255]);
    }

    /// Three eighths are one beat of two beams, in 3/8 as in 6/8 (common practice, no source).
    #[test]
    fn inner_beams_do_not_break_groups_of_three_eighths() {
        for meter in [Meter::simple(3, 8), Meter::simple(6, 8)] {
            let tune = tune_of(meter, &[values(&[4; 6])]);
            assert_eq!(groups(&tune)[0].through, [255, 2, 255, 2, 255]);
        }
        let tune = tune_of(Meter::Figures { groups: vec![2, 3], unit: 8 }, &[values(&[4; 10])]);
        assert_eq!(groups(&tune)[1].through, [255, 2, 255, 2, 255]);
    }

    #[test]
    fn a_pick_up_ends_where_a_bar_ends() {
        let mut tune = tune_of(Meter::simple(6, 8), &[values(&[3, 3]), values(&[3; 6])]);
        tune.bars[0].label = crate::tune::BarLabel::new(0);
        let sizes: Vec<_> = groups(&tune).iter().map(|group| group.events.len()).collect();
        assert_eq!(sizes, [2, 3, 3]);
    }

    #[test]
    fn the_source_groups_where_it_shows_groups() {
        let mut tune = tune_of(Meter::simple(6, 8), &[values(&[3; 6])]);
        for (n, event) in tune.bars[0].events.iter_mut().enumerate() {
            event.beamed_to_previous = n % 2 == 1;
        }
        let sizes: Vec<_> = groups(&tune).iter().map(|group| group.events.len()).collect();
        assert_eq!(sizes, [2, 2, 2]);
    }
}
