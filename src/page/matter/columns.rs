//! Short lines in columns beside each other, page by page: each column filled from the head down, the last page's level.
//!
//! Takes slots of one width with what keeps them together; gives one piece a page. A reader goes down the first column, then
//! down the next.

use crate::frame::{Frame, Marks, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::page::fill::Area;
use crate::page::flow::{Before, Opening, Piece};
use crate::page::scale::Named;
use crate::page::setting::{Compositor, Setting};
use crate::text::{Inline, ParagraphLook};
use std::num::NonZeroU32;
use std::ops::Range;
use std::sync::Arc;

/// One line or heading of a column.
pub(super) struct Slot {
    /// Its ink, as wide as the column.
    pub frame: Frame,
    /// White above it, left out at a column's head.
    pub gap: Abs,
    /// Whether the next slot must stand in the same column.
    pub keep: bool,
    /// What it is for a reader; entries next to each other make one list.
    pub role: Role,
    /// What is said over it once more where a column begins with it: the name that it stands under.
    pub under: Option<(Named, Arc<str>)>,
}

/// How slots are laid out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    /// How many columns there are.
    pub count: usize,
    /// How wide each is.
    pub width: Abs,
    /// White between them.
    pub gap: Abs,
    /// The page.
    pub area: Area,
    /// How much of the first page is taken.
    pub used: Abs,
    /// The share of their height that lines of text take.
    pub closer: f64,
}

/// Lays slots out: the first piece belongs on the page that is begun, each other one opens a page.
pub(super) fn pieces(
    slots: Vec<Slot>,
    columns: &Columns,
    setting: &Setting<'_>,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let mut said = Said { setting, columns, known: Vec::new() };
    let pages = pack(&slots, columns, &mut |at| said.over(&slots[at], comp).map_or(Abs::ZERO, |it| it.size.height));
    let over: Vec<_> = pages.iter().flatten().map(|range| said.over(&slots[range.start], comp)).collect();
    let mut over = over.into_iter();
    let goes_on: Vec<bool> = (0..=slots.len()).map(|at| goes_on(&slots, at)).collect();
    let mut slots = slots.into_iter();
    // What a list is called that the columns part.
    let mut whole = None;
    let mut out = Vec::new();
    for (n, page) in pages.into_iter().enumerate() {
        let full =
            Size::new(columns.width * columns.count as f64 + columns.gap * (columns.count - 1) as f64, Abs::ZERO);
        let mut frame = Frame::new(full);
        for (column, range) in page.into_iter().enumerate() {
            let first = whole;
            let is_one = goes_on[range.start + 1..range.end].iter().all(|goes_on| *goes_on);
            whole = match first {
                _ if !goes_on[range.end] => None,
                Some(first) if is_one => Some(first),
                _ => comp.parted(),
            };
            let drawn = draw(slots.by_ref().take(range.len()), over.next().flatten(), columns.width, (first, whole));
            frame.size.height = frame.size.height.max(drawn.size.height);
            frame.place(Point::new((columns.width + columns.gap) * column as f64, Abs::ZERO), drawn);
        }
        let height = frame.size.height;
        let before = if n == 0 { Before::Never } else { Before::Opens(Opening::Page) };
        out.push(Piece::of_text(frame, height).breaking(before));
    }
    out
}

/// Names that are said again over columns, set when they are asked for: a book of many names parts few of them.
struct Said<'a, 's> {
    setting: &'a Setting<'s>,
    columns: &'a Columns,
    known: Vec<(Arc<str>, Arc<Frame>)>,
}

impl Said<'_, '_> {
    /// What stands over a slot that begins a column.
    fn over(&mut self, slot: &Slot, comp: &mut Compositor<'_>) -> Option<Arc<Frame>> {
        let (named, words) = slot.under.as_ref()?;
        if let Some((_, frame)) = self.known.iter().find(|(known, _)| Arc::ptr_eq(known, words)) {
            return Some(Arc::clone(frame));
        }
        let look = ParagraphLook { hyphenate: false, ..self.setting.scale.look(*named) };
        // Glyphs that are wanting have been complained of where the name is said first.
        let others = std::mem::take(&mut comp.sink);
        let lines = comp.set(&[Inline::text(words.as_ref())], &look, self.columns.width);
        comp.sink = others;
        let mut frame = Frame::new(Size::new(self.columns.width, Abs::ZERO));
        for line in lines {
            let at = frame.size.height;
            frame.size.height += line.frame.size.height;
            frame.place(Point::new(Abs::ZERO, at), line.frame);
        }
        frame.size.height = frame.size.height * self.columns.closer;
        let frame = frame.shared();
        self.known.push((Arc::clone(words), Arc::clone(&frame)));
        Some(frame)
    }
}

