//! A plan into MIDI files at the practice steps.
