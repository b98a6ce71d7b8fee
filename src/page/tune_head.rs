//! The head of a tune: title and credit on one baseline, the line of facts, the line for the hand, the lesson's code.

use super::flow::{Before, Piece};
use super::material::TuneMaterial;
use super::scale::Named;
use super::setting::{Compositor, Setting};
use super::{facts, hand, qr};
use crate::frame::{Frame, Group, Item, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::text::Inline;
use std::sync::Arc;

/// The name of a tune's anchor.
pub(super) fn anchor(id: &str) -> String {
    format!("tune:{id}")
}

/// The head as pieces: the title, then facts and hand together. The code stands at the outer edge of the page, so the second
/// piece differs on left-hand pages.
pub(super) fn pieces(setting: &Setting<'_>, material: &TuneMaterial<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let title = title(setting, material, comp);
    let (recto, verso) = below(setting, material, comp);
    let height = recto.size.height;
    let mut below = Piece::of_text(recto, height).breaking(Before::Never);
    below.verso = verso.map(Arc::new);
    vec![title, below.tagged(comp.number(), Tag::new(Role::Paragraph))]
}

fn title(setting: &Setting<'_>, material: &TuneMaterial<'_>, comp: &mut Compositor<'_>) -> Piece {
    let scale = &setting.scale;
    let gap = scale.size(Named::Text) * 1.5;
    let credit = scale.label_within(Named::Small, &credit(setting, material), setting.width);
    // The credit keeps to the right third; a long one goes on a line of its own under the title.
    let is_credited = credit.width > Abs::ZERO;
    let beside = credit.width.fits(setting.width * 0.42);
    let room = if beside && is_credited { setting.width - credit.width - gap } else { setting.width };
    let lines = comp.set(&[Inline::text(&material.entry.title)], &scale.look(Named::TuneTitle), room);
    let mut frame = Frame::new(Size::new(setting.width, Abs::ZERO));
    frame.push(Point::default(), Item::Anchor(anchor(&material.entry.id).into()));
    let mut heading = Frame::new(Size::new(room, Abs::ZERO));
    for line in lines {
        let height = line.frame.size.height;
        heading.place(Point::new(Abs::ZERO, heading.size.height), line.frame);
        heading.size.height += height;
    }
    let mut height = heading.size.height.max(setting.area.step);
    frame.place_tagged(Point::default(), heading, Tag::new(Role::Heading(2)));
    if !beside {
        height += setting.area.step;
    }
    let baseline = height - setting.area.step + setting.baseline();
    if is_credited {
        let mut words = Frame::new(Size::new(credit.width, setting.area.step));
        let x = setting.width - credit.width;
        credit.put(&mut words, Point::new(Abs::ZERO, setting.baseline()));
        frame.place_tagged(Point::new(x, baseline - setting.baseline()), words, Tag::new(Role::Paragraph));
    }
    frame.size.height = height;
    Piece::of_text(frame, height)
}

/// Composer, arranger, source, as far as the tune's file says: of a tune without composer nothing is claimed.
fn credit(setting: &Setting<'_>, material: &TuneMaterial<'_>) -> String {
    let entry = material.entry;
    let mut parts: Vec<String> = entry.composer.iter().cloned().collect();
    if let Some(arranger) = &entry.arranger {
        parts.push(setting.words.arranged.replace("{name}", arranger));
    }
    if let Some(source) = &entry.source {
        parts.push(setting.words.from.replace("{source}", source));
    }
    parts.join(", ")
}

/// Facts and hand, for right-hand pages and, where the code makes a difference, for left-hand pages.
fn below(setting: &Setting<'_>, material: &TuneMaterial<'_>, comp: &mut Compositor<'_>) -> (Frame, Option<Frame>) {
    let code = material.entry.link.as_deref().and_then(|link| {
        let code = qr::code(link);
        if code.is_none() {
            let message = format!("the link of `{}` is too long for a QR code", material.entry.title);
            comp.sink
                .warn(code!("long-link"), Some(material.entry.place), message)
                .hints
                .push("give a shorter link".into());
        }
        code
    });
    let taken = code.as_ref().map_or(Abs::ZERO, |(code, _)| code.size.width);
    let room = setting.width - taken;
    let place = material.plan.notes.iter().flatten().next().map(|note| note.place);
    let hand = place.and_then(|place| hand::line(setting, place, room));
    let facts: Vec<Arc<Frame>> = facts::lines(setting, material, room).into_iter().map(Frame::shared).collect();
    let code = code.map(|(code, target)| (code.shared(), target));
    let build = |on_verso: bool| {
        let step = setting.area.step;
        let mut frame = Frame::new(Size::new(setting.width, step));
        // On a left-hand page the outer edge is the left one: words stand to the right of the code.
        let x = if on_verso { taken } else { Abs::ZERO };
        let mut y = Abs::ZERO;
        for line in &facts {
            frame.place_shared(Point::new(x, y + setting.baseline()), Arc::clone(line));
            y += step;
        }
        if let Some(hand) = &hand {
            let alt = place.map(|place| hand::said(setting, place, setting.words.hand_line)).unwrap_or_default();
            let (tag, subject, link) = (Some(Tag::figure(alt)), None, None);
            let group = Group { frame: Arc::clone(hand), tag, subject, link };
            frame.push(Point::new(x, y), Item::Group(group.into()));
            y += hand.size.height;
        }
        if let Some((code, target)) = &code {
            let group = Group {
                frame: Arc::clone(code),
                tag: Some(Tag::figure(format!("{}: {}", setting.words.listen, material.entry.title))),
                subject: None,
                link: Some(target.clone()),
            };
            // The code's own white margin may stand outside the block, so that its ink is flush with the staff's end.
            let quiet = code.size.width * (4.0 / (code.size.width / Abs::mm(0.5)));
            let at = if on_verso { -quiet } else { setting.width - code.size.width + quiet };
            frame.push(Point::new(at, Abs::ZERO), Item::Group(group.into()));
            y = y.max(code.size.height - quiet);
        }
        frame.size.height = setting.whole_steps(y);
        frame
    };
    let verso = code.is_some().then(|| build(true));
    (build(false), verso)
}
