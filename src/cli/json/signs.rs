//! What stands at a tune's events and bars beside their notes, as `bring --json` gives it. What is not there is left out.

use crate::reader::abc::{jump_name, mark_name};
use crate::tune::{Bar, Event, Landmark, Mark, Placement, Syllable, Tune};
use serde::Serialize;

/// Signs and texts at a head or rest.
#[derive(Debug, Default, Serialize)]
pub struct EventSigns {
    /// By the names that ABC has for them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    marks: Vec<&'static str>,
    /// Placement and text.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    annotations: Vec<(&'static str, String)>,
    /// `3:2` for three in the time of two.
    #[serde(skip_serializing_if = "Option::is_none")]
    tuplet: Option<String>,
    /// How each verse's syllable goes on: `end`, `hyphen`, or `held` for the one before.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    syllables: Vec<Option<&'static str>>,
}

impl EventSigns {
    /// Of an event of a tune.
    pub fn new(tune: &Tune, event: &Event) -> Self {
        let tuplet = event.tuplet.and_then(|id| tune.tuplets.get(usize::try_from(id.0).ok()?));
        let annotations = event.annotations.iter();
        let syllables = event.lyrics.iter().map(|lyric| {
            lyric.as_ref().map(|lyric| match (lyric.held, lyric.joint) {
                (true, _) => "held",
                (false, Syllable::Hyphen) => "hyphen",
                (false, Syllable::End) => "end",
            })
        });
        Self {
            marks: names(&event.marks),
            annotations: annotations.map(|text| (placement(text.placement), text.text.clone())).collect(),
            tuplet: tuplet.map(|tuplet| format!("{}:{}", tuplet.actual, tuplet.normal)),
            syllables: syllables.collect(),
        }
    }
}

/// What leads through a tune, at a bar.
#[derive(Debug, Serialize)]
pub struct BarSigns {
    #[serde(skip_serializing_if = "Option::is_none")]
    part: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    landmarks: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    jump: Option<&'static str>,
    /// Signs on its right barline.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    barline_marks: Vec<&'static str>,
}

impl BarSigns {
    /// Of a bar.
    pub fn new(bar: &Bar) -> Self {
        let landmark = |mark: &Landmark| match mark {
            Landmark::Segno => "segno",
            Landmark::Coda => "coda",
            Landmark::Fine => "fine",
        };
        Self {
            part: bar.part.clone(),
            landmarks: bar.landmarks.iter().map(landmark).collect(),
            jump: bar.jump.map(jump_name),
            barline_marks: names(&bar.barline_marks),
        }
    }
}

/// A slur between two heads, by their addresses.
#[derive(Debug, Serialize)]
pub struct SlurShape {
    from: String,
    to: String,
    dotted: bool,
}

/// What a tune has beside its bars.
#[derive(Debug, Serialize)]
pub struct TuneSigns {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    slurs: Vec<SlurShape>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    verse_labels: Vec<String>,
    /// Printed below the tune.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    words: Vec<String>,
    /// Parts in played order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    part_order: Vec<String>,
}

impl TuneSigns {
    /// Of a tune.
    pub fn new(tune: &Tune) -> Self {
        let address = |id| tune.address(id).to_string();
        let slurs = tune.slurs.iter();
        Self {
            slurs: slurs.map(|s| SlurShape { from: address(s.from), to: address(s.to), dotted: s.dotted }).collect(),
            verse_labels: tune.verse_labels.clone(),
            words: tune.words.clone(),
            part_order: tune.part_order.clone(),
        }
    }
}

fn names(marks: &[Mark]) -> Vec<&'static str> {
    marks.iter().map(|mark| mark_name(*mark)).collect()
}

const fn placement(placement: Placement) -> &'static str {
    match placement {
        Placement::Above => "above",
        Placement::Below => "below",
        Placement::Left => "left",
        Placement::Right => "right",
    }
}
