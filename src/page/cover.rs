//! The cover of a book: front, back and the words of the spine, each as a frame of its own.
//!
//! Takes what the title page is made of, and what the author names under `press: cover:`; knows neither the paper nor how wide
//! the spine is: `sheet` puts the parts together. Bars stand at the lower right of the back (GS1 and the ISBN Users' Manual,
//! both from memory).

use super::chapter;
use super::desk::Desk;
use super::document::Side;
use super::fill::{self, Area, Walk};
use super::matter::{back_cover, title};
use super::picture;
use super::plate::left;
use super::prose::{self, Column};
use super::scale::Named;
use super::setting::Compositor;
use crate::book::{Cover as Wanted, Ground};
use crate::diag::Place;
use crate::frame::{Frame, Ink};
use crate::geom::{Abs, Point, Rect, Size};
use crate::text::Align;
use std::sync::Arc;

/// A cover before it is put on sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// The front, as large as a page.
    pub front: Frame,
    /// The back, as large as a page.
    pub back: Frame,
    /// What stands on the spine, lying; nothing where the author wants it blank.
    pub spine: Option<SpineWords>,
    /// Whether the second ink lies under all of it, up to the bleed.
    pub ground: bool,
}

impl Cover {
    /// All that is set on it.
    pub fn frames(&self) -> impl Iterator<Item = &Frame> {
        let spine = self.spine.iter().flat_map(|words| [Some(&words.title), words.author.as_ref()]).flatten();
        [&self.front, &self.back].into_iter().chain(spine)
    }
}

/// The words of a spine, each one line as wide as it comes out, set in one size and as high as the letters of any face.
#[derive(Debug, Clone, PartialEq)]
pub struct SpineWords {
    /// The title.
    pub title: Frame,
    /// The author.
    pub author: Option<Frame>,
    /// Their size.
    pub size: Abs,
}

/// The title on the front against that of the title page, the first that lets all words have room (our choice: a cover is read
/// from across a room).
const SMALLER_AND_SMALLER: [f64; 5] = [1.35, 1.15, 1.0, 0.75, 0.55];
/// Subtitle and author are so much larger at the most.
const A_LITTLE_LARGER: f64 = 1.2;
/// A line of a title has so much of its size at least, or descenders and ascenders touch.
const LINE: f64 = 1.12;
/// A picture lower than this is none (our choice).
const LEAST_PICTURE: Abs = Abs::mm(20.0);
/// The buttons stand no further apart: on common pages they are as wide as the type area.
const BUTTONS: Abs = Abs::mm(18.0);
/// Where the bar over the title stands, as a share of the height: as on the title page.
const HEAD: f64 = 0.10;
/// The size that the words of a spine are set in.
const SPINE: Abs = Abs::pt(14.0);
/// How high letters rise over their baseline and how deep they reach under it, in sizes: more than any of ours do.
const RISES: f64 = 0.8;
const REACHES: f64 = 0.25;
/// White round the bars on a ground, beyond their quiet zones (our choice).
const FIELD: Abs = Abs::mm(2.0);

/// The cover that the author wants.
pub(super) fn cover(desk: &Desk<'_>, wanted: &Wanted, comp: &mut Compositor<'_>) -> Cover {
    let ground = wanted.ground == Ground::Spot;
    let front = front(desk, wanted, comp);
    let (back, bars) = back(desk, wanted, comp);
    let finished = |content: Frame, side: Side, bars: Option<(Point, Frame)>| {
        let content = if ground { content.on_ground() } else { content };
        let mut page = Frame::new(desk.setting.book.page.size);
        let origin = Point::new(left(desk.setting, side), desk.setting.book.page.margins.top);
        page.place(origin, content);
        if let Some((at, bars)) = bars {
            let at = origin + at;
            if ground {
                let corner = Point::new(at.x + bars.size.width, at.y + bars.size.height);
                page.fill_rect(Rect::new(at, corner).grown(FIELD), Ink::Paper);
            }
            page.place(at, bars);
        }
        page
    };
    let spine = wanted.spine_words.then(|| {
        let book = desk.setting.book;
        let words = |named, words: &str| {
            let label = desk.setting.scale.label_at(named, SPINE, words);
            let mut frame = Frame::new(Size::new(label.width, SPINE * (RISES + REACHES)));
            label.put(&mut frame, Point::new(Abs::ZERO, SPINE * RISES));
            if ground { frame.on_ground() } else { frame }
        };
        SpineWords {
            title: words(Named::Heading, &book.title),
            author: book.author.as_deref().map(|author| words(Named::Text, author)),
            size: SPINE,
        }
    });
    Cover { front: finished(front, Side::Recto, None), back: finished(back, Side::Verso, bars), spine, ground }
}

