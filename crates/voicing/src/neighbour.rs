//! Neighbour notes: the scale step beside a chord note, in its place for a moment.

use theory::{Chord, Letter, NoteName, Pitch};

/// The scale step below (-1) or above (1) a note, in the key with the chord's altered notes put in.
///
/// ```
/// let chord = theory::Chord::in_key("5M".parse().unwrap(), "E minor".parse().unwrap());
/// // Under the dominant of E minor the step below E is D#.
/// assert_eq!(voicing::neighbour(&chord, "E4".parse().unwrap(), -1).to_string(), "D#4");
/// ```
pub fn neighbour(chord: &Chord, note: Pitch, step: i8) -> Pitch {
    let index = note.name.letter.index() + i32::from(step.signum());
    let letter = Letter::at(index);
    let name = chord.scale().into_iter().find(|n| n.letter == letter).unwrap_or(NoteName::new(letter, 0));
    Pitch::new(name, note.octave + index.div_euclid(7) as i8)
}
