//! Free texts at heads: above, below, left and right.

use super::canvas::{Canvas, Kind, Label};
use super::figure::Figure;
use super::job::Job;
use super::layout::SystemLayout;
use super::lettering::Area;
use super::sizes::Wording;
use crate::font::{FaceId, Weight};
use crate::tune::Placement;

/// Clear distance from ink, and the nearest baselines to the staff.
const GAP: f64 = 0.5;
/// Clear distance of a text beside a head from it, and from what stands on its other side; white around it in the staff.
const BESIDE: f64 = 0.6;
const OTHER_SIDE: f64 = 0.25;
const WHITE: f64 = 0.12;
const ABOVE: f64 = 5.0;
const BELOW: f64 = -1.2;
/// Texts of one bar stand on one line unless that would lift one of them by more than this.
const LIFT: f64 = 1.2;

/// Keeps neighbours off the texts beside a head.
pub(super) fn make_room(job: &Job, figure: &mut Figure) {
    let (left, right) = beside(job, figure);
    if left > 0.0 || right > 0.0 {
        let middle = figure.high();
        let area = Area::new(-figure.left() - left, middle - 0.8, figure.right() + right, middle + 0.8);
        figure.boxes.push(area);
    }
}

/// The width a text beside a head needs, with its gap; 0 for none. Left, right.
fn beside(job: &Job, figure: &Figure) -> (f64, f64) {
    let event = &job.score.tune.bars[figure.bar].events[figure.event];
    let width = |placement: Placement| {
        let texts = event.annotations.iter().filter(|annotation| annotation.placement == placement);
        texts
            .map(|annotation| job.letters.width(face(job), size(job), &annotation.text) + BESIDE + OTHER_SIDE)
            .fold(0.0, f64::max)
    };
    if event.annotations.is_empty() { (0.0, 0.0) } else { (width(Placement::Left), width(Placement::Right)) }
}

fn face(job: &Job) -> FaceId {
    job.letters.words(Weight::Regular, true)
}

fn size(job: &Job) -> f64 {
    job.size(Wording::Annotation)
}

/// Sets all annotations of a line.
pub(super) fn set(job: &Job, layout: &SystemLayout, canvas: &mut Canvas, figures: &[Figure]) {
    let size = size(job);
    let own = levels(job, layout, canvas);
    for column in &layout.columns {
        let event = &job.score.tune.bars[column.bar].events[column.event];
        let figure = &figures[column.number];
        canvas.bar = Some(column.bar);
        for annotation in &event.annotations {
            let word = job.letters.word(face(job), &annotation.text);
            let ink = word.ink.scaled(size);
            let width = word.width * size;
            let middle = figure.high() - job.letters.x_height(face(job)) * size / 2.0;
            let left = column.x.min((layout.width - width).max(0.0));
            let (x, y) = match annotation.placement {
                Placement::Above => {
                    let reach = canvas.upper.reach(left, left + width).map_or(ABOVE, |y| (y + GAP).max(ABOVE));
                    let reach = shared(&own, column.bar, annotation.placement, reach);
                    (left, reach - ink.bottom.min(0.0))
                }
                Placement::Below => {
                    let reach = canvas.lower.reach(left, left + width).map_or(BELOW, |y| (y - GAP).min(BELOW));
                    let reach = -shared(&own, column.bar, annotation.placement, -reach);
                    (left, reach - ink.top)
                }
                Placement::Left => (column.x - figure.left() + OTHER_SIDE, middle),
                Placement::Right => (column.x + figure.right() - width - OTHER_SIDE, middle),
            };
            if matches!(annotation.placement, Placement::Left | Placement::Right) {
                // Staff lines stop around the words.
                let room = ink.moved(x, y);
                canvas.part_staff(Area::new(
                    room.left - WHITE,
                    room.bottom - WHITE,
                    room.right + WHITE,
                    room.top + WHITE,
                ));
            }
            canvas.text(Label::new(Kind::Annotation, column.number), face(job), size, &annotation.text, x, y);
        }
    }
}

/// Bar, side and distance from the staff's bottom line (upwards above, downwards below) of each text on its own.
type Level = (usize, Placement, f64);

fn levels(job: &Job, layout: &SystemLayout, canvas: &Canvas) -> Vec<Level> {
    let mut all = Vec::new();
    for column in &layout.columns {
        let event = &job.score.tune.bars[column.bar].events[column.event];
        for annotation in &event.annotations {
            let width = job.letters.width(face(job), size(job), &annotation.text);
            let left = column.x.min((layout.width - width).max(0.0));
            let level = match annotation.placement {
                Placement::Above => canvas.upper.reach(left, left + width).map_or(ABOVE, |y| (y + GAP).max(ABOVE)),
                Placement::Below => -canvas.lower.reach(left, left + width).map_or(BELOW, |y| (y - GAP).min(BELOW)),
                Placement::Left | Placement::Right => continue,
            };
            all.push((column.bar, annotation.placement, level));
        }
    }
    all
}

/// The level that a text shares with its bar's others on its side; its own where they are much further out.
fn shared(levels: &[Level], bar: usize, placement: Placement, own: f64) -> f64 {
    let others = levels.iter().filter(|(of, side, level)| *of == bar && *side == placement && *level <= own + LIFT);
    others.fold(own, |level, other| level.max(other.2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_of_a_bar_share_a_line_unless_one_stands_far_out() {
        let levels = [
            (0, Placement::Above, 5.0),
            (0, Placement::Above, 5.5),
            (0, Placement::Above, 9.0),
            (1, Placement::Above, 6.0),
            (0, Placement::Below, 5.9),
        ];
        assert_eq!(shared(&levels, 0, Placement::Above, 5.0), 5.5);
        assert_eq!(shared(&levels, 0, Placement::Above, 9.0), 9.0);
        assert_eq!(shared(&levels, 1, Placement::Above, 6.0), 6.0);
    }
}
