//! Pictures named in texts: their sizes, and their pixels as grey levels or their drawing at the size wanted.

use super::jpeg;
use crate::book::{Book, Picture};
use crate::diag::{Place, Sink, guarded};
use crate::frame::{Drawing, Frame, Image, Item};
use crate::geom::{Abs, Point, Size};
use image::error::ImageFormatHint;
use image::{ColorType, DynamicImage, GenericImageView, ImageDecoder, ImageError, ImageReader, Limits, Pixel};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{Cursor, ErrorKind};
use std::sync::{Arc, Mutex, PoisonError};

/// A picture's pixels to the inch when it is not scaled down (our choice; 150 is the least that prints clean).
const PIXELS_PER_INCH: f64 = 200.0;
/// Wider than any column: as wide as a page can be (ISO 32000-1, annex C).
const WIDEST: Abs = Abs::pt(14_400.0);

/// A picture wider or higher than this many pixels is refused; an A4 page at 600 dots an inch has 4960 by 7016.
const MOST_PIXELS: u32 = 12_000;
/// A decoded picture takes at most this many bytes: an A4 page in colour at 600 dots an inch takes 105 million.
const MOST_BYTES: u64 = 110_000_000;
/// All pictures of a book take at most so many bytes: a grey level for each pixel, which is held until the book is written, and what
/// the largest takes beside while it is decoded. They are seventy as wide as a page at 300 dots an inch, or one of a whole page in
/// colour at 600.
const MOST_IN_A_BOOK: u64 = 170_000_000;

/// A picture's pixels across and down and its grey levels, or why it cannot be read.
type Decoded = Result<(u32, u32, Arc<[u8]>), String>;

/// The pictures of a book.
#[derive(Debug, Default)]
pub(super) struct Pictures {
    /// The sizes of all when nothing scales them, by path; none for a drawing that has been complained of. Those that can't be
    /// read are not among them.
    pub(super) sizes: BTreeMap<String, Option<Size>>,
    /// How many bytes all take while the largest is decoded.
    bytes: u64,
    /// Those decoded so far: the same one may stand in many places, and be set more than once.
    decoded: Mutex<BTreeMap<String, Decoded>>,
    /// Drawings at each size that they are shown at, by path and the bits of the factor.
    scaled: Mutex<BTreeMap<(String, u64), Arc<Drawing>>>,
}

impl Pictures {
    /// Asks all pictures of a book for their sizes.
    pub(super) fn of(book: &Book) -> Self {
        let mut all = Self::default();
        let mut most_beside = 0;
        for (path, picture) in &book.pictures {
            let size = match picture {
                Picture::Pixels(bytes) => {
                    let Some(Header { pixels: (across, down), beside }) = header(bytes) else { continue };
                    all.bytes += u64::from(across) * u64::from(down);
                    most_beside = beside.max(most_beside);
                    let length = |pixels: u32| Abs::inches(f64::from(pixels) / PIXELS_PER_INCH);
                    Some(Size::new(length(across), length(down)))
                }
                Picture::Drawing(Some(drawn)) => {
                    let size = drawn.drawing.size;
                    // One that does not say how wide it is takes the column.
                    let factor = if drawn.says_width { 1.0 } else { WIDEST / size.width };
                    Some(Size::new(size.width * factor, size.height * factor))
                }
                Picture::Drawing(None) => None,
            };
            all.sizes.insert(path.clone(), size);
        }
        all.bytes += most_beside;
        all
    }
    fn decoded(&self, path: &str, bytes: &[u8]) -> Decoded {
        let known = || self.decoded.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known().get(path) {
            return found.clone();
        }
        let found = decode(bytes, MOST_BYTES);
        known().insert(path.to_owned(), found.clone());
        found
    }
}

/// What a picture says of itself.
struct Header {
    /// Across and down.
    pixels: (u32, u32),
    /// Bytes that decoding it takes beside its grey levels.
    beside: u64,
}

/// What a picture says of itself, if it is one.
fn header(bytes: &[u8]) -> Option<Header> {
    let plain = without_notes(bytes);
    let mut reader = ImageReader::new(Cursor::new(&plain[..])).with_guessed_format().ok()?;
    reader.no_limits();
    let header = guarded(|| {
        let decoder = reader.into_decoder().ok()?;
        let beside = if decoder.color_type() == ColorType::L8 { 0 } else { decoder.total_bytes() };
        Some(Header { pixels: decoder.dimensions(), beside: beside.saturating_add(jpeg::outline(bytes).coefficients) })
    })?;
    header.filter(|header| header.pixels.0 > 0 && header.pixels.1 > 0)
}