/// Bar, title, subtitle, author; the picture or the buttons; box, edition and publisher at the foot.
fn front(desk: &Desk<'_>, wanted: &Wanted, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let (book, step) = (setting.book, setting.area.step);
    let mut frame = Frame::new(Size::new(setting.width, setting.area.height));
    let mut foot = setting.area.height;
    for (named, words, place) in title::at_foot(desk, book.imprint.publisher.clone()) {
        let block = comp.at(place, |comp| title::block(desk, named, &words, comp));
        foot -= block.size.height;
        frame.place(Point::new(Abs::ZERO, foot), block);
        foot -= step;
    }
    let top = setting.whole_steps(setting.area.height * HEAD);
    let mut head = Frame::default();
    for larger in SMALLER_AND_SMALLER {
        head = words(desk, larger, comp);
        if (top + head.size.height).fits(foot) {
            break;
        }
    }
    let y = top + head.size.height;
    frame.place(Point::new(Abs::ZERO, top), head);
    let place = book.places.title.or(Some(wanted.place));
    if !y.fits(foot) {
        too_full(comp, place, "the words on the front of the cover", y - foot);
    }
    let room = Size::new(setting.width, foot - y - step * 3.0);
    if wanted.picture.is_some() && y.fits(foot) && !LEAST_PICTURE.fits(room.height) {
        too_full(comp, place, "words and picture on the front of the cover", LEAST_PICTURE - room.height);
    } else if let Some(picture) = picture(desk, wanted, room, comp) {
        // Midway between the words over and under it, a little nearer to those over it, where the eye looks for a middle.
        let at = y + step * 2.0 + (room.height - picture.size.height) * 0.45;
        frame.place(Point::new(Abs::ZERO, at), picture);
    }
    frame
}

/// Bar, title, subtitle and author, the title so much larger than on the title page.
fn words(desk: &Desk<'_>, larger: f64, comp: &mut Compositor<'_>) -> Frame {
    let (book, step) = (desk.setting.book, desk.setting.area.step);
    let mut frame = Frame::new(Size::new(desk.setting.width, Abs::ZERO));
    chapter::bar(&mut frame, Point::default(), desk);
    let mut y = step;
    let places = &book.places;
    let title = |comp: &mut Compositor<'_>| enlarged(desk, (Named::BookTitle, larger), &book.title, comp);
    y += comp.at(places.title, |comp| put(&mut frame, y, title(comp)));
    let little = larger.min(A_LITTLE_LARGER);
    if let Some(subtitle) = &book.subtitle {
        y += step;
        let set = |comp: &mut Compositor<'_>| enlarged(desk, (Named::Heading, little), subtitle, comp);
        y += comp.at(places.subtitle, |comp| put(&mut frame, y, set(comp)));
    }
    if let Some(author) = &book.author {
        y += step * 2.0;
        let set = |comp: &mut Compositor<'_>| enlarged(desk, (Named::Text, little.max(1.0)), author, comp);
        y += comp.at(places.author, |comp| put(&mut frame, y, set(comp)));
    }
    frame.size.height = y;
    frame
}

/// Words larger than in the book by a factor, as far as their longest one lets them be.
fn enlarged(desk: &Desk<'_>, (named, larger): (Named, f64), words: &str, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let mut look = setting.scale.look(named);
    let widths = words.split_whitespace().map(|word| setting.scale.label_at(named, look.size, word).width);
    let widest = widths.fold(Abs::pt(1.0), Abs::max);
    let text = setting.scale.size(Named::Text);
    look.size = (look.size * (setting.width / widest * 0.98).min(larger)).max(text);
    let leading = setting.book.text.leading;
    let steps = |size: Abs| size * LINE / leading;
    if !setting.scale.label_at(named, look.size, words).width.fits(setting.width) {
        // Lines under one another stand in whole steps: a little smaller they stand close.
        let close = leading * steps(look.size).floor().max(1.0) / LINE;
        look.size = if (look.size * 0.8).fits(close) { close } else { look.size };
    }
    look.steps = ((steps(look.size) - 1e-6).ceil() as u32).max(1);
    (look.align, look.hyphenate) = (Align::Left, false);
    title::lines_of(desk, &look, words, comp)
}

