//! Pictures named in texts: their sizes, and their pixels as grey levels or their drawing at the size wanted.

use crate::book::{Book, Picture};
use crate::diag::{Place, Sink, guarded};
use crate::frame::{Frame, Image, Item};
use crate::geom::{Abs, Point, Size};
use image::{DynamicImage, GenericImageView, ImageDecoder, ImageReader, Limits, Pixel};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::Arc;

/// A picture's pixels to the inch when it is not scaled down (our choice; 150 is the least that prints clean).
const PIXELS_PER_INCH: f64 = 200.0;
/// Wider than any column: as wide as a page can be (ISO 32000-1, annex C).
const WIDEST: Abs = Abs::pt(14_400.0);

/// A picture wider or higher than this many pixels is refused; an A4 page at 600 dots an inch has 4960 by 7016.
const MOST_PIXELS: u32 = 12_000;
/// A decoded picture takes at most this many bytes: an A4 page in colour at 600 dots an inch takes 105 million.
const MOST_BYTES: u64 = 110_000_000;

/// The sizes of all pictures when nothing scales them, by path; none for a drawing that has been complained of. Pictures that
/// can't be read are not among them.
pub(super) fn sizes(book: &Book) -> BTreeMap<String, Option<Size>> {
    book.pictures.iter().filter_map(|(path, picture)| Some((path.clone(), size(picture)?))).collect()
}

fn size(picture: &Picture) -> Option<Option<Size>> {
    match picture {
        Picture::Pixels(bytes) => {
            let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().ok()?;
            let (across, down) = guarded(|| reader.into_dimensions().ok())??;
            let length = |pixels: u32| Abs::inches(f64::from(pixels) / PIXELS_PER_INCH);
            (across > 0 && down > 0).then(|| Some(Size::new(length(across), length(down))))
        }
        Picture::Drawing(Some(drawn)) => {
            let size = drawn.drawing.size;
            // One that does not say how wide it is takes the column.
            let factor = if drawn.says_width { 1.0 } else { WIDEST / size.width };
            Some(Some(Size::new(size.width * factor, size.height * factor)))
        }
        Picture::Drawing(None) => Some(None),
    }
}

/// A picture at a size, in black and greys over white; `None` and a warning when it cannot be read.
pub(super) fn frame(book: &Book, path: &str, size: Size, place: Place, sink: &mut Sink) -> Option<Frame> {
    let mut frame = Frame::new(size);
    let bytes = match book.pictures.iter().find(|(known, _)| known == path) {
        Some((_, Picture::Pixels(bytes))) => bytes,
        Some((_, Picture::Drawing(drawn))) => {
            let drawing = &drawn.as_ref()?.drawing;
            let factor = (size.width / drawing.size.width).min(size.height / drawing.size.height);
            frame.push(Point::default(), Item::Drawing(Arc::new(drawing.scaled(factor))));
            return Some(frame);
        }
        None => {
            sink.warn(
                "missing-picture",
                Some(place),
                format!("the picture `{path}` was not found, so the page goes without it"),
            )
            .hints
            .push("put it in the book's folder".into());
            return None;
        }
    };
    match decode(bytes, MOST_BYTES) {
        Ok((width, height, grey)) => {
            let image =
                Image { key: format!("picture:{path}").into(), pixels: (width, height), grey: grey.into(), size };
            frame.push(Point::default(), Item::Image(image.into()));
            Some(frame)
        }
        Err(reason) => {
            sink.warn("bad-picture", Some(place), format!("the picture `{path}` cannot be used: {reason}"))
                .hints
                .push("give a PNG, JPEG or SVG file".into());
            None
        }
    }
}

/// A PNG or JPEG file as its width and height in pixels and its grey levels over white, row by row; `most` bounds the bytes of
/// the decoded picture.
///
/// # Errors
/// In the author's words: no picture of these kinds, damaged, or too large.
pub fn decode(bytes: &[u8], most: u64) -> Result<(u32, u32, Vec<u8>), String> {
    guarded(|| decode_trusting(bytes, most)).unwrap_or_else(|| Err("it is damaged".to_owned()))
}

/// The same, trusting that the decoders bear whatever the bytes say.
fn decode_trusting(bytes: &[u8], most: u64) -> Result<(u32, u32, Vec<u8>), String> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format().map_err(|error| error.to_string())?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_PIXELS);
    limits.max_image_height = Some(MOST_PIXELS);
    limits.max_alloc = Some(most);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|error| error.to_string())?;
    // Not every decoder counts the picture itself against the limit.
    if decoder.total_bytes() > most {
        let (width, height) = decoder.dimensions();
        return Err(format!("{width} by {height} pixels are too many"));
    }
    let picture = DynamicImage::from_decoder(decoder).map_err(|error| error.to_string())?;
    let (width, height) = picture.dimensions();
    let grey = picture
        .pixels()
        .map(|(_, _, pixel)| {
            // What shows through is the paper.
            let [level, alpha] = pixel.to_luma_alpha().0.map(u32::from);
            u8::try_from((level * alpha + 255 * (255 - alpha)) / 255).unwrap_or(255)
        })
        .collect();
    Ok((width, height, grey))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_flattened_onto_paper() {
        let mut bytes = Vec::new();
        let pixels = image::RgbaImage::from_fn(2, 1, |x, _| image::Rgba([0, 0, 0, if x == 0 { 255 } else { 0 }]));
        pixels.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).expect("two pixels can be written");
        assert_eq!(decode(&bytes, MOST_BYTES), Ok((2, 1, vec![0, 255])));
        assert!(decode(b"no picture", MOST_BYTES).is_err());
        // A decoder panics over this one where the processor has wide registers.
        let odd = include_bytes!("../../tests/fuzz/seeds/picture/upsampled.jpg");
        assert!(std::panic::catch_unwind(|| decode(odd, MOST_BYTES)).is_ok());
    }
}
