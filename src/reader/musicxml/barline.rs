//! Barlines: styles, repeats, endings, and the signs that stand at them.
//!
//! Source: MusicXML 4.0, barline, bar-style, repeat, ending.

use roxmltree::Node;

use super::order::{Line, What};
use super::part::PartReader;
use super::xml::{child, child_text, text};
use crate::tune::{Bar, Barline, BarlineStyle, Ending, Landmark, Mark};

/// A repeat is played at most so many times.
const MOST_TIMES: u32 = 32;
/// The highest number of an ending.
const MOST_PASSES: u8 = 64;

impl PartReader<'_> {
    /// A barline element.
    pub fn barline(&mut self, node: Node) {
        match node.attribute("location") {
            Some("left") => self.left(node),
            Some("middle") => self.middle(node),
            _ => self.right(node),
        }
    }
    /// At the beginning of the bar, which is the end of the one before.
    fn left(&mut self, node: Node) {
        let style = self.style(node);
        match child(node, "repeat").and_then(|repeat| self.repeat(repeat)) {
            Some(Repeat::Start) => {
                (self.bar.left.repeat_start, self.bar.left.style) = (true, BarlineStyle::HeavyLight);
            }
            Some(Repeat::End(times)) => match self.tune.bars.last_mut() {
                Some(before) => before.right = ending_repeat(times),
                None => self.not_kept("the end of a repeat before the first bar"),
            },
            None => self.left_style(style),
        }
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "bar-style" | "repeat" | "footnote" | "level" => {}
                "ending" => match self.ending(part) {
                    Some(End::Begins(ending)) => {
                        (self.bar.ending, self.ending) = (Some(ending), Some(self.tune.bars.len()));
                    }
                    Some(End::Stops(closed)) => match self.tune.bars.len().checked_sub(1) {
                        Some(before) => self.end_ending(before, closed),
                        None => self.not_kept("an ending before the first bar"),
                    },
                    None => {}
                },
                "fermata" => self.barline_fermata(part, true),
                "segno" => self.bar.landmarks.push(Landmark::Segno),
                "coda" => self.bar.landmarks.push(Landmark::Coda),
                other => self.not_kept(&format!("“{}” at a barline", cut(other))),
            }
        }
    }
    /// At the end of the bar, which is the beginning of the next one.
    fn right(&mut self, node: Node) {
        let style = self.style(node);
        match child(node, "repeat").and_then(|repeat| self.repeat(repeat)) {
            Some(Repeat::Start) => {
                self.next.left = Barline { style: BarlineStyle::HeavyLight, repeat_start: true, repeat_end: 0 };
            }
            Some(Repeat::End(times)) => self.bar.right = ending_repeat(times),
            // Thick then thin is how the next bar begins.
            None if style == BarlineStyle::HeavyLight => self.next.left.style = style,
            None => self.bar.right.style = style,
        }
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "bar-style" | "repeat" | "footnote" | "level" => {}
                "ending" => match self.ending(part) {
                    Some(End::Begins(ending)) => self.next.ending = Some(ending),
                    Some(End::Stops(closed)) => self.stops = Some(closed),
                    None => {}
                },
                "fermata" => self.barline_fermata(part, false),
                // The sign stands where the next bar begins.
                "segno" => self.next.landmarks.push(Landmark::Segno),
                // At the end of a bar it may be the way out or the coda itself.
                "coda" => self.not_kept("a coda sign at the end of a bar"),
                other => self.not_kept(&format!("“{}” at a barline", cut(other))),
            }
        }
    }
    /// Inside the bar, which is cut there if more than a line stands there.
    fn middle(&mut self, node: Node) {
        let mut line = Line::default();
        let style = self.style(node);
        match child(node, "repeat").and_then(|repeat| self.repeat(repeat)) {
            Some(Repeat::Start) => line.repeat_start = true,
            Some(Repeat::End(times)) => line.right = ending_repeat(times),
            None if matches!(style, BarlineStyle::Double | BarlineStyle::Final) => line.right.style = style,
            None => {}
        }
        for part in node.children().filter(Node::is_element) {
            match part.tag_name().name() {
                "bar-style" | "repeat" | "footnote" | "level" => {}
                "ending" => match self.ending(part) {
                    Some(End::Begins(ending)) => line.ending = Some(ending),
                    Some(End::Stops(closed)) => line.stops = Some(closed),
                    None => {}
                },
                "segno" => self.landmark(Landmark::Segno, true, None),
                "coda" => self.landmark(Landmark::Coda, true, None),
                other => self.not_kept(&format!("“{}” at a barline inside a bar", cut(other))),
            }
        }
        let parts = line.repeat_start || line.ending.is_some() || line.stops.is_some();
        if parts || line.right.style != BarlineStyle::None {
            self.order_sign(What::Line(line), true, None);
        } else {
            self.not_kept("a line inside a bar");
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
    /// What a repeat sign orders.
    fn repeat(&mut self, repeat: Node) -> Option<Repeat> {
        if repeat.attribute("after-jump") == Some("yes") {
            self.not_kept("the order to repeat after a jump as well");
        }
        if repeat.attribute("winged").is_some_and(|winged| winged != "none") {
            self.not_kept("the winged form of a repeat sign");
        }
        match repeat.attribute("direction") {
            Some("forward") => Some(Repeat::Start),
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
                Some(Repeat::End(u8::try_from(times).unwrap_or(2)))
            }
            _ => {
                self.not_kept("a repeat sign without a direction");
                None
            }
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
    /// What an ending element says: that one begins, or that the open one stops.
    fn ending(&mut self, node: Node) -> Option<End> {
        if node.attribute("type") == Some("start") {
            let number = node.attribute("number").unwrap_or("");
            let (passes, whole) = passes(number);
            self.ending_unread = passes.is_empty();
            if passes.is_empty() {
                self.not_kept("an ending without a number");
                return None;
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
            self.begun = true;
            return Some(End::Begins(Ending { passes, last_bar: 0, closed: false }));
        }
        if std::mem::take(&mut self.begun) {
            return Some(End::Stops(node.attribute("type") == Some("stop")));
        }
        if !std::mem::take(&mut self.ending_unread) {
            self.not_kept("an ending that does not begin");
        }
        None
    }
    /// An ending that is not the last lasts to its repeat sign, however far its bracket is drawn: whoever plays its first bars
    /// plays all of them.
    pub fn settle_endings(&mut self) {
        let bars = &mut self.tune.bars;
        let ends = |bar: &Bar| matches!(bar.right.style, BarlineStyle::Double | BarlineStyle::Final);
        let begins = |bar: &Bar| bar.ending.is_some() || bar.left.style == BarlineStyle::HeavyLight;
        let mut short = Vec::new();
        for at in 0..bars.len() {
            let Some(ending) = &bars[at].ending else { continue };
            let (last, is_first) = (ending.last_bar, ending.passes.contains(&1));
            if last < at || bars.get(last).is_none_or(ends) {
                continue;
            }
            let after = bars.iter().enumerate().skip(last + 1).take_while(|(_, bar)| !begins(bar));
            let Some(to) = after.filter(|(_, bar)| ends(bar)).map(|(to, _)| to).next() else { continue };
            if bars[to].right.repeat_end == 0 {
                continue;
            }
            let more = is_first || bars.get(to + 1).is_some_and(|next| next.ending.is_some());
            if let Some(ending) = bars[at].ending.as_mut().filter(|_| more) {
                (ending.last_bar, ending.closed) = (to, true);
                short.push(at);
            }
        }
        let mut bare = Vec::new();
        for at in 0..bars.len() {
            let last = bars[at].ending.as_ref().map(|ending| ending.last_bar).filter(|last| *last >= at);
            let Some(last) = last.filter(|last| bars.get(*last).is_some_and(|bar| !ends(bar))) else { continue };
            if bars[at..=last].iter().any(|bar| bar.left.repeat_start) {
                continue;
            }
            for (to, bar) in bars.iter().enumerate().skip(last + 1) {
                if bar.left.style == BarlineStyle::HeavyLight {
                    break;
                }
                // What repeats after an ending without a sign of its beginning begins behind the ending.
                if to > last + 1 && bar.ending.is_some() || bar.right.repeat_end > 0 {
                    bare.push(last + 1);
                }
                if bar.ending.is_some() || ends(bar) {
                    break;
                }
            }
        }
        for at in &bare {
            bars[*at].left = Barline { style: BarlineStyle::HeavyLight, repeat_start: true, repeat_end: 0 };
        }
        let place = |at: &usize| self.read_from.get(*at).unwrap_or(&self.here).clone();
        for at in &bare {
            self.losses.note(
                "a repeat without a beginning becomes one from the end of the ending before it on".into(),
                &place(at),
            );
        }
        for at in short {
            let at = self.read_from.get(at).unwrap_or(&self.here).clone();
            self.losses
                .note("the bracket of an ending that stops before its repeat sign becomes one up to it".into(), &at);
        }
    }
}

/// What a repeat sign orders.
enum Repeat {
    Start,
    /// To be played so many times in all.
    End(u8),
}

/// What an ending element says.
enum End {
    Begins(Ending),
    /// And whether the bracket is closed.
    Stops(bool),
}

/// The right side of a bar that ends a repeat.
const fn ending_repeat(times: u8) -> Barline {
    Barline { style: BarlineStyle::Final, repeat_end: times, repeat_start: false }
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
