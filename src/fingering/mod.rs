//! A tune on a box into a plan: row, button, direction, finger and place for every note, the left hand, the bellows.
//!
//! Takes a [`Tune`](crate::tune::Tune), an [`Instrument`](crate::instrument::Instrument) and what the author asks for; gives
//! a [`Plan`], which is a function of the written notes: one printed plan, true on every pass. Pins always win. Knows no
//! paper.

mod alike;
mod bellows;
mod breath;
#[cfg(test)]
mod brute;
mod costs;
mod curve;
mod eliminate;
mod ends;
mod forced;
mod graces;
mod hand;
mod keys;
mod left;
mod model;
mod moment;
mod moved;
mod names;
mod opening;
mod pairs;
mod parts;
mod pins;
#[cfg(test)]
mod places;
mod plan;
mod planner;
mod prices;
mod range;
mod request;
#[cfg(test)]
mod returning;
mod runners;
#[cfg(test)]
mod simulation;
mod solve;
mod sounds;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;
mod translate;
mod walk;

#[cfg(test)]
pub(crate) use curve::InTicks;
pub use curve::{BellowsCurve, BellowsPoint};
pub use keys::{KeyRank, keys};
pub use left::pattern_names;
pub use plan::{
    Air, AirPoint, BellowsReport, Cost, CostKind, Difference, LeftOut, LeftPress, Place, Plan, PlannedNote,
    PlayedAfter, Press, Presses, RunnerUp, Sound, Unplayable,
};
pub use planner::plan;
pub use request::{
    Home, LeftBar, LeftHandSpec, LeftPattern, LeftToken, Moved, NoteSpan, Pin, PinTarget, PinWish, Request, Settled,
    SettledNote, Style, ToneWish, Weight, Weights, Written,
};
pub use translate::translate;
pub use walk::{assumed_tempo, names_tempo, tempi};