/// Whether a slot is an entry of a list.
fn is_item(role: &Role) -> bool {
    matches!(role, Role::ContentsItem | Role::ListItem)
}

/// Whether the list of the slot before goes on at a slot.
fn goes_on(slots: &[Slot], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|before| slots.get(before));
    before
        .zip(slots.get(at))
        .is_some_and(|(before, here)| is_item(&before.role) && is_item(&here.role) && here.gap <= Abs::ZERO)
}

/// One column; neighbouring entries in one list, under what is said once more `over` them, which is for the eye alone: whoever
/// hears the list hears it as one. `first` and `last` are what the lists are called that go on from the column before and in the
/// next.
fn draw(
    slots: impl Iterator<Item = Slot>,
    over: Option<Arc<Frame>>,
    width: Abs,
    (mut first, last): (Option<NonZeroU32>, Option<NonZeroU32>),
) -> Frame {
    let mut column = Frame::new(Size::new(width, Abs::ZERO));
    let mut list = Frame::new(Size::new(width, Abs::ZERO));
    let mut y = Abs::ZERO;
    if let Some(over) = over {
        y = over.size.height;
        let mut again = Frame::new(over.size);
        again.place_shared(Point::default(), over);
        column.place_tagged(Point::default(), again, Tag::new(Role::Artifact));
    }
    let close = |list: &mut Frame, y: Abs, whole: Option<NonZeroU32>, column: &mut Frame| {
        if !list.is_empty() {
            let done = std::mem::replace(list, Frame::new(Size::new(width, Abs::ZERO)));
            let tag = Tag { whole, ..Tag::new(Role::List(Marks::None)) };
            column.place_tagged(Point::new(Abs::ZERO, y - done.size.height), done, tag);
        }
    };
    for (n, slot) in slots.enumerate() {
        if n > 0 && slot.gap > Abs::ZERO || !is_item(&slot.role) {
            close(&mut list, y, first.take(), &mut column);
        }
        if n > 0 {
            y += slot.gap;
        }
        let height = slot.frame.size.height;
        if is_item(&slot.role) {
            let at = list.size.height;
            list.place_tagged(Point::new(Abs::ZERO, at), slot.frame, Tag::new(slot.role));
            list.size.height = at + height;
        } else {
            column.place_tagged(Point::new(Abs::ZERO, y), slot.frame, Tag::new(slot.role));
        }
        y += height;
    }
    close(&mut list, y, first.or(last), &mut column);
    column.size.height = y;
    column
}

/// How high that is which is said over a slot where it begins a column.
type Over<'a> = dyn FnMut(usize) -> Abs + 'a;

/// Which slots stand in which column of which page.
fn pack(slots: &[Slot], columns: &Columns, over: &mut Over<'_>) -> Vec<Vec<Range<usize>>> {
    let mut pages = Vec::new();
    let mut at = 0;
    while at < slots.len() {
        let room = if pages.is_empty() { columns.area.height - columns.used } else { columns.area.height };
        let mut page = fill(slots, at, room, columns.count, over);
        let end = page.last().map_or(slots.len(), |last| last.end);
        if end == slots.len() {
            page = level(slots, at, room, columns, over).unwrap_or(page);
        }
        pages.push(page);
        at = end;
    }
    pages
}

/// The columns of one page that is filled as far as it goes; each takes one slot at the least.
fn fill(slots: &[Slot], mut at: usize, room: Abs, count: usize, over: &mut Over<'_>) -> Vec<Range<usize>> {
    let mut page = Vec::new();
    while page.len() < count && at < slots.len() {
        let end = column_end(slots, at, room - over(at));
        page.push(at..end);
        at = end;
    }
    page
}

/// The lowest columns that hold all the rest.
fn level(slots: &[Slot], at: usize, room: Abs, columns: &Columns, over: &mut Over<'_>) -> Option<Vec<Range<usize>>> {
    let all: Abs = slots[at..].iter().map(|slot| slot.gap + slot.frame.size.height).sum();
    let step = columns.area.step;
    let mut height = step * ((all / columns.count as f64 / step) * 0.9).floor();
    while height.fits(room) {
        let page = fill(slots, at, height, columns.count, over);
        let fits = page.iter().all(|range| (height_of(&slots[range.clone()]) + over(range.start)).fits(height));
        if fits && page.last().is_some_and(|last| last.end == slots.len()) {
            return Some(at_heading(slots, at, room.min(height * LOPSIDED), columns).unwrap_or(page));
        }
        height += step;
    }
    None
}

/// So much higher than level columns two may be, where the second then begins with a heading of its own (judged on the page).
const LOPSIDED: f64 = 1.5;

