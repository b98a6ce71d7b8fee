//! Paper: caliper, spine, creep, and the limits of bindings with their reasons.
//!
//! Sources: caliper = grammage x specific volume / 1000 (a print glossary, entry on paper volume); spines want the bulking
//! thickness of ISO 534. Spine, creep and the limits are *common practice, no source*: they warn and never refuse.

use super::scheme::count;
use crate::geom::Abs;
use crate::style::Binding;

/// A paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Grams a square metre.
    pub grams: f64,
    /// Specific volume in cubic centimetres a gram.
    pub bulk: f64,
}

impl Stock {
    /// Thickness of one leaf.
    pub fn caliper(self) -> Abs {
        Abs::mm(self.grams * self.bulk / 1000.0)
    }
    /// The paper as a docket says it.
    pub(super) fn words(self) -> String {
        format!("{} g/m², volume {} cm³/g, {:.3} mm a leaf", self.grams, self.bulk, self.caliper().to_mm())
    }
}

/// A cover of its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Board {
    /// Its paper or board.
    pub stock: Stock,
    /// The spine's width as the printer gives it, which wins over the reckoned one.
    pub spine: Option<Abs>,
}

/// The back of a book.
#[derive(Debug, Clone, PartialEq)]
pub struct Spine {
    /// Its thickness.
    pub width: Abs,
    /// Its thickness and what it is made of, in words.
    pub words: String,
    /// What the printer or author should know, each with its reason.
    pub notes: Vec<String>,
}

/// Glue of a perfect binding (*common practice, no source*).
const GLUE: Abs = Abs::mm(0.5);
/// Least spine that takes a title.
pub(super) const TITLE: f64 = 6.0;
/// A printer's figure that differs by more than this from the reckoned one is of another paper or another number of pages.
const APART: f64 = 1.0;
/// Least block for a perfect binding.
const BLOCK: f64 = 3.0;
/// Wire of a coil or comb: thickness and 3/16 inch (one bindery's published sheet).
const WIRE: Abs = Abs::inches(3.0 / 16.0);

/// The spine of a number of pages on a paper, under a cover of its own if it has one.
pub fn spine(pages: usize, stock: Stock, cover: Option<Board>, binding: Binding) -> Spine {
    let leaves = pages.div_ceil(2);
    #[expect(clippy::cast_precision_loss, reason = "a number of leaves")]
    let block = stock.caliper() * leaves as f64;
    let covers = cover.map_or(Abs::ZERO, |cover| cover.stock.caliper() * 2.0);
    let glue = if binding == Binding::Perfect { GLUE } else { Abs::ZERO };
    let reckoned = block + covers + glue;
    let given = cover.and_then(|cover| cover.spine);
    let width = given.unwrap_or(reckoned);
    let mut parts =
        vec![format!("{leaves} {} of {:.3} mm", if leaves == 1 { "leaf" } else { "leaves" }, stock.caliper().to_mm())];
    match cover {
        Some(cover) => parts.push(format!("a cover of {:.3} mm on either side", cover.stock.caliper().to_mm())),
        None => parts.push("no cover of its own".to_owned()),
    }
    if binding == Binding::Perfect {
        parts.push(format!("{:.1} mm of glue", glue.to_mm()));
    }
    let made_of = format!("{:.1} mm: {}", reckoned.to_mm(), parts.join(", "));
    let words = match given {
        Some(given) => format!("{:.1} mm by the printer's own figure; reckoned it is {made_of}", given.to_mm()),
        None => made_of,
    };
    let mut notes = notes(pages, block, width, Creep::of(stock, cover), binding);
    let apart = (width - reckoned).to_mm();
    if apart.abs() > APART {
        notes.push(format!(
            "the printer's figure for the spine is {:.1} mm {} than the paper makes it: ask whether it is of this paper and of \
             {pages} pages",
            apart.abs(),
            if apart > 0.0 { "more" } else { "less" }
        ));
    }
    Spine { width, words, notes }
}

