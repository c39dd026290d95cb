//! Pitches: a spelled note in an octave, and the key of a keyboard.

use crate::{Interval, Letter, NoteName, ParseNameError};

/// A spelled pitch, e.g. F#4. C4 is middle C; the octave number belongs to the letter (B#3 sounds as C4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// Its name.
    pub name: NoteName,
    /// The octave of its letter.
    pub octave: i8,
}

impl Pitch {
    /// A pitch of a name and an octave.
    pub const fn new(name: NoteName, octave: i8) -> Self {
        Self { name, octave }
    }

    /// Semitones above C-1, which is MIDI key 0; may lie outside the MIDI range.
    pub fn semitones(self) -> i32 {
        12 * (i32::from(self.octave) + 1) + self.name.letter.semitones() + i32::from(self.name.alter)
    }

    /// The MIDI key, or `None` outside 0 to 127.
    pub fn key(self) -> Option<MidiKey> {
        u8::try_from(self.semitones()).ok().and_then(MidiKey::new)
    }

    /// The pitch an interval higher.
    pub fn up(self, interval: Interval) -> Pitch {
        let index = self.name.letter.index() + interval.steps;
        Pitch::new(self.name.up(interval), self.octave.saturating_add(index.div_euclid(7) as i8))
    }

    /// The lowest pitch of a name that sounds above this one.
    ///
    /// ```
    /// let middle_c: theory::Pitch = "C4".parse().unwrap();
    /// let above = middle_c.next_above("Bb".parse().unwrap());
    /// assert_eq!(above.to_string(), "Bb4");
    /// assert_eq!(middle_c.next_above(middle_c.name).to_string(), "C5");
    /// ```
    pub fn next_above(self, name: NoteName) -> Pitch {
        let rest = self.semitones() - name.letter.semitones() - i32::from(name.alter);
        Pitch::new(name, rest.div_euclid(12) as i8)
    }

    /// The interval from `lower` up to this pitch.
    pub fn above(self, lower: Pitch) -> Interval {
        let index = |p: Pitch| 7 * i32::from(p.octave) + p.name.letter.index();
        Interval::new(index(self) - index(lower), self.semitones() - lower.semitones())
    }

    /// The pitch of this name whose key is the given one, if the name fits the key.
    pub fn spelled(name: NoteName, key: MidiKey) -> Option<Pitch> {
        let rest = i32::from(key.number()) - name.letter.semitones() - i32::from(name.alter);
        (rest.rem_euclid(12) == 0).then(|| Pitch::new(name, (rest / 12 - 1) as i8))
    }

    /// With printed signs: `F♯4`.
    pub fn pretty(self) -> String {
        format!("{}{}", self.name.pretty(), self.octave)
    }
}

impl std::fmt::Display for Pitch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

impl std::str::FromStr for Pitch {
    type Err = ParseNameError;
    /// Reads `C4`, `F#3`, `Bb-1`.
    fn from_str(text: &str) -> Result<Self, ParseNameError> {
        let at = text.find(|c: char| c == '-' || c.is_ascii_digit()).ok_or(ParseNameError)?;
        let octave: i8 = text[at..].parse().map_err(|_| ParseNameError)?;
        if !(-1..=9).contains(&octave) {
            return Err(ParseNameError);
        }
        Ok(Pitch::new(text[..at].parse()?, octave))
    }
}

/// A key of a keyboard by its MIDI number, 0 to 127; middle C is 60.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MidiKey(u8);

impl MidiKey {
    /// The lowest key of an 88-key keyboard, A0.
    pub const A0: MidiKey = MidiKey(21);
    /// E2, 40.
    pub const E2: MidiKey = MidiKey(40);
    /// The highest key of an 88-key keyboard, C8.
    pub const C8: MidiKey = MidiKey(108);
    /// Middle C.
    pub const MIDDLE_C: MidiKey = MidiKey(60);

    /// A key by number; `None` above 127.
    pub const fn new(number: u8) -> Option<MidiKey> {
        if number < 128 { Some(MidiKey(number)) } else { None }
    }

    /// The MIDI number.
    pub const fn number(self) -> u8 {
        self.0
    }

    /// Whether it is a black key.
    pub const fn is_black(self) -> bool {
        matches!(self.0 % 12, 1 | 3 | 6 | 8 | 10)
    }

    /// A plain name with sharps, for keys outside any song: `C4`, `F#4`.
    pub fn pitch(self) -> Pitch {
        const NAMES: [(Letter, i8); 12] = [
            (Letter::C, 0),
            (Letter::C, 1),
            (Letter::D, 0),
            (Letter::D, 1),
            (Letter::E, 0),
            (Letter::F, 0),
            (Letter::F, 1),
            (Letter::G, 0),
            (Letter::G, 1),
            (Letter::A, 0),
            (Letter::A, 1),
            (Letter::B, 0),
        ];
        let (letter, alter) = NAMES[(self.0 % 12) as usize];
        Pitch::new(NoteName::new(letter, alter), (self.0 / 12) as i8 - 1)
    }
}
