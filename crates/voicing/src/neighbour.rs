//! Neighbour notes: the scale step beside a chord note, in its place for a moment.

use crate::Shape;
use theory::{Chord, Finger, Hand, Letter, NoteName, Pitch};

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

/// The finger for a neighbour: the free one beside the note's own, else the note's own slides.
pub(crate) fn neighbour_finger(hand: Hand, shape: &Shape, place: usize, pitch: Pitch) -> Finger {
    let own = shape.notes[place].finger;
    let up = pitch.semitones() > i32::from(shape.notes[place].key.number());
    let outward = up == (hand == Hand::Right);
    let beside = if outward { own.number() + 1 } else { own.number() - 1 };
    match Finger::new(beside) {
        Some(finger) if shape.notes.iter().all(|n| n.finger != finger) => finger,
        _ => own,
    }
}