fn notes(pages: usize, block: Abs, width: Abs, creep: Creep, binding: Binding) -> Vec<String> {
    let mut notes = Vec::new();
    match binding {
        Binding::Saddle => {
            if pages < 8 {
                notes.push(format!("{pages} pages are few for stapling: 8 is the least, a sheet and its cover"));
            }
            let most = if creep.caliper.to_mm() > 0.13 { 48 } else { 64 };
            if pages > most {
                notes.push(format!(
                    "{pages} pages are many for stapling on this paper: beyond {most} the booklet springs open and the \
                     inner pages stand out by {:.1} mm",
                    creep.most(pages).to_mm()
                ));
            }
        }
        Binding::Perfect => {
            if block.to_mm() < BLOCK {
                notes.push(format!(
                    "the block is {:.1} mm thick: a glued spine wants at least {BLOCK} mm to hold",
                    block.to_mm()
                ));
            }
            notes.push("a glued book does not lie flat on a stand: staples, wire or comb do".to_owned());
        }
        Binding::Wire | Binding::Comb => {
            notes.push(format!("wire or comb for {:.1} mm: the block and 3/16 inch", (width + WIRE).to_mm()));
        }
        Binding::Ring => {
            notes.push("no ink within 18 mm of the bound edge: ISO 838 holes reach to 16.25 mm at worst".to_owned());
        }
        Binding::None => {}
    }
    if matches!(binding, Binding::Perfect) && width.to_mm() < TITLE {
        notes
            .push(format!("the spine is {:.1} mm: under {TITLE} mm a title on it wanders off the edge", width.to_mm()));
    }
    notes
}

/// How far the leaves of sheets that are folded inside one another stand out at the fore edge before trimming, and lose there when the
/// block is trimmed: the thickness of all that lies round them, sheets and a cover of its own.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Creep {
    /// Thickness of one sheet's paper.
    pub caliper: Abs,
    /// Thickness of the cover that all of them lie in; zero for none.
    pub cover: Abs,
}

