//! Page sizes and margins: takes the author's `page:`, gives a [`PageStyle`].
//!
//! Margins: the classical order, inner narrowest, then head, fore edge and foot, on a unit of 1/60 of the page's width
//! (common practice, no source), with room for the binding at the spine.

use super::files::PageFile;
use super::page_size::PageSize;
use super::words::Either;
use super::yaml::Node;
use crate::diag::Sink;
use crate::geom::{Abs, Size};
use crate::style::{Binding, BlankPages, Margins, Orientation, PageStyle, TunePages};

/// The smallest and the largest side of a page, in millimetres. PDF's limit is 14,400 points.
const SIDES: std::ops::RangeInclusive<f64> = 90.0..=1500.0;

/// The page as the author wants it.
pub fn page(file: &PageFile, node: Option<&Node>, sink: &mut Sink) -> PageStyle {
    let binding = file.binding.as_ref().map_or(Binding::Saddle, |said| said.0);
    let wish = file.orientation.as_ref().map(|said| said.0);
    let (mut size, custom) = match &file.size {
        None => (PageSize::A4.size(), false),
        Some(Either::Word(name)) => (name.size(), false),
        Some(Either::Long([width, height])) => (Size::new(width.0.0, height.0.0), true),
    };
    for side in [size.width, size.height] {
        if custom && !SIDES.contains(&side.to_mm()) {
            let place = node.map(|node| node.place_of("size"));
            let message = format!("a page side of {:.0} mm can't be printed on", side.to_mm());
            sink.error(code!("page-size"), place, message).hints.push("sides of 90 mm to 1500 mm can be".into());
            size = PageSize::A4.size();
        }
    }
    let turned = match wish {
        Some(Orientation::Portrait) => size.width > size.height,
        Some(Orientation::Landscape) => size.width < size.height,
        None => false,
    };
    if turned {
        size = Size::new(size.height, size.width);
    }
    let tunes = file.tunes.as_ref().map_or(TunePages::NewPage, |said| said.0);
    let blanks = file.blanks.as_ref().map_or(BlankPages::White, |said| said.0);
    PageStyle { size, binding, margins: margins(size, binding), tunes, blanks }
}

/// What the binding takes of the paper, and how far from its edge ink must stay at least, in millimetres.
///
/// Saddle 10, perfect 15, wire 10: trade sheets (common practice). Comb: its slots reach about 8 mm in (from memory). Ring:
/// ISO 838 puts the holes' far edge at 16.25 mm in the worst case, and asks for 20 to 25 mm of margin.
pub(crate) const fn bound(binding: Binding) -> (f64, f64) {
    match binding {
        Binding::Saddle | Binding::None => (0.0, 10.0),
        Binding::Perfect => (8.0, 15.0),
        Binding::Comb => (8.0, 14.0),
        Binding::Wire => (6.0, 10.0),
        Binding::Ring => (12.0, 20.0),
    }
}

/// Hanging punctuation and the ends of thick lines reach this far out of the type area, in millimetres; at the edge of loose
/// sheets it does no harm.
const fn hanging(binding: Binding) -> f64 {
    if matches!(binding, Binding::None) { 0.0 } else { 1.0 }
}
/// The least margins of head, fore edge and foot, in millimetres: a running head and a folio keep 5 mm from the edge there,
/// and a thick stapled booklet, whose inner leaves lose their fore edge to the trimmer, 9.5 mm at a creep of 3 mm (common
/// practice, no source).
const LEAST: [f64; 3] = [12.5, 12.75, 14.5];

fn margins(size: Size, binding: Binding) -> Margins {
    let unit = size.width.min(size.height) / 60.0;
    let (taken, clear) = bound(binding);
    let [top, outer, bottom] = LEAST.map(Abs::mm);
    Margins {
        inner: (Abs::mm(taken) + unit * 3.0).max(Abs::mm(clear + hanging(binding))),
        top: (unit * 4.4).max(top),
        outer: (unit * 4.5).max(outer),
        bottom: (unit * 6.0).max(bottom),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::words::Choice as _;

    #[test]
    fn margins_keep_their_order_and_the_bindings_room() {
        for (_, size, _) in PageSize::ALL {
            for (_, binding, _) in Binding::ALL {
                let margins = margins(size.size(), *binding);
                let (taken, clear) = bound(*binding);
                assert!(margins.inner.to_mm() + 1e-9 >= clear, "{size:?} {binding:?}");
                assert!(margins.inner - Abs::mm(taken) <= margins.top.max(Abs::mm(clear + hanging(*binding))));
                assert!(margins.top < margins.outer && margins.outer < margins.bottom);
            }
        }
    }

    /// ISO 216 and the inch sizes, in points.
    #[test]
    fn sizes_in_points() {
        let points = |size: PageSize| (size.size().width.to_pt(), size.size().height.to_pt());
        let near = |(a, b): (f64, f64), (c, d): (f64, f64)| (a - c).abs() < 0.001 && (b - d).abs() < 0.001;
        assert!(near(points(PageSize::A4), (595.276, 841.890)));
        assert!(near(points(PageSize::A5), (419.528, 595.276)));
        assert!(near(points(PageSize::B4), (708.661, 1000.630)));
        assert!(near(points(PageSize::B5), (498.898, 708.661)));
        assert!(near(points(PageSize::Letter), (612.0, 792.0)));
        assert!(near(points(PageSize::Concert), (648.0, 864.0)));
    }
}
