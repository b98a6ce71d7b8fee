//! The upper or lower edge of the ink along a system: how far up (or down) anything reaches over a stretch of the line.
//!
//! Takes boxes, gives heights over stretches. Kept on a grid of an eighth of a staff space, rounded outwards, so that it is
//! never nearer than the ink. All lengths in this room are plain numbers of staff spaces, y upwards from the bottom line.

/// Cells in a staff space.
const CELLS: f64 = 8.0;
/// No line is followed further than this, whatever width is asked for.
const MOST_CELLS: f64 = 65_536.0;

/// One edge of the ink of a system.
#[derive(Debug, Clone)]
pub(super) struct Skyline {
    cells: Vec<f64>,
    /// 1 for the upper edge, -1 for the lower one: heights are kept turned upwards.
    sign: f64,
}

impl Skyline {
    /// An upper edge over a line of `width`, nothing on it yet.
    pub(super) fn upper(width: f64) -> Self {
        Self::new(width, 1.0)
    }
    /// A lower edge.
    pub(super) fn lower(width: f64) -> Self {
        Self::new(width, -1.0)
    }
    fn new(width: f64, sign: f64) -> Self {
        let count = (width.max(0.0) * CELLS).ceil().min(MOST_CELLS) as usize + 1;
        Self { cells: vec![f64::NEG_INFINITY; count], sign }
    }
    fn range(&self, left: f64, right: f64) -> std::ops::Range<usize> {
        let last = self.cells.len();
        // Whole cells outwards; what is left of the line or right of it counts at its ends.
        let from = ((left * CELLS) as usize).min(last - 1);
        let end = right * CELLS;
        let whole = end as usize;
        let to = (whole + usize::from(whole < last && end > whole as f64)).min(last);
        from..to.max(from + 1)
    }
    /// Takes ink in that reaches `y` from `left` to `right`.
    pub(super) fn add(&mut self, left: f64, right: f64, y: f64) {
        let y = y * self.sign;
        let range = self.range(left, right);
        for cell in &mut self.cells[range] {
            *cell = if y > *cell { y } else { *cell };
        }
    }
    /// How far the ink reaches between `left` and `right`: its highest y on an upper edge, its lowest on a lower one;
    /// `None` where there is none.
    pub(super) fn reach(&self, left: f64, right: f64) -> Option<f64> {
        let range = self.range(left, right);
        let most =
            self.cells[range].iter().fold(f64::NEG_INFINITY, |most, cell| if *cell > most { *cell } else { most });
        most.is_finite().then_some(most * self.sign)
    }
    /// The edge as steps of (left, right, y), equal neighbours joined, empty stretches left out.
    pub(super) fn steps(&self) -> Vec<(f64, f64, f64)> {
        let mut steps: Vec<(f64, f64, f64)> = Vec::with_capacity(128);
        let mut start = 0;
        for run in self.cells.chunk_by(|a, b| a == b) {
            let (end, height) = (start + run.len(), run[0]);
            if height.is_finite() {
                steps.push((start as f64 / CELLS, end as f64 / CELLS, height * self.sign));
            }
            start = end;
        }
        steps
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_edges_keep_the_outermost_ink() {
        let mut upper = Skyline::upper(10.0);
        let mut lower = Skyline::lower(10.0);
        for (left, right, y) in [(1.0, 3.0, 2.0), (2.0, 4.0, 5.0), (2.5, 3.0, -1.0)] {
            upper.add(left, right, y);
            lower.add(left, right, y);
        }
        assert_eq!(upper.reach(0.0, 1.5), Some(2.0));
        assert_eq!(upper.reach(0.0, 10.0), Some(5.0));
        assert_eq!(lower.reach(2.0, 3.0), Some(-1.0));
        assert_eq!(upper.reach(5.0, 9.0), None);
        assert_eq!(upper.steps(), [(1.0, 2.0, 2.0), (2.0, 4.0, 5.0)]);
        assert_eq!(lower.steps(), [(1.0, 2.5, 2.0), (2.5, 3.0, -1.0), (3.0, 4.0, 5.0)]);
    }

    #[test]
    fn ink_beyond_the_ends_is_kept_at_them() {
        let mut upper = Skyline::upper(4.0);
        upper.add(-3.0, -1.0, 7.0);
        upper.add(4.5, 9.0, 8.0);
        assert_eq!(upper.reach(-1.0, 0.0), Some(7.0));
        assert_eq!(upper.reach(4.0, 5.0), Some(8.0));
    }
}
