//! The author's left hand: pattern and bars, checked against the tune and the box's own chord names. Decides no rhythm.

use super::boxes::left_names;
use super::files::LeftHandFile;
use super::pins::bars_of;
use super::yaml::Node;
use crate::diag::{Place, Sink, nearest};
use crate::fingering::{LeftBar, LeftHandSpec, LeftPattern, LeftToken, pattern_names};
use crate::instrument::Instrument;
use crate::tune::Tune;

/// The left hand of a tune. Bars that pins fix come after the written ones and replace them.
pub fn left(
    file: Option<&LeftHandFile>,
    node: Option<&Node>,
    pinned: Vec<LeftBar>,
    tune: &Tune,
    instrument: &Instrument,
    sink: &mut Sink,
) -> LeftHandSpec {
    let mut spec = LeftHandSpec::default();
    if let (Some(file), Some(node)) = (file, node) {
        spec.pattern = match file.pattern.as_deref() {
            None | Some("auto") => LeftPattern::Auto,
            Some("none") => LeftPattern::None,
            Some(name) => pattern(name, node.place_of("pattern"), sink),
        };
        let list = node.get("bars");
        for (bar, node) in file.bars.iter().flatten().zip(list.map_or(&[][..], Node::items)) {
            let (from, to) = (bar.bar.0.0, bar.bar.0.1);
            let missing = [from, to].into_iter().find(|label| tune.bar_index(*label).is_none());
            if let Some(label) = missing {
                let message = format!("there is no bar {label}: the tune has {}", bars_of(tune));
                sink.error("no-such-bar", Some(node.place_of("bar")), message);
                continue;
            }
            let place = node.place_of("play");
            let inside = tune.bars.iter().map(|bar| bar.label).filter(|label| (from..=to).contains(label));
            for label in inside {
                if let Some(first) = spec.bars.iter().find(|known| known.bar == label) {
                    let message = format!(
                        "bar {label} of the left hand is written twice; the first is on line {}",
                        first.place.line
                    );
                    sink.error("duplicate-bar", Some(node.place_of("bar")), message)
                        .hints
                        .push("keep one of them".into());
                    continue;
                }
                spec.bars.push(LeftBar { bar: label, beats: bar.play.0.0.clone(), place });
            }
        }
    }
    for bar in pinned {
        match spec.bars.iter_mut().find(|known| known.bar == bar.bar) {
            Some(known) => *known = bar,
            None => spec.bars.push(bar),
        }
    }
    let names = left_names(instrument);
    for bar in &spec.bars {
        for token in bar.beats.iter().flatten().flatten() {
            if let LeftToken::Press(pressed) = token {
                pressed.iter().for_each(|name| known(name, &names, instrument, bar.place, sink));
            }
        }
    }
    spec
}

fn pattern(name: &str, place: Place, sink: &mut Sink) -> LeftPattern {
    let known: Vec<&str> = ["auto", "none"].into_iter().chain(pattern_names()).collect();
    if known.contains(&name) {
        return LeftPattern::Named(name.to_owned());
    }
    let complaint = sink.error("unknown-pattern", Some(place), format!("there is no left-hand pattern `{name}`"));
    complaint.hints.push(match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are {}", known.join(", ")),
    });
    LeftPattern::Auto
}

/// Capitals are basses and small letters chords, so case is no slip here.
fn known(name: &str, names: &[String], instrument: &Instrument, place: Place, sink: &mut Sink) {
    if names.iter().any(|known| known == name) {
        return;
    }
    let kind = if name.starts_with(|c: char| c.is_ascii_uppercase()) { "bass" } else { "chord" };
    let message = format!("`{}` has no {kind} `{name}`", instrument.id);
    let alike: Vec<&str> = names
        .iter()
        .map(String::as_str)
        .filter(|known| known.starts_with(|c: char| c.is_ascii_uppercase()) == (kind == "bass"))
        .collect();
    let complaint = sink.error("no-such-left-button", Some(place), message);
    complaint.hints.push(match nearest(name, alike.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("it has {}", alike.join(", ")),
    });
}
