//! A tune moved by an interval: pitches, keys and chord symbols, spelling kept. Knows no box.

use super::bar::{Bar, Sounding, Tune};
use super::harmony::{ChordSymbol, SymbolPart};
use super::pitch::{Accidental, KeySignature, Mode, Pitch, PitchClass, Step};

/// A move in staff steps and semitones, both signed: up a fifth is 4 steps and 7 semitones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Interval {
    /// Staff steps up.
    pub steps: i32,
    /// Semitones up.
    pub semitones: i32,
}

impl Interval {
    /// From one pitch to another.
    pub const fn between(from: Pitch, to: Pitch) -> Self {
        Self { steps: to.staff_step() - from.staff_step(), semitones: to.midi() - from.midi() }
    }
    /// The nearest way from one tonic to another: a fourth up rather than a fifth down; a tritone goes up.
    pub fn nearest(from: PitchClass, to: PitchClass) -> Self {
        let mut up = Self {
            steps: (to.step.index() - from.step.index()).rem_euclid(7),
            semitones: (to.semitones() - from.semitones()).rem_euclid(12),
        };
        // Letter and sound may turn the octave at different places: from G up to Gb is 7 steps, not none.
        if up.fifths().abs() > 42 {
            up.steps += 7 * up.fifths().signum();
        }
        if up.semitones > 6 { Self { steps: up.steps - 7, semitones: up.semitones - 12 } } else { up }
    }
    /// By how many sharps a signature grows.
    const fn fifths(self) -> i32 {
        7 * self.semitones - 12 * self.steps
    }
    /// Whether nothing moves.
    pub const fn is_none(self) -> bool {
        self.steps == 0 && self.semitones == 0
    }
    /// The moved pitch; respelt with sharps where the spelling would need more than a double sign.
    pub fn apply(self, pitch: Pitch) -> Pitch {
        let step = pitch.staff_step() + self.steps;
        let midi = pitch.midi() + self.semitones;
        let octave = i8::try_from(step.div_euclid(7)).unwrap_or(i8::MAX);
        let natural = Pitch::new(Step::from_index(step), 0, octave);
        match i8::try_from(midi - natural.midi()) {
            Ok(alter) if (-2..=2).contains(&alter) => Pitch { alter, ..natural },
            _ => Pitch::from_midi(midi),
        }
    }
    /// The moved pitch without its octave.
    pub fn apply_class(self, class: PitchClass) -> PitchClass {
        self.apply(Pitch::new(class.step, class.alter, 4)).class()
    }
    /// The same sound, one letter up or down: for keys that would need more than seven signs.
    const fn respelt(self, sharps: i32) -> Self {
        Self { steps: self.steps + if sharps > 0 { 1 } else { -1 }, ..self }
    }
    /// This interval spelt so that keys of so many sharps stay within seven signs, and within six where they can: the one of
    /// them that needs most decides.
    pub fn spelt_for(self, keys: &[i8]) -> Self {
        let most = |way: &Self| keys.iter().map(|fifths| (i32::from(*fifths) + way.fifths()).abs()).max().unwrap_or(0);
        let ways = [self, self.respelt(1), self.respelt(-1)];
        ways.into_iter().min_by_key(most).unwrap_or(self)
    }
}

impl KeySignature {
    /// The key moved by an interval.
    #[must_use]
    pub fn moved(&self, interval: Interval) -> Self {
        let changed = self.changed.iter().map(|sign| interval.apply_class(*sign)).collect();
        let tonic: Option<(PitchClass, Mode)> = self.tonic.map(|(tonic, mode)| (interval.apply_class(tonic), mode));
        let fifths = i32::from(self.fifths) + interval.fifths();
        // Beyond seven signs the nearest key of the same sound is written.
        let folded = if fifths.abs() > 7 { fifths - 12 * fifths.signum() } else { fifths };
        let fifths = i8::try_from(folded).unwrap_or(0);
        Self { tonic, fifths: if self.explicit { self.fifths } else { fifths }, changed, explicit: self.explicit }
    }
}

impl ChordSymbol {
    /// Moves every note that its text names; the rest of the text is kept.
    fn transpose(&mut self, interval: Interval) {
        let mut text = String::with_capacity(self.text.len());
        for part in self.parts() {
            match part {
                SymbolPart::Root(class, _) => text.push_str(&interval.apply_class(class).to_string()),
                SymbolPart::Bass(class, _) => {
                    text.push('/');
                    text.push_str(&interval.apply_class(class).to_string());
                }
                SymbolPart::Kind(words) | SymbolPart::Between(words) => text.push_str(words),
            }
        }
        if !text.is_empty() {
            self.text = text;
        }
        self.root = self.root.map(|root| interval.apply_class(root));
        self.bass = self.bass.map(|bass| interval.apply_class(bass));
    }
}