/// A picture at a size, in black and greys over white; `None` and a warning when it cannot be read, or an error when all together
/// are too large.
pub(super) fn frame(
    book: &Book,
    pictures: &Pictures,
    path: &str,
    size: Size,
    place: Place,
    sink: &mut Sink,
) -> Option<Frame> {
    let mut frame = Frame::new(size);
    let bytes = match book.pictures.iter().find(|(known, _)| known == path) {
        Some((_, Picture::Pixels(bytes))) => bytes,
        Some((_, Picture::Drawing(drawn))) => {
            let drawing = &drawn.as_ref()?.drawing;
            let factor = (size.width / drawing.size.width).min(size.height / drawing.size.height);
            let mut known = pictures.scaled.lock().unwrap_or_else(PoisonError::into_inner);
            let scaled = known.entry((path.to_owned(), factor.to_bits()));
            let scaled = scaled.or_insert_with(|| Arc::new(drawing.scaled(factor)));
            frame.push(Point::default(), Item::Drawing(Arc::clone(scaled)));
            return Some(frame);
        }
        None => {
            sink.warn(
                code!("missing-picture"),
                Some(place),
                format!("the picture `{path}` was not found, so the page goes without it"),
            )
            .hints
            .push("put it in the book's folder".into());
            return None;
        }
    };
    let all = pictures.bytes;
    if all > MOST_IN_A_BOOK {
        let (all, most) = (all / 1_000_000, MOST_IN_A_BOOK / 1_000_000);
        let message = format!(
            "the pictures of this book take {all} megabytes when they are unpacked, `{path}` among them, and not at most {most}"
        );
        let hint = "save them smaller: a picture as wide as the text of a page needs 2,000 pixels across";
        sink.error(code!("too-large"), Some(place), message).hints.push(hint.into());
        return None;
    }
    match pictures.decoded(path, bytes) {
        Ok((width, height, grey)) => {
            let image = Image { key: format!("picture:{path}").into(), pixels: (width, height), grey, size };
            frame.push(Point::default(), Item::Image(image.into()));
            Some(frame)
        }
        Err(reason) => {
            sink.warn(code!("bad-picture"), Some(place), format!("the picture `{path}` cannot be used: {reason}"))
                .hints
                .push(if reason.contains(" pixels ") { SCALE_DOWN } else { "give a PNG, JPEG or SVG file" }.into());
            None
        }
    }
}

/// What helps with a picture of too many pixels.
const SCALE_DOWN: &str = "scale it down: a picture as wide as the text of a page needs 2,000 pixels across";

/// Why a picture can't be read, in the author's words.
fn in_words(error: &ImageError) -> String {
    match error {
        ImageError::IoError(error) if error.kind() == ErrorKind::UnexpectedEof => CUT.to_owned(),
        ImageError::Unsupported(error) => match error.format_hint() {
            ImageFormatHint::Exact(format) => format!("it is a picture of the kind {format:?}"),
            _ => "it is a picture of another kind".to_owned(),
        },
        // Some decoders say it in their own words.
        error if error.to_string().contains("unexpected end of file") => CUT.to_owned(),
        error => error.to_string(),
    }
}

/// Of a file whose end is missing.
const CUT: &str = "it is cut short: its end is missing";

/// A PNG or JPEG file as its width and height in pixels and its grey levels over white, row by row; `most` bounds the bytes of
/// the decoded picture.
///
/// # Errors
/// In the author's words: no picture of these kinds, damaged, or too large.
pub fn decode(bytes: &[u8], most: u64) -> Result<(u32, u32, Arc<[u8]>), String> {
    guarded(|| decode_trusting(bytes, most)).unwrap_or_else(|| Err("it is damaged".to_owned()))
}

/// The same, trusting that the decoders bear whatever the bytes say.
fn decode_trusting(bytes: &[u8], most: u64) -> Result<(u32, u32, Arc<[u8]>), String> {
    // The decoder makes grey of what is missing, and says nothing.
    if jpeg::outline(bytes).is_cut {
        return Err(CUT.to_owned());
    }
    if let Some(Header { pixels: (across, down), .. }) = header(bytes)
        && across.max(down) > MOST_PIXELS
    {
        let (count, side) = if across > down { (across, "wide") } else { (down, "high") };
        return Err(format!("it is {count} pixels {side}, and no more than {MOST_PIXELS} are read"));
    }
    let bytes = without_notes(bytes);
    let mut reader =
        ImageReader::new(Cursor::new(&bytes[..])).with_guessed_format().map_err(|error| error.to_string())?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_PIXELS);
    limits.max_image_height = Some(MOST_PIXELS);
    limits.max_alloc = Some(most);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|error| in_words(&error))?;
    // Not every decoder counts the picture itself against the limit.
    if decoder.total_bytes() > most {
        let (width, height) = decoder.dimensions();
        return Err(format!("{width} by {height} pixels are too many"));
    }
    let (width, height) = decoder.dimensions();
    if decoder.color_type() == ColorType::L8 {
        // Grey levels already: where they are decoded to, they stay.
        let length = usize::try_from(decoder.total_bytes()).map_err(|error| error.to_string())?;
        let mut grey: Arc<[u8]> = std::iter::repeat_n(0, length).collect();
        let levels = Arc::get_mut(&mut grey).expect("nobody else has it yet");
        decoder.read_image(levels).map_err(|error| in_words(&error))?;
        return Ok((width, height, grey));
    }
    let picture = DynamicImage::from_decoder(decoder).map_err(|error| in_words(&error))?;
    let mut grey: Arc<[u8]> = std::iter::repeat_n(0, width as usize * height as usize).collect();
    let levels = Arc::get_mut(&mut grey).expect("nobody else has it yet");
    if let DynamicImage::ImageRgb8(colours) = picture {
        for (level, colour) in levels.iter_mut().zip(colours.pixels()) {
            *level = colour.to_luma().0[0];
        }
    } else {
        for (level, (_, _, pixel)) in levels.iter_mut().zip(picture.pixels()) {
            // What shows through is the paper.
            let [shade, alpha] = pixel.to_luma_alpha().0.map(u32::from);
            *level = u8::try_from((shade * alpha + 255 * (255 - alpha)) / 255).unwrap_or(255);
        }
    }
    Ok((width, height, grey))
}

