//! Barlines: styles, repeats, endings, and the signs that stand at them.
//!
//! Source: MusicXML 4.0, barline, bar-style, repeat, ending.

use roxmltree::Node;

use super::part::PartReader;
use super::xml::{child, child_text, text};
use crate::tune::{BarlineStyle, Ending, Landmark, Mark};

/// A repeat is played at most so many times.
const MOST_TIMES: u32 = 32;
/// The highest number of an ending.
const MOST_PASSES: u8 = 64;

impl PartReader<'_> {
    /// A barline element.
    pub fn barline(&mut self, node: Node) {
        if node.attribute("location") == Some("middle") {
            self.not_kept("a barline inside a bar, with what stands at it,");
            return;
        }
        let left = node.attribute("location") == Some("left");
        let style = self.style(node);
        match child(node, "repeat") {
            Some(repeat) => self.repeat(repeat),
            None if left => self.left_style(style),
            // Thick then thin is how the next bar begins.
            None if style == BarlineStyle::HeavyLight => self.next_left = true,
            None => self.bar.right.style = style,
        }
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "bar-style" | "repeat" | "footnote" | "level" => {}
                "ending" => self.ending(part),
                "fermata" => self.barline_fermata(part, left),
                "segno" if left => self.bar.landmarks.push(Landmark::Segno),
                "coda" if left => self.bar.landmarks.push(Landmark::Coda),
                // The sign stands where the next bar begins.
                "segno" => self.next_landmarks.push(Landmark::Segno),
                // At the end of a bar it may be the way out or the coda itself.
                "coda" => self.not_kept("a coda sign at the end of a bar"),
                other => self.not_kept(&format!("“{}” at a barline", cut(other))),
            }
        }
    }
    fn style(&mut self, node: Node) -> BarlineStyle {
        let name = child_text(node, "bar-style");
        let (style, as_what) = match name.as_deref() {
            Some("light-light") => (BarlineStyle::Double, ""),
            Some("light-heavy") => (BarlineStyle::Final, ""),
            Some("heavy" | "heavy-heavy") => (BarlineStyle::Final, "a thin and a thick line"),
            Some("heavy-light") => (BarlineStyle::HeavyLight, ""),
            Some("dotted") => (BarlineStyle::Dotted, ""),
            Some("dashed") => (BarlineStyle::Dotted, "a dotted one"),
            Some("none") => (BarlineStyle::Invisible, ""),
            None | Some("regular") => (BarlineStyle::Single, ""),
            Some(_) => (BarlineStyle::Single, "a plain one"),
        };
        if !as_what.is_empty() {
            self.changed(&format!("a barline of the style “{}”", cut(&name.unwrap_or_default())), as_what);
        }
        style
    }
    fn left_style(&mut self, style: BarlineStyle) {
        match (style, self.tune.bars.last_mut()) {
            (BarlineStyle::HeavyLight, _) => self.bar.left.style = style,
            (BarlineStyle::Single, _) => {}
            // A repeat sign there has lines of its own.
            (_, Some(before)) if before.right.repeat_end > 0 => {}
            (_, Some(before)) => before.right.style = style,
            (_, None) => self.not_kept("a barline before the first bar"),
        }
    }
    fn repeat(&mut self, repeat: Node) {
        match repeat.attribute("direction") {
            Some("forward") => (self.bar.left.repeat_start, self.bar.left.style) = (true, BarlineStyle::HeavyLight),
            Some("backward") => {
                let times = match repeat.attribute("times") {
                    None => 2,
                    Some(given) => match given.trim().parse::<u32>() {
                        Ok(times @ 2..=MOST_TIMES) => times,
                        parsed => {
                            let times = if parsed.is_ok_and(|times| times > MOST_TIMES) { MOST_TIMES } else { 2 };
                            let what = format!("a part that is played “{}” times in all", cut(given));
                            self.changed(&what, &format!("one of {times}"));
                            times
                        }
                    },
                };
                self.bar.right.repeat_end = u8::try_from(times).unwrap_or(2);
                self.bar.right.style = BarlineStyle::Final;
            }
            _ => self.not_kept("a repeat sign without a direction"),
        }
        if repeat.attribute("after-jump") == Some("yes") {
            self.not_kept("the order to repeat after a jump as well");
        }
        if repeat.attribute("winged").is_some_and(|winged| winged != "none") {
            self.not_kept("the winged form of a repeat sign");
        }
    }
    fn barline_fermata(&mut self, node: Node, left: bool) {
        let mark = self.fermata(node);
        let marks = match self.tune.bars.last_mut() {
            Some(before) if left => &mut before.barline_marks,
            None if left => return self.not_kept("a fermata before the first bar"),
            _ => &mut self.bar.barline_marks,
        };
        if marks.len() < 4 {
            marks.push(mark);
        } else {
            self.not_kept("a fermata beyond 4 at a barline");
        }
    }
    /// The mark of a fermata.
    pub fn fermata(&mut self, node: Node) -> Mark {
        let shape = text(node);
        if !matches!(shape.as_str(), "" | "normal") {
            self.changed(&format!("a fermata of the shape “{}”", cut(&shape)), "a plain one");
        }
        if node.attribute("type") == Some("inverted") { Mark::FermataBelow } else { Mark::Fermata }
    }
    fn ending(&mut self, node: Node) {
        let at = self.tune.bars.len();
        if node.attribute("type") == Some("start") {
            let number = node.attribute("number").unwrap_or("");
            let (passes, whole) = passes(number);
            self.ending_unread = passes.is_empty();
            if passes.is_empty() {
                self.not_kept("an ending without a number");
                return;
            }
            if !whole {
                self.not_kept(&format!("a part of the number of the ending “{}”", cut(number)));
            }
            let shown = text(node);
            if !shown.is_empty() && (self::passes(&shown).0 != passes || shown.contains(char::is_alphabetic)) {
                self.not_kept(&format!("the text of an ending, “{}”,", cut(&shown)));
            }
            if node.attribute("print-object") == Some("no") {
                self.changed("an ending that is not shown", "a shown one");
            }
            self.bar.ending = Some(Ending { passes, last_bar: 0, closed: false });
            self.ending = Some(at);
            return;
        }
        let Some(from) = self.ending.take() else {
            if !std::mem::take(&mut self.ending_unread) {
                self.not_kept("an ending that does not begin");
            }
            return;
        };
        let ending = if from == at { &mut self.bar.ending } else { &mut self.tune.bars[from].ending };
        if let Some(ending) = ending {
            (ending.last_bar, ending.closed) = (at, node.attribute("type") == Some("stop"));
        }
    }
}

/// The passes that a number such as `1, 2` or `1-3` names, ascending, and whether all of it was understood.
fn passes(number: &str) -> (Vec<u8>, bool) {
    let mut passes = Vec::new();
    let mut whole = true;
    let number = number.replace(".-", "-").replace(".\u{2013}", "-");
    for piece in number.split([',', ' ', '.']).map(str::trim).filter(|piece| !piece.is_empty()) {
        let (from, to) = piece.split_once(['-', '\u{2013}']).unwrap_or((piece, piece));
        match (from.trim().parse::<u8>(), to.trim().parse::<u8>()) {
            (Ok(from @ 1..), Ok(to)) if from <= to && to <= MOST_PASSES => passes.extend(from..=to),
            _ => whole = false,
        }
    }
    passes.sort_unstable();
    passes.dedup();
    (passes, whole)
}

/// A word of the file's, for a message.
pub(super) fn cut(word: &str) -> String {
    word.chars().take(30).collect()
}
