//! The author's `cover:` into a checked [`Cover`], its words and picture read.

use super::files::CoverFile;
use super::library::Library;
use super::look::is_registered;
use super::text::{prose, take_picture, take_pictures};
use super::words::SpineWish;
use super::yaml::Node;
use super::{Colour, Cover, Ground, Picture, Press, Stock};
use crate::diag::Sink;
use crate::style::Binding;

/// A spine is at least so wide and at most so wide, in millimetres: the printer's own figure is taken as it is between them.
const SPINES: std::ops::RangeInclusive<f64> = 1.0..=80.0;

/// The cover as the author wants it: of board unless said otherwise, which is denser than paper. `press` is what it goes with.
pub fn cover(
    file: &CoverFile,
    node: &Node,
    (press, binding): (&Press, Binding),
    library: &mut Library<'_>,
    pictures: &mut Vec<(String, Picture)>,
    sink: &mut Sink,
) -> Cover {
    is_registered(file.condition.as_ref(), false, Some(node), sink);
    let wanted = file.words.as_ref().is_some_and(|said| said.0.0.is_some());
    let words = node.get("words").filter(|_| wanted).and_then(|node| prose(node, "", library, sink));
    if let Some(words) = &words {
        take_pictures(words, library, pictures, sink);
    }
    let picture = file.picture.as_ref().and_then(|said| said.0.0.as_ref()).map(|path| {
        let place = node.place_of("picture");
        take_picture((&path.0, place), "", library, pictures, sink);
        (path.0.clone(), place)
    });
    let wish = file.spine.as_ref().map_or(SpineWish::Auto, |said| said.0);
    let ground = file.ground.as_ref().map(|said| said.0).unwrap_or_default();
    if ground == Ground::Spot && press.spot == Colour::None {
        let message = "`ground: spot` wants a second ink, and the book has none";
        let hint = "name it under `press`, as in `spot: Lamp Red`, or leave `ground` out";
        sink.error(code!("ground-without-ink"), Some(node.place_of("ground")), message).hints.push(hint.into());
    }
    Cover {
        stock: Stock { grams: file.grams.unwrap_or(250.0), bulk: file.bulk.unwrap_or(1.1) },
        condition: file.condition.clone(),
        words,
        picture,
        spine: width(wish, node, binding, sink),
        spine_words: wish != SpineWish::Blank,
        ground,
        place: node.place,
    }
}

/// The printer's own figure; only a glued book has a spine that is printed on.
fn width(wish: SpineWish, node: &Node, binding: Binding, sink: &mut Sink) -> Option<crate::geom::Abs> {
    let SpineWish::Wide(width) = wish else { return None };
    let place = Some(node.place_of("spine"));
    if !SPINES.contains(&width.to_mm()) {
        let message = format!("a spine of {:.1} mm can't be printed on", width.to_mm());
        let hint = format!("from {:.0} mm to {:.0} mm it can, or write `auto`", SPINES.start(), SPINES.end());
        sink.error(code!("out-of-range"), place, message).hints.push(hint);
        return None;
    }
    if binding != Binding::Perfect {
        let message = "only a glued book has a spine of a width, and this one is bound otherwise";
        let hint = "set `page: {binding: perfect}`, or leave `spine` out";
        sink.warn(code!("spine-not-used"), place, message).hints.push(hint.into());
        return None;
    }
    Some(width)
}
