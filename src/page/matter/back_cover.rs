//! The back cover: title and subtitle, and at the foot the ISBN with its EAN-13 bars.
//!
//! ISBN Users' Manual: number in figures above the bars, lower outside back cover. EAN-13 sizes are those of GS1's size guides:
//! module 0.330 mm at full size, bars 22.85 mm, quiet zones of 11 and 7 modules, guards five modules longer.

use crate::book::Matter;
use crate::frame::{Frame, Ink, Item, Role, Tag};
use crate::geom::{Abs, Path, Point, Rect, Size};
use crate::page::desk::Desk;
use crate::page::flow::Piece;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::text::Inline;
use barcoders::sym::ean13::EAN13;

/// One module at full size.
const MODULE: Abs = Abs::mm(0.33);
/// Height of the bars, guards apart.
const BARS: Abs = Abs::mm(22.85);
/// Quiet zones in modules.
const QUIET: (f64, f64) = (11.0, 7.0);
/// How much longer guards are, in modules.
const GUARD: f64 = 5.0;
/// Height of the figures (common practice for OCR-B beside the code, 2.75 mm).
const FIGURES: Abs = Abs::mm(2.75);

/// The cover.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let book = setting.book;
    let mut frame = Frame::new(Size::new(setting.width, setting.area.height));
    frame.push(Point::default(), Item::Anchor(super::names::anchor(Matter::BackCover).into()));
    let mut y = setting.whole_steps(setting.area.height * 0.10);
    let mut lines = vec![(Named::ChapterTitle, book.title.as_str(), book.places.title)];
    lines.extend(book.subtitle.as_deref().map(|subtitle| (Named::Heading, subtitle, book.places.subtitle)));
    lines.extend(book.author.as_deref().map(|author| (Named::Text, author, book.places.author)));
    for (named, words, place) in lines {
        let mut look = setting.scale.look(named);
        look.align = crate::text::Align::Left;
        let mut block = Frame::new(Size::new(setting.measure, Abs::ZERO));
        for line in comp.at(place, |comp| comp.set(&[Inline::text(words)], &look, setting.measure)) {
            let height = line.frame.size.height;
            block.place(Point::new(Abs::ZERO, block.size.height), line.frame);
            block.size.height += height;
        }
        let height = block.size.height;
        frame.place_tagged(Point::new(Abs::ZERO, y), block, Tag::new(Role::Paragraph));
        y += height + setting.area.step;
    }
    if let Some(isbn) = &book.imprint.isbn {
        match bars(desk, isbn) {
            Some(bars) => {
                let at = Point::new(Abs::ZERO, setting.area.height - bars.size.height);
                frame.place_tagged(at, bars, Tag::figure(format!("ISBN {isbn}")));
            }
            None => {
                comp.sink
                    .warn(
                        code!("isbn"),
                        None,
                        format!("`{isbn}` is no ISBN of thirteen digits, so the cover has no bars"),
                    )
                    .hints
                    .push("check the number: its last digit is worked out from the others".into());
            }
        }
    }
    let height = frame.size.height;
    vec![Piece::of_text(frame, height)]
}

/// The ISBN in figures, the bars, the figures under them; `None` when the number is wrong.
pub(in crate::page) fn bars(desk: &Desk<'_>, isbn: &str) -> Option<Frame> {
    let digits: String = isbn.chars().filter(char::is_ascii_digit).collect();
    let modules = modules(&digits)?;
    let scale = &desk.setting.scale;
    let head = scale.label(Named::Label, &format!("ISBN {isbn}"));
    let head_height = scale.size(Named::Label) * 1.6;
    let width = MODULE * (modules.len() as f64 + QUIET.0 + QUIET.1);
    let mut frame = Frame::new(Size::new(width.max(head.width), head_height + BARS + FIGURES * 1.5));
    head.put(&mut frame, Point::new(MODULE * QUIET.0, head_height * 0.6));
    let mut path = Path::new();
    for (n, _) in modules.iter().enumerate().filter(|(_, bar)| **bar == 1) {
        let x = MODULE * (n as f64 + QUIET.0);
        let long = if is_guard(n) { MODULE * GUARD } else { Abs::ZERO };
        let bar = Rect::new(Point::new(x, head_height), Point::new(x + MODULE, head_height + BARS + long));
        path.segments.extend(Path::rect(bar).segments);
    }
    frame.fill(Point::default(), path, Ink::Black);
    // Figures stand in their groups: one left of the bars, six under each half.
    let face_size = FIGURES / 0.66;
    let baseline = head_height + BARS + FIGURES * 1.25;
    let groups = [(0..1, QUIET.0 - 8.5), (1..7, QUIET.0 + 3.0), (7..13, QUIET.0 + 50.0)];
    for (range, start) in groups {
        let count = range.len() as f64;
        let pitch = if range.start == 0 { Abs::ZERO } else { MODULE * 7.0 };
        for (n, digit) in digits[range].chars().enumerate() {
            let at = MODULE * start + pitch * (n as f64 + if count > 1.0 { 0.5 } else { 0.0 });
            let figure = scale.label_at(Named::Label, face_size, &digit.to_string());
            if count > 1.0 {
                figure.put_centred(&mut frame, Point::new(at, baseline));
            } else {
                figure.put(&mut frame, Point::new(at, baseline));
            }
        }
    }
    Some(frame)
}

/// Ninety-five modules, 1 for a bar; `None` when the digits are not thirteen or the check digit is wrong.
fn modules(digits: &str) -> Option<Vec<u8>> {
    let check = digits
        .bytes()
        .zip([1u32, 3].into_iter().cycle())
        .map(|(digit, weight)| u32::from(digit - b'0') * weight)
        .sum::<u32>();
    if digits.len() != 13 || check % 10 != 0 {
        return None;
    }
    EAN13::new(&digits[..12]).ok().map(|code| code.encode())
}

/// Modules of the three guard patterns.
fn is_guard(module: usize) -> bool {
    module < 3 || (45..50).contains(&module) || module >= 92
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bits worked out apart from this code from the published encoding of EAN-13, for two ISBNs that are printed as examples.
    #[test]
    fn bars_of_published_numbers() {
        let bits = |digits| modules(digits).map(|bits| bits.iter().map(u8::to_string).collect::<String>());
        assert_eq!(
            bits("9783161484100").as_deref(),
            Some("10101110110001001010000100110010000101001100101010101110010010001011100110011011100101110010101")
        );
        assert_eq!(
            bits("9781402894626").as_deref(),
            Some("10101110110001001011001101000110100111001001101010100100011101001011100101000011011001010000101")
        );
        assert_eq!(bits("9783161484101"), None);
        assert_eq!(bits("978316148410"), None);
    }
}
