//! Text into glyphs: kerning, ligatures, figures.

use super::face::Face;
use crate::geom::Em;
use harfrust::{Buffer, Direction, Feature, Script, ShapeOptions, ShapePlan, ShaperFont, Tag};
use std::sync::OnceLock;

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

impl Features {
    /// A number below [`Features::COUNT`] that no other choice has.
    const fn index(self) -> usize {
        self.old_style as usize | (self.tabular as usize) << 1 | (self.small_capitals as usize) << 2
    }
    const COUNT: usize = 8;
    /// The features asked of the shaper.
    fn wanted(self) -> Vec<Feature> {
        [(self.old_style, b"onum"), (!self.old_style, b"lnum"), (self.tabular, b"tnum"), (self.small_capitals, b"smcp")]
            .into_iter()
            .filter(|(on, _)| *on)
            .map(|(_, tag)| Feature::new(Tag::new(tag), 1, ..))
            .collect()
    }
}

/// The lookups of one face for Latin letters and for text that is of no script, such as figures, each with every choice of
/// features: found once, since finding them costs ten times as much as shaping a word with them.
#[derive(Default)]
pub(super) struct Plans([OnceLock<ShapePlan>; Features::COUNT * 2]);

impl Plans {
    /// The plan for a script, if it is one of those kept.
    fn get(&self, font: &harfrust::Font, script: Option<Script>, features: Features) -> Option<&ShapePlan> {
        let of_script = match script {
            Some(Script::LATIN) => 0,
            None => 1,
            Some(_) => return None,
        };
        let plan = || ShapePlan::new(font, Direction::LeftToRight, script, None, &features.wanted());
        Some(self.0[features.index() * 2 + of_script].get_or_init(plan))
    }
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
