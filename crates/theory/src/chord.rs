//! Chords in a key: spelled members.

use crate::{Key, NoteName, NumberChord};

/// A member of a chord by its number above the root: 1 2 3 4 5 6 7 9 11 13.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Member(u8);

impl Member {
    /// A member; `None` for any other number.
    pub const fn new(number: u8) -> Option<Member> {
        if matches!(number, 1..=7 | 9 | 11 | 13) { Some(Member(number)) } else { None }
    }
    /// Its number.
    pub const fn number(self) -> u8 {
        self.0
    }
}

/// One member of a chord, spelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordTone {
    /// Which member.
    pub member: Member,
    /// Its name in the key.
    pub name: NoteName,
    /// Semitones above the root, within the octave of the root for members up to 7 and above it for 9, 11, 13.
    pub semitones: u8,
}

/// A chord in a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chord {
    /// As written.
    pub written: NumberChord,
    /// The key it is read in.
    pub key: Key,
    /// Its members from the root up; the first is the root.
    pub tones: Vec<ChordTone>,
    /// The note the left hand takes: the degree under the slash, or the root.
    pub bass: NoteName,
}
