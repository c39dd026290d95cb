//! The left hand's second note: above a root, and above a number under a slash.

use theory::{Chord, Interval, Member, NoteName};

/// Why the left hand's second note is what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SecondNote {
    /// The chord's own perfect fifth above its root.
    OwnFifth,
    /// The chord's fifth is diminished or augmented, and a shape never adds such a fifth: the octave.
    NoPerfectFifth,
    /// Under a slash: the perfect fifth above, which the right hand's chord has.
    FifthInChord,
    /// Under a slash: the lower note is in the chord, so the chord's root above it.
    RootAbove,
    /// Under a slash: the perfect fifth above is in the key and rubs with no note of the chord.
    FifthInKey,
    /// Under a slash: nothing else will do, so the octave.
    OctaveUnderSlash,
}

impl SecondNote {
    /// Whether the second note is just the lowest one again.
    pub const fn is_octave(self) -> bool {
        matches!(self, SecondNote::NoPerfectFifth | SecondNote::OctaveUnderSlash)
    }
}

/// The note that stands above the left hand's lowest, and why.
///
/// ```
/// use voicing::{second_note, SecondNote};
/// let chord = |text: &str| theory::Chord::in_key(text.parse().unwrap(), "C major".parse().unwrap());
/// // C over E: B is not in the chord, E is; so the root, a sixth above.
/// assert_eq!(second_note(&chord("1/3")).1, SecondNote::RootAbove);
/// // G over F: C is in the key, but a semitone from B, the third of G.
/// assert_eq!(second_note(&chord("5/4")).1, SecondNote::OctaveUnderSlash);
/// ```
pub fn second_note(chord: &Chord) -> (NoteName, SecondNote) {
    let fifth = chord.bass.up(Interval::new(4, 7));
    if !chord.is_slash() {
        return match chord.member(Member::FIFTH) {
            Some(tone) if tone.semitones == 7 => (tone.name, SecondNote::OwnFifth),
            _ => (chord.bass, SecondNote::NoPerfectFifth),
        };
    }
    if let Some(tone) = chord.member_sounding(fifth.pitch_class()) {
        (tone.name, SecondNote::FifthInChord)
    } else if chord.has_pitch_class(chord.bass.pitch_class()) {
        above_own_bass(chord)
    } else if chord.key.contains(fifth) && !rubs(chord, fifth) {
        (fifth, SecondNote::FifthInKey)
    } else {
        (chord.bass, SecondNote::OctaveUnderSlash)
    }
}

/// `1/1` has the root under the slash: above it the root again is the octave.
fn above_own_bass(chord: &Chord) -> (NoteName, SecondNote) {
    if chord.bass.pitch_class() == chord.root().pitch_class() {
        (chord.bass, SecondNote::OctaveUnderSlash)
    } else {
        (chord.root(), SecondNote::RootAbove)
    }
}

/// Whether a note lies a semitone from any note of the chord, octaves aside.
fn rubs(chord: &Chord, name: NoteName) -> bool {
    let distance =
        |other: NoteName| (i32::from(other.pitch_class()) - i32::from(name.pitch_class())).rem_euclid(12);
    chord.names().any(|other| matches!(distance(other), 1 | 11))
}
