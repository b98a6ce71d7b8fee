//! Pitches with their spelling, accidentals, keys.

use std::fmt;

/// A letter name. Order is that of the staff from C upwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// C
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
    /// G
    G,
    /// A
    A,
    /// B
    B,
}

impl Step {
    /// All seven, from C.
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// Semitones above C.
    pub const fn semitones(self) -> i32 {
        match self {
            Self::C => 0,
            Self::D => 2,
            Self::E => 4,
            Self::F => 5,
            Self::G => 7,
            Self::A => 9,
            Self::B => 11,
        }
    }
    /// 0 for C to 6 for B.
    pub const fn index(self) -> i32 {
        self as i32
    }
    /// The letter `index` steps above C, wrapping.
    pub const fn from_index(index: i32) -> Self {
        Self::ALL[index.rem_euclid(7) as usize]
    }
    /// From a letter in either case.
    pub fn from_letter(letter: char) -> Option<Self> {
        Some(match letter.to_ascii_uppercase() {
            'C' => Self::C,
            'D' => Self::D,
            'E' => Self::E,
            'F' => Self::F,
            'G' => Self::G,
            'A' => Self::A,
            'B' => Self::B,
            _ => return None,
        })
    }
    /// The capital letter.
    pub const fn letter(self) -> char {
        match self {
            Self::C => 'C',
            Self::D => 'D',
            Self::E => 'E',
            Self::F => 'F',
            Self::G => 'G',
            Self::A => 'A',
            Self::B => 'B',
        }
    }
}

/// A letter with its alteration, without octave: `F#`, `Bb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PitchClass {
    /// The letter.
    pub step: Step,
    /// Semitones up (sharps) or down (flats), -2 to 2.
    pub alter: i8,
}

impl PitchClass {
    /// A letter and its alteration.
    pub const fn new(step: Step, alter: i8) -> Self {
        Self { step, alter }
    }
    /// Semitones above C, 0 to 11.
    pub const fn semitones(self) -> i32 {
        (self.step.semitones() + self.alter as i32).rem_euclid(12)
    }
    /// Reads `F#`, `Bb`, `C`; also with ♯ and ♭. The whole text must be the name.
    pub fn parse(text: &str) -> Option<Self> {
        let mut chars = text.chars();
        let step = Step::from_letter(chars.next()?)?;
        let mut alter = 0i8;
        for sign in chars {
            alter = match sign {
                '#' | '♯' => alter.checked_add(1)?,
                'b' | '♭' => alter.checked_sub(1)?,
                _ => return None,
            };
        }
        (-2..=2).contains(&alter).then_some(Self { step, alter })
    }
}

impl fmt::Display for PitchClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = match self.alter {
            2 => "##",
            1 => "#",
            -1 => "b",
            -2 => "bb",
            _ => "",
        };
        write!(f, "{}{sign}", self.step.letter())
    }
}

/// A sounding pitch with its spelling, in scientific notation: C4 is middle C.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pitch {
    /// Octave number; changes at C.
    pub octave: i8,
    /// The letter.
    pub step: Step,
    /// Semitones up or down, -2 to 2.
    pub alter: i8,
}

impl Pitch {
    /// A pitch from letter, alteration and octave.
    pub const fn new(step: Step, alter: i8, octave: i8) -> Self {
        Self { octave, step, alter }
    }
    /// MIDI key number, 60 for C4; may lie outside 0..=127 for absurd octaves.
    pub const fn midi(self) -> i32 {
        (self.octave as i32 + 1) * 12 + self.step.semitones() + self.alter as i32
    }
    /// Staff steps above C0: one per letter, so that C4 is 28.
    pub const fn staff_step(self) -> i32 {
        self.octave as i32 * 7 + self.step.index()
    }
    /// The letter with its alteration.
    pub const fn class(self) -> PitchClass {
        PitchClass { step: self.step, alter: self.alter }
    }
    /// Reads scientific notation: `F#3`, `Bb4`, `C5`.
    pub fn parse(text: &str) -> Option<Self> {
        let split = text.find(|c: char| c == '-' || c.is_ascii_digit())?;
        let class = PitchClass::parse(&text[..split])?;
        let octave: i8 = text[split..].parse().ok()?;
        (-1..=10).contains(&octave).then_some(Self { octave, step: class.step, alter: class.alter })
    }
    /// The pitch of a MIDI key number spelt with sharps.
    pub fn from_midi(midi: i32) -> Self {
        const SHARP: [(Step, i8); 12] = [
            (Step::C, 0),
            (Step::C, 1),
            (Step::D, 0),
            (Step::D, 1),
            (Step::E, 0),
            (Step::F, 0),
            (Step::F, 1),
            (Step::G, 0),
            (Step::G, 1),
            (Step::A, 0),
            (Step::A, 1),
            (Step::B, 0),
        ];
        let (step, alter) = SHARP[midi.rem_euclid(12) as usize];
        let octave = i8::try_from(midi.div_euclid(12) - 1).unwrap_or(i8::MAX);
        Self { octave, step, alter }
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.class(), self.octave)
    }
}

/// An accidental as printed before a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Accidental {
    /// Two flats.
    DoubleFlat,
    /// Flat.
    Flat,
    /// Natural.
    Natural,
    /// Sharp.
    Sharp,
    /// Double sharp.
    DoubleSharp,
}

