//! Named choices of look and of press, as data. No arithmetic: rooms that set music, text and pages read these and compute.

pub mod conditions;
mod look;
mod paper;

pub use look::{
    ButtonLook, DirectionLook, EngravingStyle, Family, FingerLook, FingerOne, HeadShape, LeftLook, RowShapes, Signs,
    SoundingLook, TextStyle,
};
pub use paper::{Binding, BlankPages, Margins, Orientation, PageStyle, TunePages};
