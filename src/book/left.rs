//! The author's left hand: pattern and bars, checked against the tune. Decides no rhythm, and leaves the box's
//! own chord names to the solver, which knows what each button answers to.

use super::files::LeftHandFile;
use super::pins::bars_of;
use super::yaml::Node;
use crate::diag::{Place, Sink, nearest};
use crate::fingering::{LeftBar, LeftHandSpec, LeftPattern, LeftToken, pattern_names};
use crate::tune::{Interval, PitchClass, Tune};

/// The left hand of a tune. Bars that pins fix come after the written ones and replace them.
pub fn left(
    file: Option<&LeftHandFile>,
    node: Option<&Node>,
    pinned: Vec<LeftBar>,
    tune: &Tune,
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
                sink.error(code!("no-such-bar"), Some(node.place_of("bar")), message)
                    .hints
                    .push("bars are counted as written, a pick-up is bar 0".into());
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
                    sink.error(code!("duplicate-bar"), Some(node.place_of("bar")), message)
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
    spec
}

/// Moves the author's basses and chords with the box.
pub fn move_names(spec: &mut LeftHandSpec, moved: Interval) {
    if moved.is_none() {
        return;
    }
    for token in spec.bars.iter_mut().flat_map(|bar| bar.beats.iter_mut().flatten().flatten()) {
        if let LeftToken::Press(names) = token {
            names.iter_mut().for_each(|name| *name = moved_name(name, moved));
        }
    }
}

fn moved_name(name: &str, moved: Interval) -> String {
    let (root, minor) = name.strip_suffix('m').map_or((name, ""), |root| (root, "m"));
    let Some(class) = PitchClass::parse(root) else { return name.to_owned() };
    let mut new = moved.apply_class(class).to_string();
    if name.starts_with(|c: char| c.is_ascii_lowercase()) {
        new[..1].make_ascii_lowercase();
    }
    new + minor
}

fn pattern(name: &str, place: Place, sink: &mut Sink) -> LeftPattern {
    let known: Vec<&str> = ["auto", "none"].into_iter().chain(pattern_names()).collect();
    if known.contains(&name) {
        return LeftPattern::Named(name.to_owned());
    }
    let complaint =
        sink.error(code!("unknown-pattern"), Some(place), format!("there is no left-hand pattern `{name}`"));
    complaint.hints.push(match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are {}", known.join(", ")),
    });
    LeftPattern::Auto
}