impl Bar {
    /// Moves its pitches, key and chord symbols.
    pub fn transpose(&mut self, interval: Interval) {
        if interval.is_none() {
            return;
        }
        self.key = self.key.as_ref().map(|key| Box::new(key.moved(interval)));
        for event in &mut self.events {
            let graces = event.graces.iter_mut().flat_map(|grace| &mut grace.notes);
            let heads = match &mut event.sounding {
                Sounding::Head { notes, .. } => notes.as_mut_slice(),
                Sounding::Rest { .. } => &mut [],
            };
            for note in graces.chain(heads) {
                note.pitch = interval.apply(note.pitch);
                note.written_sign = note.written_sign.and_then(|_| Accidental::from_alter(note.pitch.alter));
            }
            for symbol in &mut event.chord_symbols {
                symbol.transpose(interval);
            }
        }
    }
}

impl Tune {
    /// An interval spelt for all keys of the tune.
    pub fn spelt(&self, interval: Interval) -> Interval {
        let later = self.bars.iter().filter_map(|bar| bar.key.as_deref());
        let keys: Vec<i8> = std::iter::once(&self.key).chain(later).map(|key| key.fifths).collect();
        interval.spelt_for(&keys)
    }
    /// Moves all pitches, keys and chord symbols. Ids and addresses stay.
    pub fn transpose(&mut self, interval: Interval) {
        if interval.is_none() {
            return;
        }
        let interval = self.spelt(interval);
        self.key = self.key.moved(interval);
        self.bars.iter_mut().for_each(|bar| bar.transpose(interval));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(text: &str) -> PitchClass {
        PitchClass::parse(text).expect("a note name")
    }

    #[test]
    fn the_nearest_way_between_keys() {
        let way = |from, to| Interval::nearest(class(from), class(to));
        assert_eq!(way("G", "D"), Interval { steps: -3, semitones: -5 });
        assert_eq!(way("D", "G"), Interval { steps: 3, semitones: 5 });
        assert_eq!(way("G", "A"), Interval { steps: 1, semitones: 2 });
        assert_eq!(way("G", "F#"), Interval { steps: -1, semitones: -1 });
    }

    /// Every key into every other: notes of the scale stay in the scale, on the right semitone.
    #[test]
    fn scales_stay_scales() {
        let tonics = ["C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db", "Gb"];
        for from in tonics {
            for to in tonics {
                let key = KeySignature::regular(class(from), Mode::Major).expect("a usual key");
                let interval = Interval::nearest(class(from), class(to)).spelt_for(&[key.fifths]);
                let moved = key.moved(interval);
                assert!(moved.fifths.abs() <= 7, "{from} {to}");
                assert_eq!(moved.tonic.map(|(t, _)| t.semitones()), Some(class(to).semitones()), "{from} {to}");
                for step in Step::ALL {
                    let pitch = Pitch::new(step, key.alter(step), 4);
                    let new = interval.apply(pitch);
                    assert_eq!(new.midi() - pitch.midi(), interval.semitones, "{from} {to} {pitch}");
                    assert_eq!(new.alter, moved.alter(new.step), "{from} {to} {pitch} {new}");
                }
            }
        }
    }

    /// A tune that changes from A to F#, moved up a tone: G# would have eight sharps, so all of it is spelt in flats.
    #[test]
    fn a_key_that_changes_later_counts_too() {
        let key = |name: &str| KeySignature::regular(class(name), Mode::Major).expect("a usual key");
        let interval = Interval::nearest(class("D"), class("E"));
        let plain = interval.spelt_for(&[key("D").fifths]);
        assert_eq!(key("D").moved(plain).fifths, 4);
        let both = interval.spelt_for(&[key("A").fifths, key("F#").fifths]);
        for (from, to) in [("A", "Cb"), ("F#", "Ab")] {
            let moved = key(from).moved(both);
            let tonic = moved.tonic.map(|(tonic, _)| tonic);
            assert_eq!((tonic, moved.fifths), (Some(class(to)), key(to).fifths), "{from}");
        }
    }

    #[test]
    fn chord_symbols_keep_their_words() {
        let moved = |text: &str| {
            let mut symbol = ChordSymbol::read(text);
            symbol.transpose(Interval::nearest(class("G"), class("D")));
            assert_eq!(symbol.root, ChordSymbol::read(&symbol.text).root, "{text}");
            assert_eq!(symbol.bass, ChordSymbol::read(&symbol.text).bass, "{text}");
            symbol.text
        };
        assert_eq!(moved("Gmaj7/B"), "Dmaj7/F#");
        assert_eq!(moved("G(Em)"), "D(Bm)");
        assert_eq!(moved("Am(C/G)"), "Em(G/D)");
        assert_eq!(moved("G/B(Em)"), "D/F#(Bm)");
        assert_eq!(moved("(Em)"), "(Bm)");
        assert_eq!(moved("C6/9"), "G6/9");
        assert_eq!(moved("F♯m7"), "C#m7");
        assert_eq!(moved("G♮7"), "D7");
        assert_eq!(moved("Cm(maj7)"), "Gm(maj7)");
        // No chord: printed as it stands.
        assert_eq!(moved("Em-ish"), "Em-ish");
        assert_eq!(moved("N.C."), "N.C.");
    }
}
