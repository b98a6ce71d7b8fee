//! Signs of order that lead nowhere: repeats that are opened and not closed, endings without their repeat, jumps without their
//! mark, bars that are never played.
//!
//! Takes a whole tune and complains; changes nothing: the tune is played as it is written (see `tune::played`). Sources: ABC 2.1
//! §4.8 to §4.10 for repeats and endings; what jumps want is common practice, no source.

use super::complaints::Complaints;
use crate::diag::{Code, Place};
use crate::tune::{Bar, Jump, Landmark, Tune, played};

/// Complains of what leads nowhere, each kind where it stands.
pub(super) fn check(tune: &Tune, complaints: &mut Complaints) {
    let before = complaints.sink.items().len();
    repeats(tune, complaints);
    endings(tune, complaints);
    jumps(tune, complaints);
    // What is told already is why other bars are left out.
    if complaints.sink.items().len() == before && tune.part_order.is_empty() {
        unplayed(tune, complaints);
    }
    cut_ties(tune, complaints);
}

/// Where a bar stands in its file.
fn place(tune: &Tune, bar: usize) -> Option<Place> {
    let own = |bar: &Bar| bar.events.iter().find_map(|event| event.place).or(bar.place);
    tune.bars.get(bar).and_then(own).or(tune.place)
}

fn warn(code: Code, (tune, bar): (&Tune, usize), message: String, hint: &str, complaints: &mut Complaints) {
    if let Some(place) = place(tune, bar) {
        complaints.warn(code, place, message, hint);
    }
}

/// A repeat sign that opens wants one that closes, or endings, before the next one opens.
fn repeats(tune: &Tune, complaints: &mut Complaints) {
    let mut open: Option<usize> = None;
    let starts = |bar: usize| tune.bars.get(bar).is_some_and(|bar| bar.left.repeat_start);
    for at in 0..=tune.bars.len() {
        if (starts(at) || at == tune.bars.len())
            && let Some(from) = open.take()
        {
            let message =
                format!("the repeat that begins with bar {} is not closed: it is played once", tune.bars[from].label);
            let hint = "write `:|` where the repeat ends, or take its beginning out";
            warn(code!("open-repeat"), (tune, from), message, hint, complaints);
        }
        let Some(bar) = tune.bars.get(at) else { break };
        if bar.left.repeat_start {
            open = Some(at);
        }
        if bar.right.repeat_end > 0 || bar.ending.is_some() {
            open = None;
        }
    }
}

/// A first ending wants a repeat or a second one; a second ending wants a first.
fn endings(tune: &Tune, complaints: &mut Complaints) {
    let mut at = 0;
    while at < tune.bars.len() {
        let (from, mut passes, mut repeated) = (at, Vec::new(), false);
        while let Some(ending) = tune.bars.get(at).and_then(|bar| bar.ending.as_ref()) {
            let last = ending.last_bar.clamp(at, tune.bars.len() - 1);
            passes.extend(ending.passes.iter().copied());
            repeated |= tune.bars[at..=last].iter().any(|bar| bar.right.repeat_end > 0);
            at = last + 1;
        }
        if at == from {
            at += 1;
            continue;
        }
        let label = tune.bars[from].label;
        let first = passes.iter().copied().min().unwrap_or(1);
        if first > 1 {
            let message = format!("ending {first} at bar {label} has no ending 1 before it");
            let hint = "write `[1` over the bars that are played the first time";
            warn(code!("lone-ending"), (tune, from), message, hint, complaints);
        } else if passes.iter().all(|pass| *pass == 1) && !repeated {
            let message = format!("ending 1 at bar {label} has no repeat after it and no ending 2");
            let hint = "write `:|` at its end and `[2` after it, or take the ending out";
            warn(code!("lone-ending"), (tune, from), message, hint, complaints);
        }
    }
}

