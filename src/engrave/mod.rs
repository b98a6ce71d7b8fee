//! A tune and its plan into systems of music no wider than the type area; reports the signs it used.
//!
//! Takes a [`Score`], the look and the fonts; gives [`System`]s, each a frame with its bars' extents. Knows no pages.

mod above;
mod accidental;
mod annotations;
mod barline;
mod beam;
mod canvas;
mod castoff;
#[cfg(test)]
mod collision;
mod contract;
mod curve;
mod demand;
mod factor;
mod figure;
mod grace;
mod grouping;
#[cfg(test)]
mod handbook;
mod harmony;
mod heads;
mod job;
mod lanes;
mod layout;
mod lettering;
mod line;
#[cfg(test)]
mod made_up;
mod marks;
mod measure;
mod missing;
mod notes;
mod outline;
mod overwide;
#[cfg(test)]
mod rows;
mod signature;
mod sizes;
mod skyline;
mod slur;
mod spacing;
mod specimen;
mod stem;
mod system;
#[cfg(test)]
pub(crate) mod testing;
#[cfg(test)]
mod tests;
mod tie;
mod tuplet;
mod words;

pub use contract::{BarExtent, Count, Score, Sign, System};
pub use missing::lacks;
pub use specimen::{draw_finger, draw_head, draw_place, draw_sign};
pub use words::printed as sung;

use crate::diag::Sink;
use crate::font::Fonts;
use crate::geom::Abs;
use crate::style::EngravingStyle;
use figure::Figure;
use grouping::Group;
use job::Job;
use layout::StemWay;
use lettering::Lettering;
use outline::Outline;
use system::Work;

/// No line is shorter than this many staff spaces, whatever is asked for.
const NARROWEST: f64 = 20.0;

/// Sets a tune into systems `width` wide. Music that does not fit a line is broken inside the bar, with a warning.
pub fn engrave(score: &Score, style: &EngravingStyle, fonts: &Fonts, width: Abs, sink: &mut Sink) -> Vec<System> {
    let letters = Lettering::new(fonts, style);
    let tune = score.printed();
    let score = &Score { tune: &tune, ..*score };
    let job = Job { score, style, letters: &letters };
    let Some(work) = prepare(job, width, sink) else { return Vec::new() };
    let lines = castoff::lines(&work.pieces, &work.costs);
    let last = line::last_factor(&work.pieces, &work.costs, &lines);
    let count = lines.len();
    let beside = outline::BESIDE.at(style.space);
    let mut above: Option<Outline> = None;
    let systems = lines
        .into_iter()
        .enumerate()
        .map(|(n, line)| {
            let (mut system, outline) = system::system(&work, line, if n + 1 == count { last } else { None });
            system.nests = above.as_ref().map_or(Abs::ZERO, |above| above.nesting(&outline, beside));
            above = Some(outline);
            system
        })
        .collect();
    missing::complain(&letters, &tune, style, sink);
    systems
}

/// Figures, beams, pieces and costs of a tune; `None` for a tune without bars.
fn prepare<'a>(job: Job<'a>, width: Abs, sink: &mut Sink) -> Option<Work<'a>> {
    let tune = job.score.tune;
    if tune.bars.is_empty() {
        return None;
    }
    let space = job.style.space.max(Abs::pt(0.5));
    let width = (width / space).max(NARROWEST);
    let groups = grouping::groups(tune);
    let figures = figures(&job, &groups);
    let mut pieces = measure::pieces(&job, &figures);
    demand::widen(&job, &mut pieces, &figures);
    let pieces = overwide::split(&job, &figures, pieces, width, sink);
    let spots = slur::spots(&figures);
    let long_rests = pieces.iter().filter(|piece| piece.run > 1).map(|piece| piece.first).collect();
    let costs = castoff::Costs::new(&job, &pieces, width);
    Some(Work { job, figures, groups, pieces, costs, spots, long_rests, width })
}

/// All events of a tune as figures, in written order.
fn figures(job: &Job, groups: &[Group]) -> Vec<Figure> {
    let tune = job.score.tune;
    let signs = accidental::printed(tune);
    let mut figures = Vec::with_capacity(signs.len());
    let mut next_group = 0;
    for (index, bar) in tune.bars.iter().enumerate() {
        let first = figures.len();
        let mut beams: Vec<Option<(usize, StemWay)>> = vec![None; bar.events.len()];
        while let Some(group) = groups.get(next_group).filter(|group| group.bar == index) {
            let ys = group.events.iter().flat_map(|n| bar.events[*n].notes()).map(|note| figure::y_of(note.pitch));
            let way = stem::way(ys);
            let turned = way == StemWay::Up && grace::above_beam(&bar.events, &group.events);
            let way = if turned { StemWay::Down } else { way };
            for n in &group.events {
                beams[*n] = Some((next_group, way));
            }
            next_group += 1;
        }
        for (n, beam) in beams.into_iter().enumerate() {
            let signs = &signs[first + n];
            let mut figure = figure::figure(job, (index, n, first + n), signs, beam);
            annotations::make_room(job, &mut figure);
            grace::add(job, &bar.events[n], signs, &mut figure);
            figures.push(figure);
        }
    }
    figures
}
