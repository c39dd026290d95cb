//! Keys and degrees.

use crate::NoteName;

/// Major or (natural) minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Mode {
    Major,
    Minor,
}

/// A key: tonic and mode, one of the 15 major and 15 minor keys that have a key signature (up to seven accidentals).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    tonic: NoteName,
    mode: Mode,
}

/// A scale degree of a key, 1 to 7, with the accidentals written before it (`b7` is -1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Degree {
    number: u8,
    alter: i8,
}

impl Degree {
    /// A degree; `None` unless the number is 1 to 7.
    pub const fn new(number: u8, alter: i8) -> Option<Degree> {
        if number >= 1 && number <= 7 { Some(Degree { number, alter }) } else { None }
    }
    /// 1 to 7.
    pub const fn number(self) -> u8 {
        self.number
    }
    /// Semitones raised or lowered against the key's own degree.
    pub const fn alter(self) -> i8 {
        self.alter
    }
}
