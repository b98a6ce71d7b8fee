//! What is asked of the shaper: figures, small capitals; and the lookups that this comes to in a face.

use harfrust::{Direction, Feature, Script, ShapePlan, Tag};
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
    pub(super) fn wanted(self) -> Vec<Feature> {
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
    pub(super) fn get(&self, font: &harfrust::Font, script: Option<Script>, features: Features) -> Option<&ShapePlan> {
        let of_script = match script {
            Some(Script::LATIN) => 0,
            None => 1,
            Some(_) => return None,
        };
        let plan = || ShapePlan::new(font, Direction::LeftToRight, script, None, &features.wanted());
        Some(self.0[features.index() * 2 + of_script].get_or_init(plan))
    }
}