impl Creep {
    /// Of a stapled booklet on a paper, in a cover of its own if it has one.
    pub fn of(stock: Stock, cover: Option<Board>) -> Self {
        Self { caliper: stock.caliper(), cover: cover.map_or(Abs::ZERO, |cover| cover.stock.caliper()) }
    }
    /// Of the leaf that lies inside so many sheets.
    pub fn at(self, depth: usize) -> Abs {
        self.caliper * count(depth) + self.cover
    }
    /// Of a page by its place among so many, 0 first, blanks counted.
    pub fn of_page(self, slot: usize, slots: usize) -> Abs {
        self.at(slot.min(slots.saturating_sub(1).saturating_sub(slot)) / 2)
    }
    /// Of the innermost leaf of so many pages.
    pub fn most(self, pages: usize) -> Abs {
        self.at(pages.div_ceil(4).saturating_sub(1))
    }
    /// What it is made of, in words.
    pub(super) fn words(self, pages: usize) -> String {
        let sheets = pages.div_ceil(4).saturating_sub(1);
        let cover = if self.cover > Abs::ZERO {
            format!(" and a cover of {:.3} mm", self.cover.to_mm())
        } else {
            String::new()
        };
        let noun = if sheets == 1 { "sheet" } else { "sheets" };
        format!(
            "{:.2} mm: {sheets} {noun} of {:.3} mm{cover} lie round the innermost leaves",
            self.most(pages).to_mm(),
            self.caliper.to_mm()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A print glossary's example: 100 pages of 80 g/m2 with volume 1.5 are 6.0 mm (the glossary that prints 4 mm is wrong); a trade
    /// chart: 128 pages of 0.0039 inch are a quarter inch; 200 pages of 0.005 inch are half an inch.
    #[test]
    fn the_worked_spines() {
        let bare = |pages, stock| spine(pages, stock, None, Binding::Saddle).width.to_mm();
        assert!((bare(100, Stock { grams: 80.0, bulk: 1.5 }) - 6.0).abs() < 1e-9);
        let inches = |thousandths: f64| Stock { grams: thousandths * 25.4, bulk: 1.0 };
        assert!((bare(128, inches(3.9)) / 25.4 - 0.2496).abs() < 1e-9);
        assert!((bare(200, inches(5.0)) / 25.4 - 0.5).abs() < 1e-9);
    }

    /// (sheets - 1) x caliper, worked by hand. Caliper 0.10 mm: 48 pages 1.1 mm, 64 pages 1.5 mm; 0.13 mm: 64 pages 1.95 mm.
    #[test]
    fn the_worked_creep() {
        let paper = |mm: f64| Stock { grams: mm * 1000.0, bulk: 1.0 };
        for (pages, mm, wanted) in [(16, 0.10, 0.3), (48, 0.10, 1.1), (64, 0.10, 1.5), (64, 0.13, 1.95)] {
            let creep = Creep::of(paper(mm), None);
            assert!((creep.most(pages).to_mm() - wanted).abs() < 1e-9);
            // Every page by its place: the two in the middle lie deepest, the outermost not at all.
            let all: Vec<Abs> = (0..pages).map(|slot| creep.of_page(slot, pages)).collect();
            assert!(all[pages / 2 - 1].is_near(creep.most(pages)) && all[pages / 2].is_near(creep.most(pages)));
            assert!(all[0] == Abs::ZERO && all[1] == Abs::ZERO && all[2].is_near(creep.caliper));
        }
    }

    /// A block lies in its cover: 0.10 mm of paper and 0.275 mm of board, 16 pages: 0.3 + 0.275 mm inside, 0.275 mm outside.
    #[test]
    fn a_cover_pushes_the_whole_block_out() {
        let board = Board { stock: Stock { grams: 250.0, bulk: 1.1 }, spine: None };
        let paper = Stock { grams: 100.0, bulk: 1.0 };
        let creep = Creep::of(paper, Some(board));
        assert!((creep.most(16).to_mm() - 0.575).abs() < 1e-9 && (creep.of_page(15, 16).to_mm() - 0.275).abs() < 1e-9);
        assert_eq!(
            creep.words(16),
            "0.57 mm: 3 sheets of 0.100 mm and a cover of 0.275 mm lie round the innermost leaves"
        );
        let note = spine(100, paper, Some(board), Binding::Saddle).notes.remove(0);
        assert!(note.contains("stand out by 2.7 mm"), "24 sheets and the cover: {note}");
    }

    /// Twice the cover's caliper and half a millimetre of glue (common practice): 102 leaves of 0.12 mm, board of 0.275 mm.
    #[test]
    fn a_glued_spine_holds_both_covers() {
        let (stock, board) = (Stock { grams: 100.0, bulk: 1.2 }, Stock { grams: 250.0, bulk: 1.1 });
        let glued = spine(204, stock, Some(Board { stock: board, spine: None }), Binding::Perfect);
        assert!((glued.width.to_mm() - (12.24 + 0.55 + 0.5)).abs() < 1e-9);
        let said = "13.3 mm: 102 leaves of 0.120 mm, a cover of 0.275 mm on either side, 0.5 mm of glue";
        assert_eq!(glued.words, said);
        assert_eq!(spine(4, stock, None, Binding::Saddle).words, "0.2 mm: 2 leaves of 0.120 mm, no cover of its own");
    }

    /// 99 leaves of 0.12 mm, board of 0.275 mm and glue are 12.93 mm.
    #[test]
    fn the_printers_own_figure_wins_and_is_doubted_where_it_is_far_off() {
        let (stock, board) = (Stock { grams: 100.0, bulk: 1.2 }, Stock { grams: 250.0, bulk: 1.1 });
        let of = |mm: f64| spine(198, stock, Some(Board { stock: board, spine: Some(Abs::mm(mm)) }), Binding::Perfect);
        let near = of(12.5);
        assert!(
            near.width.is_near(Abs::mm(12.5))
                && near.words.starts_with("12.5 mm by the printer's own figure; reckoned it is 12.9 mm")
        );
        assert!(!near.notes.iter().any(|note| note.contains("figure")));
        assert!(of(10.0).notes.iter().any(|note| note.contains("2.9 mm less") && note.contains("198 pages")));
    }

    #[test]
    fn limits_come_with_reasons() {
        let stock = Stock { grams: 100.0, bulk: 1.2 };
        assert!(spine(4, stock, None, Binding::Saddle).notes[0].contains("8 is the least"));
        assert!(spine(100, stock, None, Binding::Saddle).notes[0].contains("springs open"));
        assert!(spine(20, stock, None, Binding::Perfect).notes.iter().any(|note| note.contains("3 mm")));
        assert!(spine(64, stock, None, Binding::Saddle).notes.is_empty());
    }
}
