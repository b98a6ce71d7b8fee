//! The presets as YAML texts in the author's own words, to be laid over a book and to be printed.

use super::Preset;
use super::words::Choice;

/// The text of a preset, each value with its reason.
pub const fn preset_text(preset: Preset) -> &'static str {
    match preset {
        Preset::LargePrint => include_str!("presets/large-print.yaml"),
        Preset::Teacher => include_str!("presets/teacher.yaml"),
        Preset::Handout => include_str!("presets/handout.yaml"),
    }
}

/// All presets with their names, in the format's order.
pub fn presets() -> impl Iterator<Item = (&'static str, Preset)> {
    Preset::ALL.iter().map(|(name, preset, _)| (*name, *preset))
}
