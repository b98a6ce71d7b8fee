//! The stages in order, tunes in parallel with results in order.