/// A PNG without its packed colour profile and texts (PNG third edition, 11.3.2.3 and 11.3.3), which grey levels have no need of
/// and a decoder would unpack; anything else as it is.
fn without_notes(bytes: &[u8]) -> Cow<'_, [u8]> {
    const SIGNATURE: usize = 8;
    let is_note = |kind: &[u8]| matches!(kind, b"iCCP" | b"zTXt" | b"iTXt");
    if !bytes.starts_with(b"\x89PNG\r\n\x1a\n") || !bytes.windows(4).any(is_note) {
        return Cow::Borrowed(bytes);
    }
    let (signature, mut rest) = bytes.split_at(SIGNATURE);
    let mut kept = signature.to_vec();
    while let [a, b, c, d, kind @ ..] = rest {
        // Length, kind, data, checksum.
        let data = usize::try_from(u32::from_be_bytes([*a, *b, *c, *d])).unwrap_or(usize::MAX);
        let length = data.saturating_add(12).min(rest.len());
        if !kind.get(..4).is_some_and(is_note) {
            kept.extend(&rest[..length]);
        }
        rest = &rest[length..];
    }
    Cow::Owned(kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_of_a_picture_are_left_out() {
        let mut plain = Vec::new();
        let pixels = image::GrayImage::from_pixel(2, 1, image::Luma([7]));
        pixels.write_to(&mut Cursor::new(&mut plain), image::ImageFormat::Png).expect("two pixels can be written");
        let mut noted = plain.clone();
        // Behind the header: a profile that is none, whose checksum nobody asks.
        noted.splice(33..33, [&[0, 0, 0, 5][..], b"iCCPa\0\0xx", &[0; 4]].concat());
        assert_eq!(without_notes(&noted)[..], plain[..]);
        assert_eq!(decode(&noted, MOST_BYTES), Ok((2, 1, [7, 7].into())));
        for end in 0..noted.len() {
            without_notes(&noted[..end]);
        }
    }

    #[test]
    fn a_jpeg_cut_short_is_told_and_a_whole_one_is_read() {
        for whole in [
            &include_bytes!("../../tests/fuzz/seeds/picture/plain.jpg")[..],
            include_bytes!("../../tests/fuzz/seeds/picture/progressive.jpg"),
            include_bytes!("../../tests/fuzz/seeds/picture/cmyk.jpg"),
        ] {
            let (across, down, grey) = decode(whole, MOST_BYTES).expect("it is whole");
            assert_eq!(grey.len(), across as usize * down as usize);
            for part in [2, 4, 10] {
                let why = decode(&whole[..whole.len() - whole.len() / part], MOST_BYTES).expect_err("it is cut");
                assert!(why.contains("cut short"), "{why}");
            }
        }
    }

    #[test]
    fn why_a_picture_is_refused_is_said_in_words() {
        let png = |across: u32, down: u32| {
            let mut bytes = Vec::new();
            let pixels = image::GrayImage::from_fn(across, down, |x, y| image::Luma([(x * 7 + y * 13) as u8]));
            pixels.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).expect("it can be written");
            bytes
        };
        let why = |bytes: &[u8]| decode(bytes, MOST_BYTES).expect_err("it is refused");
        assert_eq!(why(&png(1, 12_001)), "it is 12001 pixels high, and no more than 12000 are read");
        assert_eq!(why(&png(20_000, 2)), "it is 20000 pixels wide, and no more than 12000 are read");
        let whole = png(40, 40);
        assert_eq!(why(&whole[..whole.len() / 2]), CUT);
        assert_eq!(why(b"RIFF\x20\0\0\0WEBPVP8 \x0c\0\0\0"), "it is a picture of the kind WebP");
    }

    #[test]
    fn a_picture_is_flattened_onto_paper() {
        let mut bytes = Vec::new();
        let pixels = image::RgbaImage::from_fn(2, 1, |x, _| image::Rgba([0, 0, 0, if x == 0 { 255 } else { 0 }]));
        pixels.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).expect("two pixels can be written");
        assert_eq!(decode(&bytes, MOST_BYTES), Ok((2, 1, [0, 255].into())));
        assert!(decode(b"no picture", MOST_BYTES).is_err());
        // A decoder panics over this one where the processor has wide registers.
        let odd = include_bytes!("../../tests/fuzz/seeds/picture/upsampled.jpg");
        assert!(std::panic::catch_unwind(|| decode(odd, MOST_BYTES)).is_ok());
    }
}
