//! The faces compiled into the program.

use super::face::{Face, FaceId};
use super::music::MusicFont;
use super::{Cut, FaceChoice, TextFamily, Weight};
use std::sync::Arc;

/// The music face comes first.
pub(super) const MUSIC: FaceId = FaceId::from_index(0);

const FILES: [&[u8]; 27] = [
    include_bytes!("../../fonts/music/Bravura.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-Regular.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-It.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-Semibold.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-SemiboldIt.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-Bold.otf"),
    include_bytes!("../../fonts/serif/SourceSerif4-BoldIt.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-Regular.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-It.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-Semibold.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-SemiboldIt.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-Bold.otf"),
    include_bytes!("../../fonts/sans/SourceSans3-BoldIt.otf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_400Regular.ttf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_400Regular_Italic.ttf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_600SemiBold.ttf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_600SemiBold_Italic.ttf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_700Bold.ttf"),
    include_bytes!("../../fonts/large/AtkinsonHyperlegibleNext_700Bold_Italic.ttf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4SmText-Regular.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4SmText-It.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4SmText-Bold.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4SmText-BoldIt.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4Display-Regular.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4Display-Semibold.otf"),
    include_bytes!("../../fonts/serif/optical/SourceSerif4Display-Bold.otf"),
    include_bytes!("../../fonts/mono/SourceCodePro-Regular.otf"),
];

/// First faces of the families, and of the two optical cuts.
const SERIF: u16 = 1;
const SANS: u16 = 7;
const LEGIBLE: u16 = 13;
const SMALL: u16 = 19;
const DISPLAY: u16 = 23;
const MONO: u16 = 26;

pub(super) fn load() -> (Vec<Arc<Face>>, MusicFont) {
    let read = |data: &&'static [u8]| Face::parse(data).expect("the carried fonts are whole; a test reads each");
    let faces: Vec<Arc<Face>> = FILES.iter().map(|data| Arc::new(read(data))).collect();
    let music = MusicFont::read(include_str!("../../fonts/music/smufl.tsv"), &faces[usize::from(MUSIC.index())]);
    (faces, music)
}

/// The carried face of a choice; the serif for a family that the author brings.
pub(super) fn text_face(choice: FaceChoice) -> FaceId {
    let weight = match choice.weight {
        Weight::Regular => 0,
        Weight::Semibold => 1,
        Weight::Bold => 2,
    };
    let italic = u16::from(choice.italic);
    let index = match (choice.family, choice.cut) {
        (TextFamily::Mono, _) => MONO,
        (TextFamily::Serif | TextFamily::Own, Cut::SmallText) => SMALL + u16::from(weight > 0) * 2 + italic,
        (TextFamily::Serif | TextFamily::Own, Cut::Display) if italic == 0 => DISPLAY + weight,
        (TextFamily::Serif | TextFamily::Own, _) => SERIF + weight * 2 + italic,
        (TextFamily::Sans, _) => SANS + weight * 2 + italic,
        (TextFamily::Legible, _) => LEGIBLE + weight * 2 + italic,
    };
    FaceId::from_index(index)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::{Features, Fonts};
    use crate::geom::Em;

    #[test]
    fn every_carried_face_reads_and_every_choice_leads_to_its_face() {
        let fonts = Fonts::embedded();
        assert_eq!(fonts.faces().count(), FILES.len());
        let name = |family, weight, italic, cut| {
            fonts.face(text_face(FaceChoice { family, weight, italic, cut })).name.clone()
        };
        assert_eq!(name(TextFamily::Serif, Weight::Bold, true, Cut::Text), "SourceSerif4-BoldIt");
        assert_eq!(name(TextFamily::Serif, Weight::Semibold, false, Cut::SmallText), "SourceSerif4SmText-Bold");
        assert_eq!(name(TextFamily::Serif, Weight::Semibold, false, Cut::Display), "SourceSerif4Display-Semibold");
        assert_eq!(name(TextFamily::Sans, Weight::Semibold, false, Cut::Text), "SourceSans3-Semibold");
        assert_eq!(name(TextFamily::Mono, Weight::Bold, true, Cut::SmallText), "SourceCodePro-Regular");
        assert!(name(TextFamily::Legible, Weight::Regular, true, Cut::Text).starts_with("AtkinsonHyperlegibleNext"));
    }

    /// SMuFL metadata of the carried font, glyph noteheadBlack.
    #[test]
    fn the_music_font_is_read_by_name() {
        let fonts = Fonts::embedded();
        let head = fonts.music().glyph("noteheadBlack");
        assert!(head.advance.is_near(crate::geom::Sp::sp(1.18)));
        let stem = head.anchor(crate::font::Anchor::StemUpSE).expect("a notehead has a stem anchor");
        assert!(stem.y.is_near(crate::geom::Sp::sp(0.168)));
    }

    #[test]
    fn text_is_kerned() {
        let fonts = Fonts::embedded();
        let face =
            text_face(FaceChoice { family: TextFamily::Serif, weight: Weight::Regular, italic: false, cut: Cut::Text });
        let apart = fonts.width(face, "A", Features::default()) + fonts.width(face, "V", Features::default());
        let together = fonts.width(face, "AV", Features::default());
        assert!(together < apart - Em::em(0.01));
    }
}
