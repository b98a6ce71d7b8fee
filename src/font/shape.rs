//! Text into glyphs: kerning, ligatures, figures.

use super::face::Face;
use crate::geom::Em;
use harfrust::{Buffer, Feature, ShapeOptions, ShaperFont, Tag};

/// Which figures and letters a text wants. The default is what running text wants: old-style figures where the face has
/// them stay off until asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Features {
    /// Old-style figures.
    pub old_style: bool,
    /// Figures of one width.
    pub tabular: bool,
    /// Small capitals from small letters.
    pub small_capitals: bool,
}

/// One glyph of a shaped text, in ems.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapedGlyph {
    /// Glyph id.
    pub id: u16,
    /// Advance, kerning included.
    pub advance: Em,
    /// Shift to the right of where it stands.
    pub dx: Em,
    /// Shift upwards.
    pub dy: Em,
    /// Byte offset of its cluster in the text.
    pub cluster: u32,
}

/// Shapes a text, left to right. A face that cannot be shaped gives its plain glyphs.
pub(super) fn shape(face: &Face, text: &str, features: Features) -> Vec<ShapedGlyph> {
    if text.is_empty() {
        return Vec::new();
    }
    face.shaper().and_then(|font| shaped(face, font, text, features)).unwrap_or_else(|| plain(face, text))
}

fn shaped(face: &Face, font: &harfrust::Font, text: &str, features: Features) -> Option<Vec<ShapedGlyph>> {
    let mut wanted = Vec::new();
    for (on, tag) in [
        (features.old_style, b"onum"),
        (!features.old_style, b"lnum"),
        (features.tabular, b"tnum"),
        (features.small_capitals, b"smcp"),
    ] {
        if on {
            wanted.push(Feature::new(Tag::new(tag), 1, ..));
        }
    }
    let mut buffer = Buffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    buffer.set_direction(harfrust::Direction::LeftToRight);
    harfrust::shape(&ShaperFont::new(font), &mut buffer, ShapeOptions::new().features(&wanted)).ok()?;
    let glyphs = buffer.glyph_infos().iter().zip(buffer.glyph_positions());
    Some(
        glyphs
            .map(|(info, position)| ShapedGlyph {
                id: u16::try_from(info.glyph_id).unwrap_or(0),
                advance: face.em(position.x_advance.into()),
                dx: face.em(position.x_offset.into()),
                dy: face.em(position.y_offset.into()),
                cluster: info.cluster,
            })
            .collect(),
    )
}

fn plain(face: &Face, text: &str) -> Vec<ShapedGlyph> {
    text.char_indices()
        .map(|(offset, character)| {
            let id = face.glyph(character).unwrap_or(0);
            let cluster = u32::try_from(offset).unwrap_or(u32::MAX);
            ShapedGlyph { id, advance: face.advance(id), dx: Em::ZERO, dy: Em::ZERO, cluster }
        })
        .collect()
}