/// A jump wants the mark that it leads to, and a mark a jump that leads to it.
fn jumps(tune: &Tune, complaints: &mut Complaints) {
    let has = |mark: Landmark| tune.bars.iter().any(|bar| bar.landmarks.contains(&mark));
    let jumps = || tune.bars.iter().enumerate().filter_map(|(at, bar)| Some((at, bar.jump?)));
    for (at, jump) in jumps() {
        let (name, wanted) = match jump {
            Jump::DaCapo => continue,
            Jump::DaCapoAlFine => ("D.C. al Fine", vec![Landmark::Fine]),
            Jump::DaCapoAlCoda => ("D.C. al Coda", vec![Landmark::Coda]),
            Jump::DalSegno => ("D.S.", vec![Landmark::Segno]),
            Jump::DalSegnoAlFine => ("D.S. al Fine", vec![Landmark::Segno, Landmark::Fine]),
            Jump::DalSegnoAlCoda => ("D.S. al Coda", vec![Landmark::Segno, Landmark::Coda]),
            Jump::ToCoda => ("the way to the coda", vec![Landmark::Coda]),
        };
        for mark in wanted.into_iter().filter(|mark| !has(*mark)) {
            let message =
                format!("{name} at bar {} leads nowhere: the tune has no {}", tune.bars[at].label, named(mark));
            let hint = "write the mark where the jump is to lead: `!segno!`, `!fine!`, `!coda!`";
            warn(code!("lost-jump"), (tune, at), message, hint, complaints);
        }
    }
    for mark in [Landmark::Segno, Landmark::Fine, Landmark::Coda] {
        let leads = jumps().any(|(_, jump)| match mark {
            Landmark::Segno => matches!(jump, Jump::DalSegno | Jump::DalSegnoAlFine | Jump::DalSegnoAlCoda),
            Landmark::Fine => !matches!(jump, Jump::ToCoda | Jump::DaCapoAlCoda | Jump::DalSegnoAlCoda),
            Landmark::Coda => !matches!(jump, Jump::ToCoda | Jump::DaCapoAlFine | Jump::DalSegnoAlFine),
        });
        let first = tune.bars.iter().position(|bar| bar.landmarks.contains(&mark));
        if let Some(at) = first.filter(|_| !leads) {
            let message = format!(
                "no D.C. or D.S. leads to the {} at bar {}: it changes nothing",
                named(mark),
                tune.bars[at].label
            );
            let hint = "write `!D.C.!` or `!D.S.!` after the last note before the jump, or take the mark out";
            warn(code!("lost-jump"), (tune, at), message, hint, complaints);
        }
    }
}

const fn named(mark: Landmark) -> &'static str {
    match mark {
        Landmark::Segno => "segno",
        Landmark::Coda => "coda",
        Landmark::Fine => "fine",
    }
}

/// Bars that no pass reaches, the first run of them.
fn unplayed(tune: &Tune, complaints: &mut Complaints) {
    // Most tunes have nothing that could lead past a bar.
    if tune.bars.iter().all(|bar| bar.jump.is_none() && bar.ending.is_none()) {
        return;
    }
    let mut reached = vec![false; tune.bars.len()];
    for passage in played(tune) {
        reached[passage.bar] = true;
    }
    let Some(first) = reached.iter().position(|reached| !reached) else { return };
    let count = reached[first..].iter().take_while(|reached| !**reached).count();
    let label = |bar: usize| tune.bars[bar].label;
    let bars = match count {
        1 => format!("bar {} is", label(first)),
        _ => format!("bars {} to {} are", label(first), label(first + count - 1)),
    };
    let jump = tune.bars[..first].iter().rposition(|bar| bar.jump.is_some_and(|jump| jump != Jump::ToCoda));
    let (why, hint) = match jump {
        Some(jump) => (
            format!(": the jump at the end of bar {} leads away before", label(jump)),
            "write the jump after the last note before it, not before the first note of its bar",
        ),
        None => (String::new(), "see which repeat and which ending are to lead there"),
    };
    warn(code!("unplayed-bar"), (tune, first), format!("{bars} never played{why}"), hint, complaints);
}

