//! Note names: a letter and its accidentals.

/// The seven letters, in the order of the white keys from C.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// All letters from C.
    pub const ALL: [Letter; 7] =
        [Letter::C, Letter::D, Letter::E, Letter::F, Letter::G, Letter::A, Letter::B];

    /// 0 for C to 6 for B.
    pub fn index(self) -> i32 {
        self as i32
    }

    /// The letter at an index, wrapping round: 7 is C again, -1 is B.
    pub fn at(index: i32) -> Letter {
        Self::ALL[index.rem_euclid(7) as usize]
    }

    /// Semitones above C of the white key of this letter.
    pub fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }
}

/// A note name without octave, e.g. F# or Bb. Accidentals beyond doubles occur (the third of a chord on a raised
/// degree), so they are a count: sharps positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NoteName {
    /// The letter.
    pub letter: Letter,
    /// Semitones the letter is raised (sharps) or, negative, lowered (flats).
    pub alter: i8,
}

impl NoteName {
    /// A name of a letter and its accidentals.
    pub const fn new(letter: Letter, alter: i8) -> Self {
        Self { letter, alter }
    }

    /// The pitch class, 0 (C) to 11 (B).
    pub fn pitch_class(self) -> u8 {
        (self.letter.semitones() + i32::from(self.alter)).rem_euclid(12) as u8
    }

    /// The name an interval above this one: a major third above D is F#.
    pub fn up(self, interval: crate::Interval) -> NoteName {
        let index = self.letter.index() + interval.steps;
        let white = Letter::at(index).semitones() + 12 * index.div_euclid(7) - self.letter.semitones();
        NoteName::new(Letter::at(index), (i32::from(self.alter) + interval.semitones - white) as i8)
    }

    /// With the printed signs: `F♯`, `B♭`. For screens and paper; [`std::fmt::Display`] writes `F#`, `Bb`.
    pub fn pretty(self) -> String {
        self.to_string().replace('#', "♯").replace('b', "♭")
    }
}

/// A text is no note name, with or without octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "no note name: write a letter A to G, then # or b, then for a pitch the octave: F#, Bb, C4 (middle C)"
)]
pub struct ParseNameError;

impl std::fmt::Display for NoteName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?}", self.letter)?;
        let sign = if self.alter < 0 { "b" } else { "#" };
        write!(f, "{}", sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

impl std::str::FromStr for NoteName {
    type Err = ParseNameError;
    /// Reads `C`, `F#`, `Bb`, `Abb`, and the printed signs ♯ ♭ as well.
    fn from_str(text: &str) -> Result<Self, ParseNameError> {
        let mut chars = text.chars();
        let letter = chars.next().ok_or(ParseNameError)?;
        let letter =
            *Letter::ALL.iter().find(|l| format!("{l:?}").starts_with(letter)).ok_or(ParseNameError)?;
        let mut alter = 0i8;
        for c in chars {
            let step = match c {
                '#' | '♯' => 1,
                'b' | '♭' => -1,
                _ => return Err(ParseNameError),
            };
            if alter * step < 0 || alter.abs() > 6 {
                return Err(ParseNameError);
            }
            alter += step;
        }
        Ok(NoteName::new(letter, alter))
    }
}
