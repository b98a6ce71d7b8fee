//! Text into glyphs with the lookups of a face.

use super::face::Face;
use super::features::Features;
use crate::geom::Em;
use harfrust::{Buffer, Direction, ShapeOptions, ShaperFont};

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
    face.spared(|| shaped(face, face.shaper()?, text, features)).unwrap_or_else(|| plain(face, text))
}

fn shaped(face: &Face, font: &harfrust::Font, text: &str, features: Features) -> Option<Vec<ShapedGlyph>> {
    let mut buffer = Buffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    buffer.set_direction(Direction::LeftToRight);
    let wanted = features.wanted();
    let plan = face.plans().get(font, buffer.script(), features);
    harfrust::shape(&ShaperFont::new(font), &mut buffer, ShapeOptions::new().features(&wanted).plan(plan)).ok()?;
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
