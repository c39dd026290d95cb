//! Pitches, intervals, keys, scales and chords, spelled as a musician spells them; fingers for scales.
//!
//! Conventions: middle C is C4 is MIDI key 60; an octave number belongs to the letter, so B#3 is key 60 as well.
//! Accidentals are counted in semitones, sharps positive. Intervals count diatonic steps from 0 (a unison).
//!
//! This crate does not know song files, hands' shapes, or time.
#![forbid(unsafe_code)]

mod chord;
mod finger;
mod interval;
mod key;
mod name;
mod number_chord;
mod pitch;
mod scale;

pub use chord::{Chord, ChordTone, Member};
pub use finger::{Finger, Hand};
pub use interval::Interval;
pub use key::{Degree, Key, Mode};
pub use name::{Letter, NoteName};
pub use number_chord::{Extension, NumberChord, ParseChordError, Quality};
pub use pitch::{MidiKey, Pitch};
