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
        let from = (left * CELLS).floor().clamp(0.0, last as f64 - 1.0) as usize;
        let to = (right * CELLS).ceil().clamp(0.0, last as f64) as usize;
        from..to.max(from + 1)
    }
    /// Takes ink in that reaches `y` from `left` to `right`.
    pub(super) fn add(&mut self, left: f64, right: f64, y: f64) {
        let y = y * self.sign;
        let range = self.range(left, right);
        for cell in &mut self.cells[range] {
            *cell = cell.max(y);
        }
    }
    /// How far the ink reaches between `left` and `right`: its highest y on an upper edge, its lowest on a lower one;
    /// `None` where there is none.
    pub(super) fn reach(&self, left: f64, right: f64) -> Option<f64> {
        let range = self.range(left, right);
        let most = self.cells[range].iter().copied().fold(f64::NEG_INFINITY, f64::max);
        most.is_finite().then_some(most * self.sign)
    }
    /// The edge as steps of (left, right, y), equal neighbours joined, empty stretches left out.
    pub(super) fn steps(&self) -> Vec<(f64, f64, f64)> {
        let mut steps: Vec<(f64, f64, f64)> = Vec::new();
        for (i, cell) in self.cells.iter().enumerate().filter(|(_, cell)| cell.is_finite()) {
            let (left, right, y) = (i as f64 / CELLS, (i + 1) as f64 / CELLS, cell * self.sign);
            match steps.last_mut() {
                Some(last) if last.1 == left && last.2 == y => last.1 = right,
                _ => steps.push((left, right, y)),
            }
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
