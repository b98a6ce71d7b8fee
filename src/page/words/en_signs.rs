//! English sentences of the key: one a sign.

use crate::engrave::Sign;
use crate::instrument::RowAt;
use crate::style::{DirectionLook, FingerLook, FingerOne, Signs, SoundingLook};

/// British sentences.
pub(super) fn sign(sign: Sign, look: &Signs) -> String {
    sentence(sign, look).to_owned()
}

/// American sentences: the names of things differ, not the sentences.
pub(super) fn sign_us(sign: Sign, look: &Signs) -> String {
    sentence(sign, look).replace("full stop", "period")
}

fn sentence(sign: Sign, look: &Signs) -> &'static str {
    let hold = look.sounding == SoundingLook::HoldBar;
    match sign {
        Sign::RowHead(RowAt::Outer) => "A note of the outer row, the one furthest from the bellows.",
        Sign::RowHead(RowAt::Inner) => "A note of the inner row, the one next to the bellows.",
        Sign::RowHead(RowAt::Half) => "A note of the half row of helper buttons.",
        Sign::Pull => match look.direction {
            DirectionLook::Band => "Pull: the bellows open for as long as the band is filled.",
            DirectionLook::Arrows => "Pull: the bellows open from here.",
            DirectionLook::Words | DirectionLook::None => "The bellows open from here.",
        },
        Sign::Push => match look.direction {
            DirectionLook::Band => "Push: the bellows close for as long as the band is open air.",
            DirectionLook::Arrows => "Push: the bellows close from here.",
            DirectionLook::Words | DirectionLook::None => "The bellows close from here.",
        },
        Sign::Reversal if hold => "Reversal: the bar is unbroken. Keep the button down and turn the bellows.",
        Sign::Reversal => "Reversal: keep the button down and turn the bellows.",
        Sign::Replay if hold => {
            "Replay: the bar is cut. Turn the bellows, and press the same button again at the upright tick."
        }
        Sign::Replay => "Replay: turn the bellows and press the same button again.",
        Sign::Place => {
            "The hand moves here: the index finger goes to this button of the row whose head stands beside the number."
        }
        Sign::Finger => match look.finger_one {
            FingerOne::Index => {
                "The finger: 1 index, 2 middle, 3 ring, 4 little. A note with no number keeps the same finger."
            }
            FingerOne::Thumb => {
                "The finger: 2 is the index, 3 the middle, 4 the ring, 5 the little finger; 1 would be the thumb, which holds the box. \
                 A note with no number keeps the same finger."
            }
        },
        Sign::Button => "The number of the button in its row, counted from the chin.",
        Sign::BoxedButton => "A number in a box is a button of the inner row.",
        Sign::AirOpen => "Press the air button and let the bellows open without a note.",
        Sign::AirClose => "Press the air button and let the bellows close without a note.",
        Sign::Bass => "A bass button of the left hand: a capital letter, on the lower line.",
        Sign::Chord => "A chord button of the left hand: a small letter, on the upper line.",
        Sign::LeftHold => "The line after a letter: hold the button down.",
        Sign::LeftStem => "A letter with a stem comes between the beats.",
        Sign::ChordSymbol => "The chord that goes with the tune here, for anyone who plays along.",
        Sign::Count => "Count these syllables aloud.",
        Sign::Tie => "A tie joins two notes of the same pitch: hold on, don’t press again.",
        Sign::Slur => "A slur over different notes: leave no gap between them.",
        Sign::Repeat => "Repeat: play again what stands between the dots, or from the beginning.",
        Sign::Ending => "Endings: the bracket with 1 is for the first time, the one with 2 for the second.",
        Sign::PickUp => "A pick-up: notes before the first full bar, counted as the end of a bar.",
        Sign::Tuplet => "A number over a group: three notes in the time of two, or as the number says.",
        Sign::Grace if look.fingers == FingerLook::Above => {
            "A small note is played quickly just before the next one and takes no time of its own. The small number over it is its finger."
        }
        Sign::Grace => "A small note is played quickly just before the next one and takes no time of its own.",
        Sign::Staccato => "A dot over or under a note: short.",
        Sign::Accent => "A wedge: give this note more weight with the bellows.",
        Sign::Tenuto => "A line: hold this note for its full time.",
        Sign::Fermata => "A pause: stay here as long as you like.",
        Sign::Breath => "A comma: a short gap.",
        Sign::Caesura => "Two strokes: everything stops, then goes on.",
        Sign::Trill => "A trill: alternate quickly with the note above.",
        Sign::Turn => "A turn: go quickly round the note, above, on, below, on.",
        Sign::Mordent => "A mordent: one quick flick to the neighbouring note and back.",
        Sign::Roll => "A roll: decorate the note with a quick turn and a tap.",
        Sign::Slide => "A short line up into a note: slide into it from below, if you can; a grace note does as well.",
        Sign::Segno => "The sign to which a later instruction sends you back.",
        Sign::Coda => "The coda, the tail of the tune: jump here when you are told to.",
        Sign::Jump => "D.C. sends you to the beginning, D.S. to the sign; Fine is the end.",
        Sign::BarNumber => "The number of the first bar of a line; the words after the music use these numbers.",
        Sign::Accidental => {
            "A sharp raises and a flat lowers a note for the rest of its bar; a natural takes that back."
        }
    }
}