impl Accidental {
    /// Its alteration in semitones.
    pub const fn alter(self) -> i8 {
        match self {
            Self::DoubleFlat => -2,
            Self::Flat => -1,
            Self::Natural => 0,
            Self::Sharp => 1,
            Self::DoubleSharp => 2,
        }
    }
    /// The sign of an alteration of -2 to 2 semitones.
    pub const fn from_alter(alter: i8) -> Option<Self> {
        Some(match alter {
            -2 => Self::DoubleFlat,
            -1 => Self::Flat,
            0 => Self::Natural,
            1 => Self::Sharp,
            2 => Self::DoubleSharp,
            _ => return None,
        })
    }
}

/// A mode by its trade name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// Major (ionian).
    Major,
    /// Minor (aeolian).
    Minor,
    /// Dorian.
    Dorian,
    /// Phrygian.
    Phrygian,
    /// Lydian.
    Lydian,
    /// Mixolydian.
    Mixolydian,
    /// Locrian.
    Locrian,
}

impl Mode {
    /// Its English trade name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::Minor => "minor",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Locrian => "locrian",
        }
    }
}

/// A key: tonic, mode, and what the signature shows.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct KeySignature {
    /// Tonic and mode; `None` where the file gives none.
    pub tonic: Option<(PitchClass, Mode)>,
    /// Sharps (positive) or flats (negative) of the regular signature, -7 to 7.
    pub fifths: i8,
    /// Signs beyond or against the regular signature, in the order given.
    pub changed: Vec<PitchClass>,
    /// Whether the signature is `changed` alone, without the regular signs.
    pub explicit: bool,
}

impl KeySignature {
    /// No signature.
    pub const fn none() -> Self {
        Self { tonic: None, fifths: 0, changed: Vec::new(), explicit: false }
    }
    /// A regular key; `None` if it would need more than seven signs.
    pub fn regular(tonic: PitchClass, mode: Mode) -> Option<Self> {
        // Fifths from C of the major key on this tonic, then the mode's offset (ABC 2.1, section 3.1.14).
        let of_step = match tonic.step {
            Step::C => 0,
            Step::D => 2,
            Step::E => 4,
            Step::F => -1,
            Step::G => 1,
            Step::A => 3,
            Step::B => 5,
        };
        let of_mode = match mode {
            Mode::Lydian => 1,
            Mode::Major => 0,
            Mode::Mixolydian => -1,
            Mode::Dorian => -2,
            Mode::Minor => -3,
            Mode::Phrygian => -4,
            Mode::Locrian => -5,
        };
        let fifths = of_step + 7 * tonic.alter + of_mode;
        (-7..=7).contains(&fifths).then_some(Self {
            tonic: Some((tonic, mode)),
            fifths,
            changed: Vec::new(),
            explicit: false,
        })
    }
    /// The signs the signature shows, in printing order.
    pub fn signs(&self) -> Vec<PitchClass> {
        const SHARPS: [Step; 7] = [Step::F, Step::C, Step::G, Step::D, Step::A, Step::E, Step::B];
        let mut signs: Vec<PitchClass> = Vec::new();
        if !self.explicit {
            let count = usize::from(self.fifths.unsigned_abs());
            let alter = self.fifths.signum();
            for n in 0..count.min(7) {
                let step = if alter > 0 { SHARPS[n] } else { SHARPS[6 - n] };
                signs.push(PitchClass::new(step, alter));
            }
        }
        for change in &self.changed {
            match signs.iter_mut().find(|sign| sign.step == change.step) {
                Some(sign) => *sign = *change,
                None => signs.push(*change),
            }
        }
        signs
    }
    /// What the signature does to a letter, in semitones.
    pub fn alter(&self, step: Step) -> i8 {
        self.signs().iter().find(|sign| sign.step == step).map_or(0, |sign| sign.alter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scientific_pitches() {
        assert_eq!(Pitch::parse("F#3").map(Pitch::midi), Some(54));
        assert_eq!(Pitch::parse("Bb4").map(Pitch::midi), Some(70));
        assert_eq!(Pitch::from_midi(60).to_string(), "C4");
        assert_eq!(Pitch::parse("H3"), None);
    }

    /// ABC 2.1, section 3.1.14, table of keys and modes.
    #[test]
    fn signatures_of_modes() {
        let fifths = |step, alter, mode| KeySignature::regular(PitchClass::new(step, alter), mode).map(|k| k.fifths);
        assert_eq!(fifths(Step::F, 1, Mode::Phrygian), Some(2));
        assert_eq!(fifths(Step::E, 0, Mode::Dorian), Some(2));
        assert_eq!(fifths(Step::B, -1, Mode::Major), Some(-2));
        assert_eq!(fifths(Step::G, 1, Mode::Major), None);
    }

    #[test]
    fn a_changed_sign_replaces_the_regular_one() {
        let mut key = KeySignature::regular(PitchClass::new(Step::D, 0), Mode::Major).expect("D major exists");
        key.changed.push(PitchClass::new(Step::C, 0));
        assert_eq!(key.alter(Step::C), 0);
        assert_eq!(key.alter(Step::F), 1);
    }
}