/// Two columns for all the rest, the second of which begins with the heading of a list: the lowest such, if they are no higher
/// than `most`.
fn at_heading(slots: &[Slot], at: usize, most: Abs, columns: &Columns) -> Option<Vec<Range<usize>>> {
    if columns.count != 2 {
        return None;
    }
    let begins = |n: &usize| slots[*n].role == Role::Heading(2) && !slots[*n - 1].keep;
    let high = |n: usize| height_of(&slots[at..n]).max(height_of(&slots[n..]));
    let best = (at + 1..slots.len())
        .filter(begins)
        .min_by(|one, other| high(*one).to_pt().total_cmp(&high(*other).to_pt()))?;
    high(best).fits(most).then(|| vec![at..best, best..slots.len()])
}

fn height_of(slots: &[Slot]) -> Abs {
    slots.iter().enumerate().map(|(n, slot)| slot.frame.size.height + if n > 0 { slot.gap } else { Abs::ZERO }).sum()
}

/// Where a column that begins at a slot ends.
fn column_end(slots: &[Slot], from: usize, room: Abs) -> usize {
    let mut end = from;
    while end < slots.len() {
        let kept = slots[end..].iter().take_while(|slot| slot.keep).count();
        let next = (end + kept + 1).min(slots.len());
        if end > from && !height_of(&slots[from..next]).fits(room) {
            break;
        }
        end = next;
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slots(keeps: &[bool]) -> Vec<Slot> {
        let frame = || Frame::new(Size::new(Abs::pt(50.0), Abs::pt(10.0)));
        keeps
            .iter()
            .map(|keep| Slot { frame: frame(), gap: Abs::ZERO, keep: *keep, role: Role::ContentsItem, under: None })
            .collect()
    }

    const COLUMNS: Columns = Columns {
        count: 2,
        width: Abs::pt(50.0),
        gap: Abs::pt(10.0),
        area: Area { height: Abs::pt(50.0), step: Abs::pt(10.0) },
        used: Abs::pt(20.0),
        closer: 1.0,
    };

    #[test]
    fn columns_fill_in_order_and_the_last_page_is_level() {
        assert_eq!(pack(&slots(&[false; 9]), &COLUMNS, &mut |_| Abs::ZERO), [vec![0..3, 3..6], vec![6..8, 8..9]]);
        assert_eq!(pack(&slots(&[false; 4]), &COLUMNS, &mut |_| Abs::ZERO), [vec![0..2, 2..4]]);
        assert_eq!(pack(&[], &COLUMNS, &mut |_| Abs::ZERO), Vec::<Vec<Range<usize>>>::new());
    }

    #[test]
    fn what_is_said_over_a_column_has_its_room() {
        // Every entry but the first stands under a name, which is said again over each column but the first.
        let over = &mut |at: usize| if at == 0 { Abs::ZERO } else { Abs::pt(10.0) };
        assert_eq!(pack(&slots(&[false; 9]), &COLUMNS, over), [vec![0..3, 3..5], vec![5..7, 7..9]]);
        assert_eq!(pack(&slots(&[false; 5]), &COLUMNS, over), [vec![0..3, 3..5]]);
    }

    #[test]
    fn the_second_column_begins_with_a_heading_where_the_page_has_room() {
        let mut all = slots(&[true, false, false, false, false, true, false, false]);
        (all[0].role, all[5].role) = (Role::Heading(2), Role::Heading(2));
        let roomy = Columns { used: Abs::ZERO, ..COLUMNS };
        // Four beside four would part the first list before its last entry.
        assert_eq!(pack(&all, &roomy, &mut |_| Abs::ZERO), [vec![0..5, 5..8]]);
        let tight = Columns { used: Abs::pt(10.0), ..COLUMNS };
        assert_eq!(pack(&all, &tight, &mut |_| Abs::ZERO), [vec![0..4, 4..8]]);
        // One list far longer than all others is parted all the same.
        let mut long = slots(&[false; 12]);
        (long[0].role, long[10].role) = (Role::Heading(2), Role::Heading(2));
        let page = Columns { area: Area { height: Abs::pt(150.0), ..COLUMNS.area }, ..roomy };
        assert_eq!(pack(&long, &page, &mut |_| Abs::ZERO), [vec![0..6, 6..12]]);
    }

    #[test]
    fn what_belongs_together_stays_together() {
        // A heading at the foot of the first column goes over to the second.
        let page = pack(&slots(&[false, false, true, false, false]), &COLUMNS, &mut |_| Abs::ZERO);
        assert_eq!(page, [vec![0..2, 2..5]]);
        // What no column holds is set all the same, and ends.
        let page = pack(&slots(&[true; 9]), &COLUMNS, &mut |_| Abs::ZERO);
        assert_eq!((page.len(), &page[0][0]), (1, &(0..9)));
    }
}
