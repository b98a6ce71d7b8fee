//! A box for reading in a terminal: rows from chin to lap, push over pull, then the left hand.

use crate::instrument::{Direction, Instrument, RowAt};
use std::fmt::Write as _;

/// The whole drawing.
pub fn box_text(instrument: &Instrument) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}: {}", instrument.id, instrument.name);
    let _ = writeln!(out, "{}\n", instrument.source.trim());
    let _ = writeln!(out, "Right hand, as the player looks down on it; button 1 is nearest the chin.");
    for row in &instrument.rows {
        let _ = writeln!(out, "\n  {} row ({})", row.at, row.name);
        let numbers: String = (1..=row.buttons.len()).map(|number| format!("{number:>5}")).collect();
        let _ = writeln!(out, "    button {numbers}");
        for direction in Direction::BOTH {
            let notes: String =
                row.buttons.iter().map(|button| format!("{:>5}", button.pitch(direction).to_string())).collect();
            let _ = writeln!(out, "    {direction:<6} {notes}");
        }
    }
    let _ = writeln!(out, "\nLeft hand, from the chin; capitals are basses.");
    for at in &instrument.left.rows {
        let buttons: Vec<_> = instrument.left.buttons.iter().filter(|button| button.row == *at).collect();
        let _ = writeln!(out, "\n  {} row", if *at == RowAt::Outer { "outer" } else { "inner" });
        for direction in Direction::BOTH {
            let names: String =
                buttons.iter().map(|button| format!("{:>5}", button.sound(direction).name(button.kind))).collect();
            let _ = writeln!(out, "    {direction:<6} {names}");
        }
    }
    let _ = writeln!(out, "\nBellows: {} seconds full ({})", instrument.bellows.seconds, instrument.bellows.source);
    out
}