/// Ties over the end of a bar at which the tune jumps: the note after it is not the next that sounds.
fn cut_ties(tune: &Tune, complaints: &mut Complaints) {
    for (at, bar) in tune.bars.iter().enumerate().filter(|(_, bar)| bar.jump.is_some()) {
        let Some(last) = bar.events.last().filter(|last| last.notes().iter().any(|note| note.tied_to_next)) else {
            continue;
        };
        if let Some(place) = last.place.or_else(|| self::place(tune, at)) {
            let message = format!("the tune jumps at the end of bar {}, in the middle of a tie", bar.label);
            let hint =
                "let it jump where no note is held, or take the tie out; a jump stands behind the last note of its bar";
            complaints.warn(code!("jump-in-tie"), place, message, hint);
        }
    }
}

/// Whether a complaint is one of these, which say nothing where music is shown and not played: an excerpt may well open a repeat.
pub fn leads_nowhere(code: Code) -> bool {
    [
        code!("open-repeat"),
        code!("lone-ending"),
        code!("lost-jump"),
        code!("unplayed-bar"),
        code!("jump-in-tie"),
        code!("leaves-after-bar"),
    ]
    .contains(&code)
}

#[cfg(test)]
mod tests {
    use super::leads_nowhere;
    use crate::diag::{Sink, Sources};
    use crate::reader::abc::{AbcOptions, read};

    /// Code and bar of what is said of a line of music in 4/4.
    fn said(music: &str) -> String {
        let mut sources = Sources::default();
        let file = sources.add("a.abc", format!("M:4/4\nL:1/1\nK:G\n{music}\n"));
        let mut sink = Sink::default();
        read(&sources.excerpt(file), &AbcOptions::default(), &mut sink);
        let shown = sink.items().iter().map(|item| {
            assert!(leads_nowhere(item.code), "{music}: {item:?}");
            let bar = item.message.split_once("bar ").or(item.message.split_once("bars ")).map_or("", |(_, rest)| rest);
            let bar: String = bar.chars().take_while(char::is_ascii_digit).collect();
            format!("{} {bar}", item.code)
        });
        shown.collect::<Vec<_>>().join(", ")
    }

    #[test]
    fn repeats_and_endings_want_each_other() {
        for (music, wanted) in [
            ("|: G | A :| B |]", ""),
            ("G | A :| B |]", ""),
            ("|: G |1 A :|2 B |]", ""),
            ("|: G |1 A |2 B |]", ""),
            ("G |1,2 A :|3 B |]", ""),
            ("|: G :: A :|", ""),
            ("|: G | A |]", "open-repeat 1"),
            ("|: G |: A :| B |]", "open-repeat 1"),
            ("G :: A | B |]", "open-repeat 2"),
            ("G |1 A | B |]", "lone-ending 2"),
            ("|: G |2 A :| B |]", "lone-ending 2"),
        ] {
            assert_eq!(said(music), wanted, "{music}");
        }
    }

    #[test]
    fn jumps_and_marks_want_each_other() {
        for (music, wanted) in [
            ("G !fine! | A | B !D.C.! |]", ""),
            ("G !fine! | A | B !D.C.alfine! |]", ""),
            ("G | !segno! A | B !D.S.! |]", ""),
            ("G | A !coda! | B !D.C.alcoda! | !coda! c |]", ""),
            ("G | A !D.C.! |]", ""),
            ("G | A !D.S.! |]", "lost-jump 2"),
            ("G !fine! | A | B |]", "lost-jump 1"),
            ("!segno! G | A | B |]", "lost-jump 1"),
            ("G | A !D.C.alfine! |]", "lost-jump 2"),
            ("G | A !fine! | B | !D.C.alfine! c |]", "unplayed-bar 4"),
            ("G | !coda! A | B !D.C.alcoda! | !coda! c |]", "leaves-after-bar "),
            ("G | A !coda! | B- | B !D.C.alcoda! | !coda! c |]", ""),
            ("G | A- !coda! | A | B !D.C.alcoda! | !coda! c |]", "jump-in-tie 2"),
        ] {
            assert_eq!(said(music), wanted, "{music}");
        }
    }
}