/// The author's picture in the room there is, or the buttons of the box.
fn picture(desk: &Desk<'_>, wanted: &Wanted, room: Size, comp: &mut Compositor<'_>) -> Option<Frame> {
    let Some((path, place)) = &wanted.picture else {
        let buttons = title::buttons(desk, BUTTONS);
        return (buttons.size.height < room.height).then_some(buttons);
    };
    let size = desk.extras.pictures.sizes.get(path).copied().flatten();
    let size = size.unwrap_or(Size::new(room.width, room.height));
    let factor = (room.width / size.width.max(Abs::pt(1.0))).min(room.height / size.height.max(Abs::pt(1.0)));
    let size = Size::new(size.width * factor, size.height * factor);
    picture::frame(desk.setting.book, desk.extras.pictures, path, size, *place, &mut comp.sink)
}

/// Title and the author's words, the publisher at the foot; the bars apart with their place, for they stay black on white.
fn back(desk: &Desk<'_>, wanted: &Wanted, comp: &mut Compositor<'_>) -> (Frame, Option<(Point, Frame)>) {
    let setting = desk.setting;
    let (book, step) = (setting.book, setting.area.step);
    let mut frame = Frame::new(Size::new(setting.width, setting.area.height));
    let mut y = setting.whole_steps(setting.area.height * HEAD);
    chapter::bar(&mut frame, Point::new(Abs::ZERO, y), desk);
    y += step;
    y += comp.at(book.places.title, |comp| put(&mut frame, y, title::block(desk, Named::TuneTitle, &book.title, comp)));
    if let Some(subtitle) = &book.subtitle {
        let subtitle = |comp: &mut Compositor<'_>| title::block(desk, Named::Text, subtitle, comp);
        y += comp.at(book.places.subtitle, |comp| put(&mut frame, y, subtitle(comp)));
    }
    y = setting.whole_steps(y + step * 1.5);
    let mut foot = setting.area.height;
    let bars = book.imprint.isbn.as_deref().and_then(|isbn| back_cover::bars(desk, isbn)).map(|bars| {
        let at = Point::new(setting.width - bars.size.width, setting.area.height - bars.size.height);
        foot = at.y - step;
        (at, bars)
    });
    if let Some(publisher) = &book.imprint.publisher {
        let block = title::block(desk, Named::Label, publisher, comp);
        let at = setting.area.height - block.size.height;
        foot = foot.min(at - step);
        frame.place(Point::new(Abs::ZERO, at), block);
    }
    let column = Column::text(setting);
    let pieces = prose::flat(prose::set(setting, &desk.material.cover, desk.extras, column, comp));
    let room = Area { height: foot - y, step };
    let mut walk = Walk::new();
    for piece in &pieces {
        walk.put(piece, step, -1.0);
    }
    if !walk.bottom().fits(room.height) {
        let place = wanted.words.as_ref().map_or(wanted.place, |words| words.place(0, 0));
        too_full(comp, Some(place), "the words on the back of the cover", walk.bottom() - room.height);
    }
    for (piece, top) in pieces.iter().zip(fill::place(&pieces, room, false)) {
        frame.place_shared(Point::new(piece.x, y + top), Arc::clone(&piece.frame));
    }
    (frame, bars)
}

/// Puts a block at a height, gives how high it is.
fn put(frame: &mut Frame, y: Abs, block: Frame) -> Abs {
    let height = block.size.height;
    frame.place(Point::new(Abs::ZERO, y), block);
    height
}

/// A cover with words over one another must not be printed, nor one with words left out.
fn too_full(comp: &mut Compositor<'_>, place: Option<Place>, what: &str, by: Abs) {
    let message = format!("{what} take {:.0} mm more than there is room for", by.to_mm().max(1.0));
    comp.sink.error(code!("cover-too-full"), place, message).hints.push("say it in fewer words".into());
}
